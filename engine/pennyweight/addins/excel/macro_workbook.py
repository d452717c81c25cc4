"""The macro workbook: a workbook of the model with settings and buttons.

It is made on the user's machine, because the macros of xlwings name the installed
version and because a file made here is not marked as downloaded.
"""

import importlib.metadata
import importlib.util
import io
import sys
import zipfile
from pathlib import Path

from ...errors import CallError, WorkbookError
from ...workbook.files import write_together
from ...workbook.write import book_bytes
from .vba import SERVER_MODULE, macro_module

SETTINGS_SHEET = "xlwings.conf"
BUTTON_SHEET = "Buttons"
SCRIPT = '''\
"""Called by the button Run of {book}; keep it beside the workbook."""

from pennyweight.addins.excel.buttons import main  # noqa: F401
'''


def new_workbook(book, path, force=False):
    """Write a macro workbook, its script and its macro module.

    Parameters
    ----------
    book : Book
    path : str or Path
        Ending in .xlsm; its name is also the script's, so it must be one word.
    force : bool
        Whether files that are there already may be replaced.

    Returns
    -------
    paths : list of Path
        The workbook, the script, the macro module.
    """
    path = named(path)
    content = book_bytes(book, _furnish)
    return write_together({path: content, **_companion_contents(path)}, force)


def named(path):
    """Check that the name of a macro workbook is one that its button can call."""
    path = Path(path)
    if path.suffix.lower() != ".xlsm":
        raise CallError(f"{path}: the name of a macro workbook ends in .xlsm.")
    if not path.stem.isidentifier() or path.stem.lower() == "pennyweight":
        raise CallError(
            f"{path}: the button calls a script of the workbook's name, so it must be "
            "one word of letters, digits and _, other than pennyweight: my_mill.xlsm."
        )
    return path


def companions(path):
    """The script and the macro module beside a macro workbook."""
    return [path.with_suffix(".py"), path.with_suffix(".bas")]


def write_companions(path):
    """Write the script and the macro module again."""
    return write_together(_companion_contents(path), True)


def _companion_contents(path):
    script, module = companions(path)
    return {
        script: SCRIPT.format(book=path.name).encode(),
        module: macro_module().encode("ascii", "replace"),
    }


def settings():
    """Settings of the macros: interpreter, functions, version of xlwings."""
    windows = sys.platform.startswith("win")
    interpreter = Path(sys.executable)
    quiet = interpreter.with_name("pythonw.exe")
    rows = {
        "Interpreter_Win": str(quiet if windows and quiet.exists() else interpreter),
        "Interpreter_Mac": str(interpreter),
        "UDF Modules": SERVER_MODULE,
        "Use UDF Server": "False",
        "Show Console": "False",
        "Made with xlwings": xlwings_version(),
    }
    rows.pop("Interpreter_Mac" if windows else "Interpreter_Win")
    return rows


def xlwings_version():
    """Version of the installed xlwings; raises if it is not installed."""
    try:
        return importlib.metadata.version("xlwings")
    except importlib.metadata.PackageNotFoundError:
        raise CallError(
            "xlwings is not installed: run  python -m pip install 'pennyweight[excel]'"
        ) from None


def xlwings_folder():
    """Folder of the installed xlwings, found without importing it."""
    xlwings_version()
    return Path(importlib.util.find_spec("xlwings").origin).parent


def macro_project():
    """The macro project of the workbook that comes with xlwings."""
    return from_xlwings(
        "quickstart_standalone.xlsm", lambda parts: parts["xl/vbaProject.bin"]
    )


def from_xlwings(name, take):
    """The result of a function of the parts of a workbook that comes with xlwings."""
    source = xlwings_folder() / name
    try:
        with zipfile.ZipFile(source) as package:
            return take({part: package.read(part) for part in package.namelist()})
    except (OSError, KeyError, zipfile.BadZipFile):
        raise WorkbookError(
            f"{source} is missing or damaged: install xlwings again."
        ) from None


def _furnish(package, formats):
    package.add_vba_project(io.BytesIO(macro_project()), True)
    _buttons(package.add_worksheet(BUTTON_SHEET), formats)
    sheet = package.add_worksheet(SETTINGS_SHEET)
    sheet.set_column(0, 0, 24)
    sheet.set_column(1, 1, 90)
    for row, (key, value) in enumerate(settings().items()):
        sheet.write_string(row, 0, key)
        sheet.write_string(row, 1, value)


def _buttons(sheet, formats):
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 30)
    sheet.set_column(1, 1, 46)
    sheet.write_string(0, 0, "Buttons", formats.title())
    sheet.write_string(
        1, 0, "Python works on this open workbook: press Run and choose what it does."
    )
    for cell, macro, caption in (
        ("A4", "SampleCall", "Run"),
        ("B4", "ImportPythonUDFs", "Import functions (xlwings' own way)"),
    ):
        button = {"macro": macro, "caption": caption, "width": 200, "height": 30}
        sheet.insert_button(cell, button)
    sheet.write_string(
        6,
        0,
        "The functions DWT_... come in best by File, Import File in the macro editor "
        "(Alt+F11), with the .bas file that lies beside this workbook.",
        formats.note(),
    )
