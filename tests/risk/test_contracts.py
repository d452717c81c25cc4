"""Risk of contracts: both parties' margins, by closed forms and conservation."""

import numpy as np
import pytest
from scipy import stats

from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.risk.contracts import SIDES, contract_risk
from pennyweight.risk.ranges import AGREED, uncertain
from pennyweight.risk.study import make_study
from tests.risk.studies import only_varying

KINDS = MODEL.axes["contract"].values
MEDIAN, DEVIATION = 3300.0, 0.2
TRIALS = 16384


def planned(side, kind, **changes):
    """A side's margin of a ton for one set of inputs."""
    line = SIDES[side]
    return float(run(changes, wanted=[line])[line].reshape(-1)[KINDS.index(kind)])


@pytest.fixture(scope="module")
def by_price():
    """Only the gold price is uncertain."""
    vary = {"gold_price": ("lognormal", [MEDIAN, DEVIATION])}
    return contract_risk(only_varying(vary=vary), TRIALS)


@pytest.fixture(scope="module")
def by_all():
    return contract_risk(make_study(), TRIALS)


def test_without_spread_everything_is_as_planned():
    still = contract_risk(only_varying(), 256)
    for kind, sides in still.items():
        for side, how in sides.items():
            expected = planned(side, kind)
            for figure in (how.mean, how.p10, how.p50, how.p90):
                assert figure.value == pytest.approx(expected, rel=1e-12)
                assert figure.error == 0
            assert how.base_case == pytest.approx(expected, rel=1e-12)
            assert how.loss.value == (expected < 0)


@pytest.mark.parametrize("kind", ["share", "charge and share", "purchase"])
@pytest.mark.parametrize("side", SIDES)
def test_margins_that_rise_with_the_price_have_its_quantiles(side, kind, by_price):
    """A margin is linear in the price: its quantile is that of the lognormal price."""
    ends = 2000.0, 5000.0
    low, high = (planned(side, kind, gold_price=price) for price in ends)
    slope = (high - low) / (ends[1] - ends[0])
    assert slope > 0
    price = stats.lognorm(DEVIATION, scale=MEDIAN)
    how = by_price[kind][side]
    for figure, share in ((how.p10, 0.1), (how.p50, 0.5), (how.p90, 0.9)):
        expected = low + slope * (price.ppf(share) - ends[0])
        assert figure.value == pytest.approx(expected, abs=0.01 * (high - low))
        assert abs(figure.value - expected) < 5 * figure.error + 1e-3 * (high - low)
    mean = low + slope * (price.mean() - ends[0])
    assert how.mean.value == pytest.approx(mean, abs=1e-3 * (high - low))
    even = ends[0] - low / slope
    assert how.loss.value == pytest.approx(price.cdf(even), abs=2e-3)


def test_a_charge_by_the_ton_or_hour_bears_no_price(by_price):
    for kind in ("by the ton", "by the hour"):
        mill = by_price[kind]["mill"]
        spread = mill.p90.value - mill.p10.value
        share = by_price["share"]["mill"]
        # By-products that are left to the mill still follow the price a little.
        assert spread < 0.1 * (share.p90.value - share.p10.value)


def test_what_one_side_gains_the_other_loses(by_all):
    """Both margins add up to the same under every kind: the lot is worth what it is."""
    sums = [
        sides["mill"].mean.value + sides["owner"].mean.value
        for sides in by_all.values()
    ]
    np.testing.assert_allclose(sums, sums[0], rtol=1e-9)


def test_the_owner_bears_what_the_mill_does_not(by_all):
    """By the ton the recovery is the owner's risk; where it buys, the mill's."""
    ton, bought = by_all["by the ton"], by_all["purchase"]

    def spread(how):
        return how.p90.value - how.p10.value

    assert spread(ton["mill"]) < spread(bought["mill"])
    assert spread(ton["owner"]) > spread(bought["owner"])
    vary = {"custom_recovery": ("uniform", [0.5, 0.75])}
    alone = contract_risk(only_varying(vary=vary), 256)
    ton, bought = alone["by the ton"], alone["purchase"]
    assert spread(bought["owner"]) == 0 < spread(bought["mill"])
    # Clean-up gold that is left to the mill still follows the recovery a little.
    assert spread(ton["mill"]) < 0.05 * spread(ton["owner"])


def test_figures_are_those_of_plain_runs():
    """With one input drawn between two ends, the mean is a plain integral."""
    vary = {"custom_grade": ("uniform", [0.2, 0.6])}
    found = contract_risk(only_varying(vary=vary), TRIALS)
    grades = 0.2 + 0.4 * (np.arange(2000) + 0.5) / 2000
    line = SIDES["owner"]
    plain = run({"custom_grade": grades}, wanted=[line])[line]
    for place, kind in enumerate(KINDS):
        owner = found[kind]["owner"]
        assert owner.mean.value == pytest.approx(plain[place].mean(), rel=1e-4)
        assert owner.loss.value == pytest.approx((plain[place] < 0).mean(), abs=2e-3)


def test_terms_that_are_agreed_are_not_drawn():
    inputs = make_study().inputs
    drawn = uncertain(inputs, "us")
    assert not drawn.keys() & set(AGREED)
    sections = {INPUTS[name].section for name in drawn}
    assert "Contract: lot and season" in sections
    assert "Contract: ore purchase" not in sections
    assert all(name in INPUTS for name in AGREED)


def test_same_seed_same_figures():
    vary = {"gold_price": ("lognormal", [MEDIAN, DEVIATION])}
    first, second, other = (
        contract_risk(only_varying(vary=vary), 512, seed) for seed in (7, 7, 8)
    )
    assert first == second != other


def test_on_a_path_the_metal_is_sold_at_the_first_years_mean():
    """Its variance is that of a mean of correlated lognormals, in closed form."""
    volatility = 0.2
    study = make_study(gold="path", volatility=volatility)
    fixed = {name: ("fixed", [study.inputs[name]]) for name in study.names}
    walk = contract_risk(
        make_study(gold="path", volatility=volatility, vary=fixed), TRIALS
    )
    low, high = (planned("owner", "by the ton", gold_price=p) for p in (3000, 4000))
    price = (walk["by the ton"]["owner"].mean.value - low) / (high - low) * 1000 + 3000
    assert price == pytest.approx(study.inputs["gold_price"], rel=2e-3)
    months = np.arange(1, 13)
    together = np.minimum.outer(months, months) * volatility**2 / 12
    deviation = np.sqrt(np.mean(np.expm1(together))) * study.inputs["gold_price"]
    owner = walk["by the ton"]["owner"]
    spread = (owner.p90.value - owner.p10.value) / (high - low) * 1000
    assert spread == pytest.approx(2 * 1.2816 * deviation, rel=0.02)
