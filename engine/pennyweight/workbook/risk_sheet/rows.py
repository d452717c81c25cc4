"""The rows that fill the tables of the chance sheet, from a report."""

import textwrap

import numpy as np

from ...model.inputs import INPUTS
from ...model.units import shown
from ...risk.report import POINTS, share_label
from ...risk.sentences import caution, chances, judged, money_at_hand, trials_told

RANKED = 10
"""Inputs shown in the ranking and in the shares."""
COLUMNS = 48
"""Columns of the histogram."""
SAID, DRAWN = 5, 11
"""Lines of sentences that there is room for."""
LINE = 185
"""Letters of a sentence that fit across the sheet."""
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


def _lines(most, *sentences):
    lines = [[line] for text in sentences for line in textwrap.wrap(text, LINE)]
    more = [["More is in what the command prints."]]
    return lines if len(lines) <= most else lines[: most - 1] + more


def said_rows(report):
    """Sentences: how likely, how bad, how much money."""
    first = judged(report)
    first = f"{first[0].upper()}{first[1:]}."
    return _lines(SAID, first, *chances(report), money_at_hand(report))


def drawn_rows(report):
    """Sentences: how it was drawn."""
    return _lines(DRAWN, caution(), *trials_told(report))


def odds_rows(report):
    """Chances with their errors."""
    figures = [report.risk.figures[name] for name, _ in ODDS]
    return [[figure.value, figure.error] for figure in figures]


def quantiles_rows(report):
    """What a tenth, a half and nine tenths of the trials lie below."""
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


def ranked_rows(report):
    """Inputs by what they do alone, with their share of the variance."""
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


def knowing_rows(what):
    """Gain, cost and net by number of measures; gives the function for a kind."""

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


def contracts_rows(report):
    """Both sides of every kind of contract."""
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


def curves_rows(report):
    """Net present value on the way of each input from low to high."""
    rows = []
    for step in np.linspace(0, 1, POINTS):
        row = [step]
        for values, results in report.curves.values():
            way = (values - values[0]) / (values[-1] - values[0])
            (there,) = np.nonzero(np.isclose(way, step))
            worths = results["net_present_value"]
            row.append(worths[there[0]] if there.size else None)
        rows.append(row)
    return rows


def grid_rows(name):
    """A result over gold price and grade; gives the function for a result."""

    def rows(report):
        prices, grades, results = report.grid
        across = [None, *grades]
        return [across, *([p, *results[name][:, i]] for i, p in enumerate(prices))]

    return rows


def histogram_rows(report):
    """Columns of the trials."""
    edges, parts = report.risk.tallies["net_present_value"].histogram(COLUMNS)
    columns = (edges[:-1], edges[1:], parts, np.cumsum(parts))
    return [list(row) for row in zip(*columns, strict=True)]


def fan_rows(report):
    """Cumulative cash by month."""
    risk = report.risk
    planned = risk.planned["closing_owner"]
    return [
        [month, *levels, planned[month], -risk.funds]
        for month, levels in enumerate(risk.fan.T)
    ]
