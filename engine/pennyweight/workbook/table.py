"""Tables for print and screen: columns, rows of values and live formulas, totals.

A table is described first and written at the end: `Table` has the rows, and
`table_bytes` gives the .xlsx file with one sheet for each table.
"""

import inspect
import io
import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from .. import formulas
from ..formulas import Reference
from ..model.currency import in_currency
from .layout import defined_name
from .live_cells import stored
from .style import START_FILL, Formats, mark

ROW_HEIGHT = 15
HEADING_HEIGHT, RULE_ROOM = 19, 4
"""Height of a heading, and extra height of the row below column heads, in points."""
WIDE = 150
"""Width in letters from which a table prints with narrow margins."""
PAGE = 190
"""Letters across that still read well on one landscape page."""
LONGEST_HEADER = 120
"""Letters of small text above a printed page."""
LETTERS = 1.33
"""Letters of small text per unit of column width."""


@dataclass(frozen=True)
class Column:
    """A column of a table.

    Attributes
    ----------
    head : str
    number : str
        Number format; empty for text.
    width : float
        In letters.
    align : {"", "left", "right"}
        When empty, numbers to the right and text to the left.
    total : bool
        Whether the total row has the sum of the column.
    looks : dict
        Further format properties of its cells.
    colours : dict of str to str
        Colour of the text by condition, a formula for the first row below the heads.
    """

    head: str
    number: str = ""
    width: float = 15
    align: str = ""
    total: bool = False
    looks: dict = field(default_factory=dict)
    colours: dict = field(default_factory=dict)

    @property
    def side(self):
        """Alignment of heads and values."""
        return self.align or ("right" if self.number else "left")


class Cell(NamedTuple):
    """A value with properties of its own.

    Attributes
    ----------
    value : float, str or None
        The engine's value; None leaves the cell empty.
    formula : str
        Live formula, with its equals sign.
    name : str
        Line or input whose defined name the cell gets.
    bounds : tuple of float
        Smallest and largest number of a cell to fill.
    looks : dict
        Format properties, besides those of the column.
    array : bool
        Whether the formula calls a named function, which Excel takes as an array.
    """

    value: object
    formula: str = ""
    name: str = ""
    bounds: tuple = ()
    looks: Mapping = MappingProxyType({})
    array: bool = False


def live(function, values, cells, reads=(), **more):
    """A calculated cell: value and formula from the same function.

    Parameters
    ----------
    function : callable
    values, cells : mapping
        The arguments of the function, as values and as references to cells.
    reads : tuple of str, optional
        Instead of the names of the function's parameters.
    **more
        ``name``, ``looks`` of `Cell`.

    Returns
    -------
    cell : Cell
    """
    reads = reads or tuple(inspect.signature(function).parameters)
    made = formulas.live(function, *((cells[read], values[read]) for read in reads))
    return Cell(made.value, made.formula, **more)


class Table:
    """Rows under a title, and how they are printed.

    Parameters
    ----------
    title : str
    columns : sequence of Column
    units : {"us", "metric"}
        Determines the paper: Letter or A4.
    sheet : str
        Name of the sheet.
    notes : sequence of str
        Sentences under the title.
    top : int, optional
        First row, from 0; when left out, a row below the notes stays empty.
    landscape, protected : bool
    frozen : int
        Columns that stay in view.
    pages : int
        Pages in height; as many as it needs when 0.
    """

    def __init__(
        self, title, columns, units, sheet, notes=(), top=None, landscape=True, pages=0
    ):
        self.title, self.columns, self.units = title, tuple(columns), units
        self.sheet, self.notes = sheet, tuple(notes)
        self.top = max(3, len(self.notes) + 2) if top is None else top
        self.landscape, self.pages = landscape, pages
        self.protected, self.frozen = False, 1
        self.rows, self.head_row, self.charts, self.printed = [], None, [], None
        self.header = ""

    @property
    def next_row(self):
        """Next free row, from 0."""
        return self.top + len(self.rows)

    def place(self, column, row=None):
        """Address of a column's cell, in the next free row unless a row is given."""
        return xl_rowcol_to_cell(self.next_row if row is None else row, column)

    def heads(self, *texts):
        """Enter column heads, those of the columns unless others are given.

        The first ones stay in view and are repeated on each page.
        """
        if self.head_row is None:
            self.head_row = self.next_row
        self.rows.append(("heads", texts or [c.head for c in self.columns], {}))

    def heading(self, text):
        """Enter the heading of a block."""
        self.rows.append(("heading", text, {}))

    def sentence(self, text, **looks):
        """Enter a sentence over the whole width."""
        self.rows.append(("sentence", text, looks))

    def signatures(self, *names):
        """Enter lines to sign on."""
        self.rows += [("sentence", "", {}), ("signatures", names, {})]

    def blank(self):
        """Leave a row empty."""
        self.row()

    def row(self, *cells, **looks):
        """Enter values, one for each column from the left; None leaves one empty."""
        self.rows.append(("row", cells, looks))

    def total(self, label, first, **others):
        """Enter the total row.

        Parameters
        ----------
        label : str
        first : int
            First row of the sums, from 0.
        **others
            Cells of other columns by number, as ``at_3``.
        """
        cells = [label]
        for at, column in enumerate(self.columns[1:], 1):
            cell = others.get(f"at_{at}")
            cells.append(self._sum(at, first) if column.total else cell)
        self.row(*cells, bold=True, top=1)

    def _sum(self, at, first):
        rows = self.rows[first - self.top :]
        parts = [cells[at] for kind, cells, _ in rows if kind == "row"]
        parts = [part.value if isinstance(part, Cell) else part for part in parts]
        ends = self.place(at, first), self.place(at, self.next_row - 1)
        whole = math.fsum(part for part in parts if part is not None)
        return Cell(whole, f"=SUM({ends[0]}:{ends[1]})")


def table_bytes(tables, title, author="", currency=""):
    """Give the bytes of an .xlsx file with one sheet for each table.

    Parameters
    ----------
    tables : sequence of Table
    title, author : str
    currency : str, optional
        Instead of ``$`` in titles, notes, heads and sentences; rows stay as they are.

    Returns
    -------
    content : bytes
    """
    from .write import CREATED, PlainFormulas

    target = io.BytesIO()
    package = xlsxwriter.Workbook(target, {"in_memory": True})
    package.worksheet_class = PlainFormulas
    properties = {"title": title, "author": author, "created": CREATED}
    package.set_properties(properties)
    package.set_calc_mode("auto")
    formats = Formats(package)
    for table in tables:
        _Writer(table, package, formats, currency).write()
    package.close()
    return target.getvalue()


class _Writer:
    """Writes one table on a sheet."""

    def __init__(self, table, package, formats, currency):
        self.table, self.package, self.formats = table, package, formats
        self.currency = currency
        self.sheet = package.add_worksheet(table.sheet)
        self.last = len(table.columns) - 1
        width = sum(column.width for column in table.columns)
        self.across = math.ceil(width / PAGE) if table.landscape else 1
        # A column that is repeated would show the beginning of a text on each page.
        self.first = table.frozen if self.across > 1 else 0
        self.plain, self.below_heads = {}, False
        self.wraps = {
            at for at, c in enumerate(table.columns) if c.looks.get("text_wrap")
        }

    def write(self):
        """Write all rows, and set the sheet up for printing."""
        sheet, table = self.sheet, self.table
        for at, column in enumerate(table.columns):
            sheet.set_column(at, at, column.width)
        sheet.hide_gridlines(2)
        sheet.set_row(0, 26)
        title = in_currency(table.title, self.currency)
        sheet.write_string(0, self.first, title, self.formats.title())
        for row, note in enumerate(table.notes, 1):
            self._note(row, note)
        for row, (kind, content, looks) in enumerate(table.rows, table.top):
            getattr(self, f"_{kind}")(row, content, looks)
            self.below_heads = kind == "heads"
        self._print()
        for row, make in table.charts:
            sheet.insert_chart(row, 0, make(self.package))

    def _print(self):
        sheet, table = self.sheet, self.table
        if table.landscape:
            sheet.set_landscape()
        sheet.set_paper(1 if table.units == "us" else 9)
        side = 0.25 if sum(c.width for c in table.columns) > WIDE else 0.5
        sheet.set_margins(side, side, 0.5, 0.6)
        sheet.fit_to_pages(self.across, table.pages)
        if self.across > 1:
            sheet.repeat_columns(0, table.frozen - 1)
        sheet.print_area(0, 0, *(table.printed or (table.next_row, self.last)))
        if table.header:
            told = table.header[:LONGEST_HEADER].replace("&", "&&")
            sheet.set_header(f"&L&8 {told}")
        sheet.set_footer("&L&8&F&R&8&P/&N")
        if table.head_row is not None:
            sheet.repeat_rows(0, table.head_row)
            sheet.freeze_panes(table.head_row + 1, table.frozen)
            self._colour(table.head_row + 1)
        if table.protected:
            sheet.protect("", {"format_columns": True, "format_rows": True})

    def _colour(self, first):
        for at, column in enumerate(self.table.columns):
            for condition, colour in column.colours.items():
                where = first, at, self.table.next_row - 1, at
                mark(self.sheet, where, self.formats.colour(colour), condition)

    def _note(self, row, note):
        """A note, wrapped within the columns that print."""
        note = in_currency(note, self.currency)
        last = self.table.printed[1] if self.table.printed else self._last_on_page()
        look = self.formats.note(text_wrap=True, valign="top")
        columns = self.table.columns[self.first : last + 1]
        self.sheet.merge_range(row, self.first, row, last, "", look)
        self.sheet.write_string(row, self.first, note, look)
        width = sum(column.width for column in columns)
        lines = sum(_lines(part, width) for part in note.split("\n"))
        self.sheet.set_row(row, ROW_HEIGHT * lines)

    def _last_on_page(self):
        """The last column of the first printed page; notes end there."""
        widths = [*itertools.accumulate(c.width for c in self.table.columns)]
        repeated = sum(column.width for column in self.table.columns[: self.first])
        page = (widths[-1] + (self.across - 1) * repeated) / self.across
        return sum(width <= page for width in widths) - 1

    def _heads(self, row, texts, _):
        lines = 1
        for at, (column, text) in enumerate(
            zip(self.table.columns, texts, strict=False)
        ):
            text = in_currency(text, self.currency)
            look = self.formats.head(**_indented(at, column))
            self.sheet.write_string(row, at, text, look)
            # Heads are bold.
            lines = max(lines, _lines(text, 0.8 * column.width))
        self.sheet.set_row(row, ROW_HEIGHT * lines + 2)

    def _heading(self, row, text, _):
        self.sheet.set_row(row, HEADING_HEIGHT)
        text = in_currency(text, self.currency)
        self.formats.heading(self.sheet, row, self.last, text)

    def _sentence(self, row, text, looks):
        text = in_currency(text, self.currency)
        look = self.formats(text_wrap=True, **{"valign": "top", **looks})
        self.sheet.merge_range(row, 0, row, self.last, "", look)
        self.sheet.write_string(row, 0, text, look)
        width = sum(column.width for column in self.table.columns)
        self.sheet.set_row(row, ROW_HEIGHT * _lines(text, width))

    def _signatures(self, row, names, _):
        self.sheet.set_row(row, 40)
        for at, name in zip((0, self.last), names, strict=True):
            look = self.formats(bottom=1, valign="bottom", font_color="#5B6B73")
            self.sheet.write_string(row, at, f"{name}, date", look)

    def _row(self, row, cells, looks):
        lines = 1
        for at, cell in enumerate(cells):
            cell = cell if isinstance(cell, Cell) else Cell(cell)
            if at in self.wraps and isinstance(cell.value, str):
                lines = max(lines, _lines(cell.value, self.table.columns[at].width))
            self._put(row, at, cell, self._look(row, at, cell, looks))
        if lines > 1 or self.below_heads:  # a first row has room below the rule
            above = RULE_ROOM if self.below_heads else 0
            self.sheet.set_row(row, ROW_HEIGHT * lines + above)

    def _look(self, row, at, cell, looks):
        """Format of a cell, cached for cells with the format of their column."""
        key = (at, isinstance(cell.value, str))
        plain = not (looks or cell.looks or cell.bounds)
        if plain and key in self.plain:
            return self.plain[key]
        column = self.table.columns[at]
        shown = {**_indented(at, column), **column.looks, **looks, **cell.looks}
        if column.number and not isinstance(cell.value, str):
            shown.setdefault("num_format", column.number)
        if cell.bounds:
            self._validate(row, at, cell.bounds)
            return self.formats.entry(shown.pop("num_format"), **shown)
        look = self.formats(**shown)
        if plain:
            self.plain[key] = look
        return look

    def _put(self, row, at, cell, look):
        value = stored(cell.value)
        if cell.array:
            where = (row, at, row, at)
            self.sheet.write_dynamic_array_formula(*where, cell.formula, look, value)
        elif cell.formula:
            self.sheet.write_formula(row, at, cell.formula, look, value)
        elif isinstance(value, str):
            self.sheet.write_string(row, at, value, look)
        elif isinstance(value, bool):
            self.sheet.write_boolean(row, at, value, look)
        elif value is None:
            self.sheet.write_blank(row, at, None, look)
        else:
            self.sheet.write_number(row, at, value, look)
        if cell.name:
            place = xl_rowcol_to_cell(row, at, True, True)
            where = f"='{self.sheet.name}'!{place}"
            self.package.define_name(defined_name(cell.name), where)

    def _validate(self, row, at, bounds):
        low, high = bounds
        self.sheet.data_validation(
            *(row, at, row, at),
            {
                "validate": "decimal",
                "criteria": "between",
                "minimum": low,
                "maximum": high,
                "ignore_blank": False,
                "error_title": "Invalid entry",
                "error_message": f"Enter a number from {low:,.6g} to {high:,.6g}.",
            },
        )


def _indented(at, column):
    """Alignment of a cell; text is indented beside a number to its left."""
    indent = {"indent": 1} if at and column.side == "left" else {}
    return {"align": column.side, **indent}


def _lines(text, width):
    """Number of printed lines of a text in a column."""
    return max(1, math.ceil(len(text) / (width * LETTERS)))


GIVEN = {"bg_color": START_FILL}
"""Format of a figure that was agreed or measured, not calculated."""


def reference(name, kind="number"):
    """Reference to the cell of a line or input, by its defined name."""
    return Reference(defined_name(name), kind)
