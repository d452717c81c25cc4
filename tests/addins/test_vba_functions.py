"""The macro module without Python, run by LibreOffice's own reading of VBA.

LibreOffice shows a macro's error value as "Error 2036" instead of #NUM!.
"""

import random
import re

import numpy as np
import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.addins.cell_values import CellError
from pennyweight.addins.registry import registry
from pennyweight.addins.sheet_call import answer
from pennyweight.addins.vba_functions import vba_functions, vba_module, write_module
from pennyweight.errors import CallError
from tests.addins.examples import expected, same, trade_calls
from tests.addins.test_function_book import altered_calls

TOLERANCE = 1e-12
NUMBERS = {"#N/A": 2042, "#VALUE!": 2015, "#NUM!": 2036, "#DIV/0!": 2007}
LONGEST_LINE = 1023


@pytest.fixture(autouse=True)
def own_log(tmp_path, monkeypatch):
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(tmp_path / "reasons.log"))


def work_out(office, calls):
    """Values of calls of the macros, each a name and rows of cells or None."""
    put, formulas = {}, []
    for row, (name, given) in enumerate(calls):
        given = in_full(registry()[name], given)
        cells = [_laid(put, row, 12 * n + 2, b) for n, b in enumerate(given)]
        formulas.append([f"A{row + 1}", f"={name}({';'.join(cells).rstrip(';')})"])
    lines = vba_module().splitlines()
    text = "\n".join(line for line in lines if not line.startswith("Attribute"))
    modules = {"Pennyweight": f"Option VBASupport 1\n{text}"}
    found = office.ask(
        "macros", modules=modules, cells=put, formulas=formulas, server=None
    )
    return [rows[0][0] for rows in found]


def in_full(entry, given):
    """The arguments without gaps, where LibreOffice hands macros a 0."""
    last = max((n for n, block in enumerate(given) if block is not None), default=0)
    return [
        ((argument.default,),) if block is None and place < last else block
        for place, (argument, block) in enumerate(
            zip(entry.arguments, given, strict=True)
        )
    ]


def _laid(put, row, column, block):
    if block is None:
        return ""
    cells = [xl_rowcol_to_cell(row, column + n) for n in range(len(block[0]))]
    for address, cell in zip(cells, block[0], strict=True):
        if isinstance(cell, CellError):
            put[address] = {"error": "=1/0"}
        elif cell is not None:
            put[address] = cell
    return cells[0] if len(cells) == 1 else f"{cells[0]}:{cells[-1]}"


def example_calls():
    """Examples of the help that give one number."""
    return [
        (entry.name, given, expected(found)[0][0])
        for entry, given, found in trade_calls()
        if entry.name in vba_functions() and np.ndim(found) == 0 and found == found
    ]


def test_every_function_equals_the_engine(macro_office):
    calls = example_calls()
    found = work_out(macro_office, [(name, given) for name, given, _ in calls])
    for call, shown in zip(calls, found, strict=True):
        assert same([[shown]], [[call[-1]]], TOLERANCE), (call, shown)
    assert len(calls) > 150


def refused_alike(office, names):
    """Compare bad calls of the macros with the add-ins; return their number."""
    calls = list(altered_calls(names))
    found = work_out(office, calls)
    for (name, given), shown in zip(calls, found, strict=True):
        ((wanted,),) = answer(registry()[name], given)
        case = (name, given, shown, wanted)
        if isinstance(wanted, str):
            assert shown == f"Error {NUMBERS[wanted]}", case
        else:
            assert shown == pytest.approx(wanted, rel=TOLERANCE, abs=1e-300), case
    return len(calls)


def test_bad_calls_are_refused_as_everywhere(macro_office):
    names = random.Random(3).sample(list(vba_functions()), 12)
    assert refused_alike(macro_office, sorted({*names, "DWT_POWER_DRAWN"})) > 150


def test_the_text_fits_the_macro_editor():
    text = vba_module()
    assert text.isascii() and text.replace("\r\n", "").count("\n") == 0
    assert max(map(len, text.splitlines())) <= LONGEST_LINE
    assert "IIf(" not in text and "Wscript" not in text
    # In 64-bit VBA a caret right after a name is part of the name.
    assert not re.search(r"\S\^|\^\S", text)
    names = re.findall(r"^Public Function (\w+)", text, re.MULTILINE)
    assert len(names) == len(set(names)) == len(vba_functions()) > 145


def test_it_is_written_to_a_file_of_its_kind(tmp_path):
    path = write_module(tmp_path / "functions.bas")
    assert path.read_bytes() == vba_module().encode()
    with pytest.raises(CallError, match=r"ends in \.bas"):
        write_module(tmp_path / "functions.txt")
