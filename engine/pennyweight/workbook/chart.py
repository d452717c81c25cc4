"""Drawing one chart: its series, title, axes and legend."""

from .style import FONT, INK, RULE

SMALL = {"name": FONT, "size": 9, "color": INK}
GRID = {"visible": True, "line": {"color": "#D8DEE2", "width": 0.75}}
AXIS = {"num_font": SMALL, "name_font": SMALL, "label_position": "low"}
LINED = {**AXIS, "line": {"color": RULE}}
RANKS = {
    # axis of horizontal bars, the first on top
    "reverse": True,
    "num_font": SMALL,
    "interval_unit": 1,
    "major_gridlines": {"visible": False},
}
BELOW, NO_LEGEND = {"position": "bottom"}, {"none": True}
SIZE = (560, 320)


def draw(
    package, kind, title, series, x=None, y=None, legend=BELOW, size=(760, 320), sub=""
):
    """Draw a chart.

    Parameters
    ----------
    package : xlsxwriter.Workbook
    kind : {"bar", "column", "line", "scatter"}
    title : str or dict
        The text, or the title as xlsxwriter takes it.
    series : iterable of dict
        As given by `curve` and `bars`.
    x, y, legend : dict
        As xlsxwriter takes them.
    size : tuple of int
        Width and height in pixels.
    sub : str
        Subtype, such as ``stacked``.

    Returns
    -------
    chart : xlsxwriter.chart.Chart
    """
    chart = package.add_chart({"type": kind, "subtype": sub})
    for one in series:
        chart.add_series(one)
    chart.set_title(title if isinstance(title, dict) else {"name": title})
    chart.set_x_axis(x or {})
    chart.set_y_axis(y or {})
    chart.set_legend(legend)
    chart.set_size(dict(zip(("width", "height"), size, strict=True)))
    return chart


def draw_small(
    package, kind, title, *details, legend=BELOW, size=SIZE, bold=None, **more
):
    """Draw a chart with small letters, as in the workbook; see `draw`."""
    heading = {"name": title, "name_font": {**SMALL, "size": 12, "bold": bold}}
    legend = {"font": SMALL, **legend}
    chart = draw(package, kind, heading, *details, legend=legend, size=size, **more)
    # Its cells may be in hidden rows, which LibreOffice would leave out.
    chart.show_hidden_data()
    return chart


def curve(name, x, y, colour, width=1.75, dash=None, **more):
    """A series drawn as a line: its name, and the cells of its x and y values."""
    line = {"color": colour, "width": width, "dash_type": dash}
    return {"name": name, "categories": x, "values": y, "line": line, **more}


def bars(name, x, y, colour, **more):
    """A series drawn as bars or columns: its name, its labels and its values."""
    fill = {"color": colour}
    return {"name": name, "categories": x, "values": y, "fill": fill, **more}


def point(name, x, y, colour, kind="diamond"):
    """A series of single points without a line."""
    mark = marker(colour, kind, 9)
    none = {"none": True}
    return {"name": name, "categories": x, "values": y, "marker": mark, "line": none}


def marker(colour, kind="circle", size=5):
    """The marker of a point."""
    one = {"color": colour}
    return {"type": kind, "size": size, "fill": one, "border": one}
