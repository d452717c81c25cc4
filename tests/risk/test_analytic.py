"""Draws and histograms against closed forms."""

import numpy as np
import pytest
from scipy import stats

from pennyweight.risk import gold_price
from pennyweight.risk.draws import REPLICATES, Draws
from pennyweight.risk.histogram import Bins, Histogram
from pennyweight.risk.study import make_study

from .studies import one_normal, two_lognormals


class PseudoRandom(Draws):
    """Draws from pseudo-random numbers, to compare with."""

    def uniforms(self, replicate, count):
        generator = np.random.default_rng([self.seed, replicate])
        yield generator.random((self.dimensions, count))


def over(study, function, count=1024, seed=1, kind=Draws):
    """A function of the draws, replicate by replicate."""
    draws = kind(study, seed)
    return np.array(
        [
            np.concatenate([function(b) for b in draws.blocks(replicate, count)])
            for replicate in range(REPLICATES)
        ]
    )


def product(block):
    return block.values["gold_price"] * block.values["silver_price"]


def total(block):
    return block.values["gold_price"] + 100 * block.values["silver_price"]


def test_product_of_lognormals():
    """Lognormal again: medians multiply, variances of the logarithms add."""
    truth = stats.lognorm(np.hypot(0.2, 0.3), scale=3000 * 30)
    found = over(two_lognormals(), product)
    histogram = Histogram(Bins.around(found[0]))
    histogram.add(found.ravel())
    assert histogram.mean() == pytest.approx(truth.mean(), rel=3e-4)
    for share in (0.1, 0.5, 0.9):
        assert histogram.quantile(share) == pytest.approx(truth.ppf(share), rel=2e-3)
    tail = truth.expect(lambda x: x, ub=truth.ppf(0.1), conditional=True)
    assert histogram.shortfall(0.1) == pytest.approx(tail, rel=2e-3)


def test_sum_of_lognormals_has_the_moments_that_add():
    gold = stats.lognorm(0.2, scale=3000)
    silver = stats.lognorm(0.3, scale=3000)
    found = over(two_lognormals(), total)
    assert found.mean() == pytest.approx(gold.mean() + silver.mean(), rel=1e-4)
    assert found.var() == pytest.approx(gold.var() + silver.var(), rel=5e-3)


def test_correlated_lognormals():
    """Var ln(xy) = s² + t² + 2 r s t under a Gaussian copula."""
    study = two_lognormals()
    study.correlations[("gold_price", "silver_price")] = 0.6
    found = np.log(over(study, product))
    wanted = 0.2**2 + 0.3**2 + 2 * 0.6 * 0.2 * 0.3
    assert found.var() == pytest.approx(wanted, rel=2e-3)


def test_option_by_black_and_scholes():
    """A call on the price after 24 months; Black & Scholes 1973, J. Political
    Economy 81, 637-654, without interest: S N(d) - K N(d - s)."""
    study = make_study(gold="path", volatility=0.25)
    study.distributions.clear()
    start, strike = study.inputs["gold_price"], 3600.0
    found = over(study, lambda b: np.maximum(b.prices[24] - strike, 0), 2048)
    spread = 0.25 * np.sqrt(2)
    ahead = np.log(start / strike) / spread + spread / 2
    wanted = start * stats.norm.cdf(ahead) - strike * stats.norm.cdf(ahead - spread)
    assert found.mean() == pytest.approx(wanted, rel=2e-3)


def test_path_keeps_its_mean_and_spreads_with_the_root_of_time():
    study = make_study(gold="path", volatility=0.2)
    study.distributions.clear()
    draws = Draws(study, 4)
    blocks = [next(draws.blocks(s, 1024)) for s in range(REPLICATES)]
    prices = np.concatenate([block.prices for block in blocks], axis=1)
    today = study.inputs["gold_price"]
    assert (prices[0] == today).all()
    np.testing.assert_allclose(prices.mean(axis=1), today, rtol=0.02)
    logs = np.log(prices)
    for month in (1, 7, 60, 119):
        wanted = 0.2 * np.sqrt(month / 12)
        assert logs[month].std() == pytest.approx(wanted, rel=0.02)
    steps = np.diff(logs, axis=0)
    assert abs(np.corrcoef(steps)[~np.eye(119, dtype=bool)]).max() < 0.05


def test_flat_price_is_as_uncertain_as_the_mean_of_a_walk():
    """The mean of a walk over T years varies as the walk after T / 3."""
    scores = np.random.default_rng(2).normal(size=(120, 40_000))
    walk = np.log(gold_price.path(1.0, 0.15, scores))
    assert walk[1:].mean(axis=0).std() == pytest.approx(
        gold_price.flat_deviation(0.15, 10), rel=0.02
    )


def test_newsvendor():
    """Normal demand, bought for 60, sold for 100: expected profit at the critical
    quantile is 40 mean - 100 deviation density(score); Porteus 2002, Foundations of
    Stochastic Inventory Theory, ch. 1."""
    study = one_normal(3000, 300)
    score = stats.norm.ppf(0.4)
    bought = 3000 + 300 * score
    found = over(
        study, lambda b: 100 * np.minimum(b.values["gold_price"], bought) - 60 * bought
    )
    wanted = 40 * 3000 - 100 * 300 * stats.norm.pdf(score)
    error = found.mean(axis=1).std(ddof=1) / np.sqrt(REPLICATES)
    assert error < 1e-4 * wanted
    assert found.mean() == pytest.approx(wanted, abs=3.5 * error)


def test_smooth_means_close_in_faster_than_the_root_of_trials():
    """Errors over seeds fall as n^-0.5 for random numbers, faster for replicates."""
    truth = stats.lognorm(np.hypot(0.2, 0.3), scale=90_000).mean()
    counts, study = np.array([16, 64, 256, 1024]), two_lognormals()

    def slope(kind):
        errors = []
        for count in counts:
            means = [
                over(study, product, count, seed, kind).mean(axis=1)
                for seed in range(4)
            ]
            errors.append(np.sqrt(np.mean((np.concatenate(means) - truth) ** 2)))
        return np.polyfit(np.log(counts), np.log(errors), 1)[0]

    assert slope(PseudoRandom) == pytest.approx(-0.5, abs=0.12)
    assert slope(Draws) < -0.85


def test_standard_errors_cover_the_truth(monkeypatch):
    """Over 200 seeds the interval of Student's t on 16 replicates holds the truth as
    often as it says."""
    # Two prices break no rule between inputs, and to ask takes longer than to draw.
    monkeypatch.setattr("pennyweight.risk.draws.check_rules", lambda *_, **__: None)
    truth = stats.lognorm(np.hypot(0.2, 0.3), scale=90_000).mean()
    width, held, study = stats.t.ppf(0.95, REPLICATES - 1), 0, two_lognormals()
    for seed in range(200):
        means = over(study, product, 16, seed).mean(axis=1)
        error = means.std(ddof=1) / np.sqrt(REPLICATES)
        held += abs(means.mean() - truth) < width * error
    assert held / 200 == pytest.approx(0.9, abs=0.07)
