"""Fakes of the COM modules of Windows, with which the real xlwings runs on any system.

Only the modules that belong to Windows are replaced: the decorators, the writing of
macros, the server's `CallUDF` and the conversions are xlwings' own.
"""

import contextlib
import ctypes
import datetime
import sys
from types import SimpleNamespace
from unittest import mock

RANGE_IID = "{00020846-0000-0000-C000-000000000046}"
MISSING = -2147352572
"""What COM hands over for an argument that was left out."""

ERROR_BASE = -2146828288
ERRORS = {
    "#NULL!": 2000,
    "#DIV/0!": 2007,
    "#VALUE!": 2015,
    "#REF!": 2023,
    "#NAME?": 2029,
    "#NUM!": 2036,
    "#N/A": 2042,
    "#SPILL!": 2045,
}
OURS = ("xlwings", "pennyweight.addins.excel")


def error(text):
    """An error value as it comes out of a cell."""
    return ERROR_BASE + ERRORS[text]


class ComError(Exception):
    """pywintypes.com_error."""


class Time(datetime.datetime):
    """pywintypes.TimeType."""


def _modules():
    made = {}
    for name in (
        "pythoncom",
        "pywintypes",
        "win32api",
        "win32con",
        "win32event",
        "win32gui",
        "win32process",
        "win32timezone",
        "win32com",
        "win32com.client",
        "win32com.server",
        "win32com.server.dispatcher",
        "win32com.server.policy",
        "win32com.server.util",
    ):
        made[name] = mock.MagicMock(name=name)
    for name, module in made.items():
        parent, _, child = name.rpartition(".")
        if parent:
            setattr(made[parent], child, module)
        module.__name__, module.__path__, module.__file__ = name, [], name
    pythoncom, pywintypes = made["pythoncom"], made["pywintypes"]
    pythoncom.IID_IDispatch = "dispatch"
    pythoncom.IID_IEnumVARIANT = "variant"
    pythoncom.TypeIIDs = {"dispatch": type("PyIDispatch", (), {})}
    pythoncom.CoInitialize = lambda: None
    pywintypes.com_error, pywintypes.TimeType, pywintypes.IID = ComError, Time, str
    client = made["win32com.client"]
    client.Dispatch = client.DispatchEx = lambda inner, **_: inner
    for kind in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass"):
        setattr(client, kind, type(kind, (), {}))
    made["win32com.server.util"].unwrap = _no_wrap
    made["win32com.server.util"].wrap = lambda inner, *_, **__: inner
    made["win32api"].GetCurrentThreadId = lambda: 0
    made["win32process"].GetWindowThreadProcessId = lambda window: (0, 1)
    made["win32timezone"].TimeZoneInfo = SimpleNamespace(utc=lambda: datetime.UTC)
    return made


def _no_wrap(variant):
    raise ComError(variant)


@contextlib.contextmanager
def windows():
    """Import xlwings and the Excel add-in afresh as on Windows; put all back after.

    Yields
    ------
    xlwings : module
    """
    kept = {name: module for name, module in sys.modules.items() if _ours(name)}
    for name in kept:
        del sys.modules[name]
    stood_in = _modules()
    try:
        with (
            mock.patch.dict(sys.modules, stood_in),
            mock.patch.object(ctypes, "windll", mock.MagicMock(), create=True),
            mock.patch.object(ctypes, "PyDLL", mock.MagicMock()),
            mock.patch.object(ctypes, "oledll", mock.MagicMock(), create=True),
        ):
            with mock.patch.object(sys, "platform", "win32"):
                import xlwings
            yield xlwings
    finally:
        for name in [name for name in sys.modules if _ours(name)]:
            del sys.modules[name]
        sys.modules.update(kept)


def _ours(name):
    return any(name == own or name.startswith(f"{own}.") for own in OURS)


class Sheet:
    """A worksheet of Excel's, as far as a function's argument needs one."""

    def __init__(self, book, name="Sheet1"):
        self.Parent, self.Name, self.Application = book, name, book.Application


class Cells:
    """A range: what its cells hold, as ``Value2`` and as the formats cut ``Value``."""

    def __init__(self, sheet, rows, formatted=None, address="$A$1"):
        self.Worksheet, self._rows = sheet, tuple(map(tuple, rows))
        self._formatted = formatted
        self.Row = self.Column = 1
        self.Rows = SimpleNamespace(Count=len(self._rows))
        self.Columns = SimpleNamespace(Count=len(self._rows[0]))
        self.Application, self.address = sheet.Application, address
        attributes = SimpleNamespace(iid=RANGE_IID)
        info = SimpleNamespace(GetTypeAttr=lambda: attributes)
        self._oleobj_ = SimpleNamespace(GetTypeInfo=lambda: info)

    @property
    def Value2(self):
        """Plain values; of one cell the value itself."""
        single = len(self._rows) == 1 and len(self._rows[0]) == 1
        return self._rows[0][0] if single else self._rows

    @property
    def Value(self):
        """Values as formats make them; whoever reads these loses digits."""
        return self.Value2 if self._formatted is None else self._formatted


class Components(list):
    """Macro modules of a workbook; remembers the text of those brought in."""

    def __call__(self, name):
        for component in self:
            if component.Name == name:
                return component
        raise ComError(name)

    def Import(self, path):
        """Bring a module in from a file."""
        with open(path, newline="") as file:
            text = file.read()
        name = text.split('"')[1]
        self.append(SimpleNamespace(Name=name, text=text))

    def Remove(self, component):
        """Take a module out."""
        self.remove(component)


class Book:
    """A workbook of Excel's."""

    def __init__(self, name="my_mill.xlsm"):
        self.Name = self.FullName = name
        self.described = {}
        self.Application = SimpleNamespace(
            Hwnd=1,
            Version="16.0",
            MacroOptions=self._describe,
            Intersect=lambda *_: None,
        )
        self.VBProject = SimpleNamespace(VBComponents=Components())
        self.Worksheets = [Sheet(self)]

    def _describe(self, name="", **options):
        self.described[name or options["Macro"]] = options

    def cells(self, *rows, **more):
        """A range on the first sheet."""
        return Cells(self.Worksheets[0], rows, **more)
