"""Operating cost per ton, by component.

A component is one function for its cost per ton, per running hour, per staffed hour,
per working month or per calendar month. Three lines follow from it: the unit rate, the
cost per ton in a full year, and the row of the cash flow.
"""

import functools
import inspect

import numpy as np

from ....trade import wear
from ...line import Section, first_sentence

overtime = Section("Cost per ton", "Overtime")
rates = Section("Cost per ton", "Unit rates")
per_ton = Section("Cost per ton", "Operating cost per ton, full year")
split = Section("Cost per ton", "Totals")
by_weight = Section("Cost per ton", "Mill's cost by weight on the customer's ore")
paid = Section("Cash flow", "Operating cost")


@overtime.line("Staffed hours per shift", "hour/day")
def shift_hours(hours_per_day, shifts):
    """Of each person, on a working day."""
    return hours_per_day / shifts


@overtime.line("Hours per person and week", "hour/week")
def week_hours(shift_hours, days_per_month, weeks_in_month):
    """Working days spread evenly over the month, one shift per day for each person."""
    return shift_hours * days_per_month / weeks_in_month


@overtime.line("Wage with overtime over wage")
def overtime_factor(week_hours, overtime_limit, overtime_multiple):
    """Hours beyond the weekly limit cost the multiple."""
    beyond = np.maximum(week_hours - overtime_limit, 0)
    return 1 + (overtime_multiple - 1) * beyond / week_hours


def ton_for_ton(rate):
    """Already per ton."""
    return rate


def hour_for_ton(rate, feed_rate):
    """Spread over the tons of an hour."""
    return rate / feed_rate


def staffed_hour_for_ton(rate, feed_rate, availability):
    """Spread over the tons of a staffed hour."""
    return rate / (feed_rate * availability)


def working_month_for_ton(rate, tons_per_month):
    """Spread over the tons of a full working month."""
    return rate / tons_per_month


def month_for_ton(rate, months_per_year, tons_per_year):
    """Twelve months spread over the tons of a full season."""
    return rate * months_per_year / tons_per_year


def paid_by(rate, driver, level):
    """Rate times quantity, at the price level of the month."""
    return rate * driver * level


BASES = {
    # basis: (unit of the rate, conversion to cost per ton, row of quantities)
    "ton": ("$/ton", ton_for_ton, "ore_milled"),
    "hour": ("$/hour", hour_for_ton, "hours_run"),
    "staffed hour": ("$/hour", staffed_hour_for_ton, "hours_staffed"),
    "working month": ("$/month", working_month_for_ton, "working"),
    "open month": ("$/month", month_for_ton, "open_for_work"),
    "month": ("$/month", month_for_ton, "site_held"),
}
"""Open months are those from the end of construction to closure; months are those from
the start, since permits cost money before there is a mill."""

VARIABLE = ("ton", "hour", "staffed hour")
"""Bases in proportion to the tons milled."""
FIXED = tuple(basis for basis in BASES if basis not in VARIABLE)


STAGES = ("mine", "mill", "hired mill", "site")


def scaled(function, count):
    """A component's function, with some factors as its last arguments."""

    @functools.wraps(function)
    def rate(*values):
        return functools.reduce(
            np.multiply, values[-count:], function(*values[:-count])
        )

    return rate


def component(label, stage, basis, level="price_level"):
    """Enter the decorated function as a component of the operating cost.

    Parameters
    ----------
    label : str
    stage : {"mine", "mill", "hired mill", "site"}
        Stage that causes the cost: the mine up to the mill's gate, the owner's mill,
        a mill that is hired instead, the site.
    basis : {"ton", "hour", "staffed hour", "working month", "open month", "month"}
        Basis of payment.
    level : {"price_level", "wage_level", "energy_level"}
        Price level of the component.
    """
    unit, to_ton, driver = BASES[basis]

    def enter(function):
        name = function.__name__
        parameters = tuple(inspect.signature(function).parameters)
        note = first_sentence(function)
        factors = ("operating_cost_factor", *["own_mill"] * (stage == "mill"))
        kind = {"stage": stage, "paid_by": basis}
        rates.line(
            f"{label}, unit rate",
            unit,
            name=name,
            reads=(*parameters, *factors),
            note=note,
            **kind,
        )(scaled(function, len(factors)))
        others = tuple(inspect.signature(to_ton).parameters)[1:]
        per_ton.line(
            label,
            "$/ton",
            name=f"{name}_per_ton",
            reads=(name, *others),
            note=f"{stage.capitalize()} cost, paid per {basis}.",
        )(to_ton)
        paid.monthly(
            label,
            "$",
            name=f"{name}_paid",
            reads=(name, driver, level),
            total=True,
            note=f"Paid per {basis}.",
        )(paid_by)
        return function

    return enter


@component("Mining", "mine", "ton")
def cost_of_mining(mining_cost):
    """Ore delivered to the surface."""
    return mining_cost


@component("Haulage", "mine", "ton")
def cost_of_haulage(haulage_cost, wet_per_dry):
    """Mine to mill, on wet weight."""
    return haulage_cost * wet_per_dry


@component("Hired mill", "hired mill", "ton")
def cost_of_hired_mill(toll_charge, own_mill):
    """All charges of a mill that is hired; its share of the gold is not among them."""
    return toll_charge * (1 - own_mill)


@component("Crew", "mill", "staffed hour", "wage_level")
def cost_of_crew(crew, wage, burden, overtime_factor):
    """Operators, wage, burden, overtime; staffed hours, with or without feed."""
    return crew * wage * (1 + burden) * overtime_factor


@component("Energy", "mill", "ton", "energy_level")
def cost_of_energy(
    energy_source, energy_bill, tons_per_month, energy_per_ton, energy_price
):
    """Energy bill, or grid energy or diesel from the motor loads."""
    by_motors = energy_per_ton * energy_price
    return np.where(energy_source == "bill", energy_bill / tons_per_month, by_motors)


@component("Purchased consumables", "mill", "ton")
def cost_of_consumables(consumables_source, consumables_bill, tons_per_month):
    """Balls, liners, jaw plates and hammers as purchased."""
    bought = consumables_bill / tons_per_month
    return np.where(consumables_source == "bought", bought, 0)


def by_wear(consumables_source, cost):
    """A cost by wear; zero if consumables are entered as purchased."""
    return np.where(consumables_source == "wear", cost, 0)


@component("Balls", "mill", "ton")
def cost_of_balls(mill_kind, ball_make_up, ball_price, consumables_source):
    """Ball consumption times ball price; ball mill only."""
    worn = np.where(mill_kind == "ball mill", ball_make_up * ball_price, 0)
    return by_wear(consumables_source, worn)


@component("Mill liners", "mill", "ton")
def cost_of_liners(mill_kind, liner_make_up, liner_price, consumables_source):
    """Liner consumption times liner price; ball mill only."""
    worn = np.where(mill_kind == "ball mill", liner_make_up * liner_price, 0)
    return by_wear(consumables_source, worn)


@component("Jaw plates", "mill", "ton")
def cost_of_jaws(
    abrasion_index,
    crushing_energy,
    jaw_price,
    kilograms_per_mass,
    consumables_source,
):
    """Wear by crushing energy times jaw plate price."""
    worn = wear.crusher_liner_wear(abrasion_index) * crushing_energy
    return by_wear(consumables_source, worn / kilograms_per_mass * jaw_price)


@component("Hammers and screens", "mill", "ton")
def cost_of_hammers(mill_kind, hammer_set_cost, hammer_life, consumables_source):
    """Cost per set over its life in tons; hammer mill only."""
    worn = np.where(mill_kind == "hammer mill", hammer_set_cost / hammer_life, 0)
    return by_wear(consumables_source, worn)


@component("Make-up water", "mill", "ton")
def cost_of_water(make_up_water, water_price):
    """Water that is not recycled."""
    return make_up_water * water_price


@component("Reagents and flux", "mill", "ton")
def cost_of_reagents(
    reagent_cost,
    first_concentrate,
    second_concentrate,
    dressing_ratio,
    flux_ratio,
    flux_price,
):
    """Small supplies, and flux for the concentrates melted."""
    melted = (first_concentrate + second_concentrate) * dressing_ratio
    return reagent_cost + melted * flux_ratio * flux_price


@component("Loader", "mill", "hour")
def cost_of_loader(loader_cost, loader_share):
    """Feeding the crusher and moving tailings."""
    return loader_cost * loader_share


@component("Tailings", "site", "ton")
def cost_of_tailings(tailings_cost, tailings, own_mill):
    """Placement and storage; a hired mill keeps its tailings."""
    return tailings_cost * tailings * own_mill


@component("Reclamation", "site", "ton")
def cost_of_reclamation(reclamation_cost):
    """Concurrent reclamation; excludes the bond."""
    return reclamation_cost


@component("Clean-up and melting", "mill", "working month", "wage_level")
def cost_of_cleanup(cleanup_hours, wage, burden):
    """Person-hours outside the milling hours."""
    return cleanup_hours * wage * (1 + burden)


@component("Demand charge", "mill", "working month", "energy_level")
def cost_of_demand(demand_by_motors, energy_source):
    """Grid power only; zero if the energy bill is entered."""
    return np.where(energy_source == "motors", demand_by_motors, 0)


@component("Assays", "mill", "working month")
def cost_of_assays(assay_price, assays_per_month):
    """Feed, tailings, concentrates and lots."""
    return assay_price * assays_per_month


@component("Fixed cost as one figure", "site", "month")
def cost_of_site(fixed_cost_source, fixed_cost):
    """Maintenance, insurance, permits and office; every month from the start."""
    return np.where(fixed_cost_source == "one figure", fixed_cost, 0)


def by_item(fixed_cost_source, cost):
    """An item of the fixed cost; zero if that is entered as one figure."""
    return np.where(fixed_cost_source == "itemised", cost, 0)


@component("Maintenance", "mill", "open month")
def cost_of_maintenance(
    equipment_value, maintenance_rate, months_per_year, fixed_cost_source
):
    """Share of equipment cost per year, wear parts excluded."""
    upkeep = equipment_value * maintenance_rate / months_per_year
    return by_item(fixed_cost_source, upkeep)


@component("Insurance", "site", "month")
def cost_of_insurance(insurance_cost, fixed_cost_source):
    """Construction and idle months included."""
    return by_item(fixed_cost_source, insurance_cost)


@component("Equipment rent", "mill", "open month")
def cost_of_rent(equipment_rent):
    """Machines rented, not bought."""
    return equipment_rent


@component("Permits and monitoring", "site", "month")
def cost_of_permits(permit_cost, fixed_cost_source):
    """Construction and idle months included."""
    return by_item(fixed_cost_source, permit_cost)


@component("Overhead", "site", "month")
def cost_of_overhead(overhead_cost, fixed_cost_source):
    """Office, camp, phone and accounts."""
    return by_item(fixed_cost_source, overhead_cost)


def components(stages=STAGES, bases=tuple(BASES)):
    """Names of the components of some stages that are paid on some bases."""
    return tuple(
        line.name
        for line in rates.lines
        if line.stage in stages and line.paid_by in bases
    )


def _named(names, ending):
    return tuple(name + ending for name in names)


per_ton.total(
    "cost_per_ton",
    "Operating cost per ton",
    "$/ton",
    _named(components(), "_per_ton"),
    note="Per ton milled in a full year; without capital.",
)
split.total(
    "mine_cost_per_ton",
    "Mining and haulage cost per ton",
    "$/ton",
    _named(components(("mine",)), "_per_ton"),
    note="Delivered to the mill.",
)
split.total(
    "milling_ton_rate",
    "Mill's cost per ton, by weight",
    "$/ton",
    components(("mill", "site"), ("ton",)),
    note="Energy, steel, water and tailings.",
)
split.total(
    "running_cost_per_ton",
    "Variable milling cost per ton",
    "$/ton",
    _named(components(STAGES[1:], VARIABLE), "_per_ton"),
    note="Mill and site costs paid by ton or by hour.",
)
split.total(
    "standing_cost_per_ton",
    "Fixed cost per ton",
    "$/ton",
    _named(components(bases=FIXED), "_per_ton"),
    note="Monthly costs over the tons of a full year.",
)


@split.line("Operating cost per running hour", "$/hour")
def cost_per_hour(cost_per_ton, feed_rate):
    """All operating cost over hours with feed."""
    return cost_per_ton * feed_rate


@split.line("Operating cost per year", "$/year")
def cost_per_year(cost_per_ton, tons_per_year):
    """At full output."""
    return cost_per_ton * tons_per_year


@split.line("Operating cost per ounce", "$/oz")
def cost_per_ounce(cost_per_ton, bullion_gold, kept_share):
    """Per ounce of the owner's fine gold in bullion."""
    return cost_per_ton / (bullion_gold * kept_share)


paid.total(
    "operating_cost",
    "Operating cost",
    "$",
    _named(components(), "_paid"),
    over="month",
    total=True,
)
