"""Forecast of a month and of the rest of the season, as planned and as learned."""

import pandas as pd

from ..model.currency import in_currency
from ..model.run import run
from ..model.units import CONSTANTS, shown
from .actuals import all_months, are_months

MONTH_PLANNED = (
    "a full working month of the plan, without ramp-up, with one month's fixed costs"
)
LOT_PLANNED = (
    "the plan's income and cost of the lot's tons, without costs paid by the month"
)
MONTH_IS = (
    "A working month: at full output, with its share of the idle months' fixed costs."
)
FORECAST = (
    # label, unit, line per ton of ore
    ("Ore milled", "ton", ""),
    ("Gold produced", "oz", "bullion_gold"),
    ("Net return", "$", "net_return_per_ton"),
    ("Operating cost", "$", "cost_per_ton"),
    ("Operating margin", "$", "margin_per_ton"),
)


def planned_is(actuals):
    """What stands under Planned for months and for lots, in sentences."""
    months = are_months(actuals)
    told = [MONTH_PLANNED] if months.any() else []
    told += [] if months.all() else [LOT_PLANNED]
    return (
        f"Planned: {'; for a lot, '.join(told)}. To compare with other hours, give the "
        "column planned_hours."
    )


def rest_of_season(inputs, plan, actuals):
    """Working months that remain of the season, and how they are counted.

    Parameters
    ----------
    inputs : mapping
    plan : dict
    actuals : pandas.DataFrame

    Returns
    -------
    months : float
    sentence : str
    """
    season = float(inputs["season_months"])
    if all_months(actuals):
        last = actuals["period"].iloc[-1]
        year = CONSTANTS["months_per_year"][-1]
        since = (int(last[-2:]) - inputs["season_start"]) % year
        months = max(season - 1 - since, 0.0)
        return months, (
            f"Rest of season: {months:g} months from the month after {last} to the "
            "last month of the season."
        )
    months = max(season - actuals["hours"].sum() / plan["hours_per_month"], 0.0)
    return months, (
        f"Rest of season: {months:.1f} months, the hours of the season that the lots "
        "have not used. Lots have no dates: hours lost count as still to come."
    )


def forecast(inputs, learned, units, months):
    """Forecast of a full working month, and of the rest of the season.

    Parameters
    ----------
    inputs : mapping
        Of the plan.
    learned : mapping
        Inputs that make the plan use the learned values.
    units : {"us", "metric"}
    months : float
        That remain of the season.

    Returns
    -------
    frame : pandas.DataFrame
    """
    wanted = ["tons_per_month"]
    wanted += [line for _, _, line in FORECAST if line]
    runs = [run({**inputs, **more}, units, wanted=wanted) for more in ({}, learned)]
    rows = []
    for label, unit, line in FORECAST:
        planned, found = (
            float(values["tons_per_month"] * (values[line] if line else 1.0))
            for values in runs
        )
        rows.append(
            {
                "row": label,
                "unit": in_currency(shown(unit, units), inputs["currency"]),
                "planned": planned,
                "forecast": found,
                "planned_rest": planned * months,
                "forecast_rest": found * months,
            }
        )
    return pd.DataFrame(rows)
