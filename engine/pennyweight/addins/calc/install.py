"""Installation of the extension, and the setting of the engine's Python."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from ...errors import CallError, WorkbookError
from ...workbook.files import make_folder, write_together, write_whole
from .extension import IDENTIFIER, NAME, extension_bytes

SECONDS = 180
SETTINGS = "calc.json"
PLACES = (
    "/Applications/LibreOffice.app/Contents/MacOS/unopkg",
    r"C:\Program Files\LibreOffice\program\unopkg.com",
    r"C:\Program Files (x86)\LibreOffice\program\unopkg.com",
    "/opt/libreoffice/program/unopkg",
)
"""Where LibreOffice has its extension installer when it is not on the path."""


def user_folder():
    """Folder in the user's home with the files that the extension needs."""
    return Path.home() / ".pennyweight"


def unopkg():
    """LibreOffice's extension installer, or None."""
    for name in (os.environ.get("PENNYWEIGHT_UNOPKG"), "unopkg", *PLACES):
        found = shutil.which(name) if name else None
        if found:
            return Path(found)
    return None


def remember(python=sys.executable, extension=None):
    """Store the path of the Python that has the engine; the component reads it.

    Parameters
    ----------
    python : str or Path
    extension : bytes, optional
        The extension file, to be written beside it.

    Returns
    -------
    path : Path
        Of the file written last.
    """
    folder = user_folder()
    make_folder(folder)
    contents = {folder / SETTINGS: json.dumps({"python": str(python)}).encode()}
    if extension is not None:
        contents[folder / NAME] = extension
    return write_together(contents, True)[-1]


def remembered():
    """The stored path of the Python that has the engine, or None."""
    try:
        return json.loads((user_folder() / SETTINGS).read_text("utf-8"))["python"]
    except (OSError, ValueError, KeyError):
        return None


def build(path, force=False):
    """Write the extension file.

    Parameters
    ----------
    path : str or Path
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path
    """
    return write_whole(path, extension_bytes(), force)


def install(everybody=False):
    """Build the extension and install it in LibreOffice.

    Parameters
    ----------
    everybody : bool
        Whether every user of this machine gets it; else the user who calls.

    Returns
    -------
    messages : list of str

    Raises
    ------
    WorkbookError
        With the message of LibreOffice, and what to do.
    """
    _refuse_root(everybody)
    path = remember(extension=extension_bytes())
    installer = unopkg()
    if installer is None:
        raise WorkbookError(
            f"LibreOffice was not found. The extension is at {path}: double-click "
            "it, or in LibreOffice choose Tools, Extensions, Add."
        )
    order = ("add", "-f", "--suppress-license", *scope(everybody), str(path))
    done = _run(installer, order, path)
    if done.returncode != 0:
        raise WorkbookError(_refused(path, (done.stderr or done.stdout).strip()))
    return [f"Installed: {path}", "Restart LibreOffice; =DWT_VERSION() tries it."]


def uninstall(everybody=False):
    """Remove the extension from LibreOffice, and the stored settings.

    Parameters
    ----------
    everybody : bool
        Whether it was installed for every user.

    Returns
    -------
    notes : list of str

    Raises
    ------
    WorkbookError
        With the message of LibreOffice.
    """
    _refuse_root(everybody)
    installer = unopkg()
    notes = ["LibreOffice was not found."]
    if installer is not None:
        order = ("remove", *scope(everybody), IDENTIFIER)
        done = _run(installer, order, user_folder() / NAME)
        missing = "no such" in done.stderr.lower() or "not deployed" in done.stderr
        if done.returncode != 0 and not missing:
            raise WorkbookError(
                f"LibreOffice did not remove the extension: {done.stderr.strip()}\n"
                "Close LibreOffice and try again, or choose Tools, Extensions in it."
            )
        notes = ["It was not installed."] if missing else ["Removed from LibreOffice."]
    for path in (user_folder() / NAME, user_folder() / SETTINGS):
        if path.exists():
            path.unlink()
            notes.append(f"Deleted: {path}")
    return notes


def scope(everybody):
    """Option of the installer: for every user, or for the one who calls."""
    return ("--shared",) if everybody else ()


def _refuse_root(everybody):
    """Refuse root without --everybody: LibreOffice would install for every user."""
    if is_root() and not everybody:
        raise CallError(
            "You are root, and LibreOffice takes extensions from root for every user "
            "of this machine only. Run this as yourself, or add --everybody."
        )


def _run(installer, order, path):
    try:
        return subprocess.run(
            [str(installer), *order], capture_output=True, text=True, timeout=SECONDS
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise WorkbookError(_refused(path, error)) from None


def is_root():
    """Whether the caller is root on a Unix system."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _refused(path, reason):
    return (
        f"LibreOffice did not take the extension in: {reason}\nClose LibreOffice and "
        f"try again, or choose Tools, Extensions, Add in it and pick {path}."
    )
