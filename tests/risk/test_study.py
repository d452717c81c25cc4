"""Studies: ranges, gold price, correlations, refusals."""

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import BadValue, CallError
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.risk.distributions import Normal
from pennyweight.risk.draws import Draws, keep_rules
from pennyweight.risk.measured_grade import assays, grade_by_samples
from pennyweight.risk.ranges import (
    AGREED,
    AGREED_SECTIONS,
    CAPITAL,
    CHOSEN,
    PARTS_OF_CAPITAL,
    planned_range,
    uncertain,
)
from pennyweight.risk.sentences import trials_drawn
from pennyweight.risk.study import make_study
from pennyweight.trade.lognormal import lognormal_interval
from tests.risk.studies import only_varying


def first(study, seed=0):
    return next(Draws(study, seed).blocks(0, 512))


def test_what_has_low_and_high_varies_unless_it_is_chosen():
    names = set(uncertain(complete({}, "us"), "us"))
    plan = complete({}, "us")
    ranged = {n for n, e in INPUTS.items() if e.numeric and e.low != "" != e.high}
    ranged -= {n for n in ranged if plan[n] == 0}
    agreed = {n for n, e in INPUTS.items() if e.section in AGREED_SECTIONS}
    left = {*CHOSEN, *AGREED, *PARTS_OF_CAPITAL} | agreed
    assert names == ranged - left | {CAPITAL}
    assert set(make_study().names) == names


def test_a_quoted_figure_keeps_its_value_unless_the_owner_gives_a_range():
    """Before, the 10% of a signed lease was varied from 5% to 25%."""
    lease = {"royalty_rate": 0.1}
    quoted = {"royalty_rate", "gold_price"}
    assert "royalty_rate" in make_study(lease).names
    kept = make_study(lease, quoted=quoted)
    assert kept.quoted == ("royalty_rate",) and "gold_price" in kept.names
    assert set(make_study(lease).names) - set(kept.names) == {"royalty_rate"}
    assert "stay fixed: Royalty, percentage of NSR." in trials_drawn(256, 0, kept)
    own = {"ranges": {"royalty_rate": (0.08, 0.12)}}
    stated = {"vary": {"royalty_rate": ("uniform", [0.08, 0.12])}}
    for more in (own, stated):
        moving = make_study(lease, quoted=quoted, **more)
        assert "royalty_rate" in moving.names and not moving.quoted
    assert "royalty_rate" in pw.Plan(lease).worth_measuring()
    plan = pw.Plan(lease)._with(statuses={"royalty_rate": "quoted"})
    assert plan.risk(trials=256).study.quoted == ("royalty_rate",)
    assert "royalty_rate" not in plan.worth_measuring()


def test_ranges_move_with_the_plan_and_stop_at_the_bounds():
    inputs = complete({"ore_grade": 0.56, "furnace_recovery": 0.9999}, "us")
    low, planned, high = planned_range("ore_grade", inputs, "us")
    table = INPUTS["ore_grade"]
    scale = 0.56 / table.estimate
    expected = (table.low * scale, 0.56, table.high * scale)
    assert (low, planned, high) == pytest.approx(expected)
    assert planned_range("furnace_recovery", inputs, "us")[2] == 1.0


def test_the_ends_of_a_whole_number_are_whole():
    inputs = make_study({"season_lots": 40, "loan_months": 31}).inputs
    for name in ("season_lots", "loan_months"):
        ends = planned_range(name, inputs, "us")
        assert all(end == int(end) for end in ends)
        run({**inputs, name: np.array(ends)})


def test_metric_ranges_are_the_same():
    table = INPUTS["ore_grade"]
    metric = complete({"ore_grade": table.value("metric", "estimate")}, "metric")
    low, _, high = planned_range("ore_grade", metric, "metric")
    assert low == table.value("metric", "low")
    assert high == table.value("metric", "high")


def test_flat_price_keeps_its_mean():
    study = make_study()
    spread = study.distributions["gold_price"]
    mean = spread.median * np.exp(spread.deviation**2 / 2)
    assert mean == pytest.approx(study.inputs["gold_price"])


def test_draws_stay_in_bounds_whole_and_within_the_rules():
    study = make_study(gold="path", volatility=0.4)
    block = next(Draws(study, 0).blocks(0, 128))
    for name, values in block.values.items():
        low, high = INPUTS[name].within("us")
        assert (values >= low).all() and (values <= high).all(), name
        if INPUTS[name].kind == "whole":
            assert (values == np.round(values)).all()
    run({**study.inputs, **block.values}, monthly={"gold_price": block.prices})
    assert block.adjusted > 0  # fineness of gold and silver above 1000


def test_pulled_inputs_lie_between_plan_and_draw():
    planned = complete({}, "us")
    values = {
        "bullion_fineness": np.array([830.0, 900.0]),
        "silver_fineness": np.array([130.0, 150.0]),
    }
    assert keep_rules(values, planned) == 1
    assert values["bullion_fineness"][0] == 830
    assert 830 < values["bullion_fineness"][1] < 900
    assert values["bullion_fineness"][1] + values["silver_fineness"][1] <= 1000


def test_clipped_draws_are_counted():
    study = only_varying(vary={"availability": ("normal", [0.75, 0.107])})
    draws = Draws(study, 0)
    blocks = [next(draws.blocks(s, 512)) for s in range(16)]
    values = np.concatenate([block.values["availability"] for block in blocks])
    assert sum(block.clipped for block in blocks) == (values == 1.0).sum() > 0


def test_same_seed_same_bytes_and_another_seed_others():
    study = make_study(gold="path")
    one, two, other = first(study), first(study), first(study, 1)
    assert one.prices.tobytes() == two.prices.tobytes()
    for name in study.names:
        assert one.values[name].tobytes() == two.values[name].tobytes()
    assert one.values["ore_grade"].tobytes() != other.values["ore_grade"].tobytes()


def test_impossible_draws_are_refused_before_any_model_runs():
    """One trial in a thousand would centrifuge; the blocks after the first, too."""
    study = make_study()
    study.distributions = {"mill_speed": Normal(31.0, 3.0)}
    with pytest.raises(BadValue, match="mill_speed"):
        list(Draws(study, 0).blocks(0, 16384))


def test_fixed_leaves_an_input_out():
    study = make_study(vary={"wage": ("fixed", [31.0])})
    assert "wage" not in study.distributions
    assert study.inputs["wage"] == 31.0


def test_grade_from_the_samples():
    inputs = complete({"sample_mean_method": "lognormal"}, "us")
    how = grade_by_samples(inputs, "us")
    low, high = lognormal_interval(assays(inputs, "us"), 0.8)
    found = how.quantile(np.array([0.1, 0.9]))
    # The interval's own ratio, around the grade planned.
    assert found[1] / found[0] == pytest.approx(high / low)
    assert how.middle() == pytest.approx(inputs["ore_grade"])


def test_plan_that_reads_measured_figures_keeps_its_results():
    inputs = {"grade_source": "samples", "recovery_source": "test lot"}
    study = make_study(inputs)
    before, after = run(inputs), run(study.inputs)
    assert after["net_present_value"] == pytest.approx(before["net_present_value"])
    assert type(study.distributions["ore_grade"]).__name__ == "MeanOf"


@pytest.mark.parametrize(
    "how",
    [
        ("normal", [0.3, 0]),
        ("lognormal", [0.3, 0]),
        ("assays", [0.3, 0.3, 0.3]),
        ("lots", [0.3, 0.3]),
        ("pert", [0.3, 0.3, 0.3]),
    ],
)
def test_what_never_scatters_is_fixed(how):
    study = make_study(vary={"ore_grade": how})
    assert "ore_grade" not in study.names
    assert study.inputs["ore_grade"] == pytest.approx(0.3, rel=1e-12)


def test_equal_samples_leave_the_grade_fixed():
    weights = {n: 0.0 for n in INPUTS if n.startswith("sample_weight")}
    two = {f"sample_{what}_0{n}": 0.3 for what in ("weight", "grade") for n in (1, 2)}
    study = make_study({**weights, **two, "grade_source": "samples"})
    assert "ore_grade" not in study.names
    assert study.inputs["ore_grade"] == pytest.approx(0.3, rel=1e-12)


def test_samples_are_wanted():
    empty = {f"sample_weight_{place:02d}": 0.0 for place in range(1, 61)}
    with pytest.raises(BadValue, match="Samples: 0 samples have a weight"):
        make_study(empty, vary={"ore_grade": ("samples", [])})


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"vary": {"wage": ("triangular", [40, 30, 20])}}, "not in order"),
        ({"vary": {"gravity_recovery": ("uniform", [0.5, 1.2])}}, "exceeds the bounds"),
        ({"vary": {"gravity_recovery": ("normal", [0.9, 0.2])}}, "exceeds the bounds"),
        ({"volatility": -0.1}, "Volatility"),
        ({"volatility": float("nan")}, "Volatility"),
        ({"correlations": {("gold_price", "gold_price"): 0.5}}, "two different"),
        ({"correlations": {("gold_price", "silver_price"): 1.5}}, "-1 to 1"),
        ({"correlations": {("gold_price", "mill_speed"): 0.5}}, "does not vary"),
        (
            {"gold": "path", "correlations": {("gold_price", "silver_price"): 0.5}},
            "it is a path",
        ),
        (
            {
                "correlations": {
                    ("gold_price", "silver_price"): 0.9,
                    ("silver_price", "ore_grade"): 0.9,
                    ("gold_price", "ore_grade"): -0.9,
                }
            },
            "contradict",
        ),
    ],
)
def test_bad_values_are_refused(options, message):
    with pytest.raises(BadValue, match=message):
        make_study(**options)


@pytest.mark.parametrize(
    "options",
    [
        {"vary": {"gold_prise": ("fixed", [3000])}},
        {"vary": {"mill_kind": ("fixed", [1])}},
        {"gold": "rising"},
        {"shape": "square"},
    ],
)
def test_wrong_calls_are_refused(options):
    with pytest.raises(CallError):
        pw.example().risk(256, **options)


def test_perfect_correlation_is_allowed():
    study = make_study(correlations={("gold_price", "silver_price"): 1.0})
    block = first(study)
    order = np.argsort(block.values["gold_price"])
    assert (np.diff(block.values["silver_price"][order]) >= -1e-6).all()


def test_what_is_planned_at_nothing_stays_at_nothing():
    inputs = complete({"royalty_rate": 0}, "us")
    assert planned_range("royalty_rate", inputs, "us") == (0, 0, 0)
    assert not {"royalty_rate", "tails_payable"} & set(make_study(inputs).names)
    inputs = {"tails_payable": 0.1, "royalty_rate": 0.02}
    assert inputs.keys() <= set(make_study(inputs).names)


def test_no_operating_cost_is_counted_twice():
    """Each is drawn by itself; the factor of all of them stays at what it is."""
    names = uncertain(complete({}, "us"), "us").keys()
    assert "operating_cost_factor" not in names
    sections = (
        "Mining and haulage",
        "Crew",
        "Power",
        "Wear parts",
        "Other operating costs",
    )
    costs = {n for n, e in INPUTS.items() if "$" in e.unit and e.section in sections}
    assert costs - names == {"equipment_rent"}  # nothing is rented until it is entered
    assert "hammer_set_life" in names
    stated = make_study(vary={"operating_cost_factor": ("uniform", [0.9, 1.1])})
    assert "operating_cost_factor" in stated.distributions


@pytest.mark.parametrize("estimate_class", [2, 4])
def test_capital_is_uncertain_once_and_as_a_whole(estimate_class):
    """As far as the sheet Capital says that an estimate of its class may be off."""
    inputs = {"estimate_class": estimate_class, "capital_cost_factor": 1.2}
    study = make_study(inputs)
    drawn = first(study).values
    ends = run(study.inputs, wanted=["capital", "capital_low", "capital_high"])
    capital = run({**study.inputs, **drawn}, wanted=["capital"])["capital"]
    factor = drawn["capital_cost_factor"] / study.inputs["capital_cost_factor"]
    np.testing.assert_allclose(capital, ends["capital"] * factor)
    low, high = float(ends["capital_low"]), float(ends["capital_high"])
    assert study.distributions["capital_cost_factor"].ends == pytest.approx(
        (low / float(ends["capital"]) * 1.2, high / float(ends["capital"]) * 1.2)
    )
    assert low < capital.min() < low + 0.1 * (high - low)
    assert high - 0.1 * (high - low) < capital.max() < high


def test_own_ranges_replace_those_of_the_table_unscaled():
    """They count as they are, at any value of the input, and in metric units."""
    ranges = {"ore_grade": (0.5, 0.6), "gold_price": (3000.0, 4000.0)}
    study = make_study({"ore_grade": 0.56, "gold_price": 3900.0}, ranges=ranges)
    for name, ends in ranges.items():
        assert study.distributions[name].ends == ends
        assert study.distributions[name].mode == study.inputs[name]
    usual = make_study({"ore_grade": 0.56, "gold_price": 3900.0})
    others = usual.distributions.keys() - ranges.keys()
    assert all(study.distributions[n] == usual.distributions[n] for n in others)
    metric = make_study(units="metric", ranges={"haulage_cost": (12.5, 19.0)})
    assert metric.distributions["haulage_cost"].ends == (12.5, 19.0)


def test_an_own_range_counts_where_the_table_has_none_or_the_operator_decides():
    ranges = {"discount_rate": (0.05, 0.2), "capital_cost_factor": (0.9, 1.5)}
    study = make_study(ranges=ranges)
    assert {n: study.distributions[n].ends for n in ranges} == ranges
    vary = {"discount_rate": ("fixed", [0.1])}
    assert "discount_rate" not in make_study(ranges=ranges, vary=vary).names


def test_a_price_path_that_is_asked_for_goes_before_the_own_range():
    study = make_study(ranges={"gold_price": (3000.0, 4000.0)}, gold="path")
    assert study.path and "gold_price" not in study.names


def test_an_own_range_of_a_grade_that_the_samples_give_is_not_used():
    own = {"ore_grade": (0.1, 0.2)}
    measured = make_study({"grade_source": "samples"}, ranges=own)
    assert (
        measured.distributions == make_study({"grade_source": "samples"}).distributions
    )


def test_an_own_range_of_capital_stands_for_the_estimate_class():
    """Capital is uncertain once, whichever way it is entered."""
    one = {"capital_source": "one figure", "capital_to_spend": 6e5}
    usual = make_study(one).distributions
    assert "capital_cost_factor" in usual and "capital_to_spend" not in usual
    own = make_study(one, ranges={"capital_to_spend": (5e5, 9e5)}).distributions
    assert "capital_to_spend" in own and "capital_cost_factor" not in own


@pytest.mark.parametrize(
    ("ranges", "error", "message"),
    [
        (
            {"gold_price": (3400.0, 4000.0)},
            BadValue,
            r"Gold price: low \$3,400/oz.*in order",
        ),
        ({"gold_price": (3000.0, 3100.0)}, BadValue, "high that is not below"),
        ({"gold_price": (-1.0, 9000.0)}, BadValue, "out of range"),
        ({"gold_prise": (1.0, 2.0)}, CallError, "Did you mean gold_price"),
        ({"mill_kind": (1.0, 2.0)}, BadValue, "a low and a high number"),
    ],
)
def test_an_own_range_that_cannot_be_is_refused(ranges, error, message):
    with pytest.raises(error, match=message):
        pw.Plan({"gold_price": 3300.0}, ranges=ranges).risk(256)
