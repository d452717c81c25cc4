"""Ranked effects, curves, grids, break-even and cases against plain runs."""

from dataclasses import replace

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import BadValue, CallError
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.model.switching_values import switching_values
from pennyweight.risk.break_even import _steps
from pennyweight.risk.cases import compare_cases
from pennyweight.risk.sensitivity import RESULTS, curve, effects, grid
from pennyweight.risk.study import make_study

PLAN = complete({}, "us")


@pytest.fixture(scope="module")
def ranked():
    return effects(make_study())


def test_effects_are_plain_runs_ranked(ranked):
    sizes = [effect.size("net_present_value") for effect in ranked]
    assert sizes == sorted(sizes, reverse=True)
    for effect in ranked[:4]:
        for end, at in ((effect.low, effect.at_low), (effect.high, effect.at_high)):
            plain = run({effect.name: end})
            for result, value in at.items():
                assert value == pytest.approx(float(plain[result]), rel=1e-12)


def test_results_of_an_effect_are_in_the_order_asked(ranked):
    """A set of texts has another order in each process."""
    for effect in ranked:
        assert tuple(effect.at_low) == tuple(effect.at_high) == RESULTS


def test_effects_can_be_ranked_by_the_margin():
    by = effects(make_study(), by="margin_per_ton")
    sizes = [effect.size("margin_per_ton") for effect in by]
    assert sizes == sorted(sizes, reverse=True)


def test_curve_goes_through_the_plan():
    values, results = curve(PLAN, "us", "ore_grade", 0.18, 0.38, 21)
    place = int(np.argmin(abs(values - 0.28)))
    plain = run({"ore_grade": values[place]})
    assert results["net_present_value"][place] == pytest.approx(
        float(plain["net_present_value"])
    )
    assert (np.diff(results["margin_per_ton"]) > 0).all()


def test_grid_agrees_with_the_books_own_table():
    """The workbook's table of margins, at the same prices and grades."""
    values = run()
    prices, grades = values["table_price"], values["table_grade"]
    table = pw.example().grid(gold_price=prices, ore_grade=grades)["margin_per_ton"]
    margins = table.unstack("gold_price").to_numpy()
    np.testing.assert_allclose(margins, values["table_margin"])


def test_the_grid_of_a_report_is_the_plans():
    prices, grades, found = grid(PLAN, "us")
    table = pw.example().grid(gold_price=prices, ore_grade=grades)
    for name in ("net_present_value", "margin_per_ton"):
        cells = table[name].unstack("gold_price").to_numpy()
        np.testing.assert_allclose(found[name], cells)
    assert found["verdict"].shape == found["net_present_value"].shape


def test_break_even_is_the_books_own():
    """Price and grade of zero margin, which the return sheet gives in closed form."""
    values = run()
    for name, line in (
        ("gold_price", "break_even_gold_price"),
        ("ore_grade", "break_even_grade"),
    ):
        found = pw.example().break_even(name, "margin_per_ton")
        assert found.values == (pytest.approx(float(values[line]), rel=1e-9),)


def test_break_even_turns_the_verdict():
    (value,) = switching_values({}, "us", names=("gold_price",))
    found = pw.example().break_even("gold_price")
    assert found.values[0] == pytest.approx(value.needed, rel=1e-6)


def test_break_even_at_another_target():
    found = pw.example().break_even("wage", "cost_per_ton", 300.0)
    back = run({"wage": found.values[0]})["cost_per_ton"]
    assert float(back) == pytest.approx(300.0, rel=1e-9)


def test_no_break_even_is_said():
    found = pw.example().break_even("wage", "margin_per_ton", 1e6)
    assert found.values == found.jumps == ()
    assert "No value of hourly wage was found from" in found.sentence("us")
    assert "at the values tried it is between" in found.sentence("us")
    assert found.lowest <= found.result_now <= found.highest


def test_a_result_far_from_its_target_is_told_as_it_is():
    plan = float(run({})["net_present_value"])
    for target in (1e18, 1e155, -1e300):
        found = pw.example().break_even("ore_grade", target=target)
        assert found.result_now == plan
        assert found.lowest < plan < found.highest


def test_a_result_that_stays_at_its_target_is_told_once():
    found = pw.example().break_even("gold_price", "samples_in_use")
    assert found.values == (found.low, found.high)
    assert "is 0 at every" in found.sentence("us")
    found = pw.example().break_even("gold_price", "crossings", 1.0)
    assert 0 < len(found.values) <= 4


def test_every_whole_number_is_tried():
    season = float(run({"season_lots": 50})["season_tons"])
    found = pw.example().break_even("season_lots", "season_tons", season)
    assert found.values == (50.0,)


def test_input_that_does_nothing_has_no_break_even():
    found = pw.example().break_even("hammer_set_cost")
    assert found.values == () and found.lowest == found.highest


def test_a_turn_far_below_the_largest_value_allowed_is_found():
    """Water up to 10,000,000 gal/day; the plan turns near 6,000; 0 is no limit."""
    dear = {"gold_price": 4000.0}
    found = pw.example().change(dear).break_even("water_supply")
    (value,) = found.values
    for factor, sign in ((0.99, -1), (1.01, 1)):
        at = run(dear | {"water_supply": value * factor})["net_present_value"]
        assert np.sign(at) == sign
    assert value < 1e-3 * found.high
    assert found.jumps == (0.0,)
    assert found.used and not found.without_effect


@pytest.mark.parametrize("turn", [0.031, 4.2, 777.0, 51_000.0, -0.31, -2600.0])
def test_turns_of_any_size_are_bracketed(turn):
    """In a range of some thousands on either side of zero, or of nine decades."""
    name = "waiting_margin" if turn < 0 or turn < 1 else "water_supply"
    tried = _steps(PLAN, name, *INPUTS[name].within("us"))
    place = np.searchsorted(tried, turn)
    step = tried[place] - tried[place - 1]
    assert step <= 0.06 * abs(turn)


def test_whole_inputs_leap():
    found = pw.example().break_even("season_months")
    assert found.values == () and len(found.jumps) >= 1
    assert "jumps past" in found.sentence("us")


def test_every_place_is_told():
    found = replace(
        pw.example().break_even("gold_price"), values=(1.0, 2.0), jumps=(3.0,)
    )
    assert found.sentence("us") == (
        "Net present value after tax is $0 at $1/oz and at $2/oz; it jumps past $0 at "
        "$3/oz (Gold price)."
    )


def test_what_the_model_refuses_is_walked_around():
    """Above its critical speed the mill has no power equation."""
    found = pw.example().break_even("mill_speed", "mill_motor_load", 0.5)
    assert len(found.values) >= 1
    assert np.isfinite(found.highest)


@pytest.mark.parametrize(
    "options",
    [
        {"moved": "gold_prise"},
        {"moved": "mill_kind"},
        {"result": "verdict"},
        {"result": "closing_owner"},
    ],
)
def test_wrong_calls_are_refused(options):
    with pytest.raises(CallError):
        pw.example().break_even(**{"moved": "gold_price", **options})


def test_cases_are_plain_runs_side_by_side():
    cases = {"dear": {"gold_price": 4500.0}, "grid": {"power_source": "grid"}}
    found = pw.example().cases(cases)
    assert list(found) == ["base case", "dear", "grid"]
    for case, changes in {"base case": {}, **cases}.items():
        plain = run(changes)
        assert found[case]["net_present_value"] == pytest.approx(
            float(plain["net_present_value"])
        )
        assert found[case]["verdict"] == str(plain["verdict"])


def test_bad_cases_are_refused():
    with pytest.raises(CallError):
        pw.example().cases({"base case": {}})
    with pytest.raises(CallError):
        pw.example().cases({"x": {"gold_prise": 1}})
    with pytest.raises(BadValue):
        pw.example().cases({"x": {"gold_price": -1}})
    with pytest.raises(CallError):
        compare_cases(PLAN, "us", {}, ("npv",))


@pytest.mark.thorough
def test_a_mill_found_by_break_even_says_its_speed_motor_and_bottleneck():
    """It keeps its share of critical speed: 31 rpm in 3.7 ft, less in a larger one."""
    plan = pw.example()
    found = plan.break_even("mill_diameter", "feed_rate", 2.2)
    (diameter,) = found.values
    speed = 31 * np.sqrt(3.7 / diameter)  # critical speed is as 1/sqrt(D)
    at = plan.change(mill_diameter=diameter, mill_speed=speed).values
    assert at["feed_rate"] == pytest.approx(2.2)
    assert at["speed_share"] == pytest.approx(plan.values["speed_share"].item())
    assert f"The mill speed is then {speed:.3g} rpm, 78% of critical" in found.note
    power = at["mill_shaft_power"] / at["mill_motor_rating"] * 40
    assert f"takes {power.item():.3g} hp at the motor's shaft" in found.note
    assert "the next standard motor is 50 hp. The plan has 40 hp." in found.note
    assert f"The bottleneck is then: {at['bottleneck'].item()}." in found.note


def test_a_longer_mill_at_its_usual_speed_says_nothing_of_it():
    note = pw.example().break_even("mill_length", "feed_rate", 2.0).note
    assert "of critical" not in note and "next standard motor" in note
    assert "motor" not in pw.example().break_even("gold_price").note


def test_a_larger_hammer_mill_takes_a_larger_motor():
    plan = pw.example("metric").change(mill_kind="hammer mill", mill_motor=15.0)
    now = plan.inputs["hammer_capacity"]
    found = plan.break_even("hammer_capacity", "mill_capacity", now * 2)
    drawn = 15 * plan.inputs["hammer_load"] * found.values[0] / now
    assert f"takes {drawn:.3g} kW at the motor's shaft" in found.note
    assert "the next standard motor is 30 kW" in found.note
