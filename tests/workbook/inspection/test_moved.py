"""Workbooks with rows or columns moved in LibreOffice.

The program rewrites every formula and name that reads cells below an inserted row, as
Excel and Gnumeric do, so thousands of formulas differ. The inputs are read by name, and
taken over into a new workbook.
"""

import re

import pytest

from pennyweight.documents.compare import compare_books
from pennyweight.errors import WorkbookError
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.formula_tree import with_sheets
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout
from pennyweight.workbook.package.contents import read_contents
from pennyweight.workbook.package.sheet_part import address_of as address
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from tests.books import book_at
from tests.oracles.package import write_changed

from ...fuzz.files import packed, unpacked
from ..digits import as_saved, fifteen_digits

WAGE = layout().places["wage"].row
YELLOW = layout().entered["wage"].row
RATES = layout().places["cost_per_ton"].sheet


@pytest.fixture(scope="module")
def issued(tmp_path_factory):
    """In US units; a move is the same in both systems."""
    return book_at(tmp_path_factory.mktemp("us") / "issued.xlsx")


@pytest.fixture
def edited(issued, libreoffice, tmp_path):
    def edit(*edits):
        path = tmp_path / "edited.xlsx"
        libreoffice.save_edited(issued, path, edits)
        return path

    return edit


MOVES = {
    "rows among the inputs": ("insert_rows", "Inputs", WAGE, 3),
    "a column before all others": ("insert_columns", "Plant", 0, 1),
    "a row among the samples": (
        ("insert_rows", "Samples", layout().places["sample_grade_09"].row, 1)
    ),
    "sources sorted": ("sort", "Sources", "A5:D40", 0),
    "a month": ("insert_columns", "Cash flow", 20, 1),
    "a row at the top": ("insert_rows", "Answer", 0, 1),
    "sources taken out": ("delete_rows", "Sources", 8, 2),
    "a column beside the inputs": ("insert_columns", "Inputs", 4, 2),
    "a block aside": ("cut_and_paste", "Plant", "A10:D20", "H40"),
    "a block below": ("cut_and_paste", "Return per ton", "A8:D15", "A200"),
}
RENAMED = {
    "a sheet renamed": ("rename", "Inputs", "Our prices"),
    "the first sheet renamed": ("rename", "About", "Read me"),
}
IN_ONE_WORKBOOK = (
    "rows among the inputs",
    "a row among the samples",
    "a month",
    "a row at the top",
    "sources taken out",
    "a block aside",
)
"""Moves on sheets of their own."""
WAY_OUT = "pennyweight new NEW.xlsx --from edited.xlsx"


COST = layout().places["cost_per_ton"]
COST_NOW = f"{COST.cell()[0]}{COST.row + 2}"
A_WRONG_FIGURE = (
    ("insert_rows", COST.sheet, COST.row - 3, 1),
    ("type", COST.sheet, COST_NOW, "100"),
)
ONE_FORMULA = (
    f"Altered formulas: 1, {COST.sheet}!{COST_NOW}; the new workbook has those of "
    "pennyweight."
)
ANOTHER_WAGE = (
    ("insert_rows", "Start", YELLOW, 1),
    ("insert_columns", "Start", 1, 1),
    ("type", "Start", f"C{YELLOW + 2}", "31"),
)


def test_each_move_is_one_finding_and_the_inputs_are_carried(edited, issued):
    """In one workbook: each on a sheet of its own, figures typed and sheets renamed."""
    moved = [MOVES[what] for what in IN_ONE_WORKBOOK]
    path = edited(*moved, *A_WRONG_FIGURE, *ANOTHER_WAGE, *RENAMED.values())
    found = are_carried(path, issued, {"wage": 31.0}, [ONE_FORMULA])
    findings = found.findings
    assert found.reading.places["wage"] == f"Start!C{YELLOW + 2}"
    rows = [f for f in findings if f.kind == "rows or columns moved"]
    sheets = {*(sheet for _, sheet, *_ in moved), COST.sheet, "Start"}
    assert len(rows) == len(sheets) and all(map(is_reported_as_moved, rows))
    renamed = [f for f in findings if f.kind == "sheet renamed"]
    for finding, (_, sheet, name) in zip(renamed, RENAMED.values(), strict=True):
        assert finding.sheet == name and sheet in finding.mend and finding.grave
        sheets = {name if before == sheet else before for before in sheets}
    assert {f.sheet for f in rows} == sheets
    wrong, protection, follows = findings[len(renamed) + len(rows) :]
    assert (wrong.sheet, wrong.cell) == (COST.sheet, COST_NOW)
    assert (wrong.kind, wrong.found) == ("formula overwritten", "100")
    assert protection.kind == "protection removed"  # the edits need it
    assert follows.kind == "stored value" and "other values in" in follows.found


def are_carried(path, issued, changed=(), left_behind=()):
    """Every input is read and carried as it was issued or typed; what inspect finds."""
    before, after = read_book(issued), read_book(path)
    wanted = as_saved({**before.inputs, **dict(changed)})
    assert after.inputs == wanted
    assert (after.statuses, after.bases) == (before.statuses, before.bases)
    found = inspect_book(path, strict=True)
    assert found.outcome == "something else changed"
    carried = carry_from(path)
    empty = {name for name, value in wanted.items() if value == ""}
    told = carried.inputs, carried.statuses, carried.bases
    whole = wanted, before.statuses, before.bases
    assert list(told) == [
        {name: value for name, value in mapping.items() if name not in empty}
        for mapping in whole
    ]
    assert carried.left_behind == list(left_behind)
    return found


def filled(inputs):
    """Inputs as saved by another program, without those whose cells are empty."""
    return {name: value for name, value in as_saved(inputs).items() if value != ""}


def is_reported_as_moved(finding):
    assert finding.kind == "rows or columns moved"
    return finding.grave and WAY_OUT in finding.mend


@pytest.mark.thorough
@pytest.mark.parametrize("what", MOVES)
def test_a_move_alone_is_one_finding(what, edited, issued):
    path = edited(MOVES[what])
    finding, *follows = are_carried(path, issued).findings
    # Costs per ounce divide by the index of an empty month.
    assert {f.kind for f in follows} <= {"stored value"} and (
        what == "a month" or not follows
    )
    is_not_renewed(path)
    assert finding.sheet == MOVES[what][1] and is_reported_as_moved(finding)


@pytest.mark.thorough
@pytest.mark.parametrize("what", RENAMED)
def test_a_renamed_sheet_is_one_finding(what, edited, issued):
    _, sheet, name = RENAMED[what]
    path = edited(RENAMED[what])
    finding, protection = are_carried(path, issued).findings
    is_not_renewed(path)
    assert (finding.sheet, finding.kind) == (name, "sheet renamed")
    assert protection.kind == "protection removed"  # the edits need it
    assert sheet in finding.mend and finding.grave


@pytest.mark.thorough
def test_several_moves_are_reported_and_the_inputs_are_carried(edited, issued):
    path = edited(
        ("insert_rows", "Inputs", WAGE, 2),
        ("type", "Inputs", f"A{WAGE + 1}", "ask about overtime"),
        ("insert_rows", "Plant", 30, 1),
        ("insert_columns", "Plant", 0, 1),
        ("rename", "Plant", "The mill"),
    )
    told = sorted((f.sheet, f.kind) for f in inspect_book(path).findings)
    assert told == [
        ("Inputs", "rows or columns moved"),
        ("The mill", "rows or columns moved"),
        ("The mill", "sheet renamed"),
    ]
    assert carry_from(path).inputs == filled(read_book(issued).inputs)


@pytest.mark.thorough
def test_a_wrong_figure_and_an_input_are_reported_where_they_stand_now(edited, issued):
    path = edited(*A_WRONG_FIGURE, *ANOTHER_WAGE, *RENAMED.values())
    compared = compare_books(issued, path)
    *told, last = compared.inspection.findings
    assert [(f.sheet, f.cell, f.kind) for f in told] == [
        ("Our prices", "", "sheet renamed"),
        ("Read me", "", "sheet renamed"),
        ("Start", "", "rows or columns moved"),
        (COST.sheet, "", "rows or columns moved"),
        (COST.sheet, COST_NOW, "formula overwritten"),
    ]
    for finding, (_, sheet, name) in zip(told, RENAMED.values(), strict=False):
        assert finding.sheet == name and sheet in finding.mend and finding.grave
    assert told[-1].found == "100"
    assert last.kind == "stored value" and "other values in" in last.found
    (change,) = compared.changes
    assert (change.name, change.place) == ("wage", f"Start!C{YELLOW + 2}")
    carried, before = carry_from(path), read_book(issued)
    assert carried.inputs == filled({**before.inputs, "wage": 31.0})
    of_filled = {n: basis for n, basis in before.bases.items() if n in carried.inputs}
    assert carried.bases == of_filled


@pytest.mark.thorough
def test_what_follows_from_a_deleted_row_is_gathered(edited):
    row = layout().places["cost_of_crew_per_ton"].row
    found = inspect_book(edited(("delete_rows", RATES, row, 1)))
    assert found.outcome == "something else changed" and len(found.findings) < 15
    assert found.findings[0].kind == "rows or columns moved"
    last = found.findings[-1]
    assert last.kind == "stored value" and "other values in" in last.found


@pytest.mark.thorough
def test_sorted_inputs_are_refused_and_carried_by_their_labels(edited, issued):
    path = edited(("sort", "Inputs", "A6:L50", 0))
    with pytest.raises(WorkbookError, match="sorted or moved"):
        read_book(path)
    found = inspect_book(path)
    assert found.outcome == "cannot be used" and "new NEW.xlsx --from" in found.reason
    carried, before = carry_from(path), read_book(issued)
    for name, value in carried.inputs.items():
        assert value == fifteen_digits(before.inputs[name]), name
    entered = {name for name, value in before.inputs.items() if value != ""}
    missing = entered - carried.inputs.keys()
    labels = [entry for entry in carried.left_behind if "not in that book" in entry]
    assert len(missing) == len(labels) and len(missing) < 3


def is_not_renewed(path):
    before = path.read_bytes()
    with pytest.raises(WorkbookError, match="Run inspect"):
        renew_book(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("formula", "wanted"),
    [
        ("=Mill!A1+$B$2*Rate", "='Plant'!A1+$B$2*Rate"),
        ("=SUM('mill'!E5:E9) Mill!E5", "=SUM('Plant'!E5:E9) 'Plant'!E5"),
        ('="Mill!A1"&LOG10(A1)', '="Mill!A1"&LOG10(A1)'),
        ("=Other!A1#", "=Other!A1#"),
        ("={1}", "={1}"),
    ],
)
def test_sheets_in_a_formula(formula, wanted):
    assert with_sheets(formula, {"mill": "Plant"}) == wanted


@pytest.mark.thorough
def test_rows_hidden_at_the_issue_are_known_by_their_labels(libreoffice, tmp_path):
    """A row more on a sheet of one job; a row that the partner hid is told."""
    issued = book_at(tmp_path / "issued.xlsx", job="claim")
    path = tmp_path / "edited.xlsx"
    edits = [("insert_rows", "Start", YELLOW, 1), ("insert_rows", "Inputs", WAGE, 1)]
    libreoffice.save_edited(issued, path, edits)
    kinds = {f.kind for f in inspect_book(path).findings}
    assert "rows or columns moved" in kinds and "hidden rows or columns" not in kinds
    part, row = read_contents(path).sheet_parts["Inputs"], WAGE + 2
    packages = unpacked(path.read_bytes())
    tag = b'<row r="%d"' % row
    assert tag in packages[part]
    shown = re.search(tag + b"[^>]*>", packages[part])[0]
    hidden = shown.replace(b' hidden="false"', b"").replace(tag, tag + b' hidden="1"')
    packages[part] = packages[part].replace(shown, hidden, 1)
    path.write_bytes(packed(packages))
    found = [f for f in inspect_book(path).findings if f.kind.startswith("hidden")]
    assert [(f.sheet, f.found) for f in found] == [("Inputs", f"row {row}")]


def test_sorted_samples_are_the_same_samples(issued, tmp_path):
    """Two rows exchanged, by the numbers beside them; one assay changed as well."""
    path, at = tmp_path / "sorted.xlsx", layout().axes["sample"]
    cells, changes = read_contents(issued).sheets[at.sheet], {}
    columns = [layout().places[f"sample_{w}"].column for w in ("grade", "weight")]
    for here, there in ((0, 1), (1, 0)):
        for column in (at.column, *columns):
            cell = cells.get((at.row + there, column))
            changes[at.sheet, address((at.row + here, column))] = cell and cell.value
    assay = at.sheet, address((at.row, columns[0]))
    write_changed(issued, path, {**changes, assay: 0.123})
    found = compare_books(issued, path)
    (change,), (same,) = found.changes, found.inspection.inputs
    assert (change.name, change.after) == ("sample_grade_02", 0.123)
    assert change.place == "!".join(assay) == f"{same.sheet}!{same.cell}"
    kinds = ("rows sorted", "fixed number changed")
    (one,) = (f for f in found.inspection.findings if f.kind in kinds)
    assert (one.kind, one.expected, one.found) == ("rows sorted", "1, 2", "2, 1")
