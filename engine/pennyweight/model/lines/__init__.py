"""The lines of the model, one folder per topic, in the order of the sheets."""

# isort: off
from .rock import ore, grind
from .plant import crushing, grinding, separation, throughput, power, flows
from .cash import timeline, revenue, income
from .cost import components
from .cash import capital, cash_flow, answers, years, tax
from .cash import ounce, funding, rate_of_return
from .cash import partners, partner_waterfall, partner_results, checks
from .plant import cautions
from .rock import samples, test_lot
from .plant import mill_choice
from .contract import charges, lot, sides, break_even, risk, tables
from .settlement import weights, money

MODULES = (
    ore,
    grind,
    crushing,
    grinding,
    separation,
    throughput,
    power,
    flows,
    timeline,
    revenue,
    income,
    components,
    capital,
    cash_flow,
    answers,
    years,
    tax,
    ounce,
    funding,
    rate_of_return,
    partners,
    partner_waterfall,
    partner_results,
    checks,
    cautions,
    samples,
    test_lot,
    mill_choice,
    charges,
    lot,
    sides,
    break_even,
    risk,
    tables,
    weights,
    money,
)
"""In the order of their sections on the sheets."""
