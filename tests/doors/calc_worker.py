"""Drive LibreOffice with our extension: as the oracles' worker, and a few tasks more.

Run by the Python that has the UNO modules, so it imports nothing of the project.
"""

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

import uno
import unohelper
from com.sun.star.task import XInteractionHandler
from com.sun.star.ucb import XCommandEnvironment
from uno_worker import FILTERS, Worker, option

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


class DoorWorker(Worker):
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
        book = self.desktop.loadComponentFromURL(
            "private:factory/scalc", "_blank", 0, (option("Hidden", True),)
        )
        try:
            sheet = book.Sheets.getByIndex(0)
            for address, value in cells.items():
                cell = sheet.getCellRangeByName(address)
                if isinstance(value, str):
                    cell.setString(value)
                elif isinstance(value, dict):
                    cell.setFormula(value["error"])
                elif isinstance(value, bool):
                    cell.setFormula("=TRUE()" if value else "=FALSE()")
                elif value is not None:
                    cell.setValue(value)
            for address, formula in formulas:
                area = sheet.getCellRangeByName(address)
                if ":" in address:
                    area.setArrayFormula(formula)
                else:
                    area.setFormula(formula)
            book.calculateAll()
            found = [_shown(sheet, address) for address, _ in formulas]
            for url in save or ():
                extension = url[url.rindex(".") :]
                book.storeToURL(url, (option("FilterName", FILTERS[extension]),))
            return found
        finally:
            book.close(True)

    def reopened(self, url, addresses, change=None):
        """Open a saved book, work it out anew, and give formulas and values."""
        book = self.desktop.loadComponentFromURL(
            url, "_blank", 0, (option("Hidden", True),)
        )
        try:
            sheet = book.Sheets.getByIndex(0)
            for address, value in (change or {}).items():
                sheet.getCellRangeByName(address).setValue(value)
            book.calculateAll()
            return [
                [sheet.getCellRangeByName(a.split(":")[0]).Formula, _shown(sheet, a)]
                for a in addresses
            ]
        finally:
            book.close(True)

    def timed(self, cells, address, formula, times):
        """Seconds that a number of full recalculations take."""
        import time

        book = self.desktop.loadComponentFromURL(
            "private:factory/scalc", "_blank", 0, (option("Hidden", True),)
        )
        try:
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
        finally:
            book.close(True)


def _shown(sheet, address):
    area = sheet.getCellRangeByName(address)
    rows, columns = area.Rows.Count, area.Columns.Count
    return [
        [_cell(area.getCellByPosition(c, r)) for c in range(columns)]
        for r in range(rows)
    ]


def _cell(cell):
    number = cell.getError()
    if number:
        return {"error": ERRORS.get(number, f"Err:{number}"), "number": number}
    text = cell.Type.value == "TEXT" or (
        cell.Type.value == "FORMULA" and cell.FormulaResultType2 == 2
    )
    return cell.getString() if text else cell.getValue()


if __name__ == "__main__":
    worker = DoorWorker()
    try:
        for line in sys.stdin:
            print(json.dumps(worker.answer(json.loads(line))), flush=True)
    finally:
        worker.end()
