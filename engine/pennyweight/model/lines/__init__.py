"""The lines of the model, one module per topic, in the order of the sheets."""

# isort: off
from . import rock, plant, power, timeline, returns, income, costs, capital, cash
from . import rate_of_return, answers, years, checks

__all__ = [
    "answers",
    "capital",
    "cash",
    "checks",
    "costs",
    "income",
    "plant",
    "power",
    "rate_of_return",
    "returns",
    "rock",
    "timeline",
    "years",
]
