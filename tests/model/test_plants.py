"""Balances of gold, rock and water in ten thousand random plants."""

import warnings

import numpy as np
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run

PLANTS, TOGETHER = 10_000, 1000
WANTED = (
    *("feed_gold", "caught_gold", "middlings_gold", "tailings_gold"),
    *("bullion_gold", "slag_gold", "gold_fed", "gold_accounted", "planned_recovery"),
    *("first_concentrate", "second_concentrate", "middlings", "tailings"),
    *("make_up_water", "water_flow"),
)


def plants(rng, count):
    """Inputs of random plants, each within its range."""
    drawn = {}
    for name, entry in INPUTS.items():
        if entry.kind == "choice":
            drawn[name] = rng.choice(entry.choices, count)
        elif entry.kind in ("number", "share") and entry.low != "":
            drawn[name] = rng.uniform(entry.low, entry.high, count)
    left = 1000 - drawn["bullion_fineness"]
    drawn["silver_fineness"] = np.minimum(drawn["silver_fineness"], left)
    return drawn


@pytest.mark.parametrize("seed", range(PLANTS // TOGETHER))
def test_nothing_is_lost_or_made(seed):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        v = run(plants(np.random.default_rng(seed), TOGETHER), wanted=list(WANTED))
    total = v["caught_gold"] + v["middlings_gold"] + v["tailings_gold"]
    assert total == pytest.approx(v["feed_gold"], rel=1e-12)
    assert np.all(v["tailings_gold"] >= 0)
    assert v["bullion_gold"] + v["slag_gold"] == pytest.approx(v["caught_gold"])
    assert v["gold_accounted"] == pytest.approx(v["gold_fed"], rel=1e-9)
    assert np.all((v["planned_recovery"] > 0) & (v["planned_recovery"] < 1))
    pounds = v["first_concentrate"] + v["second_concentrate"] + v["middlings"]
    assert pounds / 2000 + v["tailings"] == pytest.approx(1, rel=1e-12)
    again = v["water_per_ton"] * v["water_recovered"]
    assert v["make_up_water"] + again == pytest.approx(v["water_per_ton"], rel=1e-12)
