"""Value of information against closed forms."""

import numpy as np
import pytest
from scipy.stats import norm

import pennyweight as pw
from pennyweight.errors import BadValue
from pennyweight.risk.study import make_study
from pennyweight.risk.value_of_information import gain_by_count, value_of_information
from tests.risk.studies import by_numpy

SCORES = np.linspace(-4, 4, 33)


def linear_gain(now, slope, noise, count):
    """Raiffa & Schlaifer 1961, ch. 5: unit normal linear loss times the spread of
    the posterior mean, s* = slope sqrt(1 - 1 / (1 + n / noise²))."""
    spread = slope * np.sqrt(1 - 1 / (1 + count / noise**2))
    away = abs(now) / spread
    return spread * (norm.pdf(away) - away * norm.sf(away))


@pytest.mark.parametrize("now", [-1.5, -0.2, 0.0, 0.7])
def test_linear_worth(now):
    found = gain_by_count("x", SCORES, now + 2 * SCORES, 1.5, (1, 3, 10))
    for count, gain in zip(found.counts, found.gains, strict=True):
        wanted = linear_gain(now, 2.0, 1.5, count)
        assert gain == pytest.approx(wanted, rel=0.005, abs=2e-4)
    assert found.perfect_information == pytest.approx(
        linear_gain(now, 2, 1e-9, 1), rel=0.005
    )
    assert found.value_without_information == pytest.approx(max(now, 0), abs=1e-3)


def test_more_measures_gain_more_but_never_more_than_certainty():
    counts = (1, 2, 4, 8, 16, 1000)
    found = gain_by_count("x", SCORES, SCORES**3 - 1, 2.0, counts, 0.01)
    assert list(found.gains) == sorted(found.gains)
    assert found.gains[-1] <= found.perfect_information * (1 + 1e-6)
    assert found.net[0] == pytest.approx(found.gains[0] - 0.01)
    assert found.best == found.counts[int(np.argmax(found.net))]


def test_the_optimum_at_the_end_of_the_table_may_be_larger():
    """Cheap: the last row is the best of the table. Dear: one inside it is."""
    cheap, dear = (
        gain_by_count("x", SCORES, 1e6 * SCORES, 2.0, (1, 4, 16), cost)
        for cost in (1.0, 30_000.0)
    )
    marks = [[found.mark(count) for count in found.counts] for found in (cheap, dear)]
    assert marks == [["", "", "optimum: 16 or more"], ["", "optimum", ""]]


def test_what_cannot_turn_the_decision_is_worth_nothing():
    found = gain_by_count("x", SCORES, 100 + SCORES, 1.0, (1, 64), 5.0)
    assert found.gains == (pytest.approx(0, abs=1e-9),) * 2
    assert found.best == 0


def test_grade_of_the_example():
    study = make_study()
    with by_numpy():
        found = value_of_information(study, "ore_grade", 0.7, 42.0, trials=64)
    assert 0 <= found.gains[0] <= found.gains[-1] <= found.perfect_information
    assert found.costs[0] == 42.0


@pytest.mark.parametrize(
    "options",
    [
        {"assay_cv": 0.0},
        {"assay_cv": np.inf},
        {"assay_cv": 1.0, "assay_cost": -1.0},
    ],
)
def test_refused(options):
    with pytest.raises(BadValue, match="Coefficient of variation"):
        pw.example().risk(256, **options)
