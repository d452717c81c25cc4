"""Putting files on disk: complete or not at all, and never over somebody's work."""

import contextlib
import glob
import os
import tempfile
import time
from pathlib import Path

from ..errors import CallError, WorkbookError

_LOCKS = ("~${name}", ".~lock.{name}#")
"""Files that other programs lay beside a workbook while it is open there."""
PART = ".part"
LEFT_SECONDS = 5.0
"""Age from which a part file that nobody holds counts as left behind."""


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


def refuse_other_ending(path):
    """Raise for the name of a file to write that is no workbook's."""
    if path.suffix.lower() != ".xlsx":
        raise CallError(f"{path}: the name of a workbook ends in .xlsx.")


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
    # A link stays a link: what it points to is replaced.
    _replace(Path(os.path.realpath(path)), content)
    return path


def _replace(path, content):
    """Write beside the file under another name, then put it in its place at once."""
    remove_leftovers(path)
    try:
        handle, scratch = tempfile.mkstemp(PART, f".{path.name}.", path.parent)
    except OSError as error:
        raise WorkbookError(
            f"Cannot write in {path.parent}: {error.strerror}."
        ) from None
    try:
        with os.fdopen(handle, "wb") as file:
            _hold(file)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(scratch, _mode(path))
        os.replace(scratch, path)
        _settle(path.parent)
    except OSError as error:
        raise WorkbookError(f"Cannot write {path}: {error.strerror}.") from None
    finally:
        Path(scratch).unlink(missing_ok=True)


def remove_leftovers(path):
    """Remove what a writer that was killed has left beside a file.

    A living writer holds a lock on its own part file; that one stays.

    Parameters
    ----------
    path : Path
    """
    for left in path.parent.glob(f".{glob.escape(path.name)}.*{PART}"):
        try:
            old = time.time() - left.stat().st_mtime > LEFT_SECONDS
            if old and not _held(left):
                left.unlink()
        except OSError:
            continue


def _hold(file):
    with contextlib.suppress(ImportError, OSError):  # Windows holds open files anyway
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _held(path):
    try:
        import fcntl
    except ImportError:
        return False
    with path.open("rb") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return True
    return False


def _mode(path):
    """Rights of the file that is replaced; else what a new file gets here."""
    try:
        return path.stat().st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _settle(folder):
    """Have the folder itself on the disk, so that a power cut loses neither file."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
