"""Installing the extension for one user, and remembering the engine's Python."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

from ...errors import WorkbookError
from ...workbook.files import write_whole
from .extension import NAME, extension_bytes

SECONDS = 180
PLACES = (
    "/Applications/LibreOffice.app/Contents/MacOS/unopkg",
    r"C:\Program Files\LibreOffice\program\unopkg.com",
    r"C:\Program Files (x86)\LibreOffice\program\unopkg.com",
    "/opt/libreoffice/program/unopkg",
)
"""Where LibreOffice lays its installer of extensions when no path leads there."""


def user_folder():
    """Folder in the user's home that holds what the extension needs."""
    return Path.home() / ".pennyweight"


def unopkg():
    """LibreOffice's installer of extensions, or None."""
    for name in (os.environ.get("PENNYWEIGHT_UNOPKG"), "unopkg", *PLACES):
        found = shutil.which(name) if name else None
        if found:
            return Path(found)
    return None


def remember(python=sys.executable):
    """Write down which Python has the engine; the component reads it.

    Returns
    -------
    path : Path
    """
    folder = user_folder()
    folder.mkdir(parents=True, exist_ok=True)
    content = json.dumps({"python": str(python)}).encode()
    return write_whole(folder / "calc.json", content, True)


def remembered():
    """The Python that was written down, or None."""
    try:
        return json.loads((user_folder() / "calc.json").read_text("utf-8"))["python"]
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


def install():
    """Build the extension and have LibreOffice take it in.

    Returns
    -------
    said : list of str

    Raises
    ------
    WorkbookError
        Saying what LibreOffice said, and what to do.
    """
    remember()
    path = build(user_folder() / NAME, True)
    installer = unopkg()
    if installer is None:
        raise WorkbookError(
            f"LibreOffice was not found. The extension lies at {path}: double-click "
            "it, or in LibreOffice choose Tools, Extensions, Add."
        )
    order = [str(installer), "add", "-f", "--suppress-license"]
    order += ["--shared"] if _root() else []
    try:
        done = subprocess.run(
            [*order, str(path)], capture_output=True, text=True, timeout=SECONDS
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise WorkbookError(_refused(path, error)) from None
    if done.returncode != 0:
        raise WorkbookError(_refused(path, (done.stderr or done.stdout).strip()))
    return [f"Installed: {path}", "Restart LibreOffice; =DWT_VERSION() tries it."]


def _root():
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _refused(path, said):
    return (
        f"LibreOffice did not take the extension in: {said}\nClose LibreOffice and try "
        f"again, or choose Tools, Extensions, Add in it and pick {path}."
    )
