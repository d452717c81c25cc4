"""Calls of worksheet functions through Excel's server and through Calc."""

import time

from pennyweight.addins.registry import registry
from pennyweight.addins.sheet_call import answer
from tests.addins import com
from tests.addins.calc_office import CalcOffice
from tests.oracles.office import missing

ROWS = 10_000
CALLS = 2_000
MODULE = "pennyweight.addins.excel.functions"


def report():
    """Print every measurement, beside the engine's own call."""
    bare = _engine()
    print(f"{'':34}{'calls/s':>10}{'10,000 rows':>14}{'a call, times the engine':>26}")
    _show("the engine", *bare, bare[0])
    _show("what both add-ins share", *_shared(), bare[0])
    _show("Excel: CallUDF, COM stood in for", *_excel(), bare[0])
    if missing():
        print(f"LibreOffice: {missing()}")
    else:
        _show("LibreOffice: cells of Calc", *_calc(), bare[0])


def _show(name, call, block, bare):
    print(f"{name:34}{1 / call:>10,.0f}{block * 1000:>11.1f} ms{call / bare:>26.1f}")


def _column():
    return tuple((5.0 + 20.0 * row / ROWS,) for row in range(ROWS))


def _timed(call, times):
    call()
    start = time.perf_counter()
    for _ in range(times):
        call()
    return (time.perf_counter() - start) / times


def _engine():
    import numpy as np

    function = registry()["DWT_BOND_ENERGY"].function
    column = np.array(_column())
    return (
        _timed(lambda: function(14.0, 2000.0, 100.0), CALLS),
        _timed(lambda: function(column, 2000.0, 100.0), 20),
    )


def _shared():
    entry, column = registry()["DWT_BOND_ENERGY"], _column()
    return (
        _timed(lambda: answer(entry, (14.0, 2000.0, 100.0)), CALLS),
        _timed(lambda: answer(entry, (column, 2000.0, 100.0)), 20),
    )


def _excel():
    with com.windows():
        from xlwings import com_server

        server, book = com_server.XLPython(), com.Book()
        corner = book.cells([0.0])

        def call(first):
            given = [first, 2000.0, 100.0, ""]
            return server.CallUDF(MODULE, "DWT_BOND_ENERGY", given, book, corner)

        column = book.cells(*_column())
        return _timed(lambda: call(14.0), CALLS), _timed(lambda: call(column), 20)


def _calc():
    office = CalcOffice()
    try:
        single = office.ask(
            "timed",
            cells={f"A1:A{CALLS}": [list(row) for row in _column()[:CALLS]]},
            address=f"B1:B{CALLS}",
            formula="=DWT_BOND_ENERGY(A#;2000;100)",
            times=3,
        )
        block = office.ask(
            "timed",
            cells={f"A1:A{ROWS}": [list(row) for row in _column()]},
            address=f"B1:B{ROWS}",
            formula=f"{{=DWT_BOND_ENERGY(A1:A{ROWS};2000;100)}}",
            times=5,
        )
        return single / 3 / CALLS, block / 5
    finally:
        office.end()
