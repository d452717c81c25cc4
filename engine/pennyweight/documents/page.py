"""A single page of live figures for somebody else: a quote or a statement.

Each line is a function, as in the model; called with the names of cells it gives the
formula, called with values what is stored beside it. The page holds what is put on it
and nothing else.
"""

import inspect
import io

import numpy as np
import xlsxwriter

from ..errors import ModelError
from ..formulas import Reference, formula
from ..model.mill import MODEL
from ..model.units import TON, shown
from ..workbook.layout import LABEL, NOTE, UNIT, VALUE, defined_name
from ..workbook.line_sheets import stored
from ..workbook.style import NONE_AT_ZERO, START_FILL, Formats, told_at_zero

CENTS = "#,##0.00;[Red]-#,##0.00;0.00"
FORMATS = {
    "$": CENTS,
    "$/ton": CENTS,
    "$/hour": CENTS,
    "$/oz": CENTS,
    "share": "0.0#%",
    "grade": "0.000",
    "oz": "#,##0.0000",
    "ton": "#,##0.000",
    "hour": "#,##0.0",
}
PAGE_WIDTHS = (46, 16, 11, 66)
NOTE_LENGTH = 82
"""Letters of a note in a printed line."""
LINE_LENGTH = 165
"""Letters of a sentence in a printed line."""


class Page:
    """Rows from top to bottom, and the names and values of their cells.

    Parameters
    ----------
    title, by : str
        What the page is and who issues it.
    units : {"us", "metric"}
    """

    def __init__(self, title, by, units):
        self.title, self.by, self.units = title, by, units
        self.rows, self.values, self.cells = [], {}, {}

    def heading(self, text):
        """Enter the heading of a block."""
        self.rows.append(("heading", text))

    def sentence(self, text, **looks):
        """Enter a sentence over the whole width."""
        self.rows.append(("sentence", text, looks))

    def signatures(self, *names):
        """Enter lines to sign on."""
        self.rows += [("sentence", "", {}), ("signature", names)]

    def bind(self, **constants):
        """Give values that lines read and that stand in no cell of their own."""
        self.values.update(constants)
        self.cells.update(constants)

    def alias(self, name, other):
        """Let lines that read one name read the cell of another."""
        self.values[name], self.cells[name] = self.values[other], self.cells[other]

    def given(self, name, label, value, unit="-", note="", entry=False, bounds=None):
        """Enter a value; one to be changed where ``entry`` says so."""
        kind = "text" if isinstance(value, str) else "number"
        self.values[name] = value
        self.cells[name] = Reference(defined_name(name), kind)
        self.rows.append(("given", name, label, unit, note, entry, bounds))

    def line(self, function, label, unit="-", note="", name="", reads=(), bold=False):
        """Enter a calculated line.

        Parameters
        ----------
        function : callable
        label, unit, note : str
        name : str, optional
            Instead of the function's own.
        reads : tuple of str, optional
            Instead of the names of its parameters.
        bold : bool
        """
        name = name or function.__name__
        reads = reads or tuple(inspect.signature(function).parameters)
        missing = [read for read in reads if read not in self.values]
        if missing:
            raise ModelError(f"{name} reads {missing}, which the page does not hold.")
        with np.errstate(all="ignore"):
            value = function(*(self.values[read] for read in reads))
        written = formula(function(*(self.cells[read] for read in reads)))
        value = value.item() if hasattr(value, "item") else value
        kind = "text" if isinstance(value, str) else "number"
        self.values[name] = value
        self.cells[name] = Reference(defined_name(name), kind)
        self.rows.append(("line", name, label, unit, note, written, bold))

    def model_line(self, name, label="", note=None, bold=False):
        """Enter a line of the model, with the page's own cells."""
        line = MODEL.lines[name]
        self.line(
            line.function,
            label or line.label,
            line.unit,
            line.note if note is None else note,
            name,
            line.parameters,
            bold,
        )

    def records(self):
        """Rows as text and numbers: label, value, unit, formula."""
        for row in self.rows:
            if row[0] in ("given", "line"):
                kind, name, label, unit = row[:4]
                written = row[5] if kind == "line" else ""
                value = self.values[name]
                value = "none" if name in NONE_AT_ZERO and value == 0 else value
                yield label, value, shown(unit, self.units), written

    def content(self):
        """Give the bytes of the page's .xlsx file."""
        from ..workbook.write import CREATED

        target = io.BytesIO()
        package = xlsxwriter.Workbook(target, {"in_memory": True})
        package.set_properties(
            {"title": self.title, "author": self.by, "created": CREATED}
        )
        package.set_calc_mode("auto")
        _Writer(self, package).write()
        package.close()
        return target.getvalue()


def ounce_as_grade(page, value):
    """Enter the grade of an ounce in a ton where it is not 1."""
    if value == 1:
        page.bind(grade_per_ounce=value)
    else:
        label = f"Grade of an ounce in a {TON[page.units]}"
        page.given("grade_per_ounce", label, value, "grade")


class _Writer:
    """Puts the rows of a page on a sheet."""

    def __init__(self, page, package):
        self.page, self.package = page, package
        self.sheet = package.add_worksheet(page.title)
        self.formats = Formats(package)

    def write(self):
        """Write all rows, and set the page up for printing."""
        sheet, page = self.sheet, self.page
        for column, width in enumerate(PAGE_WIDTHS):
            sheet.set_column(column, column, width)
        sheet.hide_gridlines(2)
        sheet.set_row(0, 26)
        sheet.write_string(0, LABEL, f"{page.title}: {page.by}", self.formats.title())
        for number, row in enumerate(page.rows, 2):
            getattr(self, f"_{row[0]}")(number, *row[1:])
        sheet.set_portrait()
        sheet.set_paper(1 if page.units == "us" else 9)
        sheet.set_margins(0.5, 0.5, 0.5, 0.6)
        sheet.fit_to_pages(1, 1)
        sheet.print_area(0, 0, len(page.rows) + 2, NOTE)
        sheet.set_footer("&L&8&F&R&8&P/&N")
        sheet.protect("", {"format_columns": True, "format_rows": True})

    def _heading(self, row, text):
        for column in range(NOTE + 1):
            self.sheet.write_blank(row, column, None, self.formats.section())
        self.sheet.write_string(row, LABEL, text, self.formats.section())

    def _sentence(self, row, text, looks):
        look = self.formats(text_wrap=True, **{"valign": "top", **looks})
        self.sheet.merge_range(row, LABEL, row, NOTE, "", look)
        self.sheet.write_string(row, LABEL, text, look)
        self.sheet.set_row(row, 15 * max(1, -(-len(text) // LINE_LENGTH)))

    def _signature(self, row, names):
        self.sheet.set_row(row, 40)
        for column, name in zip((LABEL, NOTE), names, strict=True):
            look = self.formats(bottom=1, valign="bottom", font_color="#5B6B73")
            self.sheet.write_string(row, column, f"{name}, date", look)

    def _beside(self, row, label, unit, note):
        self.sheet.write_string(row, LABEL, label, self.formats())
        self.sheet.write_string(
            row, UNIT, shown(unit, self.page.units), self.formats.unit()
        )
        self.sheet.write_string(row, NOTE, note, self.formats.note(text_wrap=True))
        if len(note) > NOTE_LENGTH:
            self.sheet.set_row(row, 28)

    def _name(self, name, row):
        where = f"='{self.sheet.name}'!$B${row + 1}"
        self.package.define_name(defined_name(name), where)

    def _number(self, unit):
        if unit == "grade" and self.page.units == "metric":
            return "0.00"
        if unit.startswith("$"):
            return CENTS
        return FORMATS.get(unit, "#,##0.0##")

    def _given(self, row, name, label, unit, note, entry, bounds):
        self._beside(row, label, unit, note)
        number = told_at_zero(name, self._number(unit))
        fill = {"bg_color": START_FILL}
        plain = self.formats(num_format=number, align="right", **fill)
        look = self.formats.entry(number, align="right") if entry else plain
        value = self.page.values[name]
        if isinstance(value, str):
            self.sheet.write_string(row, VALUE, value, look)
        else:
            self.sheet.write_number(row, VALUE, value, look)
        if entry and bounds:
            low, high = bounds
            words = f"A number from {low:g} to {high:g}."
            self.sheet.data_validation(
                *(row, VALUE, row, VALUE),
                {
                    "validate": "decimal",
                    "criteria": "between",
                    "minimum": low,
                    "maximum": high,
                    "ignore_blank": False,
                    "error_title": "Not possible",
                    "error_message": words,
                },
            )
        self._name(name, row)

    def _line(self, row, name, label, unit, note, written, bold):
        self._beside(row, label, unit, note)
        value = stored(self.page.values[name])
        # A long answer runs over into the empty unit cell.
        align = "left" if isinstance(value, str) else "right"
        look = {"num_format": self._number(unit), "align": align, "bold": bold}
        if bold:
            look["top"] = 1
        self.sheet.write_formula(row, VALUE, written, self.formats(**look), value)
        self._name(name, row)
