"""The charts: cost by component, cumulative cash, margin by grade and by price."""

from ..model.jobs import rests_on
from ..model.mill import MODEL
from ..model.units import TON, shown
from .layout import layout
from .style import BAD, FONT, GOOD, INK, RULE, SERIES

WIDTH, HEIGHT = 560, 320
CONTRACT_ROWS = 10
"""Rows of the sheet that a chart of contracts covers."""
GRID = {"color": "#D8DEE2", "width": 0.75}


def _reference(sheet, *corners):
    return [sheet, *corners[0], *corners[-1]]


def line_range(name, *fixed):
    """Cells of a line as a chart wants them; ``fixed`` pins trailing axes."""
    place = layout().places[name]
    last = tuple(length - 1 for length in place.lengths)
    return _reference(place.sheet, place.at(*(0 for _ in last)), place.at(*last))


def axis_range(name):
    """Cells of the values of an axis."""
    place = layout().axes[name]
    return _reference(place.sheet, place.at(0), place.at(place.lengths[-1] - 1))


def _slice(name, axis, position):
    """Cells of a two-way table along one axis, at a position of the other."""
    place = layout().places[name]
    if axis == 0:
        ends = (place.at(0, position), place.at(place.lengths[0] - 1, position))
    else:
        ends = (place.at(position, 0), place.at(position, place.lengths[1] - 1))
    return _reference(place.sheet, *ends)


def _dressed(chart, title, x_title, y_title, legend=True):
    # Its cells may stand in rows that a workbook for one job hides.
    chart.show_hidden_data()
    font = {"name": "Calibri", "size": 9, "color": INK}
    chart.set_title({"name": title, "name_font": {**font, "size": 12, "bold": True}})
    grid = {"visible": True, "line": GRID}
    axis = {"num_font": font, "name_font": font, "line": {"color": RULE}}
    chart.set_x_axis({**axis, "name": x_title, "label_position": "low"})
    chart.set_y_axis(
        {**axis, "name": y_title, "major_gridlines": grid, "num_format": "#,##0"}
    )
    chart.set_legend({"position": "bottom", "font": font} if legend else {"none": True})
    chart.set_size({"width": WIDTH, "height": HEIGHT})
    return chart


def cost_chart(package, book):
    """Operating cost per ton by component, as bars; those that the job rests on."""
    needed, units = rests_on(book.inputs["job"])[0], book.units
    names = [name for name in MODEL.lines if name.endswith("_per_ton")]
    names = [name for name in names if name.startswith("cost_of_")]
    # The unneeded ones, of the mine, stand first; with none needed the sheet is hidden.
    names = [name for name in names if name in needed] or names
    places = [layout().places[name] for name in names]
    first, last = places[0], places[-1]
    chart = package.add_chart({"type": "bar"})
    chart.add_series(
        {
            "name": f"Operating cost per {TON[units]}",
            "categories": [first.sheet, first.row, 0, last.row, 0],
            "values": [first.sheet, first.row, 1, last.row, 1],
            "fill": {"color": SERIES[0]},
            "gap": 40,
        }
    )
    title = f"Operating cost per {TON[units]}, by component"
    _dressed(chart, title, "", "", legend=False)
    font = {"name": "Calibri", "size": 9, "color": INK}
    chart.set_y_axis(
        {
            "reverse": True,
            "num_font": font,
            "interval_unit": 1,
            "major_gridlines": {"visible": False},
        }
    )
    chart.set_x_axis(
        {
            "num_font": font,
            "num_format": "#,##0",
            "label_position": "high",
            "major_gridlines": {"visible": True, "line": GRID},
        }
    )
    chart.set_size({"width": WIDTH, "height": 2 * HEIGHT})
    return chart


def cash_chart(book, last):
    """Cumulative cash to the end of the work, with its low point."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    months = layout().axes["month"]
    across = _reference(months.sheet, months.at(0), months.at(last - 1))
    for name, label, colour in (
        ("closing_owner", "Owner's own money", SERIES[1]),
        ("closing_cash", "Before any loan", SERIES[0]),
        ("closing_discounted", "Discounted", SERIES[2]),
    ):
        chart.add_series(
            {
                "name": label,
                "categories": across,
                "values": _first(name, last),
                "line": {"color": colour, "width": 1.75},
                "marker": {"type": "none"},
            }
        )
    chart.add_series(
        {
            "name": "Lowest point",
            "categories": line_range("peak_funding_month"),
            "values": line_range("lowest_cash"),
            "marker": {
                "type": "circle",
                "size": 9,
                "fill": {"color": BAD},
                "border": {"color": BAD},
            },
            "line": {"none": True},
        }
    )
    _dressed(chart, "Cumulative cash after tax", "month", "$")
    font = {"name": "Calibri", "size": 9, "color": INK}
    chart.set_x_axis(
        {
            "name": "month",
            "min": 0,
            "max": 12 * -(-last // 12),
            "major_unit": 12,
            "num_font": font,
            "name_font": font,
            "label_position": "low",
        }
    )
    return chart


def grind_chart(book, units):
    """Operating margin per running hour by product size."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    chart.add_series(
        {
            "name": "Operating margin per running hour",
            "categories": line_range("grind_p80"),
            "values": line_range("grind_margin_per_hour"),
            "line": {"color": SERIES[2], "width": 1.75},
            "marker": {
                "type": "circle",
                "size": 5,
                "fill": {"color": SERIES[2]},
                "border": {"color": SERIES[2]},
            },
        }
    )
    return _dressed(
        chart,
        "Operating margin per running hour by grind",
        "product size P80, um",
        shown("$/hour", units),
        legend=False,
    )


def _first(name, last):
    """The cells of a row over the months up to one of them."""
    place = layout().places[name]
    return _reference(place.sheet, place.at(0), place.at(last - 1))


def _mark(chart, name, across, up, colour):
    """Mark one point of a chart by name."""
    chart.add_series(
        {
            "name": name,
            "categories": across,
            "values": up,
            "marker": {
                "type": "diamond",
                "size": 9,
                "fill": {"color": colour},
                "border": {"color": colour},
            },
            "line": {"none": True},
        }
    )


def margin_chart(book, units, by):
    """Operating margin per ton by grade or price, the other as planned."""
    today = {
        "grade": MODEL.axes["price_step"].values.index(1.0),
        "price": MODEL.axes["grade_step"].values.index(1.0),
    }[by]
    line = MODEL.lines[f"table_{by}"]
    chart = book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    colour = SERIES[1] if by == "grade" else SERIES[3]
    chart.add_series(
        {
            "name": f"Operating margin per {TON[units]}",
            "categories": line_range(line.name),
            "values": _slice("table_margin", 0 if by == "grade" else 1, today),
            "line": {"color": colour, "width": 1.75},
            "marker": {
                "type": "circle",
                "size": 5,
                "fill": {"color": colour},
                "border": {"color": colour},
            },
        }
    )
    zero = line_range("break_even_margin")
    if by == "price":
        _mark(
            chart, "Plan", line_range("gold_price"), line_range("margin_per_ton"), GOOD
        )
        _mark(chart, "Break-even", line_range("break_even_gold_price"), zero, BAD)
    else:
        _mark(
            chart,
            "Plan",
            line_range("planned_grade"),
            line_range("margin_per_ton"),
            GOOD,
        )
        _mark(chart, "Break-even", line_range("break_even_grade"), zero, BAD)
    unit = shown(line.unit, units)
    what = "grade" if by == "grade" else "gold price"
    title = f"Operating margin per {TON[units]} by {what}"
    return _dressed(chart, title, f"{line.label}, {unit}", shown("$/ton", units))


def contract_chart(book, units, side, by):
    """Margin per ton under every contract type, by grade or gold price."""
    chart = book.add_chart({"type": "scatter", "subtype": "straight"})
    tried = MODEL.lines[f"contract_{by}_tried"]
    for position, kind in enumerate(MODEL.axes["contract"].values):
        dashed = position >= len(SERIES)
        line = {"color": SERIES[position % len(SERIES)], "width": 1.75}
        chart.add_series(
            {
                "name": kind,
                "categories": line_range(tried.name),
                "values": _slice(f"{side}_by_{by}", 0, position),
                "line": {**line, "dash_type": "dash"} if dashed else line,
                "marker": {"type": "none"},
            }
        )
    what = "grade" if by == "grade" else "gold price"
    _dressed(
        chart,
        f"Margin of the {side} per {TON[units]} by {what}",
        f"{tried.label}, {shown(tried.unit, units)}",
        shown("$/ton", units),
    )
    # Four stand one below the other beside the single lines of the sheet.
    chart.set_legend({"position": "right", "font": {"name": FONT, "size": 9}})
    chart.set_size({"width": WIDTH, "height": 20 * CONTRACT_ROWS - 8})
    return chart


def charge_chart(book, units):
    """Tonnage charge for the target margin against the load of the season."""
    chart = book.add_chart({"type": "line"})
    for name, colour in (("load_charge", GOOD), ("load_charge_capital", INK)):
        chart.add_series(
            {
                "name": MODEL.lines[name].label,
                "categories": axis_range("season_fill"),
                "values": line_range(name),
                "line": {"color": colour, "width": 1.75},
            }
        )
    title = "Tonnage charge for the target margin by season load"
    x_title = MODEL.axes["season_fill"].label
    _dressed(chart, title, x_title, shown("$/ton", units))
    chart.set_size({"width": WIDTH, "height": 20 * CONTRACT_ROWS - 8})
    return chart
