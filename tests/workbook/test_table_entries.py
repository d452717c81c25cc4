"""Entries of tables are inputs: flagged, counted, taken over, renewed."""

import pytest

import pennyweight as pw
from pennyweight.documents.compare import compare_books
from pennyweight.errors import WorkbookError
from pennyweight.model.entries import TAILS_ASSAYS
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.workbook.answer_sheet import OUT_OF_DATE, SOLVED_NOW, SWITCHING
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from tests.books import book_at
from tests.thorough import sampled

from ..oracles.package import defined_names, stored_cells, write_changed
from .digits import as_saved, fifteen_digits
from .resaved import CHANGED

PROGRAM_OF = {"us": "libreoffice", "metric": "gnumeric"}


@pytest.fixture(scope="module", params=sampled(PROGRAM_OF, 2))
def units(request):
    return request.param


@pytest.fixture(scope="module")
def issued(units, tmp_path_factory):
    path = tmp_path_factory.mktemp(units) / "issued.xlsx"
    return book_at(path, units)


@pytest.fixture
def program(units, request):
    """Each unit system by one program; others re-save both elsewhere."""
    return request.getfixturevalue(PROGRAM_OF[units])


class Shown:
    """What a workbook shows."""

    def __init__(self, path):
        self._names, self._cells = defined_names(path), stored_cells(path)

    def answers(self, *names):
        return [self._names.read(self._cells, name) for name in names]

    def freshness(self):
        """What the sheet Answer says of the figures that the engine solved."""
        return self._cells["Answer"][f"A{SWITCHING + 2}"]

    def flagged(self):
        """Labels of the inputs that the sheet Inputs marks as changed."""
        cells = self._cells["Inputs"]
        marks = {at[2:] for at, v in cells.items() if at[:2] == "AB" and v == 1.0}
        return {cells[f"A{row}"] for row in marks}


def emptied(path, out, *names):
    places = [layout().places[name] for name in names]
    write_changed(path, out, {(p.sheet, p.cell()): None for p in places})
    return out


@pytest.fixture
def renewed(program, units, resaved, tmp_path):
    """What was changed and saved, and the same renewed."""
    back, renewed = resaved(program, units)[1], tmp_path / "renewed.xlsx"
    renew_book(back, renewed)
    return back, renewed


@pytest.mark.thorough
def test_changes_are_marked_counted_and_renewed(renewed):
    """Of single inputs and of entries of tables."""
    before, after = map(Shown, renewed)
    assert before.answers("Changed_inputs") == [len(CHANGED)]
    assert before.freshness() == OUT_OF_DATE
    assert before.flagged() == {INPUTS[name].label for name in CHANGED}
    assert after.answers("Changed_inputs") == [0] and not after.flagged()
    assert after.freshness() == SOLVED_NOW
    told = [inspect_book(path) for path in renewed]
    assert told[0].outcome == "inputs changed" and told[1].findings == []


@pytest.mark.thorough
def test_what_was_renewed_and_saved_again_is_sound(program, renewed, tmp_path):
    again = tmp_path / "again.xlsx"
    program.save_changed(renewed[1], again, {})
    assert inspect_book(again).findings == []
    assert Shown(again).answers("Changed_inputs") == [0]


@pytest.mark.thorough
def test_an_emptied_row_that_was_not_used_is_not_a_change(program, issued, tmp_path):
    """A blank counts as 0 in each program, and is read as 0."""
    names = [n for n in INPUTS if n.startswith("sample_") and n.endswith("_40")]
    assert len(names) == 5
    blank, back = emptied(issued, tmp_path / "blank.xlsx", *names), tmp_path / "b.xlsx"
    program.save_changed(blank, back, {})
    for path in (blank, back):
        assert read_book(path).inputs == as_saved(read_book(issued).inputs)
        assert inspect_book(path).findings == []
        assert compare_books(issued, path).changes == []
        assert carry_from(path).left_behind == []
    assert Shown(back).answers("Changed_inputs") == [0]


@pytest.mark.thorough
def test_an_assay_taken_out_counts_once_for_each_cell(program, issued, tmp_path):
    names = ("sample_grade_12", "sample_weight_12")
    blank, back = emptied(issued, tmp_path / "blank.xlsx", *names), tmp_path / "b.xlsx"
    program.save_changed(blank, back, {})
    reading = read_book(back)
    assert [reading.inputs[name] for name in names] == [0.0, 0.0]
    shown = Shown(back)
    assert shown.answers("Changed_inputs") == [2]
    assert shown.flagged() == {INPUTS[name].label for name in names}
    assert inspect_book(back).outcome == "inputs changed"
    values = run(reading.inputs, reading.units)
    told = shown.answers("Sample_count", "Net_present_value")
    wanted = [values[name].item() for name in ("sample_count", "net_present_value")]
    assert told == pytest.approx(wanted, rel=1e-9)


def test_an_assay_that_has_a_weight_cannot_be_empty(issued, tmp_path):
    """It would count as barren rock; whoever means that enters 0."""
    path = emptied(issued, tmp_path / "blank.xlsx", "sample_grade_12")
    with pytest.raises(
        WorkbookError, match=r"Sample assay, sample 12 \(Samples!B\d+\)"
    ):
        read_book(path)
    assert "Sample assay, sample 12" in carry_from(path).left_behind[0]


@pytest.fixture(scope="module")
def unassayed(units, tmp_path_factory):
    """A workbook of a test lot without the assays of fractions 4 and 5."""
    path = tmp_path_factory.mktemp("lot") / "lot.xlsx"
    figures = {f"screen_tails_grade_0{row}": 0.0 for row in (4, 5)}
    book_at(path, units, job="test", lot_slag_gold=2.0, **figures)
    gold = [f"screen_caught_gold_0{row}" for row in (4, 5)]
    return emptied(path, path.with_name("blank.xlsx"), *gold, "screen_tails_grade_04")


@pytest.mark.thorough
def test_a_fraction_with_mass_needs_an_assay_or_a_zero(program, unassayed, tmp_path):
    """A fraction without gold on its screen, too: an empty cell is no assay."""
    back = tmp_path / "back.xlsx"
    program.save_changed(unassayed, back, {})
    shown = Shown(back).answers("Missing_figures", "Missing_list", "Answer")
    assert shown == [1, TAILS_ASSAYS, "not yet: 1 figure is missing"]
    for path in (unassayed, back):
        plan = pw.read(path)
        assert plan.must_haves() == ["screen_tails_grade_04"]
        assert plan.judge().verdict == "not yet: 1 figure is missing"
        with pytest.raises(WorkbookError, match=r"Test lot!G\d+, Tailings assay, scr"):
            plan.test_report(tmp_path / "report.xlsx")
    again = plan.write(tmp_path / "again.xlsx")
    assert pw.read(again).must_haves() == ["screen_tails_grade_04"]


@pytest.mark.parametrize("name", ["screen_opening_03", "choice_kind_02"])
def test_what_cannot_be_0_cannot_be_empty(name, issued, tmp_path):
    path = emptied(issued, tmp_path / "blank.xlsx", name)
    with pytest.raises(WorkbookError, match="it is empty"):
        read_book(path)


def test_each_input_has_one_row_in_the_record(issued):
    cells = stored_cells(issued)["Inputs"]
    rows = layout().issued
    assert rows.keys() == INPUTS.keys() and len(set(rows.values())) == len(rows)
    inputs = read_book(issued).inputs
    for name, row in rows.items():
        assert cells[f"A{row + 1}"] == INPUTS[name].label
        for column in ("AA", "D"):
            there = cells.get(f"{column}{row + 1}", "")
            assert there == fifteen_digits(inputs[name])


def test_an_altered_record_of_a_table_is_reported(issued, tmp_path):
    path = tmp_path / "altered.xlsx"
    row = layout().issued["sample_grade_03"] + 1
    write_changed(issued, path, {("Inputs", f"AA{row}"): "lots"})
    (finding,) = (f for f in inspect_book(path).findings if "record" in f.kind)
    assert (finding.sheet, finding.cell) == ("Inputs", f"AA{row}")
    assert "Sample assay, sample 3" in finding.found
