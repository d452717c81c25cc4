"""Charges for a wanted margin, for one lot and for several."""

import itertools

import numpy as np
import openpyxl
import pytest

from pennyweight.documents.pricing import price, wanted_margin
from pennyweight.errors import CallError, PennyweightError, WorkbookError
from pennyweight.model.lines.contract.charges import BASIS, CHARGES
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.opening import example
from pennyweight.plan import Plan
from tests.thorough import sampled

from ..books import book_at
from ..commands import pennyweight

KINDS = MODEL.axes["contract"].values
LOTS = """customer,Lot,wet tons,moisture,grade,recovery
Umberlow Bench claims,A,26,6%,0.42,0.64
Quernhope partners,B,12,5%,0.8,60%
"""


def test_one_lot_is_priced_as_on_the_sheet():
    prices = price({}, "us", "25%")
    values = run({"target_margin": 0.25})
    for name, row in prices.rows.items():
        np.testing.assert_allclose(row[:, 0], values[name], err_msg=name)
    for name, row in prices.by_load.items():
        np.testing.assert_allclose(row, values[name])


def test_a_harder_lot_takes_more_hours_and_costs_more():
    """At the mill's rate over the ratio of the work indices, as Bond's law has it."""
    lots = {"customer": ["A", "B"], "lot": ["1", "2"], "custom_wet_tons": [40.0, 40.0]}
    plan = run({})
    hard = {"custom_work_index": [plan["work_index"].item(), 19.0]}
    soft, harder = price({}, "us", "25%", lots | hard).rows["basis_cost"].T
    assert np.all(harder > soft)
    told = {"custom_pace": [1.0, 1.0]}
    alike = price({}, "us", "25%", lots | hard | told).rows["basis_cost"].T
    np.testing.assert_allclose(*alike)


def test_gold_that_the_mill_keeps_beside_its_charge_is_reported():
    """Clean-up gold by its definition: the lot's gold in dore, times its share.

    Of the owner's clean-up gold the mill keeps the silver, which is not paid for.
    """
    kept = price({"cleanup_owner": "mill", "middlings_owner": "owner"}, "us", "25%")
    values = run({"cleanup_owner": "mill", "middlings_owner": "owner"})
    gold = (values["custom_cleanup"] * values["bullion_ounce_net"]).item()
    (told,) = [note for note in kept.notes if "clean-up gold" in note]
    assert f"for each lot: ${gold:,.2f}." in told
    owner = {f"{what}_owner": "owner" for what in ("cleanup", "middlings", "tails")}
    silver = (values["custom_cleanup"] * values["silver_credit"]).item()
    (told,) = [n for n in price(owner, "us", "25%").notes if "clean-up gold" in n]
    assert f"for each lot: ${silver:,.2f}." in told


def test_charges_at_which_the_owner_loses_are_named():
    poor, usual = (price({"custom_grade": g}, "us", "25%") for g in (0.05, 0.8))
    assert np.all(poor.rows["owner_left"] < 0) and np.all(usual.rows["owner_left"] > 0)
    names = "; ".join(poor.names)
    said = f"The owner loses money at each of these charges: {names}."
    assert said in poor.notes
    assert not any("owner loses" in note for note in usual.notes)


@pytest.mark.parametrize(
    ("margin", "units"),
    sampled(itertools.product(("20%", "$150/hour"), ("us", "metric")), 4),
)
def test_a_lot_charged_so_leaves_the_margin_wanted(margin, units):
    """Each lot, charged by each type on each basis, worked out by the model."""
    lots = {
        "customer": ["One", "Other"],
        "lot": ["A", "B"],
        "custom_wet_tons": [26.0, 12.0],
        "custom_moisture": [0.06, 0.05],
        "custom_grade": [0.42, 0.8],
    }
    prices = price({}, units, margin, lots)
    for at in range(2):
        one = {n: column[at] for n, column in lots.items() if n.startswith("custom_")}
        for name, _, kind, _, term, _ in CHARGES:
            place = KINDS.index(kind)
            charges = prices.rows[name][:, at]
            fit = (charges >= 0) & (charges < (1 if "share" in term else np.inf))
            if not fit.any():
                continue
            given = {**one, f"{term}_{place + 1:02d}": charges[fit]}
            found = run(given, units, wanted=("mill_income", "custom_hours"))
            income = found["mill_income"][place]
            left = income - prices.rows["basis_cost"][fit, at]
            if margin == "20%":
                assert left / income == pytest.approx(0.2)
            else:
                assert left / found["custom_hours"] == pytest.approx(150)


def test_the_booked_lots_bear_the_season_together():
    """Lots that fill the booked hours bear the idle cost and the capital once."""
    base = run()
    lots = {"customer": ["x"] * 40, "lot": [str(n) for n in range(40)]}
    lots["custom_wet_tons"] = [float(base["custom_wet_tons"])] * 40
    prices = price({}, "us", "20%", lots)
    more = prices.rows["basis_cost"][3] - prices.rows["basis_cost"][0]
    expected = base["season_idle_cost"] + base["season_capital"]
    assert more.sum() == pytest.approx(expected)


def test_a_season_that_is_too_short_is_refused():
    with pytest.raises(WorkbookError, match="of the season's mill hours"):
        price({"season_lots": 90}, "us", "20%")


@pytest.mark.parametrize("margin", ["", "20", "abc", "120%", "-$5/hour"])
def test_a_margin_that_is_none_is_refused(margin):
    with pytest.raises(CallError, match="not a margin"):
        wanted_margin(margin)


def test_the_command_prices_a_table_of_lots(tmp_path):
    book_at(tmp_path / "book.xlsx")
    (tmp_path / "lots.csv").write_text(LOTS, "utf-8")
    call = ("quote", "book.xlsx", "--margin", "20%")
    one = pennyweight(*call, "-o", "one.xlsx", cwd=tmp_path)
    charge = price({}, "us", "20%").rows["ton_charge"][0, 0]
    assert one.returncode == 0 and f"{charge:,.2f}" in one.stdout
    several = pennyweight(*call, "--lots", "lots.csv", "-o", "two.xlsx", cwd=tmp_path)
    assert several.returncode == 0 and "Quernhope partners, B" in several.stdout
    rows = list(openpyxl.load_workbook(tmp_path / "two.xlsx")["Charges"].values)
    assert sum(row[0] == "Quernhope partners, B" for row in rows) == len(BASIS)
    assert pennyweight("quote", "book.xlsx", cwd=tmp_path).returncode == 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("customer,lot,wet tons\n", "empty"),
        ("customer,lot,wet tons\nA,B,3\n", "lacks columns: moisture"),
        (LOTS.replace("recovery", "recovry"), "'recovry' is unknown"),
        (LOTS.replace("0.42", "rich"), "line 2, column grade"),
    ],
)
def test_a_table_that_cannot_be_priced_is_refused(text, words, tmp_path):
    path = tmp_path / "lots.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(PennyweightError, match=words):
        example().charges("20%", path)


def test_charges_are_not_made_up_from_stand_ins():
    with pytest.raises(WorkbookError, match=r"Charges need .* not entered"):
        Plan(gold_price=3000.0).charges("20%")


def test_a_treatment_charge_below_zero_is_explained():
    rich = price({"custom_grade": 3.0}, "us", "5%")
    assert (rich.rows["treatment_charge"] < 0).any()
    assert any("below 0 is money that the mill can pay" in n for n in rich.notes)
    poor = price({"custom_grade": 0.3}, "us", "25%")
    assert (poor.rows["treatment_charge"] > 0).all()
    assert not any("treatment charge below" in note.lower() for note in poor.notes)


def test_a_table_for_season_names_the_owner(tmp_path):
    path = tmp_path / "lots.csv"
    names = []
    for text in (LOTS, LOTS.replace("customer", "owner")):
        path.write_text(text, "utf-8")
        names.append(example().charges("20%", path).names)
    assert names[0] == names[1] == ["Umberlow Bench claims, A", "Quernhope partners, B"]
    lots = example().season(path, start="2026-04-01", explain=False).offers.lots
    assert list(lots["owner"]) == ["Umberlow Bench claims", "Quernhope partners"]
