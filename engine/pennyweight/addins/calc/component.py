"""The component that LibreOffice loads: worksheet functions and toolbar.

LibreOffice runs this file in its own Python, which may be old and has no NumPy. So
nothing of pennyweight is imported here: the engine runs as another process, started
with the first question, in the Python that `pennyweight calc install` stored.
"""

import json
import os
import queue
import shutil
import struct
import subprocess
import sys
import tempfile
import threading

import uno
import unohelper
from com.sun.star.awt.MessageBoxType import INFOBOX
from com.sun.star.beans import PropertyValue
from com.sun.star.frame import XDispatch, XDispatchProvider
from com.sun.star.lang import XInitialization, XServiceInfo, XServiceName
from dwt import XFunctions

SERVICE = "dwt"
SECONDS = 300
"""Time limit for an answer; then the engine is stopped."""

NUMBERS = {
    "#N/A": 32767,
    "#VALUE!": 519,
    "#NUM!": 503,
    "#DIV/0!": 532,
    "#REF!": 524,
    "#NAME?": 525,
    "#NULL!": 521,
}
"""Calc's error numbers."""

NAMES = {number: name for name, number in NUMBERS.items()}
NAMES[502] = "#VALUE!"
QUIET = 0x7FF8000000000000
"""Bits of a quiet not-a-number; Calc stores an error's number in the lower half."""

_questions = threading.Lock()
_engine = None


class Functions(unohelper.Base, XFunctions, XServiceName):
    """Every function of the registry; each call goes to the engine by its name."""

    def __init__(self, context, *unused):
        """Accept the context, which is not used."""

    def getServiceName(self):
        """Name under which Calc knows the functions."""
        return SERVICE

    def __getattr__(self, name):
        if not name.isupper():
            raise AttributeError(name)
        return lambda *given: to_calc(ask(name, [from_calc(item) for item in given]))


def from_calc(value):
    """An argument as the engine's cells: rows, a single cell, or None."""
    if isinstance(value, tuple):
        return [[_cell(item) for item in row] for row in value]
    return value if value is None else [[_cell(value)]]


def _cell(item):
    if isinstance(item, float):
        if item == item:
            return item
        number = struct.unpack("<Q", struct.pack("<d", item))[0] & 0xFFFF
        return {"error": NAMES.get(number, "#VALUE!")}
    return None if item == "" else item


def to_calc(rows):
    """An answer as Calc takes it; error values become Calc's error numbers."""
    return tuple(tuple(_shown(cell) for cell in row) for row in rows)


def _shown(cell):
    if isinstance(cell, dict):
        bits = QUIET | NUMBERS.get(cell["error"], NUMBERS["#VALUE!"])
        return struct.unpack("<d", struct.pack("<Q", bits))[0]
    return float(cell) if isinstance(cell, bool | int) else cell


def ask(name, given):
    """Ask the engine; start it first if it is not running."""
    global _engine
    with _questions:
        try:
            if _engine is None or _engine.gone():
                _engine = Engine(interpreter())
            return _engine.ask(name, given)
        except (OSError, ValueError, queue.Empty) as error:
            _engine = None
            return _without_engine(name, error)


def _without_engine(name, error):
    """The answer without an engine: #N/A, and from `DWT_REASON` the cause."""
    message = (
        f"The engine did not start with {interpreter()} ({error}). In a terminal run: "
        "pennyweight calc doctor"
    )
    return [[message]] if name == "REASON" else [[{"error": "#N/A"}]]


def interpreter():
    """The Python that has pennyweight, as `calc install` stored it."""
    named = os.environ.get("PENNYWEIGHT_PYTHON")
    if named:
        return named
    place = os.path.join(os.path.expanduser("~"), ".pennyweight", "calc.json")
    try:
        with open(place, encoding="utf-8") as file:
            return json.load(file)["python"]
    except (OSError, ValueError, KeyError):
        return "python" if sys.platform.startswith("win") else "python3"


class Engine:
    """The engine's process: one line of JSON for a question, one for its answer."""

    def __init__(self, python):
        """Start it without the Python settings of LibreOffice."""
        dropped = ("PYTHON", "LD_LIBRARY_PATH", "URE_")
        world = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith(dropped) or os.environ.get("PENNYWEIGHT_KEEP_PATHS")
        }
        hidden = {}
        if sys.platform.startswith("win"):
            hidden["creationflags"] = 0x08000000  # no window
        self.process = subprocess.Popen(
            [python, "-m", "pennyweight.addins.calc.server"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=world,
            **hidden,
        )
        self.answers = queue.Queue()
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self):
        for line in self.process.stdout:
            self.answers.put(line)
        self.answers.put(b"")

    def gone(self):
        """Whether it has ended."""
        return self.process.poll() is not None

    def ask(self, name, given):
        """Give the rows that answer a question."""
        question = json.dumps([name, given]).encode()
        self.process.stdin.write(question + b"\n")
        self.process.stdin.flush()
        try:
            line = self.answers.get(timeout=SECONDS)
        except queue.Empty:
            self.process.kill()
            raise
        if not line:
            raise OSError(f"it ended with code {self.process.wait()}")
        return json.loads(line)


HANDLER = "pennyweight.Buttons"
PROTOCOL = "vnd.pennyweight:"
MARK = "Written by pennyweight"
FILES = {"quote": "quote.xlsx", "settle": "statement.xlsx", "compare": ""}
"""Jobs that need a file, with the name proposed for one to write."""
OPEN, SAVE_WITH_ENDING = 0, 10
"""Of the file picker: FILEOPEN_SIMPLE, FILESAVE_AUTOEXTENSION."""


class Buttons(
    unohelper.Base, XDispatchProvider, XDispatch, XInitialization, XServiceInfo
):
    """The toolbar: each button has an address, and its job is done by the engine."""

    def __init__(self, context, *unused):
        """Store the context."""
        self.context, self.frame = context, None

    def initialize(self, given):
        """Store the window's frame."""
        self.frame = given[0] if given else None

    def queryDispatch(self, address, target, flags):
        """Answer for our own addresses."""
        return self if address.Complete.startswith(PROTOCOL) else None

    def queryDispatches(self, requests):
        """Answer several at once."""
        return tuple(
            self.queryDispatch(one.FeatureURL, one.FrameName, one.SearchFlags)
            for one in requests
        )

    def dispatch(self, address, given):
        """Do the job of a button."""
        values = {item.Name: item.Value for item in given}
        job = address.Complete[len(PROTOCOL) :]
        out = values.get("Path") or (self._path(job) if job in FILES else "")
        busy = self.frame.createStatusIndicator()
        busy.start("Pennyweight is working", 0)
        try:
            message = work(self.frame.Controller.Model, job, out)
        finally:
            busy.end()
        if not values.get("Quiet"):
            self._say(message)

    def _path(self, job):
        name = "com.sun.star.ui.dialogs.FilePicker"
        picker = self.context.ServiceManager.createInstanceWithArgumentsAndContext(
            name, (SAVE_WITH_ENDING if FILES[job] else OPEN,), self.context
        )
        picker.appendFilter("Workbook (.xlsx)", "*.xlsx")
        picker.setDefaultName(FILES[job])
        if picker.execute() != 1:
            return ""
        return uno.fileUrlToSystemPath(picker.Files[0])

    def _say(self, text):
        window = self.frame.ContainerWindow
        box = window.Toolkit.createMessageBox(window, INFOBOX, 1, "Pennyweight", text)
        box.execute()

    def addStatusListener(self, listener, address):
        """Do nothing: the buttons are always enabled."""

    def removeStatusListener(self, listener, address):
        """Do nothing: the buttons are always enabled."""

    def getImplementationName(self):
        """Name of this handler."""
        return HANDLER

    def supportsService(self, name):
        """Whether the handler has this service."""
        return name in self.getSupportedServiceNames()

    def getSupportedServiceNames(self):
        """The service of a protocol handler."""
        return ("com.sun.star.frame.ProtocolHandler",)


def work(document, job, out):
    """Do a job on a copy of the open workbook, show its rows and return a message."""
    if job == "renew":
        document.calculateAll()
        return "Everything was worked out again."
    folder = tempfile.mkdtemp(prefix="pennyweight-")
    try:
        path = os.path.join(folder, "open.xlsx")
        options = PropertyValue("FilterName", 0, "Calc MS Excel 2007 XML", 0)
        document.storeToURL(uno.systemPathToFileUrl(path), (options,))
        answer = ask("job " + job, [path, out])
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    if not isinstance(answer, dict):
        return "The engine did not start. In a terminal run: pennyweight calc doctor"
    if "rows" in answer:
        show(document, answer["sheet"], answer["rows"])
    return answer["said"]


def show(document, name, rows):
    """Write rows on a sheet that pennyweight made; never on a sheet of the user."""
    sheets, title = document.Sheets, name
    for number in range(1, 100):
        title = name if number == 1 else f"{name} {number}"
        if not sheets.hasByName(title):
            sheets.insertNewByName(title, sheets.Count)
            break
        if sheets.getByName(title).getCellByPosition(0, 0).String == MARK:
            sheets.getByName(title).clearContents(1 | 2 | 4 | 16)
            break
    sheet, width = sheets.getByName(title), max(map(len, rows))
    sheet.getCellByPosition(0, 0).String = MARK
    table = tuple(
        tuple(map(_content, row)) + ("",) * (width - len(row)) for row in rows
    )
    area = sheet.getCellRangeByPosition(0, 2, width - 1, len(rows) + 1)
    area.setDataArray(table)
    if document.CurrentController is not None:
        document.CurrentController.setActiveSheet(sheet)


def _content(cell):
    """A value as `setDataArray` takes it, which never reads a text as a formula."""
    if cell is None:
        return ""
    return float(cell) if isinstance(cell, (bool, int, float)) else str(cell)


g_ImplementationHelper = unohelper.ImplementationHelper()  # the name UNO looks for
g_ImplementationHelper.addImplementation(
    Functions, SERVICE, ("com.sun.star.sheet.AddIn", SERVICE)
)
g_ImplementationHelper.addImplementation(
    Buttons, HANDLER, ("com.sun.star.frame.ProtocolHandler",)
)
