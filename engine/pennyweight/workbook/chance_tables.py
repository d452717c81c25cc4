"""The tables of the chance sheet: as many rows as each can hold, and what fills them.

A spreadsheet cannot draw: these cells hold values that the engine enters for the
inputs of the moment.
"""

import textwrap
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..chance.contracts import SIDES
from ..chance.report import CURVES, POINTS, share_label
from ..chance.sensitivity import GRADE_STEPS, PRICE_STEPS
from ..chance.words import caution, chances, judged, money_at_hand, trials_told
from ..model.axes import AXES, MONTHS
from ..model.inputs import INPUTS
from ..model.line import LINES
from ..model.units import shown
from .style import number_format

RANKED = 10
"""Inputs shown in the ranking and in the shares."""
COLUMNS = 48
"""Columns of the histogram."""
COUNTS = 7
"""Numbers of measures for which the worth of knowing more is told."""
LINE = 185
"""Letters of a sentence that fit across the sheet."""
MIXED = "[>=1000]#,##0;[>=10]0.0;0.0###"
"""For inputs of any unit, one under the other."""
MONEY = "#,##0;[Red]-#,##0;0"

ODDS = (
    ("pays", "The claim pays: its running cost and its capital"),
    ("margin_positive", "A ton brings more than it costs"),
    ("worth_it", "The net present value is not below zero"),
    ("runs_short", "The money at hand runs out"),
    ("never_back", "The money never comes back within the plan"),
)
QUANTILES = (
    "net_present_value",
    "margin_per_ton",
    "life_cash",
    "peak_funding",
    "internal_rate",
    "payback_month",
    "shortage_month",
)
ENDINGS = ("p10", "p50", "p90", "mean")


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
        Table("said", "How sure are we", (), 5, ("@",), _said),
        Table(
            "odds",
            "",
            ("Chance that", "Share of the trials", "± standard error"),
            len(ODDS),
            ("0.0%", "0.00%"),
            _odds,
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
            _ranked,
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
                _knowing(what),
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
        Table("drawn", "How it was drawn", (), 11, ("@",), _drawn),
        *(
            Table(
                f"grid_{name}",
                title,
                (f"Gold price, $/oz, down; {grade} across", *[""] * len(GRADE_STEPS)),
                len(PRICE_STEPS) + 1,
                ("#,##0", *[number] * len(GRADE_STEPS)),
                _grid(name),
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
            _histogram,
            "The first and the last row hold all that lies beyond them.",
        ),
        Table(
            "curves",
            "",
            ("Way from low to high; NPV, $", *[""] * CURVES),
            POINTS + 1,
            ("0%", *[MONEY] * CURVES),
            _curves,
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
            _fan,
        ),
    ]


def _contract_table(margin):
    kinds = AXES["contract"].values
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
        _contracts,
        "For a lot of the sheet Contract. The terms are agreed and stay; what is drawn "
        "is the ore, the price and the cost. Owner: after mining and haulage.",
        labels=tuple(f"{kind}: {side}" for kind in kinds for side in SIDES),
    )


def _quantile_table(units):
    lines = [LINES.get(name) for name in QUANTILES]
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
        _quantiles,
        labels=tuple(
            line.label if line else "Month in which the money runs out"
            for line in lines
        ),
        units=tuple(shown(unit, units) for unit in kinds),
        charts=("histogram", "cumulative"),
        rows_of_numbers=tuple(number_format(unit, units) for unit in kinds),
    )


def _lines(*sentences):
    return [[line] for text in sentences for line in textwrap.wrap(text, LINE)]


def _said(report):
    first = judged(report)
    return _lines(
        f"{first[0].upper()}{first[1:]}.", *chances(report), money_at_hand(report)
    )


def _drawn(report):
    return _lines(*trials_told(report), caution())


def _odds(report):
    figures = [report.risk.figures[name] for name, _ in ODDS]
    return [[figure.value, figure.error] for figure in figures]


def _quantiles(report):
    risk = report.risk

    def figure(name, part="value"):
        return getattr(risk.figures[name], part) if name in risk.figures else None

    return [
        [
            *(figure(f"{name}_{ending}") for ending in ENDINGS),
            figure(f"{name}_p50", "error"),
            figure(f"{name}_mean", "error"),
            float(risk.planned[name]) if name in risk.planned else None,
        ]
        if f"{name}_p50" in risk.figures
        else ["not drawn"]
        for name in QUANTILES
    ]


def _ranked(report):
    result = "net_present_value"
    planned = float(report.risk.planned[result])
    shares = {share.names[0]: share for share in report.shares}
    ranked = [effect for effect in report.risk.ranked if effect.size(result) > 0]
    rows = [
        [share_label(share), *[None] * 7, share.alone, share.total]
        for name, share in shares.items()
        if name not in INPUTS
    ]
    for effect in ranked:
        share, entry = shares.get(effect.name), INPUTS[effect.name]
        unit = shown(entry.unit, report.study.units)
        ends = effect.at_low, effect.at_high
        rows.append(
            [
                f"{entry.label}, {unit}" if unit else entry.label,
                *(effect.low, effect.planned, effect.high),
                *(end[result] - planned for end in ends),
                *(end["margin_per_ton"] for end in ends),
                *((share.alone, share.total) if share else ()),
            ]
        )
    return rows[:RANKED]


def _knowing(what):
    def rows(report):
        knowing = report.knowing.get(what)
        if knowing is None:
            return [[f"Nothing uncertain that {what} tell of."]]
        columns = (knowing.counts, knowing.gains, knowing.costs, knowing.net)
        counted = [
            [str(row[0]), *row[1:], "the best number" if row[0] == knowing.best else ""]
            for row in zip(*columns, strict=True)
        ]
        return [*counted, ["knowing it exactly", knowing.perfect]]

    return rows


def _contracts(report):
    return [
        [
            how.planned,
            *(figure.value for figure in (how.p10, how.p50, how.p90, how.mean)),
            how.mean.error,
            how.loses.value,
            how.loses.error,
        ]
        for sides in report.contracts.values()
        for how in sides.values()
    ]


def _curves(report):
    """Each input's label, then the net present value on its way from low to high."""
    rows = [[None, *(INPUTS[name].label for name in report.curves)]]
    for step in np.linspace(0, 1, POINTS):
        row = [step]
        for values, results in report.curves.values():
            way = (values - values[0]) / (values[-1] - values[0])
            (there,) = np.nonzero(np.isclose(way, step))
            worths = results["net_present_value"]
            row.append(worths[there[0]] if there.size else None)
        rows.append(row)
    return rows


def _grid(name):
    def rows(report):
        prices, grades, results = report.grid
        across = [None, *grades]
        return [across, *([p, *results[name][:, i]] for i, p in enumerate(prices))]

    return rows


def _histogram(report):
    edges, parts = report.risk.tallies["net_present_value"].histogram(COLUMNS)
    columns = (edges[:-1], edges[1:], parts, np.cumsum(parts))
    return [list(row) for row in zip(*columns, strict=True)]


def _fan(report):
    risk = report.risk
    planned = risk.planned["closing_owner"]
    return [
        [month, *levels, planned[month], -risk.funds]
        for month, levels in enumerate(risk.fan.T)
    ]
