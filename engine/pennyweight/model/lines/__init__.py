"""The lines of the model, one module per topic, in the order of the sheets."""

# isort: off
from . import rock, plant, power, timeline, returns, income, costs, capital, cash
from . import rate_of_return, answers, years, checks
from . import assays, test_lot, mill_choice
from . import contract, contract_sides, contract_even
from . import contract_equal, contract_risk, contract_tables, settle, settle_money

__all__ = [
    "answers",
    "assays",
    "capital",
    "cash",
    "checks",
    "contract",
    "contract_equal",
    "contract_even",
    "contract_risk",
    "contract_sides",
    "contract_tables",
    "costs",
    "income",
    "mill_choice",
    "plant",
    "power",
    "rate_of_return",
    "returns",
    "rock",
    "settle",
    "settle_money",
    "test_lot",
    "timeline",
    "years",
]
