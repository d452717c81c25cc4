"""The tables of the chance sheet: heads, formats, and as many rows as each can hold.

A spreadsheet cannot draw: these cells hold values that the engine enters for the
inputs of the moment.
"""

from collections.abc import Callable
from dataclasses import dataclass

from ...model.axes import MONTHS
from ...model.mill import MODEL
from ...model.units import shown
from ...risk.contracts import SIDES
from ...risk.report import CURVES, POINTS
from ...risk.sensitivity import GRADE_STEPS, PRICE_STEPS
from ..style import number_format
from .rows import (
    COLUMNS,
    DRAWN,
    ODDS,
    QUANTILES,
    RANKED,
    SAID,
    contracts_rows,
    curves_rows,
    drawn_rows,
    fan_rows,
    grid_rows,
    histogram_rows,
    knowing_rows,
    odds_rows,
    quantiles_rows,
    ranked_rows,
    said_rows,
)

COUNTS = 7
"""Numbers of measures for which the worth of knowing more is told."""
MIXED = "[>=1000]#,##0;[>=10]0.0;0.0###"
"""For inputs of any unit, one under the other."""
MONEY = "#,##0;[Red]-#,##0;0"


@dataclass(frozen=True)
class Table:
    """A table of the chance sheet.

    Attributes
    ----------
    name, title : str
    heads : tuple of str
        Of its columns; none for sentences.
    rows : int
        As many as it can hold.
    numbers : tuple of str
        Number format of each column.
    values : callable
        Gives the rows for a report; what they lack stays empty.
    note : str
    labels : tuple of str
        Fixed text in the first column; the rows of ``values`` then begin in the next.
    units : tuple of str
        Fixed text in the last column.
    charts : tuple of str
        Charts below the table, two side by side.
    rows_of_numbers : tuple of str
        Number format of each row, in place of the columns'.
    wrapped : bool
        Whether its cells hold words that need several lines.
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
        """Columns that hold figures."""
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
        Table("said", "How sure are we", (), SAID, ("@",), said_rows),
        Table(
            "odds",
            "",
            ("Chance that", "Share of the trials", "± standard error"),
            len(ODDS),
            ("0.0%", "0.00%"),
            odds_rows,
            labels=tuple(label for _, label in ODDS),
        ),
        _quantile_table(units),
        Table(
            "ranked",
            "What it hangs on",
            (
                "Input, moved alone",
                "Low",
                "Planned",
                "High",
                "NPV changes at low, $",
                "NPV changes at high, $",
                f"Margin at low, {margin}",
                f"Margin at high, {margin}",
                "Variance: alone",
                "Variance: with others",
            ),
            RANKED,
            ("@", *[MIXED] * 3, *[MONEY] * 2, *["0.00"] * 2, *["0.0%"] * 2),
            ranked_rows,
            "Share of the variance of the net present value that an input brings "
            "alone, and together with others; correlated inputs stand as one.",
            charts=("ranked", "shares", "curves", "fan"),
        ),
        *(
            Table(
                f"knowing_{what.replace(' ', '_')}",
                title,
                (f"More {what}", "Gain, $", "Cost, $", "Gain less cost, $", ""),
                COUNTS + 1,
                ("@", MONEY, MONEY, MONEY, "@"),
                knowing_rows(what),
                note,
            )
            for what, title, note in (
                (
                    "assays",
                    "What knowing more is worth, before the capital is committed",
                    "What the better decision gains on average, against its cost.",
                ),
                ("test lots", "", ""),
            )
        ),
        _contract_table(margin),
        Table("drawn", "How it was drawn", (), DRAWN, ("@",), drawn_rows),
        *(
            Table(
                f"grid_{name}",
                title,
                (f"Gold price, $/oz, down; {grade} across", *[""] * len(GRADE_STEPS)),
                len(PRICE_STEPS) + 1,
                ("#,##0", *[number] * len(GRADE_STEPS)),
                grid_rows(name),
                rows_of_numbers=(number_format("grade", units),),
                wrapped=name == "verdict",
            )
            for grade in [f"grade of the ore, {shown('grade', units)},"]
            for name, title, number in (
                ("net_present_value", "Net present value, $", MONEY),
                ("margin_per_ton", f"Margin of a ton, {margin}", "0.00"),
                ("verdict", "Verdict", "@"),
            )
        ),
        Table(
            "histogram",
            "Figures behind the charts",
            ("Net present value from, $", "to, $", "Share of the trials", "Below"),
            COLUMNS,
            ("#,##0", "#,##0", "0.0%", "0.0%"),
            histogram_rows,
            "The first and the last row hold all that lies beyond them.",
        ),
        Table(
            "curves",
            "",
            ("Way from low to high; NPV, $", *[""] * CURVES),
            POINTS,
            ("0%", *[MONEY] * CURVES),
            curves_rows,
        ),
        Table(
            "fan",
            "",
            (
                "Month; the owner's cumulative cash, $",
                "1 in 10 below",
                "Half below",
                "9 in 10 below",
                "As planned",
                "Money at hand",
            ),
            MONTHS + 1,
            ("0", *[MONEY] * 5),
            fan_rows,
        ),
    ]


def _contract_table(margin):
    kinds = MODEL.axes["contract"].values
    return Table(
        "contracts",
        "Milling contracts: what each kind leaves to either side",
        (
            f"Margin, {margin}",
            "As planned",
            "1 in 10 below",
            "Half below",
            "9 in 10 below",
            "Mean",
            "± of the mean",
            "Loses money",
            "± of that",
        ),
        2 * len(kinds),
        (*["0.00;[Red]-0.00"] * 6, "0.0%", "0.0%"),
        contracts_rows,
        "For a lot of the sheet Contract. The terms are agreed and stay; what is drawn "
        "is the ore, the price and the cost. Owner: after mining and haulage.",
        labels=tuple(f"{kind}: {side}" for kind in kinds for side in SIDES),
    )


def _quantile_table(units):
    lines = [MODEL.lines.get(name) for name in QUANTILES]
    kinds = [line.unit if line else "month" for line in lines]
    return Table(
        "quantiles",
        "",
        (
            "Over all trials",
            "1 in 10 below",
            "Half below",
            "9 in 10 below",
            "Mean",
            "± of the half",
            "± of the mean",
            "As planned",
            "Unit",
        ),
        len(QUANTILES),
        (),
        quantiles_rows,
        labels=tuple(
            line.label if line else "Month in which the money runs out"
            for line in lines
        ),
        units=tuple(shown(unit, units) for unit in kinds),
        charts=("histogram", "cumulative"),
        rows_of_numbers=tuple(number_format(unit, units) for unit in kinds),
    )
