"""The charts of the risk sheet, each over the rows of one table."""

from ...risk.report import CURVES
from ..charts import GRID, HEIGHT, WIDTH
from ..style import BAD, FONT, INK, RULE, SERIES

FONT_SMALL = {"name": FONT, "size": 9, "color": INK}


def dressed(chart, title, across, up, number="#,##0", legend=True, up_number=None):
    """Give a chart its title, axes and size."""
    # The rows are hidden until they are filled; LibreOffice lets go of such cells.
    chart.show_hidden_data()
    chart.set_title({"name": title, "name_font": {**FONT_SMALL, "size": 12}})
    axis = {
        "num_font": FONT_SMALL,
        "name_font": FONT_SMALL,
        "line": {"color": RULE},
        "label_position": "low",
    }
    grid = {"visible": True, "line": GRID}
    chart.set_x_axis({**axis, "name": across, "num_format": number})
    chart.set_y_axis(
        {
            **axis,
            "name": up,
            "num_format": up_number or number,
            "major_gridlines": grid,
        }
    )
    below = {"position": "bottom", "font": FONT_SMALL}
    chart.set_legend(below if legend else {"none": True})
    chart.set_size({"width": WIDTH, "height": HEIGHT})
    return chart


def _column(sheet, at, column):
    """A column of a table, as a chart wants it."""
    return [sheet, at.top, column, at.last, column]


def histogram(book, sheet, at):
    """Histogram of the net present value."""
    chart = book.add_chart({"type": "column"})
    chart.add_series(
        {
            "name": "Share of trials",
            "categories": _column(sheet, at, 0),
            "values": _column(sheet, at, 2),
            "fill": {"color": SERIES[1]},
            "gap": 4,
        }
    )
    dressed(
        chart,
        "Net present value: histogram",
        "$, lower end of the column",
        "",
        legend=False,
        up_number="0%",
    )
    chart.set_x_axis(
        {
            "name": "$, lower end of the column",
            "num_font": {**FONT_SMALL, "rotation": -45},
            "name_font": FONT_SMALL,
            "num_format": "#,##0",
            "label_position": "low",
            "interval_unit": 5,
            "interval_tick": 5,
            "line": {"color": RULE},
        }
    )
    return chart


def cumulative(book, sheet, at):
    """Cumulative distribution of the net present value."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    chart.add_series(
        {
            "name": "Cumulative share of trials",
            "categories": _column(sheet, at, 1),
            "values": _column(sheet, at, 3),
            "line": {"color": SERIES[0], "width": 2},
        }
    )
    dressed(
        chart,
        "Net present value: cumulative share of trials",
        "$",
        "",
        legend=False,
        up_number="0%",
    )
    chart.set_y_axis(
        {
            "min": 0,
            "max": 1,
            "num_format": "0%",
            "num_font": FONT_SMALL,
            "label_position": "low",
            "major_gridlines": {"visible": True, "line": GRID},
        }
    )
    return chart


def fan(book, sheet, at):
    """The owner's cumulative cash: P10, median, P90 and base case."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    for column, label, colour, dash in (
        (1, "P10", SERIES[3], "dash"),
        (2, "Median", SERIES[1], "solid"),
        (3, "P90", SERIES[2], "dash"),
        (4, "Base case", INK, "round_dot"),
        (5, "Cash available", BAD, "solid"),
    ):
        chart.add_series(
            {
                "name": label,
                "categories": _column(sheet, at, 0),
                "values": _column(sheet, at, column),
                "line": {"color": colour, "width": 1.75, "dash_type": dash},
            }
        )
    dressed(chart, "Owner's cumulative cash, after tax and loan, $", "month", "")
    chart.set_x_axis(
        {
            "name": "month",
            "min": 0,
            "max": 120,
            "major_unit": 12,
            "num_font": FONT_SMALL,
            "name_font": FONT_SMALL,
            "label_position": "low",
        }
    )
    return chart


def curves(book, sheet, at):
    """Net present value along the inputs with the largest effects, one at a time."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    for column, colour in enumerate((*SERIES, INK, BAD)[:CURVES], 1):
        chart.add_series(
            {
                "name": [sheet, at.head, column],
                "categories": _column(sheet, at, 0),
                "values": _column(sheet, at, column),
                "line": {"color": colour, "width": 1.75},
            }
        )
    dressed(chart, "Net present value, one input at a time, $", "", "")
    chart.set_x_axis(
        {
            "name": "position from the input's low to its high",
            "min": 0,
            "max": 1,
            "num_format": "0%",
            "num_font": FONT_SMALL,
            "name_font": FONT_SMALL,
            "label_position": "low",
        }
    )
    return chart


def ranked_bars(book, sheet, at):
    """Tornado chart: net present value with one input at its low and at its high."""
    chart = book.add_chart({"type": "bar", "subtype": "stacked"})
    for column, label, colour in (
        (4, "Input at its low", SERIES[3]),
        (5, "Input at its high", SERIES[1]),
    ):
        chart.add_series(
            {
                "name": label,
                "categories": _column(sheet, at, 0),
                "values": _column(sheet, at, column),
                "fill": {"color": colour},
                "gap": 40,
            }
        )
    dressed(chart, "One input at a time (tornado)", "", "")
    chart.set_y_axis(
        {
            "reverse": True,
            "num_font": FONT_SMALL,
            "label_position": "low",
            "interval_unit": 1,
            "major_gridlines": {"visible": False},
        }
    )
    chart.set_x_axis(
        {
            "name": "change of net present value, $",
            "name_font": FONT_SMALL,
            "num_font": FONT_SMALL,
            "num_format": "#,##0",
            "label_position": "high",
            "major_gridlines": {"visible": True, "line": GRID},
        }
    )
    return chart


def shares(book, sheet, at):
    """Sobol' indices by input."""
    chart = book.add_chart({"type": "bar"})
    for column, label, colour in (
        (9, "Total", SERIES[2]),
        (8, "First-order", SERIES[0]),
    ):
        chart.add_series(
            {
                "name": label,
                "categories": _column(sheet, at, 0),
                "values": _column(sheet, at, column),
                "fill": {"color": colour},
                "gap": 60,
                "overlap": 100,
            }
        )
    dressed(chart, "Sobol' indices of the net present value", "", "")
    chart.set_y_axis(
        {
            "reverse": True,
            "num_font": {**FONT_SMALL, "size": 8},
            "label_position": "low",
            "interval_unit": 1,
            "major_gridlines": {"visible": False},
        }
    )
    chart.set_x_axis(
        {
            "num_font": FONT_SMALL,
            "num_format": "0%",
            "min": 0,
            "label_position": "high",
            "major_gridlines": {"visible": True, "line": GRID},
        }
    )
    # Room for long labels: a program that wraps them omits every second one.
    chart.set_plotarea({"layout": {"x": 0.46, "y": 0.13, "width": 0.5, "height": 0.66}})
    return chart


CHARTS = {
    # name of a chart: the table that it shows, and what draws it
    "histogram": ("histogram", histogram),
    "cumulative": ("histogram", cumulative),
    "fan": ("fan", fan),
    "curves": ("curves", curves),
    "ranked": ("ranked", ranked_bars),
    "shares": ("ranked", shares),
}
