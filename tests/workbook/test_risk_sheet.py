"""The risk sheet: results of the simulation, and whether they are up to date."""

import re
import shutil
import zipfile
from dataclasses import replace

import numpy as np
import pytest
from openpyxl import load_workbook
from openpyxl.reader.drawings import find_images
from xlsxwriter.utility import xl_rowcol_to_cell as address

import pennyweight as pw
from pennyweight.cli.judge import judge
from pennyweight.documents.compare import compare_books
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.risk.ranges import planned_range
from pennyweight.risk.report import make_report
from pennyweight.risk.study import make_study
from pennyweight.workbook.entry_cells import OWN_LOW, STATUS
from pennyweight.workbook.inspection.findings import AS_ISSUED, ELSE_CHANGED
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import defined_name, layout
from pennyweight.workbook.package.book_part import resolve
from pennyweight.workbook.package.contents import read_contents
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from pennyweight.workbook.risk_sheet.checksum import risk_sheet_findings
from pennyweight.workbook.risk_sheet.entered import entered_odds
from pennyweight.workbook.risk_sheet.fill import fill_risk_sheet
from pennyweight.workbook.risk_sheet.layout import (
    CHECKSUM,
    SHEET,
    STATE,
    VALUE,
    chart_places,
    figure_places,
    is_filled,
    placed,
    recorded,
)
from pennyweight.workbook.risk_sheet.rows import NOTHING_TURNS, measure_rows
from pennyweight.workbook.risk_sheet.sheet import CURRENT
from tests.books import book_at
from tests.risk.studies import by_numpy, only_varying
from tests.thorough import sampled

from ..fuzz.files import packed, unpacked
from ..oracles.package import stored_cells, write_changed, write_named

BELONG = CURRENT
SAID = address(STATE, VALUE)
BOOK = "xl/workbook.xml"
UNITS = ("us", "metric")
TELLING = ("Start", "Answer")
"""Sheets that show the probability that the claim pays."""


VARIED = ("gold_price", "wage", "gravity_recovery", "ore_tons")


def study(units):
    """A few inputs of the table, so that the draws take no time."""
    inputs = make_study(units=units).inputs
    ends = {name: planned_range(name, inputs, units) for name in VARIED}
    vary = {name: ("triangular", three) for name, three in ends.items()}
    return only_varying(units=units, vary=vary)


@pytest.fixture(scope="module", params=sampled(UNITS, 2))
def units(request):
    return request.param


@pytest.fixture(scope="module")
def report(units):
    return make_report(study(units), 512, 3)


@pytest.fixture(scope="module")
def books(units, report, tmp_path_factory):
    """A filled book and the bare one, with parts of a partner's."""
    path = tmp_path_factory.mktemp("risk") / f"{units}.xlsx"
    book_at(path, units)
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("customXml/item1.xml", "<theirs a='1'  b=\"2\"/>")
    bare = path.with_name("bare.xlsx")
    shutil.copyfile(path, bare)
    fill_risk_sheet(path, report, read_book(path))
    return path, bare


def rows(path, units, name):
    """What stands in a table of the sheet, row by row."""
    at, cells = placed(units)[0][name], read_contents(path).sheets[SHEET]
    return [
        [cells[r, c].value if (r, c) in cells else None for c in at.table.columns]
        for r in range(at.top, at.last + 1)
    ]


def test_a_fresh_book_says_that_nothing_is_drawn(tmp_path):
    path = book_at(tmp_path / "book.xlsx")
    assert stored_cells(path)[SHEET][SAID].startswith(
        "No risk analysis has been entered"
    )
    contents = read_contents(path)
    assert not is_filled(contents)
    rows = placed("us")[1] + len(recorded()) + 1
    hidden = [f"row {row}" for row in range(STATE + 2, rows + 1)]
    assert contents.hidden_lines[SHEET] == hidden[:1000]  # as many as are kept


def part_of(path, sheet):
    return read_contents(path).sheet_parts[sheet]


def charts_on(path, sheet):
    """The charts of a sheet, as openpyxl reads them from its drawing alone."""
    relations, part = read_contents(path).structure.relations, part_of(path, sheet)
    (drawing,) = (
        resolve(part, r.target)
        for r in relations
        if r.owner == part and r.kind == "drawing"
    )
    with zipfile.ZipFile(path) as package:
        return find_images(package, drawing)[0]


def title(chart):
    return "".join(run.t for part in chart.title.tx.rich.p for run in part.r or ())


@pytest.mark.thorough
@pytest.mark.parametrize("program", sampled(["libreoffice", "gnumeric"], 2))
def test_a_saved_empty_sheet_is_filled_with_its_charts(
    program, units, report, resaved, tmp_path, request
):
    path, back = resaved(request.getfixturevalue(program), units)
    saved = shutil.copy(back, tmp_path / "saved.xlsx")
    fill_risk_sheet(saved, report, read_book(saved))
    assert SHEET not in read_contents(saved).hidden_lines
    charts, issued = charts_on(saved, SHEET), charts_on(path, SHEET)
    assert [title(chart) for chart in charts] == [title(chart) for chart in issued]
    for chart, (_, row, _) in zip(charts, chart_places(units), strict=True):
        assert chart.anchor._from.row == row
        start, end = chart.anchor._from, chart.anchor.to
        assert end.row - start.row > 10 and end.col > start.col


@pytest.mark.thorough
def test_a_claim_has_no_table_of_contracts(report, tmp_path):
    """Its lot is one that nobody entered."""
    units = report.study.units
    path = book_at(tmp_path / "claim.xlsx", units, job="claim")
    fill_risk_sheet(path, report, read_book(path))
    contents, at = read_contents(path), placed(units)[0]["contracts"]
    hidden = [f"row {row + 1}" for row in range(at.title, at.last + 2)]
    assert contents.hidden_lines[SHEET] == hidden
    assert {cell for row in rows(path, units, "contracts") for cell in row} == {None}
    assert inspect_book(path, strict=True).outcome == AS_ISSUED


def test_the_figures_are_the_reports(units, books, report):
    path = books[0]
    figures = report.risk.figures
    assert rows(path, units, "odds")[0][0] == pytest.approx(figures["pays"].value)
    worth = rows(path, units, "quantiles")[0]
    for there, ending in zip(worth, ("p10", "p50", "p90", "mean"), strict=False):
        wanted = figures[f"net_present_value_{ending}"].value
        assert there == pytest.approx(wanted, rel=1e-8)
    fan = np.array(rows(path, units, "fan"), float)
    np.testing.assert_allclose(fan[:, 1:4], report.risk.fan.T, rtol=1e-8)
    np.testing.assert_array_equal(fan[:, 0], np.arange(1, 121))
    parts = np.array(rows(path, units, "histogram"), float)
    assert parts[:, 2].sum() == pytest.approx(1)
    assert parts[-1, 3] == pytest.approx(1)
    prices, grades, results = report.grid
    grid = rows(path, units, "grid_net_present_value")
    assert grid[0][1:] == pytest.approx(list(grades))
    assert [row[0] for row in grid[1:]] == pytest.approx(list(prices))
    worths = [row[1:] for row in grid[1:]]
    np.testing.assert_allclose(worths, results["net_present_value"].T, rtol=1e-8)
    kinds = rows(path, units, "contracts")
    sides = [how for both in report.contracts.values() for how in both.values()]
    assert [row[2] for row in kinds] == pytest.approx([how.p50.value for how in sides])
    curves, cells = rows(path, units, "curves"), read_contents(path).sheets[SHEET]
    head = placed(units)[0]["curves"].head
    for column, (name, (_, results)) in enumerate(report.curves.items(), 1):
        assert cells[head, column].value.startswith(INPUTS[name].label)
        along = [row[column] for row in curves]
        assert along == pytest.approx(list(results["net_present_value"]))
    first = report.risk.ranked[0]
    assert rows(path, units, "ranked")[0][0].startswith(INPUTS[first.name].label)


def test_start_tells_what_to_measure_next(units, books, report):
    """Not the price, which nobody can measure; a change of inputs takes it away."""
    shown = rows(books[0], units, "measure_next")
    ranked = [e for e in report.risk.ranked if e.name != "gold_price"]
    labels = [INPUTS[effect.name].label for effect in ranked]
    assert len(shown) == len(labels) == 3
    for row, label, effect in zip(shown, labels, ranked, strict=True):
        assert row[0].startswith(label)
        assert row[3] == pytest.approx(effect.size("net_present_value"), rel=1e-8)
    start = stored_cells(books[0])["Start"]
    assert {row[0] for row in shown} < set(map(str, start.values()))
    measured = replace(report, measured=frozenset({ranked[0].name}))
    assert measure_rows(measured) == measure_rows(report)[1:]


def test_only_the_sheet_changes_inside_the_file(units, books):
    filled, bare = books
    with zipfile.ZipFile(filled) as new, zipfile.ZipFile(bare) as old:
        assert new.namelist() == old.namelist()
        changed = [n for n in new.namelist() if new.read(n) != old.read(n)]
        charts = {n for n in changed if n.startswith("xl/charts/")}
        assert charts and all(f"{SHEET}!$".encode() in old.read(n) for n in charts)
    contents = read_contents(filled)
    sheets = {contents.sheet_parts[name] for name in (SHEET, *TELLING)}
    assert set(changed) == sheets | charts
    before, after = stored_cells(bare), stored_cells(filled)
    curves = placed(units)[0]["curves"]
    names = {address(curves.head, column) for column in curves.table.columns}
    places = {address(*place) for place in figure_places(units)} | {SAID} | names
    telling = {
        (sheet, address(*place))
        for sheet in TELLING
        for place, cell in contents.sheets[sheet].items()
        if "Risk_trials" in (cell.formula or "")
    }
    for sheet, cells in after.items():
        for cell, value in cells.items():
            if (sheet != SHEET or cell not in places) and (sheet, cell) not in telling:
                assert before[sheet][cell] == value, (sheet, cell)
    assert inspect_book(filled).outcome == AS_ISSUED
    assert renew_book(filled, filled.with_name("renewed.xlsx")) == 0


CHANGES = {
    "gold_price": 2000.0,
    "sample_grade_05": 0.07,
    "mill_kind": next(c for c in INPUTS["mill_kind"].choices if c != "ball mill"),
}
"""An input of each kind."""
OF_PRICE = layout().places["gold_price"].row
AGAINST = "Within the ranges on Inputs it is more likely not to pay."


@pytest.fixture(scope="module", params=sampled(["libreoffice", "gnumeric"], 2))
def followed(request, units, books):
    """What a program says after each of the changes, after all, and of poor odds."""
    oracle = request.getfixturevalue(request.param)
    cells = stored_cells(books[0])["Answer"].items()
    (ranges,) = (at for at, v in cells if v == "Within the ranges on Inputs.")
    named, places = (
        books[0].with_name("named.xlsx"),
        {
            "Said": (SHEET, SAID),
            "Changed": (SHEET, address(STATE + 2, VALUE)),
            "Ranges": ("Answer", ranges),
            "Low_of_price": ("Inputs", address(OF_PRICE, OWN_LOW)),
        },
    )
    if not named.exists():
        write_named(books[0], named, places)
    typed = {defined_name(name): value for name, value in CHANGES.items()}
    alone = [{name: value} for name, value in typed.items()]
    poor = {"Probability_that_it_pays": 0.4}
    scenarios = [{}, *alone, typed, {"Low_of_price": 2000.0}, poor]
    return oracle.scenarios(named, scenarios, list(places))


def test_the_live_cell_follows_every_kind_of_input(followed, units):
    assert CHANGES["mill_kind"] != INPUTS["mill_kind"].value(units)
    said = [answer["Said"] for answer in followed[:-1]]
    counts = [answer["Changed"] for answer in followed[:-1]]
    assert said[0] == BELONG and counts == [0, 1, 1, 1, 3, 1]
    assert all(text.startswith("out of date") for text in said[1:])


def test_the_answer_says_when_the_ranges_speak_against_it(followed):
    assert followed[0]["Ranges"] == "Within the ranges on Inputs."
    assert followed[-1]["Ranges"] == AGAINST


@pytest.mark.thorough
def test_odds_below_one_half_take_the_green_away(units, report, tmp_path, capsys):
    """Also where a figure is to be looked at again, which the answer says as well."""
    path = book_at(tmp_path / "odds.xlsx", units, royalty_rate=0.001)
    reading = read_book(path)
    pays = replace(report.risk.figures["pays"], value=0.4)
    poor = replace(report.risk, figures={**report.risk.figures, "pays": pays})
    assert entered_odds(path, reading) is None
    fill_risk_sheet(path, replace(report, risk=poor), reading)
    mean = report.risk.figures["net_present_value_mean"].value
    odds = entered_odds(path, reading)
    assert (odds.pays, odds.mean) == (0.4, pytest.approx(mean, rel=1e-8))
    assert odds.against and not replace(odds, pays=0.5).against
    dearer, narrower = reading.inputs | {"wage": 55.0}, {"wage": (30.0, 35.0)}
    assert entered_odds(path, replace(reading, inputs=dearer)) is None
    assert entered_odds(path, replace(reading, ranges=narrower)) is None
    told = set(stored_cells(path)["Answer"].values())
    answer = "pays, if this is right: Royalty, percentage of NSR"
    assert {answer, AGAINST, odds.mean} <= told
    judge(path)
    said = " ".join(capsys.readouterr().out.split())
    assert (
        "the probability that it pays is 40.0%, and the mean net present value" in said
    )


@pytest.mark.thorough
def test_ranges_and_statuses_are_changes_of_inputs(books, tmp_path):
    path, out = books[0], tmp_path / "narrow.xlsx"
    low, status = (address(OF_PRICE, column) for column in (OWN_LOW, STATUS))
    write_changed(path, out, {("Inputs", low): 1900.0, ("Inputs", status): "measured"})
    found = inspect_book(out).inputs
    assert [(f.cell, f.kind, f.expected, f.found) for f in found] == [
        (low, "range changed", "nothing", "1900"),
        (status, "status changed", read_book(path).statuses["gold_price"], "measured"),
    ]
    remarks = {r.what: r.after for r in compare_books(path, out).remarks}
    assert (
        remarks["range"] == "$1,900/oz to estimate" and remarks["status"] == "measured"
    )
    renew_book(out)
    assert inspect_book(out).inputs == []
    assert entered_odds(out, read_book(out)) is None


@pytest.mark.parametrize("sheet", TELLING)
def test_the_ground_of_the_answer_is_amber_first_where_the_odds_are_against(
    sheet, books
):
    ranges = load_workbook(books[0])[sheet].conditional_formatting
    rules = [rule for cells in ranges for rule in cells.rules if rule.dxf]
    first = min(rules, key=lambda rule: rule.priority if is_banner(rule) else np.inf)
    assert first.type == "expression" and first.stopIfTrue
    (formula,) = first.formula
    assert formula.endswith("<0.5)") and "!" not in formula
    assert first.dxf.fill.bgColor.rgb == "FFFBF1DC"
    # LibreOffice takes rules of text before formulas, whatever their order.
    banner = next(cells for cells in ranges if first in cells.rules)
    assert {rule.type for rule in banner.rules} == {"expression"}


def is_banner(rule):
    return rule.type == "expression" and rule.dxf.fill is not None


def test_digits_that_another_program_loses_do_not_count(units, books, tmp_path):
    at, out = placed(units)[0]["odds"], tmp_path / "rounded.xlsx"
    place = at.top, at.table.columns[0]
    old = read_contents(books[0]).cell(SHEET, place).value
    new = old * (1 + 1e-13)
    assert new != old
    write_changed(books[0], out, {(SHEET, address(*place)): new})
    assert list(risk_sheet_findings(read_contents(out), units)) == []


@pytest.mark.thorough
@pytest.mark.parametrize("program", ["gnumeric", "libreoffice"])
def test_saved_by_another_program_the_checksum_holds(program, books, request, tmp_path):
    out = tmp_path / "saved.xlsx"
    oracle = request.getfixturevalue(program)
    oracle.save_changed(books[0], out, {})
    found = inspect_book(out)
    assert [f for f in found.findings if f.sheet == SHEET and f.grave] == []
    assert is_filled(read_contents(out))


@pytest.mark.parametrize(
    "name", sampled(["odds", "histogram", "fan", "drawn", "ranked"], 5)
)
def test_a_figure_typed_over_is_found(name, units, books, tmp_path):
    path, out = books[0], tmp_path / "typed.xlsx"
    at = placed(units)[0][name]
    place = at.top, at.table.columns[0]
    old = read_contents(path).cell(SHEET, place).value
    new = old * 1.0001 + 1e-6 if isinstance(old, float) else f"{old}!"
    write_changed(path, out, {(SHEET, address(*place)): new})
    found = inspect_book(out)
    assert found.outcome == ELSE_CHANGED
    typed = [f for f in found.findings if f.kind != "stored value"]
    assert [(f.sheet, f.cell) for f in typed] == [(SHEET, address(CHECKSUM, VALUE))]


def test_a_formula_among_the_figures_is_found(units, books, tmp_path):
    out, place = tmp_path / "formula.xlsx", address(placed(units)[0]["odds"].top, 1)
    part, parts = part_of(books[0], SHEET), unpacked(books[0].read_bytes())
    cell = rf'(<c r="{place}"[^>]*>)<v>'.encode()
    parts[part], count = re.subn(cell, rb"\1<f>1-0.02</f><v>", parts[part])
    assert count == 1
    out.write_bytes(packed(parts))
    found = [
        f for f in inspect_book(out).findings if f.kind == "value replaced by a formula"
    ]
    assert [(f.cell, f.found) for f in found] == [(place, "=1-0.02")]


@pytest.mark.thorough
def test_figures_give_way_to_fewer_and_those_of_other_inputs_are_out_of_date(
    units, books, tmp_path
):
    """The book may be saved with other inputs while the draws are running."""
    out = tmp_path / "still.xlsx"
    still = make_report(only_varying(units=units), 256)
    reading = read_book(books[0])
    reading = replace(reading, inputs=reading.inputs | {"wage": 55.0})
    fill_risk_sheet(books[0], still, reading, out)
    assert rows(out, units, "ranked") == [[None] * 10] * 10
    assert stored_cells(out)[SHEET][SAID].startswith("out of date")
    assert inspect_book(out).outcome == AS_ISSUED


def test_a_sheet_that_was_altered_is_left_alone(books, report, tmp_path):
    """Its rows moved down by one, or the sheet taken out."""
    out, without = tmp_path / "altered.xlsx", tmp_path / "without.xlsx"
    part, parts = part_of(books[1], SHEET), unpacked(books[1].read_bytes())
    reading, moved = read_book(books[1]), dict(parts)
    moved[part] = re.sub(rb'r="([A-Z]*)(\d+)"', a_row_lower, parts[part])
    out.write_bytes(packed(moved))
    before = out.read_bytes()
    with pytest.raises(WorkbookError, match=r"Risk!\w+ is not as issued"):
        fill_risk_sheet(out, report, read_book(out))
    entry = rf'<sheet name="{SHEET}"[^>]*/>'.encode()
    parts[BOOK], count = re.subn(entry, b"", parts[BOOK])
    assert count == 1
    without.write_bytes(packed(parts))
    with pytest.raises(WorkbookError, match="the sheet Risk is missing"):
        fill_risk_sheet(without, report, reading)
    assert out.read_bytes() == before


def a_row_lower(found):
    row = int(found[2])
    return b'r="%b%d"' % (found[1], row + 1 if row > 10 else row)


@pytest.mark.thorough
def test_the_same_report_gives_the_same_bytes(books, report, tmp_path):
    filled, bare = books
    fill_risk_sheet(bare, report, read_book(bare), tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == filled.read_bytes()


@pytest.mark.thorough
def test_no_table_runs_over_into_the_next():
    """Many notes, whole numbers and a walking price: as much as there can be."""
    pairs = ("gold_price", "silver_price"), ("wage", "mining_cost"), ("wage", "burden")
    crowded = make_study(
        vary={"gold_price": ("lognormal", [3300, 0.3])},
        correlations=dict.fromkeys(pairs, 0.4),
    )
    with by_numpy():
        report = make_report(crowded, 256)
    tables, record = placed("us")
    tops = [at.top for at in tables.values()] + [record]
    for at, following in zip(tables.values(), tops[1:], strict=True):
        rows_there = at.table.values(report)
        assert len(rows_there) <= at.table.rows and at.last < following
        assert all(len(row) <= len(at.table.columns) for row in rows_there), at.table


def test_nothing_is_to_be_measured_where_no_figure_turns_the_verdict(report):
    """Before, Start named the ore of a claim that loses at any tonnage."""
    weak = pw.Plan(
        job="claim",
        ore_grade=0.07,
        ore_tons=3000,
        dilution=0.25,
        gravity_recovery=0.58,
        gold_price=3900,
    )
    nothing = measure_rows(weak.risk(trials=256))
    assert weak.turning() == [] and nothing == [[NOTHING_TURNS]]
    assert measure_rows(report)[0][0] != NOTHING_TURNS
