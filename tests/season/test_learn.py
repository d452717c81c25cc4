"""Actuals against the plan: variances, learned inputs, and entering them."""

import zipfile
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

import pennyweight as pw
from pennyweight.errors import CallError, WorkbookError
from pennyweight.season.actuals import (
    PARTS,
    plan_figures,
    read_actuals,
    variances,
)
from pennyweight.season.bayes import prior_of
from pennyweight.season.learn import drift_of, rounded_outward
from pennyweight.workbook import enter
from tests.books import book_at
from tests.thorough import sampled

ACTUALS = Path(__file__).parents[2] / "workbooks" / "season-plan" / "actuals.csv"


def planned_month(plan, **more):
    """A month that goes exactly as planned."""
    found = plan_figures(plan.inputs, plan.units)
    tons = found["tons_per_month"]
    gold = tons * found["ounces_per_ton"] * found["yield"]
    row = {
        "period": "2026-05",
        "tons": tons,
        "hours": found["hours_per_month"],
        "gold": gold,
        "head_grade": found["feed_grade"],
        "income": gold * found["price"],
    }
    return pd.DataFrame([{**row, **more}])


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_month_as_planned_has_no_variance_and_brings_the_plans_margin(units):
    plan = pw.example(units)
    total = plan.learn(planned_month(plan)).variances.iloc[-1]
    assert [total[part] for part in PARTS] == pytest.approx([0] * 7, abs=0.011)
    values = plan.results
    revenue = values["tons_per_month"] * values["net_return_per_ton"]
    paid = plan.costs.set_index("component")
    month = values["hours_per_month"]
    amount = {
        "ton": values["tons_per_month"],
        "hour": month,
        "staffed hour": month / plan.inputs["availability"],
    }
    cost = sum(
        row["rate"] * amount.get(row["paid_by"], 1.0) for _, row in paid.iterrows()
    )
    assert total["planned"] == pytest.approx(revenue - cost, abs=0.01)


@pytest.mark.parametrize(
    ("column", "factor", "part"),
    [
        ("income", 1.1, "price"),
        ("head_grade", 1.0, None),
        ("cost_of_crew", None, "rate"),
        ("kwh", None, "usage"),
    ],
)
def test_one_difference_shows_in_one_part(column, factor, part):
    plan = pw.example()
    found = plan_figures(plan.inputs, "us")
    usual = planned_month(plan)
    month = found["hours_per_month"]
    at_plan = {
        "cost_of_crew": found["cost_of_crew"] * month / found["availability"],
        "kwh": found["energy_per_ton"] * found["tons_per_month"],
    }
    value = usual.loc[0].get(column, at_plan.get(column)) * (factor or 1.2)
    total = plan.learn(planned_month(plan, **{column: value})).variances.iloc[-1]
    for name in PARTS:
        if name == part:
            assert abs(total[name]) > 100
        else:
            assert total[name] == pytest.approx(0, abs=0.011)


def test_pace_and_recovery_are_told_apart():
    plan = pw.example()
    usual = planned_month(plan).loc[0]
    slow = {"hours": usual["hours"] * 1.1}
    total = plan.learn(planned_month(plan, **slow)).variances.iloc[-1]
    assert total["volume"] > 0 > total["throughput"]
    assert total["recovery"] == pytest.approx(0, abs=0.011)
    poor = {"gold": usual["gold"] * 0.9, "income": usual["income"] * 0.9}
    total = plan.learn(planned_month(plan, **poor)).variances.iloc[-1]
    assert total["recovery"] == pytest.approx(-0.1 * usual["income"], rel=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_sums_tie_to_the_cent(seed):
    rng = np.random.default_rng(seed)
    count = 8
    table = pd.DataFrame(
        {
            "period": [f"Lot {n}" if n % 2 else f"2026-0{n + 1}" for n in range(count)],
            "tons": rng.uniform(50, 400, count),
            "hours": rng.uniform(50, 300, count),
            "gold": rng.uniform(1, 60, count),
            "head_grade": np.where(
                rng.random(count) < 0.5, rng.uniform(0.3, 1), np.nan
            ),
            "tails_grade": rng.uniform(0.01, 0.2, count),
            "income": rng.uniform(1e3, 2e5, count),
            "kwh": rng.uniform(1e3, 1e4, count),
            "cost_of_energy": rng.uniform(500, 5000, count),
            "cost_of_overhead": rng.uniform(500, 5000, count),
        }
    )
    plan = plan_figures(pw.example().inputs, "us")
    frame = variances(read_actuals(table, "us"), plan)
    cents = (frame.drop(columns="period") * 100).round().astype(int)
    assert (cents["planned"] + cents[list(PARTS)].sum(axis=1) == cents["actual"]).all()
    assert (cents.iloc[:-1].sum() == cents.iloc[-1]).all()


def test_the_plan_with_learned_inputs_has_the_learned_figures():
    plan = pw.example()
    learned = plan.learn(ACTUALS)
    figures = learned.figures.set_index("figure")["learned"]
    values = plan.change(learned.inputs()).results
    assert values["feed_rate"] == pytest.approx(figures["Throughput"], rel=1e-3)
    assert values["feed_grade"] == pytest.approx(
        figures["Head grade (mill feed)"], rel=1e-3
    )
    assert values["planned_recovery"] == pytest.approx(
        figures["Gravity recovery"], rel=1e-3
    )
    month = learned.forecast.set_index("row").loc["Operating margin", "forecast"]
    margin = values["margin_per_ton"] * values["tons_per_month"]
    assert month == pytest.approx(float(margin), rel=1e-9)


def test_a_plan_that_takes_its_figures_from_the_test_lot_learns_from_those():
    """Learned figures replace the measured ones, not those that stand unused."""
    sources = {"grade_source": "test lot", "recovery_source": "test lot"}
    plan = pw.example().change(sources)
    unused = pw.example().inputs["gravity_recovery"]
    assert plan.results["planned_recovery"] != pytest.approx(unused, rel=0.01)
    learned = plan.learn(ACTUALS)
    figures = learned.figures.set_index("figure")["learned"]
    values = plan.change(learned.inputs()).results
    for line, label in (
        ("feed_grade", "Head grade (mill feed)"),
        ("planned_recovery", "Gravity recovery"),
    ):
        assert values[line] == pytest.approx(figures[label], rel=2e-3)


@pytest.mark.parametrize("renewed", sampled([False, True], 2))
def test_entering_changes_the_learned_cells_alone(renewed, tmp_path, monkeypatch):
    """Renewing the results, which takes long, has tests of its own."""
    if not renewed:
        monkeypatch.setattr(enter, "renew_book", lambda path: 0)
    book = book_at(tmp_path / "claim.xlsx")
    before = book.read_bytes()
    plan = pw.read(book)
    learned = plan.learn(ACTUALS)
    copy = plan.enter_learned(learned, ["Measured throughput"], tmp_path / "copy.xlsx")
    assert book.read_bytes() == before
    again = pw.read(copy)
    value, low, high, basis = learned.entries["measured_pace"]
    assert again.given["measured_pace"] == value
    assert again.ranges["measured_pace"] == (low, high)
    assert again.statuses["measured_pace"] == "measured"
    assert (
        again.bases["measured_pace"]
        == basis
        == ("Learned from 4 months milled, 2026-04 to 2026-07")
    )
    assert again.given["pace_source"] == "measured"
    other = {n for n in plan.given if plan.given[n] != again.given[n]}
    assert other == {"measured_pace", "pace_source"}
    with zipfile.ZipFile(book) as old, zipfile.ZipFile(copy) as new:
        assert old.namelist() == new.namelist()


def test_what_was_not_learned_is_not_entered(tmp_path):
    plan = pw.read(book_at(tmp_path / "claim.xlsx"))
    learned = plan.learn(ACTUALS)
    with pytest.raises(CallError, match="was not learned"):
        plan.enter_learned(learned, ["Gold price"])
    with pytest.raises(CallError, match="not read from a workbook"):
        pw.example().enter_learned(learned)


MONTH = {"period": "2026-05", "tons": 270, "hours": 158, "gold": 48}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"gold": -1}, "-1 oz is out of range. Enter a number from 0 oz"),
        ({"hours": None}, "it is empty"),
        ({"hours": 800}, "more than a month has"),
        ({"hours": 0}, "0 hours for 270 dry tons. Enter the mill hours"),
        ({"tons": 0}, "48 oz from 0 tons. Enter this gold in the month of its ore"),
        ({"period": "A", "tons": 0, "gold": 0}, "a lot of 0 tons. Leave it out"),
        ({"head_grade": 0.1}, "more than the feed held"),
        ({"tons": "some"}, "is not a number"),
        ({"gold": True}, "is not a number"),
        ({"head_grade": 0.3, "tails_grade": 11}, "11.000 oz/ton is not below the head"),
    ],
)
def test_bad_actuals_are_refused_with_their_place(more, words):
    with pytest.raises(WorkbookError, match=words) as told:
        pw.example().learn(pd.DataFrame([{**MONTH, **more}]))
    assert "row 1" in str(told.value)


def test_a_month_that_is_there_twice_is_refused():
    with pytest.raises(WorkbookError, match="is also in row 1"):
        pw.example().learn(pd.DataFrame([MONTH, MONTH]))


@pytest.mark.parametrize(
    ("name", "words"),
    [("ashby-1", "is also in row 1"), ("Total", "is the name of a total. Delete this")],
)
def test_one_lot_under_two_names_and_a_total_are_refused(name, words):
    rows = [{**MONTH, "period": period} for period in ("Ashby 1", name)]
    with pytest.raises(WorkbookError, match=words):
        pw.example().learn(pd.DataFrame(rows))


def test_a_head_assay_far_from_the_usual_range_is_asked_for():
    rows = [{**MONTH, "period": n, "head_grade": g} for n, g in (("A", 0.4), ("B", 14))]
    found = pw.example().learn(pd.DataFrame(rows))
    assert found.look_again == (
        "B, Head assay: look again at 14 oz/ton, unusually high: is it in g/t?",
    )


@pytest.mark.parametrize(
    ("periods", "months", "lots"),
    [
        (("2026-05", "2026-06"), True, False),
        (("A", "B"), False, True),
        (("2026-05", "A"), True, True),
    ],
)
def test_what_is_planned_is_told_for_months_and_for_lots(periods, months, lots):
    rows = [{**MONTH, "period": period} for period in periods]
    told = pw.example().learn(pd.DataFrame(rows)).notes[0]
    assert ("with one month's fixed costs" in told) == months
    assert ("of the lot's tons, without costs paid by the month" in told) == lots


def test_a_drift_of_one_lot_is_told_of_one():
    prior = prior_of(0.5, 0.45, 0.55, "lognormal", 0.1)
    told = drift_of(prior, [0.5, 0.5, 50.0])
    assert told.startswith("It rises: the last lot differs from those before (cum")
    assert "the last 2 lots differ alike" in drift_of(prior, [0.5, 0.5, 50.0, 50.0])


def test_the_lots_of_a_ledger_teach_as_their_own_table_does():
    folder = ACTUALS.parents[1] / "season-contract"
    plan = pw.example()
    found = plan.learn(folder / "lots.csv")
    assert list(found.actuals["period"]) == ["Lot 1", "Lot 2", "Lot 3"]
    first = found.actuals.loc[0]
    assert first["tons"] == pytest.approx(25.42 * (1 - 0.055))
    bullion = 239.6 * (1 - 0.004) * 0.828 / 31.1034768
    assert first["gold"] == pytest.approx(bullion + 0.13)
    assert first["hours"] == pytest.approx(20.5 - plan.inputs["set_up_hours"])
    assert "ore_grade" not in found.entries and "customers" in found.notes[0]
    table = found.actuals.dropna(axis=1, how="all")
    again = plan.learn(table).figures["learned"]
    assert list(again) == pytest.approx(list(found.figures["learned"]))


def test_what_is_entered_is_what_is_shown_in_three_digits_outward():
    learned = pw.example().learn(planned_month(pw.example(), hours=301.7))
    shown = learned.figures.set_index("enters").loc["measured_pace"]
    value, low, high, _ = learned.entries["measured_pace"]
    assert (value, low, high) == (
        *(shown["learned"], shown["learned_low"], shown["learned_high"]),
    )
    for figure in (value, low, high):
        assert float(f"{figure:.3g}") == figure
    assert rounded_outward(-0.012345, -2.0001, 99.91) == (-0.0123, -2.01, 100.0)


def test_months_are_taken_in_their_order_and_in_two_digits():
    plan = pw.example()
    names = ("2026-06", "2026-4", "2026-05")
    table = pd.concat([planned_month(plan, period=name) for name in names])
    learned = plan.learn(table.reset_index(drop=True))
    assert list(learned.actuals["period"]) == ["2026-04", "2026-05", "2026-06"]


@pytest.mark.parametrize("day", ["2026-05-01", date(2026, 5, 31), pd.Timestamp(0)])
def test_a_date_is_its_month_and_no_lot(day):
    """A spreadsheet makes the first of May of 2026-05; a lot has no fixed cost."""
    month = f"{pd.Timestamp(day):%Y-%m}"
    one, other = (
        pw.example().learn(pd.DataFrame([{**MONTH, "period": period}]))
        for period in (day, month)
    )
    assert_frame_equal(one.variances, other.variances)


@pytest.mark.parametrize("period", ["2027-13", "2026-13-01", "May 2026", "5/1/2026"])
def test_what_is_not_year_month_is_refused(period):
    plan = pw.example()
    with pytest.raises(WorkbookError, match="is not a month as year-month"):
        plan.learn(planned_month(plan, period=period))


def rest_after(period, **inputs):
    """The rest of the season from April to September, in months of full output."""
    plan = pw.example().change({"season_start": 4, "season_months": 6, **inputs})
    table = planned_month(plan, period=period)
    learned = plan.learn(table)
    ore = learned.forecast.set_index("row").loc["Ore milled"]
    return ore["planned_rest"] / ore["planned"], learned.notes[-1]


@pytest.mark.parametrize(
    ("period", "months", "words"),
    [
        ("2026-07", 2, "2 months from the month after 2026-07"),
        ("2026-09", 0, "0 months from the month after 2026-09"),
        ("2026-12", 0, "0 months from"),
        ("Lot 1", 5, "5.0 months, the hours of the season that the lots"),
    ],
)
def test_the_rest_of_the_season_ends_with_its_last_month(period, months, words):
    rest, told = rest_after(period)
    assert rest == pytest.approx(months) and words in told


def test_a_season_over_the_new_year_goes_on_after_it():
    assert rest_after("2026-12", season_start=11)[0] == 4


def test_an_idle_month_has_its_fixed_cost_and_teaches_nothing():
    plan = pw.example()
    usual = planned_month(plan)
    idle = {"period": "2026-06", "tons": 0, "hours": 0, "gold": 0, "kwh": 9}
    learned = plan.learn(pd.concat([usual, pd.DataFrame([idle])], ignore_index=True))
    month = learned.variances.loc[1]
    assert month["planned"] + month["volume"] == pytest.approx(month["actual"], abs=0.1)
    per_month = plan.costs.loc[plan.costs["paid_by"].str.contains("month"), "rate"]
    assert month["actual"] == pytest.approx(-per_month.sum(), abs=0.1)
    alone = plan.learn(usual).figures
    assert_frame_equal(learned.figures, alone)
