"""Monte Carlo simulation of a season: certain lots, known quantiles, same draws."""

import numpy as np
import pandas as pd
import pytest

import pennyweight as pw
from pennyweight.errors import CallError
from pennyweight.season.monte_carlo import _simulate
from pennyweight.season.schedule import timed
from tests.season.problems import problem_of

CERTAIN = {"grade_risk": 1e-4, "recovery_risk": 1e-4, "price_risk": 1e-4}


def season(lots, **changes):
    plan = pw.example().change(**changes)
    return plan.season(pd.DataFrame(lots), start="2026-04-01", explain=False)


def lots(**more):
    due = {"due": "2026-04-10", "late_cost": 100}
    return [
        {"lot": "A", "wet_tons": 26, "grade": 0.42, **due, **more},
        {"lot": "B", "wet_tons": 30, "grade": 0.3, **more},
    ]


@pytest.fixture
def always_runs(monkeypatch):
    monkeypatch.setattr(
        "pennyweight.season.monte_carlo.planned_range", lambda *_: (0.75, 0.75, 0.75)
    )


def test_a_certain_season_brings_its_plan(always_runs):
    found = season(lots(), **CERTAIN)
    chance = found.under_chance(16)
    row = chance.contribution.loc[0]
    assert [row["p10"], row["p90"]] == pytest.approx([found.contribution] * 2, rel=1e-3)
    assert list(chance.lots["milled"]) == [1.0, 1.0]
    assert chance.lots.loc[0, "in_time"] == 1.0


def test_clean_up_between_owners_is_paid_in_every_draw(always_runs):
    owners = [{**lot, "owner": lot["lot"]} for lot in lots()]
    plan = pw.example().change(**CERTAIN)
    found = plan.season(
        pd.DataFrame(owners), start="2026-04-01", explain=False, owner_hours=4
    )
    assert found.clean_up > 100
    row = found.under_chance(16).contribution.loc[0]
    assert row["p50"] == pytest.approx(found.contribution, rel=1e-3)


def test_a_lot_that_is_not_milled_needs_no_clean_up():
    """Three lots of 100; the second, of another owner, never fits."""
    problem = problem_of(
        (2, 9, 2), (100, 100, 100), 5, owners=np.array([0, 1, 0]), change_cost=50.0
    )
    plan = timed(problem, [mode for (mode,) in problem.modes])
    hours = np.array([[2.0], [9.0], [2.0]])
    money, _, done = _simulate(problem, plan, hours, np.full((3, 1), 100.0), range(3))
    assert money.tolist() == [200.0] and [*map(bool, done)] == [True, False, True]


def test_the_gold_price_moves_the_contribution_by_the_mills_ounces(always_runs):
    """Lognormal price: its P10 and P90 move the mill's share of the gold alone."""
    found = season(lots(), **{**CERTAIN, "price_risk": 0.1}, contract_kind="share")
    row = found.under_chance(4000, seed=2).contribution.loc[0]
    plan = pw.example().change(contract_kind="share")
    ends = []
    for score in (-1.2815515655446004, 1.2815515655446004):
        price = plan.inputs["gold_price"] * np.exp(0.1 * score)
        ends.append(
            plan.change(gold_price=price)
            .season(pd.DataFrame(lots()), start="2026-04-01", explain=False)
            .contribution
        )
    assert [row["p10"], row["p90"]] == pytest.approx(ends, rel=0.02)


def test_a_lots_own_range_is_its_p10_and_p90(always_runs):
    own = [{"lot": "A", "wet_tons": 26, "grade": 0.4, "contract": "share"}]
    own[0] |= {"grade_low": 0.3, "grade_high": 0.4 * 0.4 / 0.3}
    found = season(own, **CERTAIN)
    row = found.under_chance(4000).contribution.loc[0]
    poor = season([{**own[0], "grade": 0.3}], **CERTAIN).contribution
    assert row["p10"] == pytest.approx(poor, rel=0.03)


def test_breakdowns_make_lots_late_and_the_same_seed_gives_the_same():
    table = [{**lot, "wet_tons": 120} for lot in lots()]
    found = season(table)
    first, again = found.under_chance(300, 7), found.under_chance(300, 7)
    pd.testing.assert_frame_equal(first.contribution, again.contribution)
    assert (first.lots["finish_p10"] < first.lots["finish_p90"]).all()
    assert first.contribution["beaten"].between(0, 1).all()
    with pytest.raises(CallError, match="Draws"):
        found.under_chance(0)
