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
    "few costs": dict.fromkeys(
        (
            *("wage", "overhead_cost", "insurance_cost", "permit_cost", "loader_cost"),
            *("assay_price", "reagent_cost", "water_price", "reclamation_cost"),
        ),
        0.0,
    ),
}


def test_equal_costs_keep_the_order_of_the_table():
    """Tailings and reclamation are paid on unequal weights."""
    one = dict(zip(COMPONENT.values, run({})["component_cost"], strict=True))
    equal = 20.0 / one["Tailings"], 20.0 / one["Reclamation"]
    plan = run({})
    inputs = {
        "tailings_cost": float(plan["tailings_cost"]) * equal[0],
        "reclamation_cost": float(plan["reclamation_cost"]) * equal[1],
    }
    names = run(inputs)["ranked_component"].tolist()
    assert names.index("Reclamation") == names.index("Tailings") + 1


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
