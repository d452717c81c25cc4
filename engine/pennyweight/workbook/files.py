"""Putting files on disk: complete or not at all, and never over somebody's work."""

import os
import tempfile
from pathlib import Path

from ..errors import CallError, WorkbookError

_LOCKS = ("~${name}", ".~lock.{name}#")
"""Files that other programs lay beside a workbook while it is open there."""


def open_elsewhere(path):
    """Say which lock file shows that a workbook is open in another program.

    Parameters
    ----------
    path : Path

    Returns
    -------
    lock : Path or None
    """
    for pattern in _LOCKS:
        lock = path.with_name(pattern.format(name=path.name))
        if lock.exists():
            return lock
    return None


def refuse_if_open(path):
    """Raise when a workbook is open in another program."""
    lock = open_elsewhere(path)
    if lock:
        raise WorkbookError(
            f"{path} is open in another program ({lock.name} lies beside it): "
            "save and close it there, then try again."
        )


def write_whole(path, content, force=False):
    """Write a file completely or leave everything as it was.

    Parameters
    ----------
    path : str or Path
    content : bytes
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path

    Raises
    ------
    CallError
        When the file exists and ``force`` is not given.
    WorkbookError
        When the folder is missing, the disk full, the place write-protected, or the
        file open in another program.
    """
    path = Path(path)
    if path.exists() and not force:
        raise CallError(
            f"{path} exists already: choose another name, or add --force to replace it."
        )
    refuse_if_open(path)
    if path.exists() and not os.access(path, os.W_OK):
        raise WorkbookError(f"{path} is write-protected: choose another name.")
    if not path.parent.is_dir():
        raise WorkbookError(f"The folder {path.parent} does not exist: make it first.")
    try:
        handle, scratch = tempfile.mkstemp(".part", f".{path.name}.", path.parent)
    except OSError as error:
        raise WorkbookError(
            f"Cannot write in {path.parent}: {error.strerror}."
        ) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(scratch, 0o644)
        os.replace(scratch, path)
    except OSError as error:
        raise WorkbookError(f"Cannot write {path}: {error.strerror}.") from None
    finally:
        Path(scratch).unlink(missing_ok=True)
    return path
