"""Identities of the cash flow, and cases calculated by hand."""

import datetime

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.model.switching_values import switching_values
from pennyweight.trade import money

PLAIN = {
    "build_months": 1,
    "season_months": 12,
    "ramp_start": 1.0,
    "loan_share": 0.0,
    "hold_up": 0.0,
    "refiner_days": 0.0,
    "stores": 0.0,
    "reclamation_bond": 0.0,
}
"""A plan without waiting: all of the mill's time, nothing tied up."""


@pytest.fixture(scope="module")
def values():
    return run()


def test_present_value_is_the_trades_own(values):
    years = values["discount_years"]
    expected = money.present_value_at(
        values["discount_rate"], values["cash_after_tax"], years
    )
    assert values["net_present_value"] == pytest.approx(expected, rel=1e-12)


def test_present_value_at_the_internal_rate_is_nothing(values):
    value = money.present_value_at(
        values["internal_rate"], values["cash_after_tax"], values["discount_years"]
    )
    assert value == pytest.approx(0, abs=1e-5)


def test_internal_rate_is_the_trades_own(values):
    for ending in ("", "_before_tax"):
        row = "cash_before_tax" if ending else "cash_after_tax"
        rate = money.internal_rate(values[row], years=values["discount_years"])
        assert values[f"internal_rate{ending}"] == pytest.approx(rate, rel=1e-12)


def test_payback_is_the_month_in_which_the_trades_own_falls(values):
    exact = money.payback(np.r_[0, values["cash_after_tax"]])
    assert values["payback_month"] == np.ceil(exact)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({}, "the same in every year; money is real"),
        ({"metal_rise": 0.03}, "that of the price date and rises by 3.0% per year; mo"),
        (
            {"inflation": 0.02, "metal_rise": -0.05},
            "that of the price date and falls by 3.1% per year; money is nominal",
        ),
        ({"gold_price_by_year_02": 0.9}, "taken from the sheet Years; money is real"),
        (
            {"gold_price_by_year_02": 0.9, "metal_rise": 0.03},
            "taken from the sheet Years and rises by 3.0% per year; money is real",
        ),
    ],
)
def test_the_judgement_says_how_the_gold_price_goes_on(changed, told):
    said = " ".join(judge(changed).reasons)
    assert f"The gold price is {told}" in said
    prices = run(changed)["gold_price_in_month"]
    assert (np.ptp(prices) == 0) == ("the same in every year" in told)


def test_break_even_grade_leaves_no_margin(values):
    at = run({"ore_grade": values["break_even_grade"]})
    assert at["margin_per_ton"] == pytest.approx(0, abs=1e-9)


def test_break_even_price_leaves_no_margin(values):
    at = run({"gold_price": values["break_even_gold_price"]})
    assert at["margin_per_ton"] == pytest.approx(0, abs=1e-9)


def test_running_break_even_grade_pays_what_a_ton_more_costs(values):
    """Rock at the mill holds its dilution already: its grade is the head grade."""
    in_place = values["running_break_even_grade"] * (1 + values["dilution"])
    at = run({"ore_grade": in_place})
    assert at["feed_grade"] == pytest.approx(values["running_break_even_grade"])
    sold = at["feed_gold"] * at["feed_ounce_value"] * (1 - at["royalty_rate"])
    assert sold == pytest.approx(at["running_cost_per_ton"], rel=1e-12)
    assert values["running_break_even_grade"] < values["break_even_grade"]


def test_table_of_margins_is_the_plan_at_other_figures(values):
    for row, share in ((0, 0.4), (6, 1.0), (10, 1.4)):
        for column, price in ((0, 0.5), (5, 1.0), (8, 1.3)):
            at = run(
                {
                    "ore_grade": values["ore_grade"] * share,
                    "gold_price": values["gold_price"] * price,
                },
                wanted=["margin_per_ton"],
            )
            assert values["table_margin"][row, column] == pytest.approx(
                float(at["margin_per_ton"]), rel=1e-9
            )


def test_a_year_of_cost_worked_by_hand():
    at = run(PLAIN)
    tons = at["tons_per_month"] * 12
    hours = at["hours_per_month"] * 12
    by_ton = 165 + 16 / 0.95 + 2 + 4.5 * (1 - 0.0008 - 0.004 - 0.02)
    crew = 3 * 29 * 1.28 / 0.75
    assert at["cost_of_mining"] + at["cost_of_haulage"] + at[
        "cost_of_reclamation"
    ] + at["cost_of_tailings"] == pytest.approx(by_ton, rel=1e-12)
    assert at["cost_of_crew_per_ton"] * tons == pytest.approx(crew * hours, rel=1e-12)
    assert at["cost_of_overhead_per_ton"] * tons == pytest.approx(12 * 3200, rel=1e-12)


def test_ore_runs_out_exactly(values):
    assert values["ore_milled"].sum() == pytest.approx(float(values["mill_tons"]))
    assert values["closing_ore"][-1] == 0
    assert values["ending"].sum() == 1


HAMMER = {
    "mill_kind": "hammer mill",
    "hammer_capacity": 0.7,
    "days_per_month": 20,
    "availability": 0.85,
    "ramp_start": 1.0,
    "mining_recovery": 1.0,
    "dilution": 0.0,
}


@pytest.mark.parametrize("tons", [595.0, 594.999, 595.001])
def test_dust_of_rounding_does_not_keep_the_mine_open(tons):
    """Five months of 119 tons: 2.8e-14 ton were left, and a winter was waited for."""
    at = run({**HAMMER, "ore_tons": tons})
    assert at["months_worked"] == 5
    assert at["tons_milled"] == pytest.approx(tons, rel=1e-12)


def test_a_lot_that_one_month_overpays_does_not_pay_its_running_cost():
    at = run({**HAMMER, "ore_tons": 25.0, "hold_up": 0.0})
    assert at["margin_per_ton"] > 0 > at["life_margin"]
    assert at["verdict"] == "does not pay"


def test_without_capital_the_verdict_does_not_speak_of_capital():
    none = {"capital_source": "one figure", "capital_to_spend": 0.0}
    at = run({**none, "closure_cost": 5e6})
    assert at["life_margin"] > 0 > at["net_present_value"]
    assert at["verdict"] == "pays its running cost but not its other costs"


def test_the_crew_is_paid_for_all_staffed_hours_of_the_ramp_up():
    at = run(PLAIN | {"ramp_start": 0.25, "ramp_months": 3})
    crew = at["cost_of_crew_paid"][at["working"] == 1]
    full = 3 * 29 * 1.28 * 10 * 22
    assert crew[:4] == pytest.approx(full, rel=1e-12)
    assert 0 < crew[-1] < full


def test_hours_beyond_the_weekly_limit_cost_the_multiple():
    """Ten hours on 22 days are 50.6 a week: 10.6 of them at one and a half."""
    plain, paid, twice = (
        run({"overtime_multiple": multiple, "shifts": shifts})
        for multiple, shifts in ((1.0, 1), (1.5, 1), (1.5, 2))
    )
    week = 10 * 22 / (30.4375 / 7)
    factor = (40 + 1.5 * (week - 40)) / week
    crew = "cost_of_crew_per_ton"
    assert paid[crew] == pytest.approx(plain[crew] * factor, rel=1e-12)
    assert twice[crew] == pytest.approx(float(plain[crew]), rel=1e-12)


def test_permits_cost_while_the_mill_is_built(values):
    paid = values["cost_of_permits_paid"]
    assert paid[values["building"] == 1] == pytest.approx(650, rel=1e-12)
    assert np.count_nonzero(paid) == values["life_months"]
    assert not values["cost_of_maintenance_paid"][values["building"] == 1].any()


def test_depreciation_follows_the_ore_that_the_plan_mills():
    at = run({"ore_tons": 200_000.0})
    assert at["ore_unmilled"] > 0
    expected = at["capital"] * at["ore_milled"] / at["tons_milled"]
    assert at["depreciation"] == pytest.approx(expected, rel=1e-9)


def test_winter_months_mill_nothing_and_still_cost(values):
    idle = (values["in_season"] == 0) & (values["open_for_work"] == 1)
    assert idle.any()
    assert np.all(values["ore_milled"][idle] == 0)
    assert np.all(values["operating_cost"][idle] > 0)


def test_ramp_rises_in_even_steps():
    at = run({"ramp_start": 0.4, "ramp_months": 3, "season_months": 12})
    share = at["output_share"][at["working"] == 1][:5]
    assert share == pytest.approx([0.4, 0.6, 0.8, 1.0, 1.0])


def test_a_loan_changes_the_owners_cash_and_not_the_worth_of_the_plan():
    """The value of the plan and how it is paid for are apart, as Modigliani & Miller
    1963 (American Economic Review 53, 433-443) have it: the loan saves its interest's
    tax."""
    none, loan = (run({"loan_share": share, "tax_rate": 0.3}) for share in (0, 0.6))
    for name in ("net_present_value", "internal_rate", "payback_month", "tax_paid"):
        assert none[name] == pytest.approx(loan[name], rel=1e-12), name
    assert np.all(none["tax_saved"] == 0)
    interest = loan["interest"].sum()
    assert loan["closing_owner_losses"][-1] == 0 < interest
    assert loan["tax_saved"].sum() == pytest.approx(0.3 * interest)
    change = loan["owner_cash"].sum() - none["owner_cash"].sum()
    assert change == pytest.approx(-0.7 * interest)


@pytest.mark.parametrize("method", ["unit of production", "straight line"])
def test_all_capital_is_depreciated(method):
    at = run({"depreciation_method": method})
    assert at["depreciation"].sum() == pytest.approx(float(at["capital"]), rel=1e-12)


def test_loan_is_repaid_with_its_interest(values):
    drawn, paid = values["loan_drawn"].sum(), values["loan_paid"].sum()
    assert values["closing_loan"][36] == pytest.approx(0, abs=1e-6)
    assert paid == pytest.approx(drawn + values["interest"].sum(), rel=1e-12)
    assert np.count_nonzero(values["loan_paid"] > 1e-6) == 36


def test_later_payment_by_the_refiner_takes_more_funding():
    assert run({"refiner_days": 60})["peak_funding"] > run()["peak_funding"]


def test_zero_recovery_of_the_refiner_pays_nothing_for_poor_rock():
    at = run({"ore_grade": 0.0001, "refining_charge": 0.0, "hold_up": 0.0})
    assert at["verdict"] == "does not pay"
    assert at["gold_sales"].sum() < at["operating_cost"].sum()


@pytest.mark.parametrize(
    ("inputs", "verdict"),
    [
        ({}, "pays"),
        ({"gold_price": 2800.0}, "pays its running cost but not its capital"),
        ({"gold_price": 2000.0}, "does not pay"),
    ],
)
def test_the_three_verdicts(inputs, verdict):
    assert judge(inputs).verdict == verdict


@pytest.mark.parametrize("start", [{}, {"gold_price": 2800.0}])
def test_switching_values_turn_the_verdict(start):
    for found in switching_values(start, "us"):
        entry = INPUTS[found.name]
        step = 1e-6 * (entry.maximum - entry.minimum)
        around = (found.needed - step, found.needed + step)
        pays = [
            str(run({**start, found.name: value}, wanted=["verdict"])["verdict"])
            == "pays"
            for value in around
        ]
        assert sorted(pays) == [False, True], found


def test_an_input_that_cannot_turn_it_says_so():
    value = switching_values({"gold_price": 300.0}, "us", ("gravity_recovery",))[0]
    assert np.isnan(value.needed)


def test_many_sets_at_once_are_each_set_alone():
    rng = np.random.default_rng(5)
    names = ("gold_price", "ore_grade", "gravity_recovery", "work_index", "ore_tons")
    drawn = {n: rng.uniform(INPUTS[n].low, INPUTS[n].high, 50) for n in names}
    figures = ["net_present_value", "peak_funding", "internal_rate"]
    asked = [*figures, "closing_owner"]
    together = run(drawn, wanted=asked)
    for place in (0, 17, 49):
        one = {name: column[place] for name, column in drawn.items()}
        alone = run(one, wanted=asked)
        for name in figures:
            assert together[name][place] == pytest.approx(float(alone[name]), rel=1e-12)
        assert together["closing_owner"][:, place] == pytest.approx(
            alone["closing_owner"], rel=1e-12
        )


def test_a_measured_grade_turns_the_verdict_as_an_entered_one_does():
    measured = {"grade_source": "samples", "recovery_source": "test lot"}
    planned = run(measured)
    entered = {
        "ore_grade": float(planned["planned_grade"]),
        "gravity_recovery": float(planned["planned_recovery"]),
        "middlings_share": float(planned["planned_middlings"]),
        "first_pull": float(planned["planned_first_pull"]),
        "second_pull": float(planned["planned_second_pull"]),
        "middlings_pull": float(planned["planned_middlings_pull"]),
    }
    found, wanted = (switching_values(start, "us") for start in (measured, entered))
    for one, other in zip(found, wanted, strict=True):
        assert one.name == other.name
        # The planned recovery goes through the model of the grind, and is rounded.
        assert one.now == pytest.approx(other.now, rel=1e-15)
        assert one.needed == pytest.approx(other.needed, rel=1e-9)


def test_a_mill_beyond_its_critical_speed_is_refused_in_words():
    with pytest.raises(BadValue, match="goes round with the shell"):
        run({"mill_speed": 60.0})
    with pytest.raises(BadValue, match="choice_speed_02"):
        run({"choice_speed_02": 70.0})


def test_rent_is_paid_while_the_mill_is_open():
    rented, at = run({"equipment_rent": 1000.0}), run({})
    more = rented["operating_cost"] - at["operating_cost"]
    assert more == pytest.approx(1000 * at["open_for_work"])


def test_equipment_that_is_owned_costs_no_capital_and_is_kept_and_sold():
    """By hand: 6% maintained and 3% replaced per year, sold at the salvage rate."""
    owned, at = run({"equipment_owned": 50_000.0}), run({})
    assert owned["capital"] == at["capital"]
    assert owned["loan_amount"] == pytest.approx(at["loan_amount"])
    kept = owned["cost_of_maintenance"] - at["cost_of_maintenance"]
    assert kept == pytest.approx(50_000 * at["maintenance_rate"] / 12)
    sold = owned["salvage"] - at["salvage"]
    assert sold == pytest.approx(50_000 * at["salvage_rate"])


EPOCH = datetime.date(1899, 12, 30)
"""Day 0 of a spreadsheet."""
SHARES = {f"gold_price_by_year_0{at}": to for at, to in ((1, 1.1), (2, 1), (3, 0.9))}


def test_prices_by_year_are_those_of_a_row_over_the_months(values):
    """The row is made here from calendar months, not from the plan's tax years."""
    calendar = 4 + np.arange(120)  # the example starts in April
    share = np.select([calendar <= 12, calendar <= 24, calendar <= 36], [1.1, 1, 0.9])
    share[calendar > 36] = 0.9  # an empty year takes the one before
    row = values["gold_price"] * share
    table = run({**SHARES, "start_month": 4})
    assert table["gold_price_in_month"] == pytest.approx(row)
    by_month = run({"start_month": 4}, monthly={"gold_price": row})
    for name in ("net_present_value", "peak_funding", "internal_rate"):
        assert table[name] == pytest.approx(by_month[name], rel=1e-12)
    gained = np.sum(table["gold_sales"] - values["gold_sales"])
    net = values["gold_price"] * values["bullion_payable"]
    assert gained == pytest.approx(np.sum(values["gold_sold"] * (share - 1) * net))


def test_a_verdict_that_a_small_change_turns_says_so():
    (turn,) = switching_values({}, "us", ("gold_price",))
    first = [
        judge({"gold_price": turn.needed * share}).reasons[0]
        for share in (0.9, 0.97, 1.03, 1.1)
    ]
    assert [told.startswith("It is close: ") for told in first] == [0, 1, 1, 0]
    assert "(+" in first[1] and "(-" in first[2]


def test_a_table_of_prices_moves_with_the_gold_price_and_leaves_contracts(values):
    price = float(values["gold_price"])
    lower = run({**SHARES, "gold_price": 0.9 * price})
    flat = run({f"gold_price_by_year_{at:02d}": 0.9 for at in range(1, 12)})
    twice = {name: 0.9 * share for name, share in SHARES.items()}
    both = run(twice)
    assert lower["gold_sales"] == pytest.approx(both["gold_sales"], rel=1e-12)
    assert flat["agreed_margin"] == values["agreed_margin"]
    assert flat["break_even_gold_price"] == values["break_even_gold_price"]
    told = judge(SHARES)
    assert "gold price is taken from the sheet Years" in " ".join(told.reasons)
    needed = told.switching_values[0].needed
    at = run({**SHARES, "gold_price": needed})
    assert at["net_present_value"] == pytest.approx(0, abs=1)


def test_months_and_tax_years_have_the_dates_of_the_calendar():
    """Python's own calendar counts the months; no plan has dates without a year."""
    for start, tax_year in ((1, 1), (4, 7), (12, 4)):
        at = run({"start_year": 2027, "start_month": start, "tax_year_start": tax_year})
        dates = [EPOCH + datetime.timedelta(days) for days in at["month_date"]]
        months = [divmod(start - 1 + later, 12) for later in range(120)]
        assert dates == [datetime.date(2027 + y, m + 1, 1) for y, m in months]
        for year, date in enumerate(at["year_end_date"][:9], 1):
            assert date == at["month_date"][at["plan_year"] == year].max()
        assert [date.month for date in dates] == at["calendar_month"].tolist()
    assert not run({"start_year": 0})["month_date"].any()


def test_nominal_flows_discounted_with_inflation_are_the_real_ones():
    """Capehart, Turner and Kennedy, Guide to Energy Management, 4.14.

    25,000 of today's money at the end of each of three years, escalation 25%, real
    rate 4%: 69,377, by real flows at 4% or by escalated flows at 30%.
    """
    years = np.array([1, 2, 3])
    level = 1 / money.discount_factor(0.25, years)
    factor = MODEL.lines["discount_factor"].function(0.04, years, level)
    assert round(np.sum(25_000 * money.discount_factor(0.04, years))) == 69_377
    assert round(np.sum(25_000 * level * money.discount_factor(0.30, years))) == 69_377
    assert round(np.sum(25_000 * level * factor)) == 69_377


@pytest.mark.parametrize("inflation", [-0.02, 0.03, 0.12])
def test_inflation_moves_only_what_is_agreed_in_money(inflation):
    """Capital at the start, no tax, loan or waiting: value and rate stay."""
    plain = {**PLAIN, "tax_rate": 0.0, "payment_timing": "start"}
    real, nominal = run(plain), run({**plain, "inflation": inflation})
    for name in ("net_present_value", "internal_rate", "owner_internal_rate"):
        assert nominal[name].item() == pytest.approx(real[name].item(), rel=1e-9)
    assert nominal["life_cash"].item() != pytest.approx(real["life_cash"].item())
    taxed = {**plain, "tax_rate": 0.25}
    worth = [run({**taxed, "inflation": i})["net_present_value"] for i in (0, 0.12)]
    assert worth[1] < worth[0]  # depreciation is of money spent, not of its worth


@pytest.mark.parametrize(
    ("rise", "row"),
    [
        ("metal_rise", "gold_sales"),
        ("metal_rise", "silver_sales"),
        ("wage_rise", "cost_of_crew_paid"),
        ("wage_rise", "cost_of_cleanup_paid"),
        ("energy_rise", "cost_of_energy_paid"),
        ("energy_rise", "cost_of_demand_paid"),
        ("inflation", "cost_of_mining_paid"),
        ("inflation", "sustaining_spent"),
        ("inflation", "closure_paid"),
        ("inflation", "salvage_received"),
        ("inflation", "refining_paid"),
        ("inflation", "shipments_paid"),
    ],
)
def test_a_price_rises_month_by_month(rise, row):
    flat, risen = (run({"power_source": "grid", rise: by}) for by in (0, 0.06))
    years = np.arange(1, len(flat[row]) + 1).reshape(flat[row].shape) / 12
    assert np.any(flat[row] > 0)
    assert risen[row] == pytest.approx(flat[row] * 1.06**years, rel=1e-9)
