"""Lots as the model evaluates them; tables of lots that are refused."""

import datetime
import itertools
import math
from dataclasses import replace

import pandas as pd
import pytest

import pennyweight as pw
from pennyweight.errors import CallError, WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.season.schedule import faults_of
from pennyweight.season.season import make_problem
from pennyweight.season.shadow_prices import WEEK, mean_hour_value
from pennyweight.season.solver import solve_season
from tests.thorough import sampled

LOT = {"lot": "A", "wet_tons": 26, "grade": 0.42}


def season(plan=None, *lots, explain=False, **options):
    lots = lots or (LOT,)
    return (plan or pw.example()).season(
        pd.DataFrame(list(lots)), start="2026-04-01", explain=explain, **options
    )


@pytest.mark.parametrize(
    ("kind", "units"),
    sampled(
        itertools.product(
            ("by the ton", "charge and share", "purchase"), ("us", "metric")
        ),
        3,
    ),
)
def test_one_lot_equals_the_plain_model(units, kind):
    plan = pw.example(units).change(contract_kind=kind)
    lot = {
        "lot": "A",
        "wet_tons": plan.inputs["custom_wet_tons"],
        "grade": plan.inputs["custom_grade"],
    }
    row = season(plan, lot).plan.loc[0]
    found = plan.results
    assert row["hours"] == pytest.approx(found["custom_hours"], rel=1e-12)
    assert row["income"] == pytest.approx(found["agreed_income"], rel=1e-12)
    fixed = found["standing_cost_per_ton"] * found["feed_rate"] * row["hours"]
    assert row["contribution"] - fixed == pytest.approx(
        found["agreed_margin"], rel=1e-9
    )


def test_what_the_lots_need_and_nobody_entered_is_named():
    bare = {"mining_cost", "ore_grade", "wage", "custom_recovery"}
    given = {n: v for n, v in pw.example().given.items() if n not in bare}
    charge = INPUTS["terms_per_ton_01"]
    terms = {"contract_kind": "by the ton", charge.name: charge.estimate}
    plan = pw.Plan(given | terms)
    opening = "Estimates stand in for what is missing: Hourly wage"
    recovery = INPUTS["custom_recovery"].label
    assert season(plan).stand_ins == f"{opening}; {recovery}; {charge.label}."
    lot = {**LOT, "recovery": 0.6, "tonnage_charge": 150}
    assert season(plan, lot).stand_ins == f"{opening}."
    own = {**lot, "lot": "B", "contract": "own ore"}
    found = season(plan, lot, own).stand_ins
    assert found.startswith("Estimates stand in for what is missing: Mining cost; H")
    assert season(plan, lot, {**own, "mined": "yes"}).stand_ins == f"{opening}."
    assert season(pw.example()).stand_ins == ""


@pytest.mark.parametrize(
    ("kind", "named"),
    [
        ("by the ton", ("set_up_charge", "clay_rate")),
        ("purchase", ("clay_rate",)),
        ("own ore", ()),
    ],
)
def test_charges_and_penalties_that_nobody_entered_are_named(kind, named):
    left_out = {"set_up_charge", "clay_rate"}
    given = {n: v for n, v in pw.example().given.items() if n not in left_out}
    labels = "; ".join(INPUTS[name].label for name in named)
    told = f"Estimates stand in for what is missing: {labels}." if named else ""
    assert season(pw.Plan(given), {**LOT, "contract": kind}).stand_ins == told


def test_figures_far_from_their_usual_range_are_asked_for():
    found = season(None, LOT, {**LOT, "lot": "B", "grade": 14, "moisture": 0.05})
    assert found.look_again == (
        "B, Grade: look again at 14 oz/ton, unusually high: is it in g/t?",
    )
    assert found.to_dict()["look_again"] == list(found.look_again)


def test_own_ore_brings_the_plans_margin_and_its_fixed_cost():
    plan = pw.example()
    found = plan.results
    lot = {
        **LOT,
        "contract": "own ore",
        "grade": found["feed_grade"],
        "recovery": plan.inputs["gravity_recovery"],
        "pace": 1.0,
        "set_up_hours": 0,
        "moisture": 0,
    }
    row = season(plan, lot).plan.loc[0]
    margin = found["margin_per_ton"] + found["standing_cost_per_ton"]
    fee = plan.inputs["lot_assay_fee"]
    assert row["contribution"] == pytest.approx(margin * row["tons"] - fee, rel=1e-9)


def test_a_finer_grind_is_taken_where_it_brings_more():
    plan = pw.example().change(contract_kind="share")
    fine = season(plan, grinds=(150, 250, 400))
    offers = fine.offers.table
    assert len(offers) == 3
    assert fine.contribution == pytest.approx(offers["contribution"].max())
    assert offers["recovery"].is_monotonic_decreasing


HIRED = {"crew_paid_for": "the whole season"}


def test_a_crew_paid_for_the_whole_season_is_not_avoidable():
    paid = season(pw.example().change(HIRED))
    found = pw.example().results
    crew = found["cost_of_crew_per_ton"] * found["feed_rate"] * found["custom_hours"]
    assert paid.contribution - season().contribution == pytest.approx(crew)


def test_the_season_pays_its_months_and_its_crew():
    """Pay of all staffed hours of the season: people, wage with burden, hours."""
    plan = pw.example()
    given = {name: plan.inputs[name] for name in ("crew", "wage", "hours_per_day")} | {
        n: plan.inputs[n] for n in ("days_per_month", "season_months")
    }
    crew = math.prod(given.values()) * (1 + plan.inputs["burden"])
    monthly = plan.results["season_fixed_cost"]
    free, paid = season(), season(plan.change(HIRED))
    for found, costs in ((free, monthly), (paid, monthly + crew)):
        left = f"${found.contribution - costs:,.0f}".replace("$-", "-$")
        assert f"the season leaves {left} before capital" in found.not_counted
    assert f"${crew:,.0f} for the crew" in paid.not_counted


def crew_per_hour(plan):
    """People, wage with burden, over the running time of a staffed hour."""
    given = plan.inputs
    paid = given["crew"] * given["wage"] * (1 + given["burden"])
    return paid / given["availability"]


def test_clean_up_between_owners_costs_its_crew():
    plan, owners = pw.example(), ("Ashby", "Corl", "Ashby")
    lots = [{**LOT, "lot": str(n), "owner": owner} for n, owner in enumerate(owners)]
    found, free = season(plan, *lots, owner_hours=6), season(plan, *lots)
    cost = 6 * crew_per_hour(plan)
    assert found.contribution == pytest.approx(free.contribution - cost)
    assert found.clean_up == pytest.approx(cost)
    alone = found.plan["contribution"].sum()
    assert found.contribution == pytest.approx(alone - cost)
    assert f"lots bring ${alone:,.0f};" in found.clean_up_note
    assert f"takes ${cost:,.0f} of it" in found.clean_up_note
    hours = found.plan["hours"].sum()
    assert found.hours_used == pytest.approx((hours + 6) / found.calendar.end)
    paid = season(plan.change(HIRED), *lots, owner_hours=6)
    assert paid.contribution == pytest.approx(paid.plan["contribution"].sum())
    assert paid.clean_up_note == free.clean_up_note == ""


def test_a_lot_that_does_not_pay_for_its_owners_clean_up_is_left_out():
    plan = pw.example()
    lots = [{**LOT, "lot": str(n), "owner": "Ashby"} for n in range(2)]
    other = {**LOT, "lot": "X", "owner": "Corl", "wet_tons": 15}
    brings = season(plan, other).contribution
    hours = brings / crew_per_hour(plan) + 1
    left = season(plan, *lots, other, owner_hours=hours, explain=True).left_out
    assert list(left["lot"]) == ["X"]
    assert left.loc[0, "contribution"] == pytest.approx(brings)
    cost = hours * crew_per_hour(plan)
    told = f"brings ${brings:,.0f}; the crew of a clean-up between owners costs $"
    assert f"{told}{cost:,.0f}." in left.loc[0, "reason"]


def test_the_least_charge_of_an_owners_only_lot_pays_for_its_clean_up():
    plan = pw.example()
    lots = [{**LOT, "lot": str(n), "owner": "Ashby"} for n in range(2)]
    other = {**LOT, "lot": "X", "owner": "Corl", "wet_tons": 1, "grade": 0.05}
    found = season(plan, *lots, other, owner_hours=8, explain=True)
    hour, needed = mean_hour_value(found), found.least_charges().set_index("lot")
    row = needed.loc["X"]
    alone = row["cost"] + hour * row["hours"]
    assert row["needed"] - alone == pytest.approx(8 * (crew_per_hour(plan) + hour))
    row = needed.loc["0"]
    assert row["needed"] == pytest.approx(row["cost"] + hour * row["hours"])


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"tailings_room": 30}, "Tailings room leaves"),
        ({"tailings_room": 30, "storage": 500}, "Storage or tailings room leaves"),
        ({"tailings_room": 30, "owner_hours": 1}, "Tailings room leaves"),
    ],
)
def test_a_lot_left_out_names_only_the_limits_given(limits, words):
    lots = [{**LOT, "lot": name} for name in "AB"]
    reason = season(None, *lots, explain=True, **limits).left_out.loc[0, "reason"]
    assert reason.startswith(words)


BAD = (
    ({**LOT, "due": "2026-05-01", "ready": "2026-06-01"}, "before the earliest day"),
    ({**LOT, "due": "2026-13-01"}, "not a date"),
    ({**LOT, "grade": -0.1}, "out of range"),
    ({**LOT, "grade_low": 0.5, "grade_high": 0.6}, "not between its low"),
    ({**LOT, "grade_low": 0.5}, "a high alone"),
    ({**LOT, "contract": "on trust"}, "not one of the choices"),
    ({**LOT, "split": "yes", "least_tons": 99}, "more than the lot has"),
    ({**LOT, "wet_tons": 90_000}, "more hours than the season has"),
    ({**LOT, "ready": "2027-06-01"}, "after the season's last working day"),
    ({**LOT, "due": "2026-03-01"}, "before the season's first working day"),
    ({**LOT, "wet_tons": None}, "it is empty"),
    ({**LOT, "recovery": 1.0}, r"Lot A \(row 1\)"),
)


@pytest.mark.parametrize(("lot", "words"), BAD, ids=[words for _, words in BAD])
def test_bad_lots_are_refused_with_their_place(lot, words):
    with pytest.raises(WorkbookError, match=words):
        season(None, lot)


def test_a_file_of_lots_is_read_as_it_is_written(tmp_path):
    """A name of digits stays a name; two columns under one head are refused."""
    path = tmp_path / "lots.csv"
    path.write_text("lot,owner,wet_tons,grade,moisture\n007,12,26,0.42,6%\n")
    row = pw.example().season(path, explain=False).plan.loc[0]
    assert (row["lot"], row["owner"]) == ("007", "12")
    assert row["tons"] == pytest.approx(26 * 0.94)
    path.write_text("lot,lot,wet_tons,grade\nA,B,26,0.42\n")
    with pytest.raises(CallError, match="two columns for lot"):
        pw.example().season(path)


@pytest.mark.parametrize(
    "name", ["owner_hours", "storage", "seconds", "keep_bonus", "cash"]
)
@pytest.mark.parametrize("value", [-1.0, float("nan")])
def test_options_below_zero_are_refused(name, value):
    with pytest.raises(CallError, match="Enter a number of 0 or more"):
        season(None, LOT, **{name: value})


@pytest.mark.parametrize("kind", ["by the ton", "share", "purchase", "own ore"])
def test_what_a_lot_spends_and_is_paid_adds_up_to_its_contribution(kind):
    offer = season(None, {**LOT, "contract": kind}).offers.table.loc[0]
    paid = offer["charges"] + offer["metal"]
    assert paid - offer["spent"] == pytest.approx(offer["contribution"])
    found = pw.example().change(custom_wet_tons=26).contracts
    if kind == "by the ton":  # the model's own interest on what the owner owes
        rate = pw.example().inputs["discount_rate"] * 14 / (12 * 30.4375)
        owed = found.loc[kind, "mill_interest"] / rate
        assert offer["charges"] == pytest.approx(owed)
    if kind == "purchase":
        paid = found.loc[kind, "owner_net"]  # the ore price less penalties
        assert offer["spent"] - offer["cost"] == pytest.approx(paid)


def cash_season(cash, **more):
    lots = [{**LOT, "lot": f"L{n}", "contract": "by the ton"} for n in range(3)]
    lots[2]["deposit"] = 0
    plan = pw.example().change(deposit=500, season_months=2)
    return season(plan, *lots, cash=cash, **more)


def test_a_lot_waits_for_the_day_on_which_another_is_paid_for():
    free = cash_season(1e6)
    assert not free.cash["waits"].any()
    costs = sorted(free.cash["spent"])
    found = cash_season(costs[0] + 1)
    frame = found.cash
    assert len(frame) == 3
    first, second, last = frame.itertuples()
    assert frame["spent"].max() - frame["spent"].min() == pytest.approx(500)
    finish = found.plan.loc[0, "finish"]
    assert first.charges_due - finish == datetime.timedelta(14)
    assert second.start >= first.charges_due
    assert second.waits.endswith(f"for the charges of {first.lot}")
    assert (frame["cash"] >= -0.01).all()
    assert not last.waits or last.start >= second.charges_due
    assert found.contribution == pytest.approx(free.contribution)


def test_without_the_cash_to_start_a_lot_nothing_is_milled():
    assert not len(cash_season(10).plan)
    told = cash_season(10, explain=True)
    assert told.left_out["reason"].str.contains("of cash").all()
    more, free = told.cash_worth.itertuples()
    assert more.adds == pytest.approx(free.adds)
    assert more.adds == pytest.approx(cash_season(10 + more.more).contribution)
    assert more.per_dollar == pytest.approx(more.adds / more.more)


def test_the_last_check_finds_a_start_that_there_is_no_cash_for():
    found = cash_season(1e6)
    poor = replace(found.problem, cash=found.cash["spent"].min() - 1)
    assert "costs more than there is" in next(faults_of(poor, found.solution.schedule))


@pytest.mark.parametrize(
    ("names", "words"),
    [
        (
            ("A 1", "a-1"),
            r"'a-1' is also in row 1, column lot\. Names that differ only",
        ),
        (("A 1", "Total"), "'Total' is the name of a total. Delete this line"),
    ],
)
def test_one_lot_under_two_names_and_a_total_are_refused(names, words):
    with pytest.raises(WorkbookError, match=words):
        season(None, *({**LOT, "lot": name} for name in names))


def test_owners_that_differ_in_capitals_and_blanks_are_one():
    owners = ("Ashby Lode", "ashby  lode", "Ashby Lodes")
    lots = [{**LOT, "lot": str(n), "owner": owner} for n, owner in enumerate(owners)]
    found = season(None, *lots, owner_hours=10)
    assert found.problem.owners.tolist() == [0, 0, 1]
    assert list(found.plan["owner"].sort_values()) == sorted(owners)


@pytest.mark.parametrize("day", ["5 May 2026", "May 5, 2026", "2026-05-05"])
def test_days_are_read_as_on_a_statement(day):
    lot = {**LOT, "ready": day, "due": day, "late_cost": 1}
    found = season(None, lot, closed=["6 May 2026"])
    assert found.plan.loc[0, "start"] == datetime.date(2026, 5, 5)
    assert datetime.date(2026, 5, 6) not in found.calendar.days


def test_unknown_columns_and_two_lots_of_one_name_are_refused():
    with pytest.raises(CallError, match="Did you mean grade"):
        season(None, {**LOT, "grad": 1})
    with pytest.raises(WorkbookError, match="also in row 1"):
        season(None, LOT, LOT)
    with pytest.raises(CallError, match="lacks columns: grade"):
        season(None, {"lot": "A", "wet_tons": 5})


@pytest.mark.parametrize(
    ("kind", "column", "charge"),
    [
        ("by the ton", "tonnage_charge", "ton_charge"),
        ("by the hour", "hourly_charge", "hour_charge"),
        ("share", "share", "share_charge"),
    ],
)
def test_the_least_charge_just_pays_for_the_hours(kind, column, charge):
    lots = [{**LOT, "lot": f"L{n}", "wet_tons": 30 + 4 * n} for n in range(2)]
    found = season(None, *lots)
    found.hour_worth = pd.DataFrame({"relaxation": [150.0]})
    other = {**LOT, "lot": "new", "contract": kind}
    least = found.least_charges(pd.DataFrame([other])).loc[0]
    assert least["needed"] == pytest.approx(least["cost"] + 150 * least["hours"])
    charged = season(None, {**other, column: least[charge]}).plan.loc[0]
    assert charged["per_hour"] == pytest.approx(150)


def test_an_hour_more_is_worth_what_solving_again_brings():
    plan = pw.example().change(season_months=1)
    lots = pd.DataFrame([{**LOT, "lot": f"L{n}", "wet_tons": 60 + n} for n in range(7)])
    found = plan.season(lots, start="2026-04-01")
    calendar = found.calendar.changed((2026, 4), WEEK)
    longer = make_problem(found.offers, calendar, found.options, plan.inputs)
    again = solve_season(longer, gap=1e-6).schedule.money - found.contribution
    told = found.hour_worth.loc[0]
    assert told["hour_more"] == pytest.approx(again / (WEEK * calendar.hours), abs=1e-6)
    assert told["relaxation"] > 0
    reason = found.left_out.loc[0, "reason"]
    assert "per mill hour" in reason or "must be milled" in reason


def test_a_lot_left_out_is_shown_at_the_grind_at_which_it_costs_least():
    poor = {"lot": "poor", "wet_tons": 100, "grade": 0.03, "contract": "own ore"}
    left = [
        season(None, LOT, poor, grinds=grinds).left_out.loc[0, "contribution"]
        for grinds in ((200, 250), (250,))
    ]
    assert left[0] == pytest.approx(left[1])


def test_a_lot_left_out_has_the_charge_at_which_it_would_be_worth_its_hours():
    plan = pw.example().change(season_months=1)
    lots = [{**LOT, "lot": f"L{n}", "wet_tons": 60} for n in range(7)]
    cheap = {**LOT, "lot": "cheap", "contract": "by the ton", "tonnage_charge": 60}
    found = plan.season(pd.DataFrame([*lots, cheap]), start="2026-04-01")
    row = found.left_out.set_index("lot").loc["cheap"]
    charge = found.least_charges().set_index("lot").loc["cheap", "ton_charge"]
    assert f"worth its hours at ${charge:,.2f} per ton." in row["reason"]
    assert row["short"] > 0


def test_the_least_charge_is_that_of_the_best_grind():
    lots = pd.DataFrame([{**LOT, "contract": "by the ton"}])
    charges = {}
    for grinds in ((150,), (400,), (150, 400)):
        found = season(None, grinds=grinds)
        found.hour_worth = pd.DataFrame({"relaxation": [150.0]})
        charges[grinds] = found.least_charges(lots).loc[0]
    both = charges[150, 400]
    assert both["p80"] == 400
    assert both["ton_charge"] == pytest.approx(charges[(400,)]["ton_charge"])
    assert both["ton_charge"] < charges[(150,)]["ton_charge"]
