"""The macro module, recalculated by LibreOffice's own reading of VBA.

A class of Basic stands for xlwings' object and passes `CallUDF` on, over UNO, to the
real server of xlwings. LibreOffice shows a macro's error value as "Error 2036" instead
of #NUM!, and refuses to hand a left-out argument on, which Excel does: so arguments
are given in full here.
"""

import sys

import pytest

import pennyweight
from pennyweight.addins.excel.vba import macro_module
from tests.addins.examples import cells, expected, same, trade_calls
from tests.oracles.values import OracleFailed

TOLERANCE = 1e-12
SERVER = [sys.executable, "-m", "tests.addins.udf_server"]

STANDARD = """\
Option VBASupport 1
Public Function XLPy()
    Set XLPy = New BridgeClass
End Function
Public Sub RunPython(command)
End Sub
"""
CLASS = """\
Option VBASupport 1
Option ClassModule
Public Function CallUDF(script, name, given, book, caller)
    Dim sent(), place As Long, service
    ReDim sent(UBound(given) + 1)
    sent(0) = script
    For place = 0 To UBound(given)
        sent(place + 1) = Told(given(place))
    Next place
    service = createUnoService("pennyweight.test.Bridge")
    CallUDF = Block(service.callFunction(name, sent))
End Function

Private Function Told(item)
    Dim area As Object
    If IsObject(item) Then
        Set area = item
        Told = Array("range", area.Value)
    Else
        Told = item
    End If
End Function

Private Function Block(found)
    ' Excel gets blocks as one array of two dimensions, not as rows of arrays.
    Dim table(), row As Long, column As Long
    Block = found
    If Not IsArray(found) Then Exit Function
    If Not IsArray(found(0)) Then Exit Function
    ReDim table(UBound(found), UBound(found(0)))
    For row = 0 To UBound(found)
        For column = 0 To UBound(found(0))
            table(row, column) = found(row)(column)
        Next column
    Next row
    Block = table
End Function
"""


def work_out(office, put, formulas, server=SERVER):
    """Values of formulas that call the macros."""
    lines = macro_module().splitlines()
    text = "\n".join(line for line in lines if not line.startswith("Attribute"))
    return office.ask(
        "macros",
        modules={
            "Standard1": STANDARD,
            "BridgeClass": CLASS,
            "Pennyweight": f"Option VBASupport 1\n{text}",
        },
        cells=put,
        formulas=formulas,
        server=server,
    )


def in_full(entry, given):
    """The arguments, with units; None where another was left out."""
    pairs = zip(entry.arguments, given, strict=True)
    given = [
        cells("metric") if block is None and argument.name == "units" else block
        for argument, block in pairs
    ]
    return None if None in given else given


def literal(block):
    ((cell,),) = block
    if isinstance(cell, bool):
        return f"{str(cell).upper()}()"
    return f'"{cell}"' if isinstance(cell, str) else repr(cell)


def single_calls():
    """Example calls of single values with every argument given."""
    return [
        (entry, given, expected(answer)[0][0])
        for entry, some, answer in trade_calls()
        if (given := in_full(entry, some))
        and all(len(block) == len(block[0]) == 1 for block in given)
        and len(expected(answer)) == len(expected(answer)[0]) == 1
        and not isinstance(answer, dict)
    ]


BLOCKS = [
    ["E1", "=DWT_BOND_ENERGY(A2;2000;B1)"],
    ["F1:F2", "=DWT_BOND_ENERGY(A1:A2;2000;100)"],
    ["G1:H2", "=DWT_BOND_ENERGY(A1:A2;2000;B1:C1)"],
    ["I1:J1", '=DWT_LOGNORMAL_INTERVAL(A1:A2;0.95;0;"metric")'],
]


@pytest.fixture(scope="module")
def worked_out(macro_office):
    """What all formulas without errors show: a start of the server takes 1 s."""
    put = {"A1": 10.0, "A2": 14.0, "B1": 100.0, "C1": 150.0}
    singles = [
        [f"L{row}", f"={entry.name}({';'.join(map(literal, given))})"]
        for row, (entry, given, _) in enumerate(single_calls(), 1)
    ]
    found = work_out(macro_office, put, [*BLOCKS, *singles])
    return found[: len(BLOCKS)], found[len(BLOCKS) :]


def test_single_values_of_every_function(worked_out):
    calls = single_calls()
    assert len(calls) > 60
    for ((shown,),), (entry, given, wanted) in zip(worked_out[1], calls, strict=True):
        assert same([[shown]], [[wanted]], TOLERANCE), (entry.name, given)


def test_cells_columns_and_blocks(worked_out):
    single, column, block, row = worked_out[0]
    energy = pennyweight.bond_energy
    assert single == [[energy(14.0, 2000.0, 100.0)]]
    assert column == [[energy(10.0, 2000.0, 100.0)], [energy(14.0, 2000.0, 100.0)]]
    wanted = energy([[10.0], [14.0]], 2000.0, [[100.0, 150.0]])
    assert same(block, wanted.tolist(), TOLERANCE)
    interval = pennyweight.lognormal_interval([10.0, 14.0], 0.95, 0.0)
    assert same(row, [list(interval)], TOLERANCE)


def test_markers_become_error_values(macro_office):
    put = {"A1": 14.0, "A3": "x", "A4": -1.0}
    formulas = [
        ["B1", "=DWT_BOND_ENERGY(-1;2000;100)"],
        ["C1:C4", "=DWT_BOND_ENERGY(A1:A4;2000;100)"],
        ["D1", "=DWT_REASON(B1)"],
        ["E1", "=DWT_VERSION()"],
    ]
    single, column, reason, version = work_out(macro_office, put, formulas)
    assert single == [["Error 2036"]]
    assert [row[0] for row in column[1:]] == ["Error 2042", "Error 2015", "Error 2036"]
    assert column[0][0] == pennyweight.bond_energy(14.0, 2000.0, 100.0)
    assert "work_index" in reason[0][0]
    assert version == [[pennyweight.__version__]]


def test_a_server_that_cannot_start_is_reported(macro_office):
    server = [sys.executable, "-c", "raise SystemExit('xlwings is missing')"]
    with pytest.raises(OracleFailed, match=r"did not start.*xlwings is missing"):
        work_out(macro_office, {}, [], server)


def test_a_server_that_ends_is_reported(macro_office):
    server = [sys.executable, "-c", "print('ready', flush=True)"]
    with pytest.raises(OracleFailed, match="ended during DWT_BOND_ENERGY"):
        work_out(macro_office, {}, [["B1", "=DWT_BOND_ENERGY(14;2000;100)"]], server)


def test_literals_are_what_they_say():
    assert literal(cells("grate")) == '"grate"'
    assert literal(((True,),)) == "TRUE()"
