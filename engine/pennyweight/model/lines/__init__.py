"""The lines of the model, one folder per topic, in the order of the sheets."""

# isort: off
from .rock import ore
from .plant import plant, power
from .cash import timeline, revenue, income
from .cost import components
from .cash import capital, cash_flow, rate_of_return, answers, years, checks
from .rock import samples, test_lot
from .plant import mill_choice
from .contract import lot, sides, break_even, indifference, risk, tables
from .settlement import weights, money

__all__ = [
    "answers",
    "break_even",
    "capital",
    "cash_flow",
    "checks",
    "components",
    "income",
    "indifference",
    "lot",
    "mill_choice",
    "money",
    "ore",
    "plant",
    "power",
    "rate_of_return",
    "revenue",
    "risk",
    "samples",
    "sides",
    "tables",
    "test_lot",
    "timeline",
    "weights",
    "years",
]
