"""Season's plan and comparison with actuals, as workbooks that recalculate."""

import re
import zipfile
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from openpyxl.utils.datetime import to_excel

import pennyweight as pw
from pennyweight.documents.season_book import CHANGED, CURRENT
from pennyweight.errors import CallError, WorkbookError

ACTUALS = Path(__file__).parents[2] / "workbooks" / "season-plan" / "actuals.csv"


@pytest.fixture(scope="module")
def season():
    lots = [
        {"lot": "A", "owner": "Quillan", "wet_tons": 60, "grade": 0.4},
        {"lot": "B", "wet_tons": 40, "grade": 0.05, "contract": "share"},
        {"lot": "=1+1", "owner": "Darrow", "wet_tons": 90, "grade": 0.5},
    ]
    lots[0] |= {"due": "2026-04-03", "late_cost": 10}
    return pw.example().season(
        pd.DataFrame(lots),
        start="2026-04-01",
        grinds=(200, 250),
        cash=12_000,
        explain=False,
    )


def numbers(cells):
    return [value for value in cells.values() if isinstance(value, float | int)]


def test_the_seasons_workbook_recalculates_alike(season, tmp_path, libreoffice):
    path = pw.example().write_season(season, tmp_path / "season.xlsx")
    book = libreoffice.recalculate(path)
    sheet = book["Season"]
    assert CURRENT in sheet.values()
    assert any(value == pytest.approx(season.contribution) for value in numbers(sheet))
    first = season.plan.loc[0]
    assert to_excel(first["start"]) in numbers(sheet)
    for name in ("income", "cost", "contribution", "per_hour"):
        assert any(value == pytest.approx(first[name]) for value in numbers(sheet))
    bars = [value for value in book["Calendar"].values() if str(value).startswith("█")]
    assert len(bars) >= len(season.plan)
    assert {"A", "=1+1"} <= set(sheet.values())
    assert "B" in book["Left out"].values()
    assert {"Season", "Calendar", "Lots", "Left out", "Mill hours"} <= set(book)
    assert season.cash["waits"].any()
    assert any(n == pytest.approx(season.cash_end) for n in numbers(book["Cash"]))
    assert "Days until metal is paid" in book["Cash"].values()
    for row in season.cash.itertuples():
        for value in (row.spent, row.cash, to_excel(row.metal_due)):
            assert any(n == pytest.approx(value) for n in numbers(book["Cash"]))


def test_the_lots_contribution_is_headed_as_before_delay(season, tmp_path):
    path = pw.example().write_season(season, tmp_path / "season.xlsx")
    book = openpyxl.load_workbook(path)
    heads = {name: [c.value for r in book[name] for c in r] for name in book.sheetnames}
    assert "Contribution before delay, $" in heads["Lots"]
    assert "Contribution, $" in heads["Season"]
    assert "Contribution, $" not in heads["Lots"]


def test_the_cash_adds_up_to_the_contribution(season):
    cash, plan, start = season.cash, season.plan, season.options.cash
    before = cash["cash"].shift(fill_value=start)
    left = before + cash["received"] - cash["spent"]
    assert left.tolist() == pytest.approx(cash["cash"].tolist())
    delay = plan.set_index("lot").loc["A", "days_late"] * 10
    assert delay > 0
    assert season.cash_end == pytest.approx(start + season.contribution + delay)
    assert f"The cost of delay, ${delay:,.0f}" in " ".join(season.cash_notes)


def test_the_crew_of_a_clean_up_is_taken_from_the_cash(tmp_path, libreoffice):
    lot = {"wet_tons": 60, "grade": 0.4, "contract": "by the ton"}
    owners = ("Quillan", "Darrow")
    lots = pd.DataFrame([{**lot, "lot": owner, "owner": owner} for owner in owners])
    found = pw.example().season(
        lots, start="2026-04-01", cash=30_000, owner_hours=6, explain=False
    )
    first, second = found.cash["spent"]
    assert second - first == pytest.approx(found.clean_up) and found.clean_up > 100
    assert found.cash_end == pytest.approx(30_000 + found.contribution)
    book = libreoffice.recalculate(
        pw.example().write_season(found, tmp_path / "season.xlsx")
    )
    assert found.clean_up_note in book["Season"].values()
    told = {*numbers(book["Season"])}
    for value in (-found.clean_up, found.contribution):
        assert any(n == pytest.approx(value) for n in told)
    for value in (second, found.cash_end, *found.cash["cash"]):
        assert any(n == pytest.approx(value) for n in numbers(book["Cash"]))


def test_notes_and_figures_stand_in_rows_of_their_own(season, tmp_path):
    """A cell below the first one of a merged note would be hidden."""
    path = pw.example().write_season(season, tmp_path / "season.xlsx")
    sheet = openpyxl.load_workbook(path)["Cash"]
    told = [row[0].value for row in sheet.iter_rows(max_row=8)]
    assert list(season.cash_notes) == told[2:4]
    (opening,) = [row[2].value for row in sheet if row[0].value == told[5]]
    assert opening == season.options.cash


def test_a_changed_lot_is_reported(season, tmp_path, libreoffice):
    path = pw.example().write_season(season, tmp_path / "season.xlsx")
    book = openpyxl.load_workbook(path)
    rows = [row for row in book["Lots"].iter_rows() if row[0].value == "A"]
    rows[0][6].value = 1.0
    book.save(path)
    assert CHANGED in libreoffice.recalculate(path)["Season"].values()


def test_the_workbook_of_actuals_recalculates_alike(tmp_path, libreoffice):
    plan = pw.example()
    learned = plan.learn(ACTUALS)
    path = plan.write_learned(learned, tmp_path / "actuals.xlsx")
    book = libreoffice.recalculate(path)
    for row in learned.variances.itertuples():
        assert any(
            value == pytest.approx(row.actual, abs=1e-6)
            for value in numbers(book["Plan and actual"])
        )
    assert {"Learned", "Forecast", "Actuals"} <= set(book)
    written = openpyxl.load_workbook(path)
    shown = {(s.title, r[0].value): r[5].number_format for s in written for r in s}
    assert shown["Learned", "Gravity recovery"].endswith("%")
    assert "." not in shown["Forecast", "Net return"]


def test_neither_is_taken_for_a_claims_workbook(season, tmp_path):
    plan = pw.example()
    paths = [
        plan.write_season(season, tmp_path / "season.xlsx"),
        plan.write_learned(plan.learn(ACTUALS), tmp_path / "actuals.xlsx"),
    ]
    for path, what in zip(paths, ("season's plan", "actuals with a plan"), strict=True):
        with pytest.raises(WorkbookError, match=what):
            pw.read(path)
    with pytest.raises(CallError, match="exists already"):
        plan.write_season(season, paths[0])


def texts(path):
    """Every text of a workbook, those of its charts included."""
    with zipfile.ZipFile(path) as package:
        parts = [name for name in package.namelist() if name.endswith(".xml")]
        content = [
            package.read(name).decode() for name in parts if "styles" not in name
        ]
    return [
        text for part in content for text in re.findall(r"<(?:a:)?t[^>]*>([^<]+)", part)
    ]


def test_workbooks_in_another_currency_name_it(tmp_path):
    plan = pw.example().change(currency="GHS", exchange_rate=1.0)
    lots = pd.DataFrame(
        {
            "lot": ["A", "B"],
            "wet_tons": [60, 40],
            "grade": [0.4, 0.01],
            "owner": "Quillan",
        }
    )
    season = plan.season(lots, start="2026-04-01", grinds=(200,), cash=12_000)
    written = [plan.write_season(season, tmp_path / "season.xlsx")]
    learned = plan.learn(ACTUALS)
    written.append(plan.write_learned(learned, tmp_path / "learned.xlsx"))
    found = plan.compare(plan.change(gold_price=3000, wage=40))
    written.append(found.write(tmp_path / "comparison.xlsx"))
    for path in written:
        told = texts(path)
        assert any("GHS" in text for text in told)
        assert not [text for text in told if "$" in text]
