"""The charts: cost by component, cumulative cash, margin by grade and by price."""

from ..model.mill_model import MODEL
from ..model.units import TON
from .chart import (
    AXIS,
    GRID,
    LINED,
    NO_LEGEND,
    RANKS,
    SIZE,
    SMALL,
    bars,
    curve,
    draw_small,
    marker,
    point,
)
from .layout import layout
from .style import BAD, FONT, GOOD, INK, ROW_PIXELS, SERIES

CONTRACT_ROWS = 17
"""Rows of the sheet that a chart of contracts covers."""
CONTRACT_SIZE = 486, ROW_PIXELS * CONTRACT_ROWS - 8
"""Pixels: as wide as the printed columns of the contract types."""
GRIND_SIZE = (325, 260)
"""Pixels: as wide as the printed columns beside the mills to compare."""


def _reference(sheet, *corners):
    return [sheet, *corners[0], *corners[-1]]


def line_range(name):
    """Cells of a line, for a chart."""
    place = layout().places[name]
    last = tuple(length - 1 for length in place.lengths)
    return _reference(place.sheet, place.at(*(0 for _ in last)), place.at(*last))


def axis_range(name):
    """Cells of the values of an axis, for a chart."""
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


def _draw(package, kind, title, series, across, up, whole=False, **more):
    """Draw a chart of figures over figures; ``across`` and ``up`` name the axes.

    ``whole`` figures across have no decimals; their labels slant, as they are long.
    """
    slant = {"num_format": "#,##0", "num_font": {**SMALL, "rotation": -45}}
    x = {**LINED, "name": across} | (slant if whole else {})
    y = {**LINED, "name": up, "num_format": "#,##0", "major_gridlines": GRID}
    del y["label_position"]
    return draw_small(package, kind, title, series, x, y, bold=True, **more)


def cost_chart(package, book):
    """The largest operating costs per ton as bars, the largest on top."""
    cells = line_range("ranked_component"), line_range("ranked_cost")
    title = f"Largest operating costs per {TON[book.units]}"
    x = {**AXIS, "num_format": "#,##0", "label_position": "high"}
    x |= {"name": book.shown("$/ton"), "major_gridlines": GRID}
    return draw_small(
        *(package, "bar", title, [bars(title, *cells, SERIES[0], gap=40)], x, RANKS),
        legend=NO_LEGEND,
        size=(SIZE[0], 400),
        bold=True,
    )


def cash_chart(package, book):
    """Cumulative cash to the end of the work, with its low point."""
    across = line_range("charted_month")
    series = [
        curve(label, across, line_range(name), colour, marker={"type": "none"})
        for name, label, colour in (
            ("closing_owner", "Owner's own money", SERIES[1]),
            ("closing_cash", "Before any loan", SERIES[0]),
            ("closing_discounted", "Discounted", SERIES[2]),
        )
    ]
    lowest = line_range("peak_funding_month"), line_range("lowest_cash")
    series.append(point("Lowest point", *lowest, BAD, "circle"))
    chart = _draw(
        *(
            package,
            "scatter",
            "Cumulative cash after tax",
            series,
            "month",
            book.shown("$"),
        ),
        sub="straight",
    )
    chart.set_x_axis({**AXIS, "name": "month", "min": 0, "major_unit": 12})
    return chart


def grind_chart(package, book):
    """Operating margin per running hour by product size."""
    cells = line_range("grind_p80"), line_range("grind_margin_per_hour")
    name, colour = "Operating margin per running hour", SERIES[2]
    return _draw(
        *(package, "scatter", f"{name} by grind"),
        [curve(name, *cells, colour, marker=marker(colour))],
        *("product size P80, µm", book.shown("$/hour")),
        legend=NO_LEGEND,
        sub="straight_with_markers",
        size=GRIND_SIZE,
    )


def margin_chart(package, book, by):
    """Operating margin per ton by grade or price, the other as planned."""
    price = by == "price"
    today = MODEL.axes["grade_step" if price else "price_step"].values.index(1.0)
    line, colour = MODEL.lines[f"table_{by}"], SERIES[0 if price else 1]
    margins = _slice("table_margin", 1 if price else 0, today)
    name, what = (
        f"Operating margin per {TON[book.units]}",
        "gold price" if price else by,
    )
    planned = "gold_price" if price else "planned_grade"
    even = "break_even_gold_price" if price else "break_even_grade"
    series = [
        curve(name, line_range(line.name), margins, colour, marker={"type": "none"}),
        point(
            "Plan", line_range(planned), line_range("margin_per_ton"), GOOD, "square"
        ),
        point(
            "Break-even before capital",
            line_range(even),
            line_range("break_even_margin"),
            BAD,
        ),
    ]
    return _draw(
        *(package, "scatter", f"{name} by {what}", series),
        *(f"{line.label}, {book.shown(line.unit)}", book.shown("$/ton")),
        whole=price,
        sub="straight_with_markers",
    )


def contract_chart(package, book, side, by):
    """Margin per ton under every contract type, by grade or gold price."""
    tried = MODEL.lines[f"contract_{by}_tried"]
    today = "custom_grade" if by == "grade" else "gold_price"
    agreed = f"agreed_{'owner_' * (side == 'owner')}margin_per_ton"
    series = [
        curve(
            *(kind, line_range(tried.name), _slice(f"{side}_by_{by}", 0, position)),
            SERIES[position % len(SERIES)],
            dash="dash" if position >= len(SERIES) else None,
            marker={"type": "none"},
        )
        for position, kind in enumerate(MODEL.axes["contract"].values)
    ]
    series.append(point("agreed", line_range(today), line_range(agreed), INK, "circle"))
    what = "grade" if by == "grade" else "gold price"
    return _draw(
        *(package, "scatter", f"Margin of the {side} per {TON[book.units]} by {what}"),
        *(series, f"{tried.label}, {book.shown(tried.unit)}", book.shown("$/ton")),
        # The charts are one below the other, beside the single lines of the sheet.
        legend={"position": "right", "font": {"name": FONT, "size": 9}},
        size=CONTRACT_SIZE,
        whole=by == "price",
        sub="straight",
    )


def charge_chart(package, book):
    """Tonnage charge for the target margin against the load of the season."""
    across = axis_range("season_fill")
    series = [
        curve(MODEL.lines[name].label, across, line_range(name), colour)
        for name, colour in (("load_charge", GOOD), ("load_charge_capital", INK))
    ]
    title = "Tonnage charge for the target margin by season load"
    label = MODEL.axes["season_fill"].label
    chart = _draw(
        *(package, "line", title, series, label, book.shown("$/ton")),
        size=CONTRACT_SIZE,
    )
    chart.set_x_axis({**LINED, "name": label, "num_format": "0%"})
    return chart
