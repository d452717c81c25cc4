"""Drive LibreOffice over UNO: a JSON request a line in, a JSON answer a line out.

Run by the Python that has the UNO modules, so it imports nothing of the project.
Errors among the values are ``{"error": text}``, empty cells null. When its input
ends, also because the test process died, the worker ends the office.
"""

import json
import sys

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.table import TableSortField

CONTENT = 1 | 2 | 4 | 16  # CellFlags: numbers, dates, text and formulas
FAILED = 4  # FormulaResult.ERROR
NUMBERS = 1  # SearchType: look at what is shown
FILTERS = {
    ".xlsx": "Calc MS Excel 2007 XML",
    ".ods": "calc8",
    ".pdf": "calc_pdf_Export",
}
ERRORS = {
    503: "#NUM!",
    519: "#VALUE!",
    524: "#REF!",
    525: "#NAME?",
    532: "#DIV/0!",
    32767: "#N/A",
}


def option(name, value):
    """Make one argument of a load or a store."""
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


class Area:
    """A range of cells, read in as few calls as can be: each costs about 1 ms."""

    def __init__(self, cells):
        """Take a cell range and remember where it starts."""
        self.cells = cells
        address = cells.RangeAddress
        self.left, self.top = address.StartColumn, address.StartRow

    def read(self):
        """Give the rows of values."""
        rows = [list(row) for row in self.cells.getDataArray()]
        present = {value for row in rows for value in row}
        if None in present:
            self._name_errors(rows)
        if present & {0.0, 1.0}:
            self._tell_booleans(rows)
        if "" in present:
            self._tell_empty(rows)
        return rows

    def _places(self, ranges):
        """Give the row and column, within this area, of every cell in some ranges."""
        for found in ranges.RangeAddresses if ranges else ():
            for row in range(found.StartRow, found.EndRow + 1):
                for column in range(found.StartColumn, found.EndColumn + 1):
                    yield row - self.top, column - self.left

    def _name_errors(self, rows):
        for row, column in self._places(self.cells.queryFormulaCells(FAILED)):
            number = self.cells.getCellByPosition(column, row).getError()
            rows[row][column] = {"error": ERRORS.get(number, f"Err:{number}")}

    def _tell_booleans(self, rows):
        """Turn 1 and 0 to booleans where they show as such: nothing else tells."""
        search = self.cells.createSearchDescriptor()
        search.SearchRegularExpression = True
        search.SearchString = "^(TRUE|FALSE)$"
        search.SearchType = NUMBERS
        for row, column in self._places(self.cells.findAll(search)):
            if not isinstance(rows[row][column], str):
                rows[row][column] = bool(rows[row][column])

    def _tell_empty(self, rows):
        """Tell empty cells from formulas that give empty text."""
        filled = set(self._places(self.cells.queryContentCells(CONTENT)))
        for row, values in enumerate(rows):
            for column, value in enumerate(values):
                if value == "" and (row, column) not in filled:
                    values[column] = None


class Input:
    """A single named cell and what the file has in it."""

    def __init__(self, name, area):
        """Take the cell and keep its content, to put back later."""
        if area.RangeAddress.StartColumn != area.RangeAddress.EndColumn or (
            area.RangeAddress.StartRow != area.RangeAddress.EndRow
        ):
            raise LookupError(f"{name!r} stands for several cells, not for one")
        self.name = name
        self.cell = area.getCellByPosition(0, 0)
        self.kind = self.cell.Type.value
        self.formula = self.cell.getFormula()
        self.number = self.cell.getValue()
        self.text = self.cell.getString()

    def put(self, value):
        """Put a value in the cell and see that it is there."""
        if value is None:
            self.cell.setString("")
            if self.cell.Type.value != "EMPTY":
                raise ValueError(f"{self.name!r} can't be emptied: is it locked?")
        elif isinstance(value, bool):
            # As the program itself loads a stored boolean.
            self.cell.setFormula("=TRUE()" if value else "=FALSE()")
        elif isinstance(value, str):
            self.cell.setString(value)
        else:
            self.cell.setValue(value)
            if self.cell.getValue() != value:
                raise ValueError(f"{self.name!r} didn't take {value!r}")

    def reset(self):
        """Put back what the file has."""
        if self.kind == "VALUE":
            self.cell.setValue(self.number)
        elif self.kind == "TEXT":
            self.cell.setString(self.text)
        else:
            self.cell.setFormula(self.formula)


class Book:
    """An open workbook; named cells are looked up once."""

    def __init__(self, document):
        """Take the document and leave calculation to `calculate` alone."""
        self.document = document
        self.document.enableAutomaticCalculation(False)
        self.inputs = {}
        self.areas = {}

    def cells(self, name):
        """Give the cells a defined name stands for."""
        names = self.document.NamedRanges
        if not names.hasByName(name):
            raise LookupError(f"the book has no defined name {name!r}")
        cells = names.getByName(name).getReferredCells()
        if cells is None:
            raise LookupError(f"{name!r} doesn't stand for cells")
        return cells

    def put(self, inputs):
        """Put inputs in named cells; those put before and absent now are reset."""
        for name, item in self.inputs.items():
            if name not in inputs:
                item.reset()
        for name, value in inputs.items():
            if name not in self.inputs:
                self.inputs[name] = Input(name, self.cells(name))
            self.inputs[name].put(value)

    def calculate(self):
        """Work out every formula, whatever is stored and whatever has changed."""
        self.document.calculateAll()

    def read(self, names):
        """Give the values of names, or of all sheets where there are none."""
        if names is None:
            return {sheet.Name: self._sheet(sheet) for sheet in self.document.Sheets}
        for name in names:
            if name not in self.areas:
                self.areas[name] = Area(self.cells(name))
        found = {name: self.areas[name].read() for name in names}
        return {
            name: rows[0][0] if len(rows) == len(rows[0]) == 1 else rows
            for name, rows in found.items()
        }

    def edit(self, what, sheet, *given):
        """Do to a sheet what a person does by its menus; rows and columns from 0."""
        sheet = self.document.Sheets.getByName(sheet)
        if sheet.isProtected():
            sheet.unprotect("")
        getattr(self, f"_{what}")(sheet, *given)

    def _insert_rows(self, sheet, first, count):
        sheet.Rows.insertByIndex(first, count)

    def _delete_rows(self, sheet, first, count):
        sheet.Rows.removeByIndex(first, count)

    def _insert_columns(self, sheet, first, count):
        sheet.Columns.insertByIndex(first, count)

    def _type(self, sheet, address, text):
        sheet.getCellRangeByName(address).setFormula(text)

    def _cut_and_paste(self, sheet, area, address):
        there = sheet.getCellRangeByName(address).CellAddress
        sheet.moveRange(there, sheet.getCellRangeByName(area).RangeAddress)

    def _sort(self, sheet, area, column):
        field = TableSortField()
        field.Field, field.IsAscending = column, True
        fields = uno.Any("[]com.sun.star.table.TableSortField", (field,))
        settings = PropertyValue("SortFields", 0, fields, 0)
        uno.invoke(sheet.getCellRangeByName(area), "sort", ((settings,),))

    def _rename(self, sheet, name):
        sheet.Name = name

    def _sheet(self, sheet):
        filled = sheet.queryContentCells(CONTENT).RangeAddresses
        if not filled:
            return []
        right = max(found.EndColumn for found in filled)
        bottom = max(found.EndRow for found in filled)
        return Area(sheet.getCellRangeByPosition(0, 0, right, bottom)).read()

    def save(self, url, extension):
        """Store a copy in the format of the extension."""
        self.document.storeToURL(url, (option("FilterName", FILTERS[extension]),))


class CloseFailed(Exception):
    """A document could not be closed: the office is not to be trusted any more."""


class Closing:
    """Closes a document at the end, whatever happened with it.

    Once the office is gone, closing fails as well, with "illegal object given!"; that
    must not hide what went wrong first. (`contextlib` would set the traceback of the
    office's exceptions, which they refuse.)
    """

    def __init__(self, document):
        """Take an open document."""
        self.document = document

    def __enter__(self):
        return self.document

    def __exit__(self, kind, *unused):
        try:
            self.document.close(True)
        except Exception as error:
            if kind is None:
                raise CloseFailed(f"{type(error).__name__}: {error}") from None


class Worker:
    """Answers requests; the office's desktop is at hand once connected."""

    def __init__(self):
        """Start without an office."""
        self.desktop = None

    def connect(self, pipe):
        """Try once to reach the office; say whether it worked."""
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext(
            "com.sun.star.bridge.UnoUrlResolver", local
        )
        address = f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext"
        try:
            remote = resolver.resolve(address)
        except NoConnectException:
            return False
        self.desktop = remote.ServiceManager.createInstanceWithContext(
            "com.sun.star.frame.Desktop", remote
        )
        return self.desktop is not None

    def open(self, url, *options):
        """Open a document without showing it; the context closes it."""
        document = self.desktop.loadComponentFromURL(
            url, "_blank", 0, (option("Hidden", True), *options)
        )
        if document is None or not hasattr(document, "Sheets"):
            raise ValueError("LibreOffice cannot open this file as a workbook")
        return Closing(document)

    def scenarios(self, url, inputs, read):
        """Recalculate for every mapping of inputs and read the answers."""
        with self.open(url) as document:
            book = Book(document)
            return [self._scenario(book, changes, read) for changes in inputs]

    def _scenario(self, book, changes, read):
        book.put(changes)
        book.calculate()
        return book.read(read)

    def save(self, url, inputs, out, extension, edits=()):
        """Put inputs, edit the sheets, recalculate and store a copy."""
        with self.open(url) as document:
            book = Book(document)
            book.put(inputs)
            for edit in edits:
                book.edit(*edit)
            book.calculate()
            book.save(out, extension)
        return True

    def answer(self, request):
        """Do what one request asks; a fault is an answer too."""
        try:
            task = getattr(self, request["do"])
            return {"answer": task(**request["with"])}
        except Exception as error:
            fault = f"{type(error).__name__}: {error}"
            lost = isinstance(error, CloseFailed) or not self._reaches_the_office()
            return {"fault": fault, "lost": lost}

    def _reaches_the_office(self):
        """Say whether the office still answers: no fault of the bridge is an answer."""
        if self.desktop is None:
            return False
        try:
            return self.desktop.getComponents() is not None
        except Exception:
            return False

    def end(self):
        """End the office, which may be gone already."""
        if self.desktop is not None:
            try:
                self.desktop.terminate()
            except Exception as error:
                print(f"the office was gone: {error}", file=sys.stderr)


def main():
    """Answer until the input ends."""
    worker = Worker()
    try:
        for line in sys.stdin:
            print(json.dumps(worker.answer(json.loads(line))), flush=True)
    finally:
        worker.end()


if __name__ == "__main__":
    main()
