"""The lines of the model, one folder per topic, in the order of the sheets."""

# ruff: noqa: F401  (the model finds its lines here)
# isort: off
from types import ModuleType

from .rock import ore
from .plant import crushing, grinding, separation, throughput, power, flows
from .cash import timeline, revenue, income
from .rock import grind
from .cost import components
from .cash import capital, cash_flow, answers, years, tax
from .cash import ounce, funding, rate_of_return
from .cash import partners, partner_waterfall, partner_results
from .cash import checks, check_workings
from .plant import cautions
from .cost import ranking
from .rock import samples, test_lot
from .plant import mill_choice
from .contract import charges, lot, sides, break_even, risk
from .settlement import weights, money
from .contract import tables

MODULES = [
    value
    for value in [*globals().values()]
    if isinstance(value, ModuleType) and not hasattr(value, "__path__")
]
"""Modules in the order of import, which is the order of their sections."""
