"""Report of a test lot: calculated by hand, live, and refused without figures."""

import re

import pytest

import pennyweight as pw
from pennyweight.cli.main import main
from pennyweight.documents.test_report import make_test_report
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.layout import defined_name
from tests.books import typed_at
from tests.commands import pennyweight

from ..oracles.package import stored_cells

HAND = {
    "job": "test",
    "claim_name": "Ash Hollow",
    "customer_name": "Ash Hollow claims",
    "prepared_by": "The mill",
    "lot_date": "3 May 2026",
    "lot_wet_mass": 4000.0,
    "lot_moisture": 0.05,
    "lot_assay_head": 0.45,
    "lot_first_mass": 4.0,
    "lot_second_mass": 16.0,
    "lot_middlings_mass": 80.0,
    "lot_middlings_grade": 1.0,
    "lot_button_mass": 20.0,
    "lot_button_fineness": 800.0,
    "lot_slag_gold": 0.2,
    "lot_hold_up": 0.3,
    "lot_carried_in": 0.5,
    "screen_opening_01": 600.0,
    "screen_opening_02": 150.0,
    "screen_caught_gold_01": 10.0,
    "screen_caught_gold_02": 6.0,
    "screen_tails_share_01": 0.4,
    "screen_tails_share_02": 0.6,
    "screen_tails_grade_01": 0.1,
    "screen_tails_grade_02": 0.2,
}
EMPTY = {
    f"screen_{name}_{at:02}": 0.0
    for name in ("caught_gold", "tails_share", "tails_grade")
    for at in range(3, 7)
}
OUNCE = 31.1034768
"""By hand, after docs/method/recovery.md: 4,000 lb wet are 1.9 dry tons; 100 lb go to
concentrates and middlings, 1.85 tons to tailings, 0.74 of them coarse."""
COARSE, FINE = 0.74 * 0.1 * OUNCE, 1.11 * 0.2 * OUNCE
CAUGHT = 20 * 0.8 + 0.2 + 0.3 - 0.5
FOUND = CAUGHT + 0.04 * OUNCE + COARSE + FINE
BY_HAND = {
    "lot_dry_tons": 1.9,
    "lot_tailings_tons": 1.85,
    "lot_button_gold": 16.0,
    "lot_caught": CAUGHT,
    "lot_middlings_gold": 0.04 * OUNCE,
    "lot_tailings_gold": COARSE + FINE,
    "lot_tailings_grade": 0.4 * 0.1 + 0.6 * 0.2,
    "lot_screened": 16.0,
    "lot_screen_gap": 0.2 / 16.2,
    "lot_gold": FOUND,
    "lot_head": FOUND / OUNCE / 1.9,
    "lot_assay_factor": 0.45 / (FOUND / OUNCE / 1.9),
    "lot_recovery": CAUGHT / FOUND,
    "lot_recovery_by_size": 16 / (16 + COARSE + FINE),
}


def test_the_report_by_hand_and_live(tmp_path, libreoffice):
    page = make_test_report(HAND | EMPTY, "us")
    for name, value in BY_HAND.items():
        assert page.values[name] == pytest.approx(value, rel=1e-12), name
    assert page.draft == ""
    path = tmp_path / "report.xlsx"
    path.write_bytes(page.content())
    names = [defined_name(name) for name in BY_HAND]
    (found,) = libreoffice.scenarios(path, [{}], names)
    for name, value in BY_HAND.items():
        assert found[defined_name(name)] == pytest.approx(value, rel=1e-9), name
    (cells,) = libreoffice.scenarios(path, [{}], None)
    stored = stored_cells(path)
    assert {*cells} == {*stored}
    for sheet, values in stored.items():
        for cell, value in values.items():
            if isinstance(value, float):
                assert cells[sheet][cell] == pytest.approx(value, rel=1e-9), cell
    rows = {c[0]: c[1:] for _, c, _ in page.rows if str(c[:1]).startswith("('Through")}
    coarse, fine = rows["Through 600 µm, on 150 µm"], rows["Through 150 µm"]
    assert coarse[2].value == pytest.approx(COARSE)
    assert coarse[4].value == pytest.approx(10 / (10 + COARSE))
    assert fine[4].value == pytest.approx(6 / (6 + FINE))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_example_has_a_report_as_its_workbook_has(units):
    plan = pw.example(units)
    page = make_test_report(plan.inputs, units)
    assert page.draft == ""
    for name in BY_HAND:
        assert page.values[name] == pytest.approx(plan.results[name], rel=1e-12)


def test_a_report_says_what_is_missing_or_wrong(tmp_path):
    full = pw.Plan(HAND | EMPTY)
    for name in ("lot_button_mass", "lot_moisture", "customer_name", "lot_slag_gold"):
        lacking = pw.Plan({n: v for n, v in (HAND | EMPTY).items() if n != name})
        with pytest.raises(WorkbookError, match=re.escape(full.label(name))):
            lacking.test_report(tmp_path / "a.xlsx")
    without = full.change(screen_tails_grade_01=0.0, screen_tails_grade_02=0.0)
    with pytest.raises(WorkbookError, match="assays of the tailings"):
        without.test_report(tmp_path / "a.xlsx")
    assert not (tmp_path / "a.xlsx").exists()
    short = full.change(screen_tails_share_02=0.2)
    assert "fail these checks: Test lot in use" in short.test_report_draft()
    nameless = full.change(prepared_by="", lot_date="")
    assert "the mill's name; Test lot date" in nameless.test_report_draft()
    late = full.change(lot_date="31 June 2026").test_report_draft()
    assert "Test lot date 31 June 2026 cannot be read" in late


def test_the_command_writes_the_report_or_says_why_not(tmp_path):
    typed_at(tmp_path / "empty.xlsx", job="test", lot_moisture=None)
    done = pennyweight("report", "empty.xlsx", "-o", "r.xlsx", cwd=tmp_path)
    assert done.returncode == 3 and "Test lot moisture" in done.stderr
    pw.Plan(HAND | EMPTY).write(tmp_path / "test.xlsx")
    done = pennyweight("report", "test.xlsx", "-o", "r.xlsx", cwd=tmp_path)
    assert done.returncode == 0 and not done.stderr
    again = pennyweight("report", "test.xlsx", "-o", "r.xlsx", cwd=tmp_path)
    assert again.returncode == 2


def test_a_lot_whose_gold_was_not_screened_has_a_report(tmp_path, libreoffice):
    """One fraction of tailings, no gold by size, no assay of the feed."""
    unscreened = {f"screen_caught_gold_{at:02}": 0.0 for at in (1, 2)}
    one = {"screen_tails_share_01": 1.0, "screen_tails_share_02": 0.0}
    plan = pw.Plan(HAND | EMPTY | unscreened | one, lot_assay_head=0.0)
    page = make_test_report(plan.inputs, "us", plan.given)
    path = plan.test_report(tmp_path / "report.xlsx")
    (found,) = libreoffice.scenarios(path, [{}], ["Lot_head", "Lot_recovery"])
    for name, value in found.items():
        assert value == pytest.approx(plan.results[name.lower()], rel=1e-9)
    texts = str(page.rows)
    assert "The feed was not assayed" in texts and "Screen-to-melt" not in texts
    assert "All of the tailings" in texts and "Through" not in texts


def told(given, own=()):
    """The words of a report, and those of its verdict."""
    plan = pw.Plan(HAND | EMPTY | given)
    page = make_test_report(plan.inputs, "us", plan.given if own == () else own)
    return str(page.rows), " ".join(plan.judge().reasons)


def test_a_plus_or_minus_by_an_estimate_says_that_it_was_not_measured():
    for words in told({}):
        assert "assumed 15%: not measured" in words
    for words in told({"lot_assay_deviation": 0.2}, INPUTS):
        assert "not measured" not in words and "20%" in words
    for words in told({"lot_assay_deviation": 0.0}, INPUTS):
        assert "lus or minus," not in words and "confidence" not in words


@pytest.mark.parametrize(
    ("assay", "words"),
    [
        (0.45, "1% above this head: no more than assays scatter"),
        (0.41, "8% below this head: no more than assays scatter"),
        (0.30, "33% below this head: more than assays scatter"),
    ],
)
def test_a_head_assay_scatters_like_the_others(assay, words):
    """15% of 0.41 alone is 1.6 times the difference from a head of 0.448 oz/ton."""
    for text in told({"lot_assay_head": assay}):
        assert words in text


def test_gold_of_the_lot_before_is_no_more_than_was_cleaned_up():
    """16.5 g cannot hold 25 g of another owner's gold; before, the page said 0."""
    assert "Draft" not in told({})[0]
    assert "gold of the lot before is at most" in told({"lot_carried_in": 25.0})[0]


def test_a_report_says_whose_rock_it_was_and_has_a_code_of_its_figures():
    unsaid, _ = told({})
    assert "Where the rock was taken, and by whom, is not stated in full" in unsaid
    origin = {"lot_origin": "Lower adit, channel", "lot_taken_by": "J. Harrow"}
    stated, _ = told({**origin, "lot_material": "as mined"})
    assert "Lower adit, channel. Rock taken and delivered by: J. Harrow." in stated
    assert "as mined" in stated and "not stated in full" not in stated
    heavier, _ = told({"lot_wet_mass": 4100.0})
    code = re.compile("Code of these figures: ([0-9A-F-]{9})")
    assert len({code.search(text)[1] for text in (unsaid, stated, heavier)}) == 3
    assert "Code of these figures" not in told({"lot_date": ""})[0]


@pytest.mark.parametrize("job", ["claim", "contract", "lot"])
def test_a_test_lot_goes_on_into_the_other_jobs(job):
    """In the units there: 4,000 lb are 2 tons, 0.3 g of clean-up are 0.0096 oz."""
    plan = pw.Plan(HAND | EMPTY, measured_p80=500.0).for_job(job)
    assert plan.notes[0].startswith("Taken from the test lot: ")
    if job == "claim":
        assert plan.given["grade_source"] == plan.given["recovery_source"] == "test lot"
        assert plan.results["feed_grade"] < BY_HAND["lot_head"]  # diluted
    if job == "contract":
        found = [plan.inputs[f"custom_{n}"] for n in ("grade", "recovery", "moisture")]
        wanted = [BY_HAND["lot_head"], BY_HAND["lot_recovery"], 0.05]
        assert found == pytest.approx(wanted, rel=1e-3)
    if job == "lot":
        names = ("wet_tons", "melt_mass", "fineness", "middlings", "cleanup")
        found = [plan.given[f"settle_{name}"] for name in names]
        assert found == pytest.approx([2, 20, 800, 0.04, 0.3 / OUNCE], rel=1e-3)
        assert plan.given["settle_mill_assay"] == 0.45
    else:
        assert plan.given["product_p80"] == 500


def test_the_command_takes_a_test_lot_over(tmp_path, capsys):
    pw.Plan(HAND | EMPTY).write(tmp_path / "test.xlsx")
    paths = [str(tmp_path / name) for name in ("price.xlsx", "test.xlsx")]
    main(["new", paths[0], "--for", "contract", "--from", paths[1]])
    assert "Taken from the test lot: Customer ore grade" in capsys.readouterr().out
    taken = pw.read(paths[0]).given
    assert taken["custom_recovery"] == pytest.approx(BY_HAND["lot_recovery"], rel=1e-3)


def test_notes_stay_and_an_unfinished_lot_is_not_taken_over(tmp_path):
    pw.example().write(tmp_path / "claim.xlsx")
    noted = pw.carry_over(tmp_path / "claim.xlsx")
    noted.notes.append("Not carried over: a note of theirs.")
    assert noted.for_job("contract").notes == noted.notes
    begun = {n: v for n, v in (HAND | EMPTY).items() if n != "lot_button_mass"}
    for lot in (begun, HAND | EMPTY | {"lot_carried_in": 90.0}):
        plan = pw.Plan(lot).for_job("contract")
        assert not plan.notes and "custom_recovery" not in plan.given
