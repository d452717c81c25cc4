"""The tables of the risk sheet: heads, formats, and the number of rows of each.

A spreadsheet cannot run the simulation, so the engine enters values for the present
inputs.
"""

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass

from ...model.axes import MONTHS
from ...model.mill_model import MODEL
from ...model.units import shown, worded
from ...risk.contracts import SIDES
from ...risk.funding_shortfall import SHORTFALL_LINES
from ...risk.report import CURVES, POINTS
from ...risk.sensitivity import GRADE_STEPS, PRICE_STEPS
from ...risk.sentences import SOBOL_INDEX, STANDARD_ERROR
from ...risk.value_of_information import COUNTS
from ..style import MONEY, number_format
from . import rows

MIXED = "[>=1000]#,##0;[>=10]0.0;0.0###"
"""Number format for inputs of different units in one column."""
PERCENTILES = ("P10", "Median", "P90")


@dataclass(frozen=True)
class RiskTable:
    """A table of the risk sheet.

    Attributes
    ----------
    name, title : str
    rows : int
        Its capacity.
    values : callable
        Gives the rows for a report; missing rows stay empty.
    heads : tuple of str
        Of its columns; none for sentences.
    numbers : tuple of str
        Number format of each column.
    note : str
    labels : tuple of str
        Fixed text in the first column; the rows of ``values`` begin in the next.
    units : tuple of str
        Fixed text in the last column.
    charts : tuple of str
        Charts below the table, two side by side.
    rows_of_numbers : tuple of str
        Number format of each row, instead of the columns.
    wrapped : bool
        Whether its cells have texts of several lines.
    """

    name: str
    title: str = ""
    _: KW_ONLY
    rows: int
    values: Callable
    heads: tuple = ()
    numbers: tuple = ("@",)
    note: str = ""
    labels: tuple = ()
    units: tuple = ()
    charts: tuple = ()
    rows_of_numbers: tuple = ()
    wrapped: bool = False

    @property
    def columns(self):
        """Columns with results."""
        width = max(len(self.heads), 1)
        return range(bool(self.labels), width - bool(self.units))


def tables(units):
    """Every table, from the top of the sheet down.

    Parameters
    ----------
    units : {"us", "metric"}

    Returns
    -------
    tables : list of RiskTable
    """
    margin = shown("$/ton", units)
    return [
        RiskTable("said", "Summary", rows=rows.SAID, values=rows.said_rows),
        _odds(units),
        _quantiles(units),
        _sensitivity(margin),
        MEASURE_NEXT,
        _information(
            "assays",
            "Value of information, before the capital is committed",
            "Expected gain of the better decision, less the cost.",
        ),
        _information("test lots"),
        _contracts(margin),
        RiskTable("drawn", "Method", rows=rows.DRAWN, values=rows.drawn_rows),
        _grid(units, "net_present_value", "Net present value, $", MONEY),
        _grid(units, "margin_per_ton", f"Operating margin, {margin}", "#,##0.00"),
        _grid(units, "verdict", "Verdict", "@", wrapped=True),
        HISTOGRAM,
        CURVES_TABLE,
        CASH,
    ]


def _odds(units):
    return RiskTable(
        "odds",
        heads=("Outcome", "Probability", "SE"),
        rows=len(rows.ODDS),
        numbers=("0.0%", "0.00%"),
        values=rows.odds_rows,
        labels=tuple(worded(label, units) for _, label in rows.ODDS),
        note=STANDARD_ERROR,
    )


def _quantiles(units):
    lines = [MODEL.lines.get(name) for name in rows.QUANTILES]
    kinds = [line.unit if line else "month" for line in lines]
    errors = "SE of median", "SE of mean"
    return RiskTable(
        "quantiles",
        heads=("Result", *PERCENTILES, "Mean", *errors, "Base case", "Unit"),
        rows=len(rows.QUANTILES),
        values=rows.quantiles_rows,
        labels=tuple(
            worded(line.label, units) if line else SHORTFALL_LINES[name].label
            for name, line in zip(rows.QUANTILES, lines, strict=True)
        ),
        units=tuple(shown(unit, units) for unit in kinds),
        charts=("histogram", "cumulative"),
        rows_of_numbers=tuple(number_format(unit, units) for unit in kinds),
    )


def _sensitivity(margin):
    worth = "NPV change at low, $", "NPV change at high, $"
    margins = f"Margin at low, {margin}", f"Margin at high, {margin}"
    indices = "Sobol' index: first-order", "Sobol' index: total"
    ends = "Low", "Base case", "High"
    return RiskTable(
        "ranked",
        "Sensitivity",
        heads=("One input at a time", *ends, *worth, *margins, *indices),
        rows=rows.RANKED,
        numbers=("@", *[MIXED] * 3, *[MONEY] * 2, *["#,##0.00"] * 2, *["0.0%"] * 2),
        values=rows.ranked_rows,
        note=f"{SOBOL_INDEX} Correlated inputs count as one. Empty: below 2% of the "
        "largest effect.",
        charts=("ranked", "shares", "curves", "fan"),
    )


MEASURE_NEXT = RiskTable(
    "measure_next",
    "Measure next",
    heads=("Input", "Low", "High", "NPV changes by, $"),
    rows=rows.MEASURED,
    numbers=("@", *[MIXED] * 2, MONEY),
    values=rows.measure_rows,
    note="The ranges that move the plan most and that a measurement can narrow. The "
    "change is from low to high; what a measurement gains: see Value of information.",
)


def _information(what, title="", note=""):
    return RiskTable(
        f"information_{what.replace(' ', '_')}",
        title,
        heads=(f"Additional {what}", "Gain, $", "Cost, $", "Net gain, $", ""),
        rows=len(COUNTS) + 2,
        numbers=("@", MONEY, MONEY, MONEY, "@"),
        values=rows.information_rows(what),
        note=note,
    )


def _contracts(margin):
    kinds = MODEL.axes["contract"].values
    measures = "Mean", "SE of mean", "Probability of loss", "SE"
    return RiskTable(
        "contracts",
        "Milling contracts: margin of each party",
        heads=(f"Margin, {margin}", "Base case", *PERCENTILES, *measures),
        rows=2 * len(kinds),
        numbers=(*["#,##0.00;[Red]-#,##0.00"] * 6, "0.0%", "0.0%"),
        values=rows.contracts_rows,
        note="For the lot on the sheet Contract. Ore, price and cost vary, the terms "
        "do not. Owner: after mining and haulage.",
        labels=tuple(f"{kind}: {side}" for kind in kinds for side in SIDES),
    )


def _grid(units, name, title, number, wrapped=False):
    grade = f"grade in place, {shown('grade', units)}"
    across = len(GRADE_STEPS)
    return RiskTable(
        f"grid_{name}",
        title,
        heads=(f"Gold price, $/oz (down); {grade} (across)", *[""] * across),
        rows=len(PRICE_STEPS) + 1,
        numbers=("#,##0", *[number] * across),
        values=rows.grid_rows(name),
        rows_of_numbers=(number_format("grade", units),),
        wrapped=wrapped,
    )


HISTOGRAM = RiskTable(
    "histogram",
    "Chart data",
    heads=("NPV from, $", "To, $", "Share of trials", "Cumulative share"),
    rows=rows.COLUMNS,
    numbers=("#,##0", "#,##0", "0.0%", "0.0%"),
    values=rows.histogram_rows,
    note="The first and the last row include all trials beyond them.",
)
CURVES_TABLE = RiskTable(
    "curves",
    heads=("Position from low to high; NPV, $", *[""] * CURVES),
    rows=POINTS,
    numbers=("0%", *[MONEY] * CURVES),
    values=rows.curves_rows,
)
CASH = RiskTable(
    "fan",
    heads=(
        "Month; owner's cumulative cash, $",
        *PERCENTILES,
        "Base case",
        "Cash available",
    ),
    rows=MONTHS,
    numbers=("0", *[MONEY] * 5),
    values=rows.fan_rows,
)
