"""A workbook for a job asks for, shows and prints what its answer depends on."""

import re
import zipfile

import numpy as np
import openpyxl
import pytest

import pennyweight as pw
from pennyweight.documents import statement
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.errors import BadValue, CallError, WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.jobs import (
    CLAIM,
    CONTRACT,
    EVERYTHING,
    HEADLINES,
    LOT,
    MILL,
    SIGNED_RATES,
    TEST,
    rests_on,
)
from pennyweight.model.lines.cash.answers import (
    CONTRADICTED,
    NO_TAILS,
    UNCONTRADICTED,
)
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.risk.report import make_report
from pennyweight.workbook.inspection.findings import AS_ISSUED
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.job_view import hidden_rows, shown_sheets
from pennyweight.workbook.layout import START, defined_name, layout, must_haves
from pennyweight.workbook.package.contents import read_contents
from tests.books import book_at
from tests.commands import pennyweight
from tests.fuzz.files import packed, unpacked
from tests.oracles.package import defined_names, stored_cells
from tests.risk.studies import by_numpy, only_varying
from tests.thorough import sampled

from .empty import empty_at

JOBS = CLAIM, CONTRACT, LOT, TEST, MILL
FIGURES = {
    "contract_kind": "by the hour",
    "customer_name": "Ash Hollow claims",
    "quote_valid_until": "1 May 2027",
    "gold_price": 4100,
    "hours_per_day": 10,
    "days_per_month": 22,
    "season_months": 8,
    "measured_pace": 1.5,
    "crew": 3,
    "wage": 30,
    "energy_bill": 2500,
    "fixed_cost": 8000,
    "capital_to_spend": 300_000,
    "custom_wet_tons": 30,
    "custom_moisture": 0.05,
    "custom_grade": 0.5,
    "custom_recovery": 0.6,
    "season_lots": 20,
}
"""The must-haves of a contract, for an invented customer, in US customary units."""


def test_a_contract_is_not_asked_for_ore_in_the_ground_nor_tax():
    asked = must_haves(CONTRACT)
    assert asked == FIGURES.keys()
    assert asked.isdisjoint({"ore_tons", "ore_grade", "mining_cost", "royalty_rate"})
    inputs = rests_on(CONTRACT)[1]
    assert "tax_rate" not in inputs and "waiting_margin" in inputs
    plan = pw.Plan(job=LOT, contract_kind="by the hour")
    assert "settle_hours" in must_haves(LOT) and "settle_hours" in plan.must_haves()
    assert "settle_hours" not in pw.Plan(job=LOT).must_haves()
    assert "settle_hours" not in pw.Plan(contract_kind="by the hour").must_haves()
    assert "settle_melt_mass" in must_haves(LOT) and "wage" not in must_haves(LOT)


@pytest.mark.parametrize("kind", INPUTS["contract_kind"].choices)
def test_a_lot_is_asked_for_what_its_statement_needs_under_the_contract_type(
    kind, monkeypatch
):
    """No more, and nothing that the statement then refuses to be without."""
    plan = pw.Plan(job=LOT, contract_kind=kind)
    asked = {*plan.must_haves()}
    bullion = {"settle_melt_mass", "settle_fineness", "settle_tails_grade"}
    assert asked & bullion == (set() if kind == "purchase" else bullion)
    hours = kind in ("by the hour", "cost plus", "own mixture")
    assert ("settle_hours" in asked) == hours and "customer_name" in asked
    full = plan.change({name: INPUTS[name].example for name in asked})
    # All statements are of the same figures; they differ in whose figures they are.
    monkeypatch.setattr(statement, "run", lambda *_: full.values)
    page = make_statement(full.inputs, "us", "agreed", full.given)
    assert page.values["printed_net"] == pytest.approx(
        full.results["settle_net"], abs=0.01
    )
    # Without the signed rates they follow the mill's cost, and the page is a draft.
    assert ({*SIGNED_RATES} <= asked) == (kind == "cost plus")
    for name in asked - {"customer_name", *SIGNED_RATES}:
        lacking = {n: v for n, v in full.given.items() if n != name}
        with pytest.raises(WorkbookError, match=re.escape(INPUTS[name].label)):
            make_statement(full.inputs, "us", "agreed", lacking)


@pytest.mark.parametrize("job", JOBS)
def test_what_is_out_of_sight_moves_no_answer(job):
    """Each such input alone at an end of its range, as one scenario of many."""
    hidden = [
        name
        for name, entry in INPUTS.items()
        if name not in rests_on(job)[1] and entry.numeric and entry.low != ""
    ]
    assert len(hidden) > {CLAIM: 20, CONTRACT: 40, LOT: 100, TEST: 150, MILL: 150}[job]
    same = {name: np.full(len(hidden), INPUTS[name].example) for name in hidden}
    changed = {name: values.copy() for name, values in same.items()}
    for place, name in enumerate(hidden):
        changed[name][place] = INPUTS[name].high
    # Arrays in both: a processor may round those and single numbers differently.
    plain, moved = (run(inputs, wanted=HEADLINES[job]) for inputs in (same, changed))
    for name in HEADLINES[job]:
        np.testing.assert_array_equal(
            np.broadcast_to(moved[name], len(hidden)),
            np.broadcast_to(plain[name], len(hidden)),
        )


@pytest.mark.parametrize("job", sampled((CONTRACT, LOT, MILL, CLAIM, TEST), 3))
def test_a_workbook_for_a_job_is_as_issued(job, tmp_path):
    path = empty_at(tmp_path / "book.xlsx", job=job)
    book = openpyxl.load_workbook(path)
    shown = [name for name in book.sheetnames if book[name].sheet_state == "visible"]
    assert shown == shown_sheets(job) and START in shown
    rows = hidden_rows(job)["Inputs"]
    assert rows and all(book["Inputs"].row_dimensions[row + 1].hidden for row in rows)
    printed = {sheet for sheet in book.sheetnames if book[sheet].print_area}
    assert printed == set(shown)
    # The text of 10 points prints in 8 points or more.
    assert min(book[name].page_setup.scale or 100 for name in shown) >= 80
    breaks = {n: (book[n].row_breaks.brk, book[n].col_breaks.brk) for n in shown}
    breaks.pop("Risk", None)  # no page before it is filled
    breaks.pop("Cash flow", None)  # a page for each year of the plan
    pages = sum((1 + len(r)) * (1 + len(c)) for r, c in breaks.values())
    assert pages <= {CLAIM: 26, CONTRACT: 21, LOT: 12, TEST: 8, MILL: 8}[job]
    assert not any(breaks.get("Answer", ())), "one page for a partner"
    # A contract and a lot are of other ore than the claim's.
    assert ("Flow sheet" in shown) == (job == CLAIM)
    # Charts of hidden rows: Excel would draw nothing, LibreOffice old figures.
    with zipfile.ZipFile(path) as package:
        charts = [name for name in package.namelist() if "/charts/chart" in name]
        assert charts
        assert not any(b"plotVisOnly" in package.read(name) for name in charts)
    assert inspect_book(path).outcome == AS_ISSUED
    parts = unpacked(path.read_bytes())
    number = book.sheetnames.index("Inputs") + 1
    shown = rb'(<row r="%d"[^>]*) hidden="1"' % (min(rows) + 1)
    for part, pattern, new in (
        ("workbook", rb' state="hidden"', b""),
        (f"worksheets/sheet{number}", shown, rb"\1"),
        (f"worksheets/sheet{number}", rb'<row r="3"', rb'<row r="3" hidden="1"'),
    ):
        name = f"xl/{part}.xml"
        parts[name], count = re.subn(pattern, new, parts[name])
        assert count
    path.write_bytes(packed(parts))
    hidden = [f for f in inspect_book(path).findings if "hidden" in f.kind]
    assert [(f.sheet, f.found) for f in hidden] == [("Inputs", "row 3")]


@pytest.mark.thorough  # a test lot is typed every time
def test_a_contract_typed_into_a_bare_spreadsheet(libreoffice, tmp_path):
    """The verdict is that of the contract, and comes with its last must-have."""
    path = empty_at(tmp_path / "contract.xlsx", job=CONTRACT)
    typed = {f"{defined_name(name)}_entered": v for name, v in FIGURES.items()}
    without = {name: v for name, v in typed.items() if name != "Wage_entered"}
    names = ("Answer", "Answer_list", "Agreed_margin", "Estimated_figures")
    by_motors = {n: v for n, v in typed.items() if n != "Energy_bill_entered"}
    by_motors["Energy_source_entered"] = "motors"
    lacking, found, unbilled = libreoffice.scenarios(
        path, [without, typed, by_motors], names
    )
    assert lacking["Answer"] == "not yet: 1 figure is missing"
    assert lacking["Answer_list"] == "Missing: Hourly wage"
    plan = pw.Plan(FIGURES, job=CONTRACT)
    assert found["Answer"] == plan.judge().verdict == "pays the mill"
    margin = plan.results["agreed_margin"]
    assert found["Agreed_margin"] == pytest.approx(margin, rel=1e-9)
    assert found["Estimated_figures"] == len(plan.judge().in_state("estimate"))
    figures = {n: v for n, v in FIGURES.items() if n != "energy_bill"}
    judged = pw.Plan(figures, energy_source="motors", job=CONTRACT).judge()
    assert unbilled["Estimated_figures"] == len(judged.in_state("estimate"))
    assert judged.entries["energy_bill"].state == "not needed"
    poor = plan.change({"Hourly wage": 150})
    assert poor.judge().verdict == "does not pay the mill"
    harder = {**typed, "Custom_work_index_entered": 20}
    timed = {**harder, "Custom_pace_entered": 1}
    rates = ["Custom_feed_rate", "Feed_rate", "Milling_cost_per_ton"]
    soft, hard, same = libreoffice.scenarios(path, [typed, harder, timed], rates)
    plan = pw.Plan(FIGURES, job=CONTRACT, custom_work_index=20.0)
    for name in ("custom_feed_rate", "milling_cost_per_ton"):
        assert hard[name.capitalize()] == pytest.approx(plan.results[name], rel=1e-9)
    assert hard["Custom_feed_rate"] < hard["Feed_rate"] == same["Custom_feed_rate"]
    assert same["Milling_cost_per_ton"] == pytest.approx(soft["Milling_cost_per_ton"])


@pytest.mark.thorough
def test_a_contract_whose_charge_nobody_entered_says_so(tmp_path):
    """In the judgement, on the sheet Start and on the quote: its charge comes first."""
    plan = pw.Plan(FIGURES, job=CONTRACT)
    charge = INPUTS["terms_per_hour_02"].label
    says = [reason for reason in plan.judge().reasons if "an estimate" in reason]
    assert len(says) == 1 and says[0].startswith(charge)
    book = plan.write(tmp_path / "a.xlsx")
    cells = stored_cells(book)[START].values()
    place = defined_names(book).cell("Terms_per_hour_02")
    told = says[0].replace("the sheet Contract", f"{place.sheet}!{place.corner}")
    assert told in {str(value).strip() for value in cells}
    assert not any("Revenue after" in reason for reason in plan.judge().reasons)
    assert "net_present_value" not in plan.judge().results
    assert "All ore is milled" not in str(plan.judge().checks)
    assert (
        f"estimates: the mill's name; {charge}; "
        in pw.read(tmp_path / "a.xlsx").quote_draft()
    )
    agreed = plan.change(terms_per_hour_02=440, prepared_by="The mill")
    assert not any("an estimate" in reason for reason in agreed.judge().reasons)
    assert charge not in agreed.quote_draft()
    assert plan.charges("20%").rows  # what to charge is answered without it


@pytest.mark.thorough  # that of a lot does every time
def test_a_workbook_of_one_kind_becomes_another(tmp_path):
    written = book_at(tmp_path / "all.xlsx")
    done = pennyweight(
        "new", "lot.xlsx", "--from", written.name, "--for", "lot", cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    plan = pw.read(tmp_path / "lot.xlsx")
    assert plan.inputs == {**pw.read(written).inputs, "job": LOT}
    judged = pennyweight("judge", "lot.xlsx", cwd=tmp_path).stdout
    assert "the mill pays the owner" in judged and "Net present value" not in judged
    assert plan.change(job=EVERYTHING).judge().verdict == "pays"


@pytest.mark.thorough
def test_a_workbook_of_a_lot_becomes_one_of_everything_again(tmp_path):
    book_at(tmp_path / "lot.xlsx", job=LOT)
    again = pennyweight(
        *("new", "again.xlsx", "--from", "lot.xlsx", "--for", EVERYTHING), cwd=tmp_path
    )
    assert again.returncode == 0
    assert pw.read(tmp_path / "again.xlsx").results["verdict"] == "pays"


def test_a_lot_whose_gold_is_missing_is_not_paid_and_not_drawn():
    lot = pw.example().change(job=LOT)
    assert lot.judge().verdict == "the mill pays the owner"
    assert lot.judge().subject == lot.inputs["settle_lot"]
    assert lot.change(settle_melt_mass=120).judge().verdict.startswith("not yet: gold")
    with pytest.raises(CallError, match="for a lot"):
        lot.risk(trials=256)


def test_a_lot_shows_no_money_of_a_lot_that_nobody_entered():
    lines, _ = rests_on(LOT)
    hidden, shown = hidden_rows(LOT), set(shown_sheets(LOT))
    in_sight = {
        line.name
        for block in layout().blocks
        if block.sheet in shown and block.sheet != "Checks"
        for line in (*block.singles, *block.across)
        if layout().places[line.name].row not in hidden[block.sheet]
    }
    assert {"settle_net", "settle_billed", "terms_per_ton"} <= in_sight <= lines


def test_a_lot_billed_at_the_minimum_weight_says_so():
    small = pw.example().change(job=LOT, settle_wet_tons=2.0)
    for plan, told in ((small, True), (small.change(settle_wet_tons=200.0), False)):
        reasons = " ".join(plan.judge().reasons)
        assert ("minimum billed weight of 10.000 tons" in reasons) is told
        page = str(list(make_statement(plan.inputs, "us", "agreed").records()))
        assert ("'Billed weight'" in page) is told


@pytest.mark.parametrize("job", [CLAIM, LOT])
def test_a_quote_needs_a_plan_for_a_contract(job, tmp_path):
    plan = pw.example().change(job=job)
    for ask in (lambda: plan.quote(tmp_path / "q.xlsx"), lambda: plan.charges("20%")):
        with pytest.raises(CallError, match=f"This plan is for a {job}"):
            ask()


@pytest.mark.parametrize(
    ("write", "needs"), [("settle", "a lot"), ("test_report", "a test lot")]
)
def test_a_paper_of_another_job_names_the_command_and_no_hidden_cell(
    write, needs, tmp_path
):
    """Before, it listed cells of Start that the workbook of a claim hides."""
    plan = pw.Plan(job=CLAIM, crew=3).write(tmp_path / "g.xlsx")
    with pytest.raises(CallError, match=f"needs one for {needs} or") as found:
        getattr(pw.read(plan), write)(tmp_path / "paper.xlsx")
    command = "pennyweight new all.xlsx --from g.xlsx --for everything"
    assert command in str(found.value) and "Start!" not in str(found.value)
    assert str(found.value).index(command) < str(found.value).index("in Python")


def test_the_answer_stands_on_rows_in_sight():
    rows = {layout().entered[name].row for name in must_haves(LOT)}
    assert rows.isdisjoint(hidden_rows(LOT)[START])


def test_a_figure_in_the_other_unit_and_the_check_that_fails_are_named():
    claim = pw.example("metric").change(job=CLAIM)
    given = {n: v for n, v in claim.given.items() if n != "furnace_capacity"}
    poor = {"ore_grade": 0.4, "hold_up": 600, "shipments_per_month": 0.2}
    judged = pw.Plan({**given, **poor}, units="metric").judge()
    told, _ = judged.look_again
    assert told.endswith("look again at 0.4 g/t, unusually low: is it in oz/ton?")
    assert judged.verdict.startswith("not yet: a check fails")
    failed = "Gold in circuit is at most the gold recovered"
    assert failed in judged.checks["failures"]
    ranked = claim.change(gold_price=1000).measure_next(count=None)
    assert not ranked["turns"].any() and claim.measure_next()["turns"].any()


def test_fineness_is_in_parts_per_thousand():
    with pytest.raises(BadValue, match="parts per 1,000, such as 780"):
        pw.Plan(settle_fineness=0.78)


def test_the_risk_of_a_claim_has_no_milling_contracts():
    plan = pw.example("metric")
    vary = {"gold_price": ("normal", [plan.inputs["gold_price"], 300.0])}
    studied = only_varying(units="metric", vary=vary)
    with by_numpy():
        report = make_report(studied, 256)
    heads = [
        {head for (head, *_), _ in report.tables(plan.change(job=job))}
        for job in (CLAIM, EVERYTHING)
    ]
    assert heads[1] - heads[0] == {"Milling contract: margin"}
    assert "Operating margin per tonne is" in " ".join(report.summary())


TEST_LOT = {
    "claim_name": "Ash Hollow",
    "customer_name": "Ash Hollow claims",
    "lot_wet_mass": 4000,
    "lot_moisture": 0.05,
    "lot_first_mass": 4,
    "lot_second_mass": 16,
    "lot_middlings_mass": 80,
    "lot_middlings_grade": 1,
    "lot_button_mass": 20,
    "lot_button_fineness": 800,
    "lot_slag_gold": 0.2,
    "lot_hold_up": 0.3,
}
TAILS = {"screen_tails_share_01": 0.4, "screen_tails_share_02": 0.6}
TAILS_ASSAYS = {"screen_tails_grade_01": 0.1, "screen_tails_grade_02": 0.2}


@pytest.mark.thorough
def test_a_test_lot_typed_into_a_bare_spreadsheet(libreoffice, tmp_path):
    """Not yet without a weight or the tailings; then what its figures make of it."""
    assert TEST_LOT.keys() - {"claim_name"} == must_haves(TEST)
    path = empty_at(tmp_path / "test.xlsx", job=TEST)
    typed = {f"{defined_name(name)}_entered": v for name, v in TEST_LOT.items()}
    unweighed = {n: v for n, v in typed.items() if n != "Lot_wet_mass_entered"}
    tails = {defined_name(n): v for n, v in (TAILS | TAILS_ASSAYS).items()}
    given = [unweighed, typed, typed | tails]
    given.append(typed | tails | {defined_name("screen_tails_share_02"): 0.3})
    names = ("Answer", "Answer_list", "Lot_head", "Lot_recovery")
    lacking, without, found, short = libreoffice.scenarios(path, given, names)
    assert lacking["Answer"] == "not yet: 1 figure is missing"
    assert lacking["Answer_list"] == "Missing: Test lot wet weight"
    assert without["Answer"] == NO_TAILS
    assert found["Answer"] == UNCONTRADICTED and short["Answer"] == CONTRADICTED
    unassayed = pw.Plan(TEST_LOT, job=TEST).judge()
    unscreened = pw.Plan(TEST_LOT | TAILS | TAILS_ASSAYS, job=TEST).values
    assert np.isnan(unscreened["screen_recovery"]).all()
    assert unassayed.results["lot_recovery"]["value"] is None
    assert not any("tables caught" in reason for reason in unassayed.reasons)
    plan = pw.Plan(TEST_LOT | TAILS | TAILS_ASSAYS, job=TEST)
    judged = plan.judge()
    assert judged.verdict == UNCONTRADICTED and judged.subject == "Ash Hollow"
    assert list(judged.results) == list(HEADLINES[TEST])
    for name in ("lot_head", "lot_recovery"):
        told = found[defined_name(name)]
        assert told == pytest.approx(plan.results[name], rel=1e-9)
    assert "Without a head assay, nothing else confirms this head." in judged.reasons
    assayed = plan.change(lot_assay_head=0.4).judge().reasons
    assert any("The head assay, 0.400 oz/ton, is" in reason for reason in assayed)


def test_a_claim_that_uses_its_test_lot_is_asked_for_it_as_before():
    """The must-haves of a test lot alone are no must-haves of a claim."""
    asked = {*pw.Plan(job=CLAIM, grade_source="entered").must_haves()}
    assert asked.isdisjoint(n for n in TEST_LOT if n.startswith("lot_"))
    example = pw.example().given
    given = {n: v for n, v in example.items() if not n.startswith("lot_")}
    claim = pw.Plan(given | {"job": CLAIM, "lot_button_mass": 12.0})
    using = claim.change(grade_source="test lot").must_haves()
    assert set(using) - set(claim.must_haves()) == {
        "lot_wet_mass",
        "lot_button_fineness",
    }


def test_a_lot_without_a_price_is_no_error_in_the_sheet(tmp_path):
    """Lots beyond the season's hours: the cells that read the price say n/a, too."""
    contents = read_contents(book_at(tmp_path / "book.xlsx"))
    reads = [n for n, line in MODEL.lines.items() if "basis_income" in line.parameters]
    for place in map(layout().places.get, reads):
        assert "ISNUMBER(" in contents.cell(place.sheet, place.at(0)).formula
    assert len(reads) > 7


@pytest.mark.parametrize("kind", INPUTS["contract_kind"].choices)
def test_a_contract_shows_each_term_that_its_quote_states(kind):
    plan = pw.example().change(job="contract", contract_kind=kind)
    page = make_quote(plan.inputs, plan.units, plan.given)
    stated = {name for name in page.inputs if not name.startswith("settle_")}
    rows = {layout().places[name].row for name in stated}
    assert not rows & hidden_rows("contract")["Inputs"]
