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


def refuse_inputs(outputs, inputs):
    """Raise when an output is one of the files that are read, by whatever name.

    Parameters
    ----------
    outputs, inputs : iterable of str or Path

    Raises
    ------
    CallError
    """
    for output in outputs:
        for given in inputs:
            if Path(output).exists() and os.path.samefile(output, given):
                raise CallError(
                    f"{output} is the input file {given}. Choose another name for "
                    "the output; --force does not replace an input."
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
    (path,) = write_together({path: content}, force)
    return path


def write_together(contents, force=False):
    """Write several files, or none of them.

    Parameters
    ----------
    contents : mapping of path to bytes
    force : bool
        Whether files that are there already may be replaced.

    Returns
    -------
    paths : list of Path

    Raises
    ------
    CallError, WorkbookError
        As `write_whole`.
    """
    paths = [Path(path) for path in contents]
    for path in paths:
        _refuse(path, force)
    with contextlib.ExitStack() as undo:
        # A link stays a link: what it points to is replaced.
        real = [Path(os.path.realpath(path)) for path in paths]
        written = [
            _scratch(path, content, undo)
            for path, content in zip(real, contents.values(), strict=True)
        ]
        with contextlib.ExitStack() as restore:
            for path, scratch in zip(real, written, strict=True):
                _replace(path, scratch, undo, restore if len(real) > 1 else None)
            restore.pop_all()
    return paths


def _refuse(path, force):
    """Raise when a file cannot or must not be written."""
    if path.exists() and not force:
        raise CallError(
            f"{path} exists already: choose another name, or add --force to replace it."
        )
    refuse_if_open(path)
    if path.exists() and not os.access(path, os.W_OK):
        raise WorkbookError(f"{path} is write-protected: choose another name.")
    if not path.parent.is_dir():
        raise WorkbookError(f"The folder {path.parent} does not exist: make it first.")


def _scratch(path, content, undo):
    """Write beside the file under another name; ``undo`` removes what is left."""
    remove_leftovers(path)
    try:
        handle, scratch = tempfile.mkstemp(PART, f".{path.name}.", path.parent)
    except OSError as error:
        raise WorkbookError(
            f"Cannot write in {path.parent}: {error.strerror}."
        ) from None
    undo.callback(Path(scratch).unlink, missing_ok=True)
    try:
        with os.fdopen(handle, "wb") as file:
            _hold(file)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(scratch, _mode(path))
    except OSError as error:
        raise WorkbookError(f"Cannot write {path}: {error.strerror}.") from None
    return scratch


def _replace(path, scratch, undo, restore):
    """Put a written file in its place at once; ``restore`` puts the old one back."""
    try:
        if restore is not None and path.exists():
            saved = _scratch(path, path.read_bytes(), undo)
            restore.callback(os.replace, saved, path)
        elif restore is not None:
            restore.callback(path.unlink, missing_ok=True)
        os.replace(scratch, path)
        _settle(path.parent)
    except OSError as error:
        raise WorkbookError(f"Cannot write {path}: {error.strerror}.") from None


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
