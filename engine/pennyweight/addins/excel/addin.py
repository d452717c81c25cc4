"""The add-in for Excel: one button on the ribbon that opens a choice of jobs.

It is made on the user's machine from the add-in in the installed xlwings (its part
under the BSD licence). The macros stay byte for byte; the ribbon, the settings and the
description are replaced. It does not need access to the VBA project object model.
"""

import io
import os
import re
import sys
import zipfile
from importlib.resources import files
from pathlib import Path
from xml.sax.saxutils import escape

from ...errors import CallError, WorkbookError
from ...workbook.files import make_folder, open_elsewhere, write_together
from .macro_workbook import from_xlwings, settings

NAME = "pennyweight_addin"
"""Name of the file; its macro imports a module of the same name."""

SOURCE = "quickstart_addin_ribbon.xlam"
SCRIPT = '''\
"""Called by the button of the add-in; pennyweight excel uninstall removes it."""

from pennyweight.addins.excel.jobs import main  # noqa: F401
'''
RIBBON = files(__package__).joinpath("ribbon.xml").read_bytes()
RIBBON_PART, FORMER_RIBBON = "customUI/customUI14.xml", "customUI/customUI.xml"
SHEET = """\
<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">\
<sheetData>{rows}</sheetData></worksheet>
"""
CORE = files(__package__).joinpath("core.xml").read_bytes()
OFF_SHEET, SETTINGS_SHEET = "_myaddin.conf", "myaddin.conf"
"""Names of the settings sheet that the macros know: ignored, and read."""


def addin_bytes():
    """Give the bytes of the add-in for this machine.

    Returns
    -------
    content : bytes

    Raises
    ------
    WorkbookError
        When the add-in of xlwings is missing.
    """
    changed, target = from_xlwings(SOURCE, _changed), io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in changed.items():
            item = zipfile.ZipInfo(name)  # without the time: alike each time
            package.writestr(item, content, zipfile.ZIP_DEFLATED)
    return target.getvalue()


def _changed(parts):
    """The parts with pennyweight's ribbon and settings; the macros are unchanged."""
    del parts[FORMER_RIBBON]
    book = parts["xl/workbook.xml"].decode("utf-8")
    book = re.sub("<mc:AlternateContent.*?</mc:AlternateContent>", "", book)
    links = parts["_rels/.rels"].decode("utf-8")
    return {
        **parts,
        "xl/workbook.xml": book.replace(OFF_SHEET, SETTINGS_SHEET).encode(),
        "_rels/.rels": links.replace(FORMER_RIBBON, RIBBON_PART).encode(),
        "xl/worksheets/sheet1.xml": _settings_sheet().encode(),
        "docProps/core.xml": CORE,
        RIBBON_PART: RIBBON,
    }


def _settings_sheet():
    values = {**settings(), "PYTHONPATH": str(script_folder())}
    del values["UDF Modules"]
    rows = "".join(
        f'<row r="{number}">{_cell("A", number, key)}{_cell("B", number, value)}</row>'
        for number, (key, value) in enumerate(values.items(), 1)
    )
    return SHEET.format(rows=rows)


def _cell(column, row, text):
    inside = f"<is><t>{escape(text)}</t></is>"
    return f'<c r="{column}{row}" t="inlineStr">{inside}</c>'


def script_folder():
    """Folder of the script that the button calls."""
    return Path.home() / ".pennyweight" / "excel"


def start_folder():
    """Excel's start folder, whose files it opens at each start; None without Excel."""
    named = os.environ.get("PENNYWEIGHT_XLSTART")
    if named:
        return Path(named)
    if sys.platform.startswith("win"):
        return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART"
    if sys.platform == "darwin":
        office = Path.home() / "Library/Group Containers/UBF8T346G9.Office"
        return office / "User Content.localized/Startup.localized/Excel"
    return None


def places():
    """Where the add-in and its script belong.

    Returns
    -------
    paths : list of Path

    Raises
    ------
    CallError
        Where there is no Excel.
    """
    folder = start_folder()
    if folder is None:
        raise CallError(
            "There is no Excel on this system. Use LibreOffice (pennyweight calc "
            "install), or run this on Windows or a Mac."
        )
    return [folder / f"{NAME}.xlam", script_folder() / f"{NAME}.py"]


def install():
    """Build the add-in and put it where Excel opens it at each start.

    Returns
    -------
    messages : list of str
    """
    addin, script = places()
    content = addin_bytes()
    for path in (addin, script):
        make_folder(path.parent)
    _refuse_open(addin)
    write_together({script: SCRIPT.encode(), addin: content}, True)
    return [
        f"Installed: {addin}",
        "Restart Excel: the tab Pennyweight has the button 'Choose a job'.",
    ]


def uninstall():
    """Remove the add-in and its script.

    Returns
    -------
    messages : list of str
    """
    addin, script = places()
    _refuse_open(addin)
    messages = []
    for path in (addin, script):
        if path.exists():
            path.unlink()
            messages.append(f"Deleted: {path}")
    return messages or ["The add-in was not installed."]


def _refuse_open(addin):
    if open_elsewhere(addin):
        raise WorkbookError("Excel has the add-in open: close Excel, then try again.")
