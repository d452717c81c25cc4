"""The largest costs per ton, against a sort by pandas."""

import pandas as pd
import pytest

from pennyweight.model.lines.cost.ranking import COMPONENT, COST_RANK, OF_THE_MINE
from pennyweight.model.run import run

PLANS = {
    "the example": {},
    "a dear mine": {"mining_cost": 400.0},
    "no haulage, dear water": {"haulage_cost": 0.0, "water_price": 1.0},
    "a contract": {"job": "contract"},
}


@pytest.mark.parametrize("plan", PLANS)
def test_the_largest_costs_stand_first(plan):
    """Equal costs keep the order of the table, and a cost of zero has no name."""
    values = run(PLANS[plan])
    costs = pd.Series(values["component_cost"], COMPONENT.values)
    if values["job"] == "contract":
        costs[list(OF_THE_MINE)] = 0.0
    wanted = costs.sort_values(ascending=False, kind="stable")[: len(COST_RANK.values)]
    assert values["ranked_cost"].tolist() == wanted.tolist()
    names = [name if cost > 0 else "" for name, cost in wanted.items()]
    assert values["ranked_component"].tolist() == names
    assert (costs == 0).sum() > 1  # ties
