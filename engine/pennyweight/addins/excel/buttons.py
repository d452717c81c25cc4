"""What the button Run of a macro workbook does, and the macros for other buttons."""

from functools import partial
from pathlib import Path

from ...errors import PennyweightError, WorkbookError
from . import jobs
from .macro_workbook import write_companions


def main(*names):
    """Let the user choose a job for the open workbook, and do it; or do the named one.

    Parameters
    ----------
    *names : str
        Jobs to choose from; all when left out.
    """
    jobs.main({name: JOBS[name] for name in names or JOBS})


judge, compare = partial(main, "judge"), partial(main, "compare")
risk = chances = partial(main, "risk")
"""Called by macros, the last one by those made earlier."""


def install_functions(book):
    """Import the macro module into the open workbook, with help; Windows only."""
    module = write_companions(Path(book.fullname))[1]
    try:
        components = book.api.VBProject.VBComponents
    except Exception:
        raise WorkbookError(
            "Excel does not let programs add macros. Either tick File, Options, Trust "
            "Center, Trust Center Settings, Macro Settings, 'Trust access to the VBA "
            f"project object model', or press Alt+F11 and import {module} by hand."
        ) from None
    for component in list(components):
        if component.Name == "Pennyweight":
            components.Remove(component)
    components.Import(str(module))
    describe(book)


def _install(book, window):
    install_functions(book)
    window.say("The functions are in this workbook: save it.")


JOBS = {
    **jobs.JOBS,
    "install functions": ("Install the functions DWT_... in this workbook", _install),
}
"""Jobs of a macro workbook: those of every workbook, and its functions."""


def describe(book):
    """Give the functions their help and category in Excel's wizard."""
    from ..registry import registry

    for entry in registry().values():
        helps = [argument.help for argument in entry.arguments]
        book.app.api.MacroOptions(
            Macro=f"'{book.name}'!{entry.name}",
            Description=entry.help,
            Category=entry.category,
            ArgumentDescriptions=helps or None,
        )


def refresh(path):
    """Renew the files beside a macro workbook, and its functions if it is open.

    Parameters
    ----------
    path : Path

    Returns
    -------
    messages : list of str
    """
    script, module = write_companions(path)
    messages = [f"Written: {script}", f"Written: {module}"]
    try:
        import xlwings as xw

        book = xw.books[path.name]
        install_functions(book)
        messages.append(f"The functions in {path.name} are renewed; save it.")
    except PennyweightError as error:
        messages.append(str(error))
    except Exception:
        messages.append(
            f"To renew the functions: open {path.name}, press Alt+F11, remove the "
            f"module Pennyweight, and import {module.name} by File, Import File."
        )
    return messages
