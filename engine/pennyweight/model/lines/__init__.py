"""The lines of the model, one module per topic, in the order of the sheets."""

# isort: off
from . import rock, plant, power, timeline, returns, income, costs, capital, cash
from . import rate_of_return, answers, years, checks
from . import assays, test_lot, mill_choice

__all__ = [
    "answers",
    "assays",
    "capital",
    "cash",
    "checks",
    "costs",
    "income",
    "mill_choice",
    "plant",
    "power",
    "rate_of_return",
    "returns",
    "rock",
    "test_lot",
    "timeline",
    "years",
]
