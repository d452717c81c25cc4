"""The charts of the risk sheet, each over the rows of one table."""

from ...risk.report import CURVES
from ..chart import AXIS, GRID, LINED, NO_LEGEND, RANKS, bars, curve, draw_small
from ..style import BAD, INK, SERIES

VIOLET = "#8E6BB0"
"""A sixth line, which its neighbour in brick red could hide in red."""

MONEY, PERCENT = {"num_format": "#,##0"}, {"num_format": "0%"}
SHARE = {**PERCENT, "min": 0, "max": 1}
UP = {**LINED, **MONEY, "major_gridlines": GRID}
"""Vertical axis of money."""
RANKED = {**RANKS, "label_position": "low"}
ALONG = {**AXIS, "label_position": "high", "major_gridlines": GRID}
"""Horizontal axis of a bar chart with the first bar on top."""


def _column(sheet, at, column):
    """Range of a column of a table, for a chart."""
    return [sheet, at.top, column, at.last, column]


def _lines(package, title, series, x, y, **more):
    return draw_small(package, "scatter", title, series, x, y, sub="straight", **more)


def histogram(package, sheet, at, money):
    """Histogram of the net present value."""
    cells = (_column(sheet, at, column) for column in (0, 2))
    title, across = "Net present value: histogram", f"{money}, lower end of the column"
    x = {**LINED, **MONEY, "name": across, "interval_unit": 5, "interval_tick": 5}
    x["num_font"] = {**AXIS["num_font"], "rotation": -45}
    series = [bars("Share of trials", *cells, SERIES[1], gap=4)]
    up = {**UP, **PERCENT}
    return draw_small(package, "column", title, series, x, up, legend=NO_LEGEND)


def cumulative(package, sheet, at, money):
    """Cumulative distribution of the net present value."""
    cells = (_column(sheet, at, column) for column in (1, 3))
    series = [curve("Cumulative share of trials", *cells, SERIES[0], 2)]
    title = "Net present value: cumulative share of trials"
    x, y = {**LINED, **MONEY, "name": money}, {**AXIS, **SHARE, "major_gridlines": GRID}
    return _lines(package, title, series, x, y, legend=NO_LEGEND)


def fan(package, sheet, at, money):
    """The owner's cumulative cash: P10, median, P90 and base case."""
    months = _column(sheet, at, 0)
    series = [
        curve(label, months, _column(sheet, at, column), colour, dash=dash)
        for column, label, colour, dash in (
            (1, "P10", SERIES[3], "dash"),
            (2, "Median", SERIES[1], "solid"),
            (3, "P90", SERIES[2], "dash"),
            (4, "Base case", INK, "round_dot"),
            (5, "Cash available", BAD, "solid"),
        )
    ]
    title = f"Owner's cumulative cash, after tax and loan, {money}"
    x = {**AXIS, "name": "month", "min": 0, "max": 120, "major_unit": 12}
    return _lines(package, title, series, x, UP)


def curves(package, sheet, at, money):
    """Net present value along the inputs with the largest effects, one at a time."""
    places = _column(sheet, at, 0)
    series = [
        curve([sheet, at.head, column], places, _column(sheet, at, column), colour)
        for column, colour in enumerate((*SERIES, INK, VIOLET)[:CURVES], 1)
    ]
    title = f"Net present value, one input at a time, {money}"
    x = {**AXIS, **SHARE, "name": "position from the input's low to its high"}
    return _lines(package, title, series, x, UP)


def ranked_bars(package, sheet, at, money):
    """Tornado chart: net present value with one input at its low and at its high."""
    labels = _column(sheet, at, 0)
    series = [
        bars(label, labels, _column(sheet, at, column), colour, gap=40)
        for column, label, colour in (
            (4, "Input at its low", SERIES[3]),
            (5, "Input at its high", SERIES[1]),
        )
    ]
    title = "One input at a time (tornado)"
    x = {**ALONG, **MONEY, "name": f"change of net present value, {money}"}
    return draw_small(package, "bar", title, series, x, RANKED, sub="stacked")


def shares(package, sheet, at, money):
    """Sobol' indices by input."""
    labels = _column(sheet, at, 0)
    series = [
        bars(label, labels, _column(sheet, at, column), colour, gap=60, overlap=100)
        for column, label, colour in (
            (9, "Total", SERIES[2]),
            (8, "First-order", SERIES[0]),
        )
    ]
    title = "Sobol' indices of the net present value"
    x, y = {**ALONG, **PERCENT, "min": 0}, {**RANKED}
    y["num_font"] = {**RANKED["num_font"], "size": 8}
    chart = draw_small(package, "bar", title, series, x, y)
    # Room for long labels: a program that wraps them omits every second one.
    chart.set_plotarea({"layout": {"x": 0.46, "y": 0.13, "width": 0.5, "height": 0.66}})
    return chart


CHARTS = {
    # name of a chart: the table that it shows, and the function that draws it
    "histogram": ("histogram", histogram),
    "cumulative": ("histogram", cumulative),
    "fan": ("fan", fan),
    "curves": ("curves", curves),
    "ranked": ("ranked", ranked_bars),
    "shares": ("ranked", shares),
}
