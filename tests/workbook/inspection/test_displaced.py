"""What a partner moves in LibreOffice is one finding, and what else is altered is told.

The program rewrites every formula and name that reads from below an inserted row, as
Excel and Gnumeric do; thousands of formulas then differ from ours by it alone.
"""

import math

import pytest

from pennyweight.documents.compare import compare_books
from pennyweight.errors import WorkbookError
from pennyweight.workbook.book import make_book
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.formula_tree import readdressed
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.inspection.shift import Shift, shift_of
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from pennyweight.workbook.write import write_book

from ...oracles.package import formula_cells
from ..digits import as_saved, fifteen_digits

WAGE = layout().places["wage"].row
RATES = layout().places["cost_per_ton"].sheet


@pytest.fixture(scope="module")
def issued(tmp_path_factory):
    """In metric units; a move is the same in both systems."""
    path = tmp_path_factory.mktemp("metric") / "issued.xlsx"
    return write_book(make_book(units="metric"), path)


@pytest.fixture
def edited(issued, libreoffice, tmp_path):
    def edit(*edits):
        path = tmp_path / "edited.xlsx"
        libreoffice.save_edited(issued, path, edits)
        return path

    return edit


ONE_MOVE = {
    "rows among the inputs": (
        ("insert_rows", "Inputs", WAGE, 3),
        ("Inputs", f"{WAGE + 1}:{WAGE + 3}", "rows inserted", "3 rows, above 'Wage'"),
    ),
    "a column beside the inputs": (
        ("insert_columns", "Inputs", 4, 2),
        ("Inputs", "E:F", "columns inserted", "2 columns, left of 'Low'"),
    ),
    "a column before all others": (
        ("insert_columns", "Plant", 0, 1),
        ("Plant", "A:A", "columns inserted", "1 column, left of 'Line'"),
    ),
    "a month": (
        ("insert_columns", "Cash flow", 20, 1),
        ("Cash flow", "U:U", "columns inserted", "1 column"),
    ),
    "a row among the samples": (
        ("insert_rows", "Samples", layout().places["sample_grade_09"].row, 1),
        ("Samples", None, "rows inserted", "1 row"),
    ),
    "a row at the top": (
        ("insert_rows", "Answer", 0, 1),
        ("Answer", "1:1", "rows inserted", "1 row, above 'Answer'"),
    ),
    "sources taken out": (
        ("delete_rows", "Sources", 8, 2),
        ("Sources", "9:10", "rows deleted", ""),
    ),
    "a block aside": (
        ("cut_and_paste", "Plant", "A10:D20", "H40"),
        ("Plant", "A10:D20", "block moved", "moved to H40:K50"),
    ),
    "a block below": (
        ("cut_and_paste", "Return per ton", "A8:D15", "A200"),
        ("Return per ton", "A8:D15", "block moved", "moved to A200:D207"),
    ),
    "sources sorted": (
        ("sort", "Sources", "A5:D40", 0),
        ("Sources", "5:40", "rows in another order", None),
    ),
    "a sheet renamed": (
        ("rename", "Inputs", "Our prices"),
        ("Our prices", "", "sheet renamed", "Our prices"),
    ),
    "the first sheet renamed": (
        ("rename", "About", "Read me"),
        ("Read me", "", "sheet renamed", "Read me"),
    ),
}


@pytest.mark.parametrize("what", ONE_MOVE)
def test_one_move_is_one_finding(what, edited, issued):
    edit, (sheet, cell, kind, told) = ONE_MOVE[what]
    path = edited(edit)
    before, after = read_book(issued), read_book(path)
    assert after.inputs == as_saved(before.inputs)
    assert (after.statuses, after.bases) == (before.statuses, before.bases)
    found = inspect_book(path)
    assert found.outcome == "altered"
    (finding,) = found.findings
    assert (finding.sheet, finding.kind, finding.grave) == (sheet, kind, True)
    assert finding.cell == cell or cell is None
    assert finding.found == told or told is None
    assert finding.mend


def test_the_program_rewrites_thousands_of_formulas(edited, issued):
    """Without looking for moves each of these would be a finding."""
    path = edited(("insert_rows", RATES, 5, 1))
    changed = formula_cells(issued) - formula_cells(path)
    assert changed  # cells of ours that have no formula any more where they stood
    assert len(inspect_book(path).findings) == 1


def test_several_moves_and_what_is_theirs(edited):
    path = edited(
        ("insert_rows", "Inputs", WAGE, 2),
        ("type", "Inputs", f"A{WAGE + 1}", "ask about overtime"),
        ("insert_rows", "Plant", 30, 1),
        ("insert_columns", "Plant", 0, 1),
        ("rename", "Plant", "The mill"),
    )
    findings = inspect_book(path).findings
    told = [(f.sheet, f.kind, f.grave) for f in findings]
    assert sorted(told) == [
        ("Inputs", "cell added", False),
        ("Inputs", "rows inserted", True),
        ("The mill", "columns inserted", True),
        ("The mill", "rows inserted", True),
        ("The mill", "sheet renamed", True),
    ]
    (theirs,) = (f for f in findings if not f.grave)
    assert (theirs.cell, theirs.found) == (f"A{WAGE + 1}", "ask about overtime")
    assert findings[-1] == theirs


def test_what_is_altered_besides_is_told_where_it_stands_now(edited):
    place = layout().places["cost_per_ton"]
    first, now = place.row - 3, f"{place.cell()[0]}{place.row + 2}"
    path = edited(
        ("insert_rows", place.sheet, first, 1),
        ("type", place.sheet, now, "100"),
    )
    found = [f for f in inspect_book(path).findings if f.kind != "stored value"]
    assert [(f.sheet, f.cell, f.kind) for f in found] == [
        (place.sheet, f"{first + 1}:{first + 1}", "rows inserted"),
        (place.sheet, now, "formula overwritten"),
    ]
    assert found[1].found == "100"


def test_what_follows_from_a_deleted_row_is_gathered(edited):
    row = layout().places["cost_of_crew_per_ton"].row
    found = inspect_book(edited(("delete_rows", RATES, row, 1)))
    assert found.outcome == "altered" and len(found.findings) < 15
    assert found.findings[0].kind == "rows deleted"
    last = found.findings[-1]
    assert last.kind == "stored value" and "other values in" in last.found


def test_sorted_inputs_are_refused_and_carried_by_their_labels(edited, issued):
    path = edited(("sort", "Inputs", "A6:L50", 0))
    with pytest.raises(WorkbookError, match="sorted or moved"):
        read_book(path)
    found = inspect_book(path)
    assert found.outcome == "unusable" and "new FRESH.xlsx --from" in found.reason
    carried, before = carry_from(path), read_book(issued)
    for name, value in carried.inputs.items():
        assert value == fifteen_digits(before.inputs[name]), name
    missing = before.inputs.keys() - carried.inputs.keys()
    labels = [entry for entry in carried.left_behind if "not in that book" in entry]
    assert len(missing) == len(labels) and len(missing) < 3


def test_inputs_in_another_row_are_compared_and_carried(edited, issued):
    path = edited(
        ("insert_rows", "Inputs", WAGE, 1),
        ("insert_columns", "Inputs", 1, 1),
        ("type", "Inputs", f"C{WAGE + 2}", "31"),
    )
    (change,) = compare_books(issued, path).changes
    assert (change.name, change.place) == ("wage", f"Inputs!C{WAGE + 2}")
    carried = carry_from(path)
    assert carried.inputs["wage"] == 31.0
    assert carried.bases == read_book(issued).bases


@pytest.mark.parametrize("what", ["a block aside", "a month", "a sheet renamed"])
def test_a_moved_book_is_not_renewed(what, edited):
    path = edited(ONE_MOVE[what][0])
    before = path.read_bytes()
    with pytest.raises(WorkbookError, match="Run inspect"):
        renew_book(path)
    assert path.read_bytes() == before


LINES = "abcdefghij"


@pytest.mark.parametrize(
    ("theirs", "inserted", "deleted"),
    [
        ("abcdefghij", [], []),
        ("..abcdefghij", [(0, 1, 0)], []),
        ("abc.defghij", [(3, 3, 3)], []),
        ("abcghij", [], [(3, 5)]),
        ("cdefghij", [], [(0, 1)]),
        ("a.bcd..efghij", [(1, 1, 1), (5, 6, 4)], []),
        ("abd..efghij", [(3, 4, 4)], [(2, 2)]),
    ],
)
def test_shifts(theirs, inserted, deleted):
    offsets = {
        line: theirs.index(letter) - line
        for line, letter in enumerate(LINES)
        if letter in theirs and letter not in "cf"  # two are not recognised
    }

    def alike(line, now):
        return 0 <= now < len(theirs) and LINES[line] == theirs[now]

    shift, astray = shift_of(offsets, alike)
    assert not astray and shift.changes() == (inserted, deleted)
    for line, letter in enumerate(LINES):
        now = shift.forward(line)
        if letter not in theirs:
            assert now is None
        else:
            assert theirs[now] == letter and shift.back(now) == line


def test_lines_out_of_order_are_told():
    assert shift_of({0: 0, 1: 0, 2: 5, 3: 0, 4: 0}, lambda *_: 0) == (Shift(), {2})
    assert Shift().segments[0][1] == math.inf and not Shift().moved


@pytest.mark.parametrize(
    ("formula", "wanted"),
    [
        ("=A1+$B$2*Rate", "=A2+B3*Rate"),
        ("=SUM('Cash flow'!E5:E9)", "=SUM('Cash flow'!E6:E10)"),
        ('="A1"&LOG10(A1)', '="A1"&LOG10(A2)'),
        ("=Other!A1", "=Other!A1"),
        ("=IF(A1>=1,A1%,-A1)", "=IF(A2>=1,A2%,-A2)"),
        ("={1}", "={1}"),
    ],
)
def test_addresses_in_a_formula(formula, wanted):
    def down(sheet, row, column):
        return (sheet, row + (sheet != "other"), column)

    found = readdressed(formula, "Plant", down)
    assert found.lower().replace("'other'", "other") == wanted.lower()


def test_an_address_without_a_place_leaves_the_formula():
    assert readdressed("=A1+B1", "Plant", lambda *_: None) == "=A1+B1"
