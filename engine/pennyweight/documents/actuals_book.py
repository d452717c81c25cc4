"""Actuals beside the plan as a workbook: variances, learned figures, forecast."""

import numpy as np
from xlsxwriter.utility import xl_col_to_name

from ..model.currency import in_currency, symbol
from ..model.inputs import INPUTS
from ..model.units import shown
from ..season.actuals import FIELDS, PARTS
from ..workbook.chart import NO_LEGEND, bars, draw
from ..workbook.style import SERIES, input_format
from ..workbook.table import Cell, Column, Table, table_bytes

SHEET = "Plan and actual"
ON_A_PAGE = 25
"""The most lines on one printed page with both charts."""
WRAP = {"text_wrap": True}
SHARE, MONEY = {"num_format": "0.0%"}, {"num_format": "#,##0"}


def actuals_book(learned, by):
    """Give the bytes of the comparison of actuals with the plan as an .xlsx file.

    Parameters
    ----------
    learned : Learned
    by : str
        Who prepared it.

    Returns
    -------
    content : bytes
    """
    tables = [_variances(learned), _figures(learned), _forecast(learned)]
    return table_bytes([*tables, _actuals(learned)], SHEET, by, learned.currency)


def _variances(learned):
    """Planned and actual contribution, the parts between them, and the chart."""
    heads = ("Planned", *(part.capitalize() for part in PARTS), "Actual")
    columns = [Column("Month or lot", width=18)]
    columns += [Column(head, "#,##0.00", 13, total=True) for head in heads]
    notes = (
        "Contribution, $. Planned and the parts add up to actual; positive is "
        "favourable.",
        learned.notes[0],
    )
    few = len(learned.variances) <= ON_A_PAGE
    table = Table(SHEET, columns, learned.units, SHEET, notes, pages=int(few))
    table.heads()
    first = table.next_row
    end = xl_col_to_name(len(PARTS) + 1)
    for row in learned.variances.iloc[:-1].itertuples(index=False):
        at = table.next_row + 1
        actual = Cell(row.actual, f"=ROUND(SUM(B{at}:{end}{at}),2)")
        table.row(*row[:-1], actual)
    last = table.next_row - 1
    table.total("To date", first)
    sign = symbol(learned.currency)
    table.charts.append(
        (table.next_row + 1, lambda p: _money_chart(p, first, last, sign))
    )
    table.charts.append(
        (table.next_row + 19, lambda p: _parts_chart(p, first - 1, last + 1, sign))
    )
    table.printed = (table.next_row + 36, len(columns) - 1)
    return table


def _money_chart(package, first, last, sign):
    series = [
        bars(name, *_columns(SHEET, first, last, column), SERIES[at])
        for at, (name, column) in enumerate((("Plan", 1), ("Actual", len(PARTS) + 2)))
    ]
    return draw(package, "column", f"Contribution, {sign}", series, y=MONEY)


def _parts_chart(package, heads, total, sign):
    rows = ([SHEET, row, 2, row, len(PARTS) + 1] for row in (heads, total))
    title = f"Difference from the plan to date, by cause, {sign}"
    series, x = [bars("To date", *rows, SERIES[0])], {"label_position": "low"}
    return draw(package, "column", title, series, x, MONEY, NO_LEGEND)


def _columns(sheet, first, last, column):
    """The ranges of labels and of figures of a chart's series."""
    return [sheet, first, 0, last, 0], [sheet, first, column, last, column]


def _figures(learned):
    columns = [
        *(Column("Figure", width=24), Column("Unit", width=10)),
        *(Column(head, "0.0000", 11) for head in ("Plan", "Plan, low", "Plan, high")),
        *(Column(head, "General", 11) for head in ("Learned", "Low", "High")),
        *(Column(f"Next lot, {end}", "General", 11) for end in ("low", "high")),
        *(Column("Periods", "0", 9), Column("Drift", width=50, looks=WRAP)),
    ]
    note = "Low and high are P10 and P90, of the mean and of the next lot."
    table = Table("Figures learned", columns, learned.units, "Learned", (note,))
    table.heads()
    for row in learned.figures.itertuples(index=False):
        if row.count:
            looks = SHARE if not row.unit else {}
            cells = (Cell(value, looks=looks) for value in row[2:10])
            table.row(*row[:2], *cells, float(row.count), row.drift)
    if learned.entries:
        table.blank()
        table.heading("Inputs that can take them")
        for name, figures in learned.entries.items():
            unit = in_currency(
                shown(INPUTS[name].unit, learned.units), learned.currency
            )
            looks = {"num_format": input_format(name, learned.units)}
            cells = (Cell(end, looks=looks) for end in figures[:3])
            table.row(INPUTS[name].label, unit, *[None] * 3, *cells)
    return table


def _forecast(learned):
    heads = ("Plan", "Forecast", "Plan, rest of season", "Forecast, rest of season")
    columns = [Column("Per working month", width=24), Column("Unit", width=10)]
    columns += [Column(head, "#,##0.0", 15) for head in heads]
    table = Table("Forecast", columns, learned.units, "Forecast", learned.notes[1:])
    table.heads()
    first, sign = table.next_row, symbol(learned.currency)
    for row in learned.forecast.itertuples(index=False):
        looks = MONEY if row.unit == sign else {}
        table.row(*row[:2], *(Cell(value, looks=looks) for value in row[2:]))
    money = (first + 2, table.next_row - 1, sign)
    table.charts.append((table.next_row + 1, lambda p: _forecast_chart(p, *money)))
    # The chart is wider than the table.
    table.printed = (table.next_row + 18, len(columns) + 3)
    return table


def _forecast_chart(package, first, last, sign):
    series = [
        bars(name, *_columns("Forecast", first, last, 2 + at), SERIES[at])
        for at, name in enumerate(("Plan", "Forecast"))
    ]
    return draw(package, "column", f"A working month, {sign}", series, y=MONEY)


def _actuals(learned):
    """The actuals as entered."""
    actuals = learned.actuals.dropna(axis=1, how="all")
    names = list(actuals.columns)
    columns = [Column(FIELDS["period"].label, width=18)]
    columns += [Column(FIELDS[name].label, "#,##0.###", 13) for name in names[1:]]
    table = Table("Actuals", columns, learned.units, "Actuals")
    table.heads()
    for row in actuals.itertuples(index=False):
        cells = (None if np.isnan(value) else float(value) for value in row[1:])
        table.row(row[0], *cells)
    return table
