"""The tables of the risk sheet: heads, formats, and the number of rows of each.

A spreadsheet cannot run the simulation: these cells have values that the engine enters
for the present inputs.
"""

from collections.abc import Callable
from dataclasses import dataclass

from ...model.axes import MONTHS
from ...model.mill import MODEL
from ...model.units import shown, worded
from ...risk.contracts import SIDES
from ...risk.funding_shortfall import SHORTFALL_LINES
from ...risk.report import CURVES, POINTS
from ...risk.sensitivity import GRADE_STEPS, PRICE_STEPS
from ..style import number_format
from . import rows

COUNTS = 7
"""Numbers of measurements in the tables of the value of information."""
MIXED = "[>=1000]#,##0;[>=10]0.0;0.0###"
"""For inputs of different units in one column."""
MONEY = "#,##0;[Red]-#,##0;0"


@dataclass(frozen=True)
class Table:
    """A table of the risk sheet.

    Attributes
    ----------
    name, title : str
    heads : tuple of str
        Of its columns; none for sentences.
    rows : int
        Its capacity.
    numbers : tuple of str
        Number format of each column.
    values : callable
        Gives the rows for a report; missing rows stay empty.
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
    title: str
    heads: tuple
    rows: int
    numbers: tuple
    values: Callable
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
    tables : list of Table
    """
    margin = shown("$/ton", units)
    return [
        Table("said", "Summary", (), rows.SAID, ("@",), rows.said_rows),
        Table(
            "odds",
            "",
            ("Outcome", "Probability", "SE"),
            len(rows.ODDS),
            ("0.0%", "0.00%"),
            rows.odds_rows,
            labels=tuple(worded(label, units) for _, label in rows.ODDS),
        ),
        _quantile_table(units),
        Table(
            "ranked",
            "Sensitivity",
            (
                "One input at a time",
                "Low",
                "Base case",
                "High",
                "NPV change at low, $",
                "NPV change at high, $",
                f"Margin at low, {margin}",
                f"Margin at high, {margin}",
                "Sobol' index: first-order",
                "Sobol' index: total",
            ),
            rows.RANKED,
            ("@", *[MIXED] * 3, *[MONEY] * 2, *["0.00"] * 2, *["0.0%"] * 2),
            rows.ranked_rows,
            "Sobol' index: share of the variance of NPV due to an input alone "
            "(first-order) and with its interactions (total). Correlated inputs count "
            "as one.",
            charts=("ranked", "shares", "curves", "fan"),
        ),
        Table(
            "measure_next",
            "Measure next",
            ("Input", "Low", "High", "NPV changes by, $"),
            rows.MEASURED,
            ("@", *[MIXED] * 2, MONEY),
            rows.measure_rows,
            "The ranges that move the plan most and that a measurement can narrow.",
        ),
        *(
            Table(
                f"information_{what.replace(' ', '_')}",
                title,
                (f"Additional {what}", "Gain, $", "Cost, $", "Net gain, $", ""),
                COUNTS + 1,
                ("@", MONEY, MONEY, MONEY, "@"),
                rows.information_rows(what),
                note,
            )
            for what, title, note in (
                (
                    "assays",
                    "Value of information, before the capital is committed",
                    "Expected gain of the better decision, less the cost.",
                ),
                ("test lots", "", ""),
            )
        ),
        _contract_table(margin),
        Table("drawn", "Method", (), rows.DRAWN, ("@",), rows.drawn_rows),
        *(
            Table(
                f"grid_{name}",
                title,
                (
                    f"Gold price, $/oz (down); {grade} (across)",
                    *[""] * len(GRADE_STEPS),
                ),
                len(PRICE_STEPS) + 1,
                ("#,##0", *[number] * len(GRADE_STEPS)),
                rows.grid_rows(name),
                rows_of_numbers=(number_format("grade", units),),
                wrapped=name == "verdict",
            )
            for grade in [f"grade in place, {shown('grade', units)}"]
            for name, title, number in (
                ("net_present_value", "Net present value, $", MONEY),
                ("margin_per_ton", f"Operating margin, {margin}", "0.00"),
                ("verdict", "Verdict", "@"),
            )
        ),
        Table(
            "histogram",
            "Chart data",
            ("NPV from, $", "To, $", "Share of trials", "Cumulative share"),
            rows.COLUMNS,
            ("#,##0", "#,##0", "0.0%", "0.0%"),
            rows.histogram_rows,
            "The first and the last row include all trials beyond them.",
        ),
        Table(
            "curves",
            "",
            ("Position from low to high; NPV, $", *[""] * CURVES),
            POINTS,
            ("0%", *[MONEY] * CURVES),
            rows.curves_rows,
        ),
        Table(
            "fan",
            "",
            (
                "Month; owner's cumulative cash, $",
                "P10",
                "Median",
                "P90",
                "Base case",
                "Cash available",
            ),
            MONTHS,
            ("0", *[MONEY] * 5),
            rows.fan_rows,
        ),
    ]


def _contract_table(margin):
    kinds = MODEL.axes["contract"].values
    return Table(
        "contracts",
        "Milling contracts: margin of each party",
        (
            f"Margin, {margin}",
            "Base case",
            "P10",
            "Median",
            "P90",
            "Mean",
            "SE of mean",
            "Probability of loss",
            "SE",
        ),
        2 * len(kinds),
        (*["0.00;[Red]-0.00"] * 6, "0.0%", "0.0%"),
        rows.contracts_rows,
        "For the lot on the sheet Contract. Ore, price and cost vary, the terms do "
        "not. Owner: after mining and haulage.",
        labels=tuple(f"{kind}: {side}" for kind in kinds for side in SIDES),
    )


def _quantile_table(units):
    lines = [MODEL.lines.get(name) for name in rows.QUANTILES]
    kinds = [line.unit if line else "month" for line in lines]
    return Table(
        "quantiles",
        "",
        (
            "Result",
            "P10",
            "Median",
            "P90",
            "Mean",
            "SE of median",
            "SE of mean",
            "Base case",
            "Unit",
        ),
        len(rows.QUANTILES),
        (),
        rows.quantiles_rows,
        labels=tuple(
            line.label if line else SHORTFALL_LINES[name].label
            for name, line in zip(rows.QUANTILES, lines, strict=True)
        ),
        units=tuple(shown(unit, units) for unit in kinds),
        charts=("histogram", "cumulative"),
        rows_of_numbers=tuple(number_format(unit, units) for unit in kinds),
    )
