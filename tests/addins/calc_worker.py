"""Drive LibreOffice with our extension: as the oracles' worker, and a few tasks more.

Run by the Python that has the UNO modules, so it imports nothing of the project.
"""

import contextlib
import json
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

import uno
import unohelper
from com.sun.star.lang import XServiceInfo, XSingleComponentFactory
from com.sun.star.sheet import XFunctionAccess
from com.sun.star.task import XInteractionHandler
from com.sun.star.ucb import XCommandEnvironment
from uno_worker import FILTERS, Worker, option

ROOT = Path(__file__).parents[2]
NEW_BOOK = "private:factory/scalc"

ERRORS = {502: "#VALUE!", 503: "#NUM!", 519: "#VALUE!", 521: "#NULL!", 524: "#REF!"}
ERRORS |= {525: "#NAME?", 532: "#DIV/0!", 32767: "#N/A"}


class Silent(unohelper.Base, XCommandEnvironment, XInteractionHandler):
    """Answers every question of the extension manager with the first approval."""

    def getInteractionHandler(self):
        return self

    def getProgressHandler(self):
        return None

    def handle(self, request):
        for choice in request.getContinuations():
            if choice.queryInterface(
                uno.getTypeByName("com.sun.star.task.XInteractionApprove")
            ):
                choice.select()
                return


class Bridge(unohelper.Base, XFunctionAccess):
    """What the macros' `CallUDF` reaches: passes calls on to a server's process."""

    def __init__(self, command):
        self.fault = None
        self.errors = tempfile.TemporaryFile("w+")  # noqa: SIM115
        self.process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self.errors,
            text=True,
            cwd=ROOT,
        )

    def __enter__(self):
        if self.process.stdout.readline() != "ready\n":
            raise self._ended("did not start")
        return self

    def __exit__(self, *unused):
        with contextlib.suppress(BrokenPipeError):
            self.process.stdin.close()
        self.process.wait(15)
        if self.fault:
            raise self.fault

    def callFunction(self, name, given):
        """Pass one call on; the first item of ``given`` is the module's name."""
        script, *arguments = given
        call = [script, name, [_told(item) for item in arguments]]
        try:
            self.process.stdin.write(json.dumps(call) + "\n")
            self.process.stdin.flush()
            answer = self.process.stdout.readline()
        except BrokenPipeError:
            answer = ""
        if not answer:
            # The office would make a cell's error of it, so it is kept for the end.
            self.fault = self._ended(f"ended during {name}")
            raise self.fault
        return _handed(json.loads(answer))

    def _ended(self, what):
        code = self.process.wait(15)
        self.errors.seek(0)
        said = self.errors.read().strip()[-500:] or "nothing"
        command = " ".join(self.process.args)
        return RuntimeError(f"{command} {what} (exit code {code}) and said: {said}")


class BridgeFactory(unohelper.Base, XSingleComponentFactory, XServiceInfo):
    """Lets macros make the bridge by its service's name."""

    NAME = "pennyweight.test.Bridge"

    def __init__(self, bridge):
        self.bridge = bridge

    def createInstanceWithContext(self, context):
        return self.bridge

    def createInstanceWithArgumentsAndContext(self, arguments, context):
        return self.bridge

    def getImplementationName(self):
        return self.NAME

    def supportsService(self, name):
        return name == self.NAME

    def getSupportedServiceNames(self):
        return (self.NAME,)


class Service:
    """Offers a service to macros for a while."""

    def __init__(self, manager, factory):
        self.manager, self.factory = manager, factory

    def __enter__(self):
        self.manager.insert(self.factory)

    def __exit__(self, *unused):
        with contextlib.suppress(Exception):  # when the office is gone, it is, too
            self.manager.remove(self.factory)


def _told(item):
    """An argument as the server's process takes it."""
    if isinstance(item, tuple):
        kind, *rest = item
        if kind == "range":
            rows = rest[0] if isinstance(rest[0], tuple) else ((rest[0],),)
        return {"range": [[_cell_told(cell) for cell in row] for row in rows]}
        return {"missing": True}
    return _cell_told(item)


def _cell_told(cell):
    if isinstance(cell, str) and cell.startswith("error "):
        return {"error": cell[6:]}
    return float(cell) if type(cell) is int else cell


def _handed(found):
    """An answer as COM would hand it over: a scalar, a row, or a block."""
    if not isinstance(found, list):
        return found
    if not isinstance(found[0], list):
        return tuple(found)
    return tuple(map(tuple, found))


class AddinWorker(Worker):
    """Installs the extension, fills sheets, reads and saves them."""

    def connect(self, pipe):
        """Reach the office, and keep its context."""
        if not super().connect(pipe):
            return False
        resolver = uno.getComponentContext().ServiceManager.createInstance(
            "com.sun.star.bridge.UnoUrlResolver"
        )
        self.context = resolver.resolve(
            f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext"
        )
        return True

    def install(self, url):
        """Add an extension for this profile alone."""
        manager = self.context.getByName(
            "/singletons/com.sun.star.deployment.ExtensionManager"
        )
        channel = manager.createAbortChannel()
        manager.addExtension(url, (), "user", channel, Silent())
        return [
            e.getIdentifier().Value
            for e in manager.getDeployedExtensions("user", channel, Silent())
        ]

    def described(self, names):
        """Descriptions that the function wizard shows, by the functions' names."""
        service = "com.sun.star.sheet.FunctionDescriptions"
        found = self.context.ServiceManager.createInstanceWithContext(
            service, self.context
        )
        answer = {}
        for place in range(found.Count):
            said = {item.Name: item.Value for item in found.getByIndex(place)}
            if said["Name"] in names:
                answer[said["Name"]] = [
                    said["Description"],
                    [
                        [a.Name, a.Description, a.IsOptional]
                        for a in said["Arguments"] or ()
                    ],
                ]
        return answer

    def work_out(self, cells, formulas, save=None):
        """Fill a new sheet, and give what the formulas' cells show.

        ``cells`` are addresses to values, an {"error": formula} among them; each of
        ``formulas`` is an address of a cell or an array, and a formula.
        """
        with self.open(NEW_BOOK) as book:
            found = self._fill(book, cells, formulas)
            for url in save or ():
                extension = url[url.rindex(".") :]
                book.storeToURL(url, (option("FilterName", FILTERS[extension]),))
            return found

    def _fill(self, book, cells, formulas):
        sheet = book.Sheets.getByIndex(0)
        _put(sheet, cells)
        for address, formula in formulas:
            area = sheet.getCellRangeByName(address)
            if ":" in address:
                area.setArrayFormula(formula)
            else:
                area.setFormula(formula)
        book.calculateAll()
        addresses = [address for address, _ in formulas]
        return Shown(sheet, addresses).values() if addresses else []

    def reopened(self, url, addresses, change=None):
        """Open a saved book, work it out anew, and give formulas and values."""
        with self.open(url) as book:
            sheet = book.Sheets.getByIndex(0)
            for address, value in (change or {}).items():
                sheet.getCellRangeByName(address).setValue(value)
            book.calculateAll()
            shown = Shown(sheet, addresses)
            return list(zip(shown.formulas(), shown.values(), strict=True))

    def macros(self, modules, cells, formulas, server):
        """Work formulas out that call macros, over a bridge to xlwings' server.

        ``modules`` are the macros' texts by name; ``server`` is the command of the
        process that answers them, where they need one.
        """
        with contextlib.ExitStack() as stack:
            if server:
                bridge = stack.enter_context(Bridge(server))
                factory = BridgeFactory(bridge)
                stack.enter_context(Service(self.context.ServiceManager, factory))
            book = stack.enter_context(
                self.open(NEW_BOOK, option("MacroExecutionMode", 4))
            )
            libraries = book.BasicLibraries
            libraries.VBACompatibilityMode = True
            book.createInstance("ooo.vba.VBAGlobals")
            if not libraries.hasByName("Standard"):
                libraries.createLibrary("Standard")
            library = libraries.getByName("Standard")
            for name, text in modules.items():
                library.insertByName(name, text)
            return self._fill(book, cells, formulas)

    def pressed(self, url, job, path="", sheet="", own="", times=1):
        """Press a button of the toolbar; give all sheets' names, and a sheet's rows.

        ``own`` is the name of a sheet of the user's that is there before.
        """
        import uno

        with self.open(url) as book:
            if own:
                book.Sheets.insertNewByName(own, 0)
                book.Sheets.getByName(own).getCellByPosition(0, 0).String = "mine"
            frame = book.CurrentController.Frame
            address = uno.createUnoStruct("com.sun.star.util.URL")
            address.Complete = f"vnd.pennyweight:{job}"
            button = frame.queryDispatch(address, "_self", 0)
            given = (option("Path", path), option("Quiet", True))
            for _ in range(times):
                button.dispatch(address, given)
            names = list(book.Sheets.ElementNames)
            if sheet not in names:
                return names, []
            area = book.Sheets.getByName(sheet).getCellRangeByName("A1:F400")
            return names, [list(row) for row in area.getDataArray()]

    def timed(self, cells, address, formula, times):
        """Seconds that a number of full recalculations take."""
        import time

        with self.open(NEW_BOOK) as book:
            sheet = book.Sheets.getByIndex(0)
            for first, rows in cells.items():
                area = sheet.getCellRangeByName(first)
                area.setDataArray(tuple(map(tuple, rows)))
            target = sheet.getCellRangeByName(address)
            if formula.startswith("{"):
                target.setArrayFormula(formula[1:-1])
            else:
                for row in range(target.Rows.Count):
                    cell = target.getCellByPosition(0, row)
                    cell.setFormula(formula.replace("#", str(row + 1)))
            book.calculateAll()
            start = time.perf_counter()
            for _ in range(times):
                book.calculateAll()
            return time.perf_counter() - start


def _put(sheet, cells):
    """Fill cells: numbers and texts in one call, as each costs about 1 ms."""
    plain, formulas = {}, {}
    for address, value in cells.items():
        if isinstance(value, dict):
            formulas[address] = value["error"]
        elif isinstance(value, bool):
            formulas[address] = "=TRUE()" if value else "=FALSE()"
        elif value is not None:
            plain[_place(address)] = value if isinstance(value, str) else float(value)
    if plain:
        right, bottom = (max(places) for places in zip(*plain, strict=True))
        rows = tuple(
            tuple(plain.get((column, row), "") for column in range(right + 1))
            for row in range(bottom + 1)
        )
        sheet.getCellRangeByPosition(0, 0, right, bottom).setDataArray(rows)
    for address, formula in formulas.items():
        sheet.getCellRangeByName(address).setFormula(formula)


class Shown:
    """What some areas of a sheet have, read in as few calls as can be."""

    def __init__(self, sheet, addresses):
        """Take a sheet, and addresses of cells and areas."""
        ends = [address.partition(":") for address in addresses]
        self.areas = [(_place(first), _place(last or first)) for first, _, last in ends]
        self.left, self.top = (
            min(at) for at in zip(*(a for a, _ in self.areas), strict=True)
        )
        right, bottom = (
            max(at) for at in zip(*(b for _, b in self.areas), strict=True)
        )
        self.cells = sheet.getCellRangeByPosition(self.left, self.top, right, bottom)

    def formulas(self):
        """Formula of the first cell of each area."""
        rows = self.cells.getFormulaArray()
        return [
            rows[row - self.top][column - self.left] for (column, row), _ in self.areas
        ]

    def values(self):
        """Rows of each area: numbers, texts, errors."""
        rows = self.cells.getDataArray()
        return [
            [
                [self._value(rows, row, column) for column in range(left, right + 1)]
                for row in range(top, bottom + 1)
            ]
            for (left, top), (right, bottom) in self.areas
        ]

    def _value(self, rows, row, column):
        row, column = row - self.top, column - self.left
        if rows[row][column] is not None:
            return rows[row][column]
        number = self.cells.getCellByPosition(column, row).getError()
        return {"error": ERRORS.get(number, f"Err:{number}"), "number": number}


def _place(address):
    """Column and row of a cell, from 0."""
    letters, column = address.rstrip("0123456789"), 0
    for letter in letters:
        column = 26 * column + ord(letter) - ord("A") + 1
    return column - 1, int(address[len(letters) :]) - 1


if __name__ == "__main__":
    worker = AddinWorker()
    try:
        for line in sys.stdin:
            print(json.dumps(worker.answer(json.loads(line))), flush=True)
    finally:
        worker.end()
