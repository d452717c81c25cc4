"""Tax by year, receivables and the loan, against an independent simple version."""

import numpy as np
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.trade.tax import TAX_RULES

from .drawing import stacked, usual_sets

SETS = 120

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")


@pytest.fixture(scope="module")
def drawn():
    sets = usual_sets()[:SETS]
    return sets, run(stacked(sets))


def taxed(profits, revenues, rule, rate):
    """Tax of each year: year by year, every loss by itself, oldest income first."""
    losses, open_income, taxes = [], [], []
    for profit, revenue in zip(profits, revenues, strict=True):
        if profit > 0:
            by_gross = rule.depletion_rate * max(revenue, 0)
            profit -= min(by_gross, rule.depletion_cap * profit)
        if profit > 0:
            room = rule.offset_share * profit
            for place, loss in enumerate(losses):
                used = min(loss, room)
                losses[place] -= used
                room -= used
                profit -= used
            open_income.append(profit)
            taxes.append(profit * rate)
            continue
        loss, back = -profit, 0
        for place in range(max(len(open_income) - rule.years_back, 0), len(taxes)):
            used = min(loss, open_income[place])
            open_income[place] -= used
            loss -= used
            back += used
        losses.append(loss)
        open_income.append(0)
        taxes.append(-back * rate)
    return np.array(taxes)


def profits_by_year(inputs, values, row, place):
    """Profit and revenue of each tax year of one plan, month by month."""
    profits, revenues = np.zeros(11), np.zeros(11)
    for month in range(120):
        first = inputs["start_month"] - inputs["tax_year_start"]
        year = int((first % 12 + month) // 12)
        profits[year] += values[row][month, place]
        revenues[year] += values["net_return"][month, place]
    return profits, revenues


@pytest.mark.parametrize("ending", ["", "owner_"])
def test_tax_of_the_years_is_the_naive_one(drawn, ending):
    sets, values = drawn
    for place, inputs in enumerate(sets):
        row = "owner_profit" if ending else "profit"
        sums = profits_by_year(inputs, values, row, place)
        expected = taxed(*sums, TAX_RULES[inputs["tax_rule"]], inputs["tax_rate"])
        found = values[f"{ending}tax_in_year"][:, place]
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-6), inputs["tax_rule"]


def test_all_tax_is_paid_and_it_is_never_negative_over_the_life(drawn):
    _, values = drawn
    for name in ("", "owner_"):
        paid = values[f"{name}tax_paid"].sum(axis=0)
        owed = values[f"{name}tax_in_year"].sum(axis=0)
        assert paid == pytest.approx(owed, abs=1e-6)
        assert (paid >= -1e-6).all()


def test_no_loss_is_stranded_where_it_can_be_carried_back():
    at = run({"closure_cost": 4e5, "tax_rule": "losses back 3 years"})
    assert at["carried_back"].sum() > 0
    assert at["tax_paid"].sum() == pytest.approx(0.25 * at["profit"].sum())


def test_tax_is_paid_some_months_after_its_year():
    """The example starts in April: its first tax year has nine months."""
    at = run({"tax_delay": 3})
    paid = np.flatnonzero(at["tax_paid"]) + 1
    assert set(paid) <= {9 + 12 * year + 3 for year in range(10)}
    assert at["tax_due_month"][:2].tolist() == [12, 24]


@pytest.mark.parametrize("days", [0.0, 10.0, 30.4375, 45.0, 75.5, 120.0])
def test_the_refiner_pays_after_a_true_lag(days):
    """Each month's sales are one sum, paid in two parts when a month is cut."""
    at = run({"refiner_days": days})
    lag, sales = days / 30.4375, np.maximum(at["sales"], 0)
    received = np.zeros(200)
    for month, sold in enumerate(sales):
        whole, part = int(lag // 1), lag % 1
        received[month + whole] += sold * (1 - part)
        received[month + whole + 1] += sold * part
    owed = np.cumsum(sales) - np.cumsum(received)[:120]
    assert at["closing_receivable"][:-1] == pytest.approx(owed[:-1], abs=1e-6)
    assert at["closing_receivable"][-1] == 0
    assert (at["closing_receivable"] <= np.cumsum(sales) + 1e-9).all()


def test_the_loan_waits_for_the_gold_and_ends_with_the_mine():
    at = run({"loan_grace": 6, "loan_months": 100, "ore_tons": 3000.0})
    principal = at["loan_paid"] - at["interest"]
    assert principal[:7] == pytest.approx(0, abs=1e-9)
    assert principal[7] > 0
    end = int(at["life_months"])
    assert at["loan_paid"][end:] == pytest.approx(0)
    assert at["closing_loan"][end - 1] == 0 < at["closing_loan"][end - 2]


@pytest.mark.parametrize("grace_interest", ["paid", "added to the loan"])
@pytest.mark.parametrize("rate", [0.0, 0.12])
def test_loan_payments_are_level_and_clear_the_loan(grace_interest, rate):
    """100,000 at 1% a month, 24 months, 6 of them grace: 6,098.20, or 6,473.37."""
    at = run(
        {
            "loan_grace": 6,
            "loan_months": 24,
            "loan_rate": rate,
            "grace_interest": grace_interest,
            "build_months": 1,
            "capital_cost_factor": 1,
            "loan_share": 0.5,
        }
    )
    drawn = float(at["loan_drawn"].sum())
    assert at["loan_drawn"][0] == drawn
    level = {"paid": 6098.20, "added to the loan": 6473.37}[grace_interest]
    expected = drawn * level / 100_000 if rate else drawn / 18
    assert at["loan_paid"][7:25] == pytest.approx(expected, rel=1e-6)
    assert at["closing_loan"][24] == pytest.approx(0, abs=1e-6)


def test_no_figure_is_a_negative_zero(drawn):
    _, values = drawn
    for name in ("peak_funding", "net_present_value", "life_cash", "tax_paid"):
        zeros = values[name][values[name] == 0]
        assert not np.signbit(zeros).any(), name


def test_a_longer_wait_never_helps():
    worth = run({"refiner_days": np.linspace(0, 120, 25)})["net_present_value"]
    assert (np.diff(worth) < 0).all()
    assert INPUTS["refiner_days"].maximum == 120
