"""The sheet Samples, against the trade functions and SciPy."""

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.run import run
from pennyweight.risk.measured_grade import grade_by_samples
from pennyweight.trade import lognormal, quantiles, samples, sampling

GRADES = [12.1, 3.4, 8.8, 25.0, 6.2, 4.9, 17.3]
WEIGHTS = [1.0, 2.0, 1.5, 0.8, 1.2, 2.2, 1.0]


def entries(name, values):
    """Inputs of one column of the table, the rest of it empty."""
    padded = [*values, *[0.0] * (60 - len(values))]
    return {f"{name}_{place:02d}": v for place, v in enumerate(padded, 1)}


def sampled(grades=GRADES, weights=WEIGHTS, **others):
    table = entries("sample_grade", grades) | entries("sample_weight", weights)
    return run({**table, **others}, "metric")


def test_mean_by_weight():
    assert sampled()["sample_weighted_mean"] == pytest.approx(
        np.average(GRADES, weights=WEIGHTS), rel=1e-13
    )


def test_lognormal_mean_and_interval_are_the_trades_own():
    values = sampled(sample_confidence=0.9, sample_mean_method="lognormal")
    mean = lognormal.lognormal_mean(GRADES)
    assert values["sample_lognormal_mean"] == pytest.approx(mean, rel=1e-12)
    low, high = lognormal.lognormal_interval(GRADES, confidence=0.9)
    (middle, _) = lognormal.lognormal_interval(GRADES, confidence=1e-15)
    # Cox's interval, around the mean that the plan uses.
    assert values["sample_mean_low"] == pytest.approx(low * mean / middle, rel=1e-12)
    assert values["sample_mean_high"] == pytest.approx(high * mean / middle, rel=1e-12)


@pytest.mark.parametrize("method", ["weighted", "lognormal"])
@pytest.mark.parametrize("confidence", [0.5, 0.9])
def test_sheet_and_draws_have_one_interval(method, confidence):
    chosen = {
        **entries("sample_grade", GRADES),
        **entries("sample_weight", WEIGHTS),
        "grade_source": "samples",
        "sample_mean_method": method,
        "sample_confidence": confidence,
    }
    values = run(chosen, "metric")
    drawn = grade_by_samples(complete(chosen, "metric"), "metric")
    ends = drawn.quantile([(1 - confidence) / 2, (1 + confidence) / 2])
    shown = [values["sample_mean_low"], values["sample_mean_high"]]
    assert shown == pytest.approx(ends, rel=1e-9)


def test_a_missing_fine_mass_is_told_and_never_counts_as_a_gram():
    """Before, 25 g, 10 g/t and no fine mass gave 1.13 for an assay of 0.31."""
    row = {"sample_coarse_mass_01": 25.0, "sample_coarse_grade_01": 300.0}
    values = sampled(grade_source="samples", **row)
    without = sampled(GRADES[1:], WEIGHTS[1:], grade_source="samples")
    assert values["sample_mean"] == pytest.approx(float(without["sample_mean"]))
    assert values["samples_without_fine"] == 1
    assert values["checks_flag"] == "Screen-fire assays in use have a fine mass"
    assert str(values["verdict"]).startswith("not yet")
    assert sampled(**row)["verdict"] == "pays"  # the plan does not use them


def test_assays_without_a_weight_are_told():
    """Before, six of twelve were left out, and a grade of 0.248 became 0.413."""
    half = {f"sample_weight_{row:02d}": 0.0 for row in range(1, 7)}
    check = "Samples in use: each assay has a weight"
    judged = judge({"grade_source": "samples"} | half)
    assert judged.checks["failures"] == [check]
    assert judged.verdict.startswith("not yet")
    assert "The grade leaves out assays without a weight: 6." in judged.reasons
    assert not judge(half).checks["failures"]  # the plan does not use them
    screened = {"sample_grade_13": 0.0, "sample_coarse_grade_13": 9.0}
    values = run({"grade_source": "samples"} | screened)
    assert values["samples_without_weight"] == 1
    assert values["checks_flag"] == check
    assert run({"grade_source": "samples"})["samples_without_weight"] == 0


def test_straightness_is_the_correlation_with_normal_scores():
    values = sampled()
    ordered = np.sort(np.log(GRADES))
    scores = quantiles.normal_score(np.arange(1, 8), 7)
    assert values["sample_straightness"] == pytest.approx(
        np.corrcoef(ordered, scores)[0, 1], rel=1e-12
    )
    assert values["sample_lognormal"] == "credible"


def test_an_outlier_makes_lognormal_grades_incredible():
    grades = [*[5.0 + 0.01 * step for step in range(11)], 900.0]
    assert sampled(grades, [1.0] * 12)["sample_lognormal"] == "not credible"


def test_screen_fire_entry_weighs_both_fractions():
    values = sampled(
        [4.0, 9.0],
        [1.0, 1.0],
        sample_coarse_mass_01=25.0,
        sample_coarse_grade_01=300.0,
        sample_fine_mass_01=975.0,
    )
    assert values["sample_value"][0] == pytest.approx((25 * 300 + 975 * 4) / 1000)
    assert values["sample_value"][1] == 9.0


def test_order_of_the_rows_does_not_matter():
    back = sampled(GRADES[::-1], WEIGHTS[::-1])
    for name in ("sample_lognormal_mean", "sample_mean_high", "sample_straightness"):
        assert back[name] == pytest.approx(sampled()[name], rel=1e-12)


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_few_samples_say_so(count):
    values = sampled(GRADES[:count], WEIGHTS[:count])
    assert values["sample_count"] == count
    assert values["sample_lognormal"] == "too few to tell"
    assert np.isnan(values["sample_lognormal_mean"]) == (count < 2)
    assert np.isfinite(values["net_present_value"])


def test_equal_samples_have_a_mean_and_no_width():
    values = sampled([7.0] * 9, [1.0] * 9)
    for name in ("sample_lognormal_mean", "sample_mean_low", "sample_mean_high"):
        assert values[name] == pytest.approx(7.0, rel=1e-13)


def test_a_zero_needs_a_constant():
    assert np.isnan(sampled([0.0, 5.0, 9.0], [1.0] * 3)["sample_lognormal_mean"])
    mended = sampled([0.0, 5.0, 9.0], [1.0] * 3, sample_constant=0.5)
    assert mended["sample_lognormal_mean"] == pytest.approx(
        lognormal.lognormal_mean([0.0, 5.0, 9.0], constant=0.5), rel=1e-12
    )


HEAVY = [0.9, *(0.3 + 0.01 * step for step in range(9))], [100.0] + [1.0] * 9


def test_one_heavy_sample_leaves_the_mean_as_unsure_as_one_sample():
    """By hand: s of the ten, times t of 9 degrees, over the root of 109^2 / 10,009."""
    grades, weights = HEAVY
    values = sampled(grades, weights, grade_source="samples")
    mean = np.average(grades, weights=weights)
    relative = np.std(grades, ddof=1) / np.mean(grades)
    half = 1.8331129 * relative * mean / np.sqrt(109**2 / 10_009)
    assert values["sample_mean_low"] == pytest.approx(mean - half, rel=1e-7)
    assert values["sample_mean_high"] == pytest.approx(mean + half, rel=1e-7)
    check = "Samples in use: no sample carries more than half of the weight"
    assert check in judge_samples(*HEAVY).checks["failures"]
    told = judge_samples(*HEAVY).reasons
    assert any("92% of the weight: the 10 samples are worth 1.2" in t for t in told)
    even = judge_samples(grades, [1.0] * 10)
    assert check not in even.checks["failures"]


def judge_samples(grades, weights, **others):
    table = entries("sample_grade", grades) | entries("sample_weight", weights)
    return judge({**table, "grade_source": "samples", **others}, "metric")


def test_the_interval_of_a_weighted_mean_holds_the_true_mean_as_often_as_it_says():
    """Normal assays, one of ten with most of the weight; before, 45% of the time."""
    draws = np.random.default_rng(3).normal(10, 3, (4000, 10))
    weights = np.array(HEAVY[1])
    mean, plain = draws @ weights / weights.sum(), draws.mean(axis=1)
    score = quantiles.student_t(0.9, 9)
    error = draws.std(axis=1, ddof=1) / np.sqrt(samples.effective_number(weights))
    inside = np.mean(np.abs(mean - 10) <= score * error * mean / plain)
    assert 0.86 < inside < 0.95


def test_a_lognormal_mean_says_that_it_leaves_out_the_weights():
    told = "The lognormal mean grade leaves out the sample weights"
    for weights, method, said in (
        (WEIGHTS, "lognormal", True),
        (WEIGHTS, "weighted", False),
        ([0.3] * 7, "lognormal", False),
    ):
        judged = judge_samples(GRADES, weights, sample_mean_method=method)
        assert any(r.startswith(told) for r in judged.reasons) is said


def test_planned_grade_follows_the_choice():
    entered = sampled(grade_source="entered", ore_grade=6.0)
    by_weight = sampled(grade_source="samples")
    lognormal = sampled(grade_source="samples", sample_mean_method="lognormal")
    lot = sampled(grade_source="test lot")
    assert entered["planned_grade"] == 6.0
    assert by_weight["planned_grade"] == by_weight["sample_weighted_mean"]
    assert lognormal["planned_grade"] == lognormal["sample_lognormal_mean"]
    assert lot["planned_grade"] == lot["lot_head"]
    assert by_weight["net_present_value"] > entered["net_present_value"]


def test_error_of_a_sample_is_the_trades_own():
    taken = {"sample_mass": 1000.0, "sample_top_size": 2.0, "sample_gold_size": 0.2}
    values = sampled(**taken, assay_portion=0.0)
    grade = np.average(GRADES, weights=WEIGHTS)
    alone = sampling.sampling_error(1000, grade, 2, 0.2)
    assert values["one_sample_error"] == pytest.approx(alone, rel=1e-12)
    portion = sampling.sampling_error(30, grade, 0.1, 0.2)
    assert sampled(**taken)["one_sample_error"] == pytest.approx(
        np.hypot(alone, portion), rel=1e-12
    )


def test_a_negative_assay_is_refused():
    with pytest.raises(BadValue, match="sample 2"):
        sampled([4.0, -1.0], [1.0, 1.0])


@pytest.mark.parametrize("left_out", ["sample_mass", "sample_top_size"])
def test_the_error_of_a_sample_is_unknown_until_mass_and_sizes_are_entered(left_out):
    """Before, a sample of 1 g and 0.01 mm stood in: 0.5% for coarse vein gold."""
    taken = {"sample_mass": 1000.0, "sample_top_size": 2.0, "sample_gold_size": 0.2}
    assert INPUTS[left_out].value("us", "estimate") == 0
    found = sampled(**taken | {left_out: 0.0})
    assert np.isnan(found["one_sample_error"]) and found["portion_error"] > 0
    assert np.isnan(found["mass_to_halve_error"]) == (left_out == "sample_mass")
    unknown = sampled(**taken | {"sample_gold_size": 0.0})
    assert np.isnan(unknown["portion_error"]) and np.isnan(unknown["taking_error"])
