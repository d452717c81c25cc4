"""Rows of the tables of the risk sheet, from a report."""

import textwrap

import numpy as np

from ...model.axes import MONTH
from ...model.inputs import INPUTS
from ...model.run import run
from ...risk.figures import MONEY, MONTHLY, OPTIONAL
from ...risk.report import POINTS
from ...risk.sensitivity import measure_next, turning
from ...risk.sentences import (
    caution,
    funding,
    main_results,
    method,
    probability_of_paying,
)
from ...risk.tables import NPV, RANKED, note_on
from ...risk.variance import PATH

MEASURED = 3
"""Number of inputs to measure next."""
COLUMNS = 48
"""Columns of the histogram."""
SAID, DRAWN = 5, 11
"""Lines available for sentences."""
LINE = 185
"""Characters of a sentence that fit across the sheet."""
ODDS = (
    ("pays", "Claim pays: operating cost and capital"),
    ("margin_positive", "Operating margin per ton is positive"),
    ("npv_not_negative", "Net present value is not negative"),
    ("funds_run_out", "Funding shortfall"),
    ("no_payback", "No payback within the plan"),
)
QUANTILES = (*MONEY, *OPTIONAL, *MONTHLY)
ENDINGS = ("p10", "p50", "p90", "mean")


def _lines(most, *sentences):
    lines = [[line] for text in sentences for line in textwrap.wrap(text, LINE)]
    more = [["The command pennyweight risk prints the rest."]]
    return lines if len(lines) <= most else lines[: most - 1] + more


def said_rows(report):
    """Sentences: probability that the claim pays, net present value, funding."""
    first = f"{probability_of_paying(report)}."
    return _lines(SAID, first, *main_results(report), funding(report))


def drawn_rows(report):
    """Sentences: the method."""
    return _lines(DRAWN, caution(), *method(report))


def odds_rows(report):
    """Probabilities with their standard errors."""
    figures = [report.risk.figures[name] for name, _ in ODDS]
    return [[figure.value, figure.error] for figure in figures]


def quantiles_rows(report):
    """P10, median, P90 and mean of the results."""
    return [_quantiles_row(report.risk, name) for name in QUANTILES]


def _quantiles_row(risk, name):
    if f"{name}_p50" not in risk.figures:
        return ["not calculated"]
    figures = {ending: risk.figures.get(f"{name}_{ending}") for ending in ENDINGS}
    row = [figure and figure.value for figure in figures.values()]
    row += [figures[ending] and figures[ending].error for ending in ("p50", "mean")]
    return [*row, float(risk.base_case[name]) if name in risk.base_case else None]


def ranked_rows(report):
    """Inputs by their effect one at a time, with their Sobol' indices."""
    planned = float(report.risk.base_case[NPV])
    indices = {index.names[0]: index for index in report.sobol_indices}
    ranked = [effect for effect in report.risk.ranked if effect.size(NPV) > 0]
    rows = [
        [index.label, *[None] * 7, index.first_order, index.total]
        for name, index in indices.items()
        if name == PATH
    ]
    for effect in ranked:
        row = _of_input(effect, report, effect.low, effect.base, effect.high)
        ends = effect.at_low, effect.at_high
        row += [end[NPV] - planned for end in ends]
        row += [end["margin_per_ton"] for end in ends]
        if index := indices.get(effect.name):
            row += [index.first_order, index.total]
        rows.append(row)
    return rows[:RANKED]


def _of_input(effect, report, *values):
    """Label and values of an input; one format serves all, so shares are in %."""
    label = effect.label(report.study.units)
    if INPUTS[effect.name].unit != "share":
        return [label, *values]
    return [f"{label}, %", *(100 * value for value in values)]


NOTHING_TURNS = "nothing: no figure alone turns the verdict"


def measure_rows(report):
    """Inputs to measure next, with their range and what it does to the plan."""
    study = report.study
    verdict = run(study.inputs, study.units, ["verdict"])["verdict"]
    if not turning(report.risk.ranked, verdict.item()):
        return [[NOTHING_TURNS]]
    return [
        [
            *_of_input(effect, report, effect.low, effect.high),
            abs(effect.at_high[NPV] - effect.at_low[NPV]),
        ]
        for effect in measure_next(report.risk.ranked, report.measured)[:MEASURED]
    ]


def information_rows(what):
    """Gain, cost and net gain by number of measurements; a function for each kind."""

    def rows(report):
        value = report.value_of_information.get(what)
        if value is None:
            return [[f"The input that {what} measure does not vary."]]
        columns = (value.counts, value.gains, value.costs, value.net)
        counted = [
            [str(row[0]), *row[1:], value.mark(row[0])]
            for row in zip(*columns, strict=True)
        ]
        perfect = ["Perfect information", value.perfect_information]
        return [*counted, perfect, [note_on(what, report)]]

    return rows


def contracts_rows(report):
    """Both parties under every contract type."""
    return [
        [
            how.base_case,
            *(figure.value for figure in (how.p10, how.p50, how.p90, how.mean)),
            how.mean.error,
            how.loss.value,
            how.loss.error,
        ]
        for sides in report.contracts.values()
        for how in sides.values()
    ]


def curves_rows(report):
    """Net present value as each input goes from low to high."""
    rows = []
    for step in np.linspace(0, 1, POINTS):
        row = [step]
        for values, results in report.curves.values():
            way = (values - values[0]) / (values[-1] - values[0])
            (there,) = np.nonzero(np.isclose(way, step))
            worths = results[NPV]
            row.append(worths[there[0]] if there.size else None)
        rows.append(row)
    return rows


def grid_rows(name):
    """A result by gold price and grade; a function for each result."""

    def rows(report):
        prices, grades, results = report.grid
        across = [None, *grades]
        return [across, *([p, *results[name][:, i]] for i, p in enumerate(prices))]

    return rows


def histogram_rows(report):
    """Columns of the histogram."""
    edges, parts = report.risk.histograms[NPV].columns(COLUMNS)
    columns = (edges[:-1], edges[1:], parts, np.cumsum(parts))
    return [list(row) for row in zip(*columns, strict=True)]


def fan_rows(report):
    """Cumulative cash by month."""
    risk = report.risk
    planned = risk.base_case["closing_owner"]
    return [
        [month, *levels, plan, -risk.funds]
        for month, levels, plan in zip(MONTH.values, risk.fan.T, planned, strict=True)
    ]
