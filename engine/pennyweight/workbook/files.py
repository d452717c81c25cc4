"""Atomic writing of files, with checks that no one's work is overwritten."""

import contextlib
import glob
import hashlib
import os
import stat
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from ..errors import WRITTEN, CallError, WorkbookError, unreadable

_LOCKS = ("~${name}", ".~lock.{name}#")
"""Lock files that other programs put beside an open workbook."""
OWN, PART = "pennyweight-", ".part"
LONGEST_NAME, LONGEST_KEPT = 255, 200
"""Most bytes of a file's name, and of the part of it in the name of its part file."""
LEFT_SECONDS = 5.0
"""Age from which a part file without a lock counts as left behind."""


def open_elsewhere(path):
    """Find the lock file of a workbook that is open in another program.

    Parameters
    ----------
    path : Path

    Returns
    -------
    lock : Path or None
    """
    # The lock file is beside the target of a link if that was opened.
    for place in (path, Path(os.path.realpath(path))):
        for pattern in _LOCKS:
            lock = place.with_name(pattern.format(name=place.name))
            if os.path.exists(lock):  # also where the name is too long for a file
                return lock
    return None


def refuse_if_open(path):
    """Raise when a workbook is open in another program."""
    lock = open_elsewhere(path)
    if lock:
        raise WorkbookError(
            f"{path} is open in another program ({lock.name} is beside it): "
            "save and close it there, then try again."
        )


@dataclass(frozen=True)
class Stamp:
    """State of a file: its identity, size, time and digest."""

    device: int
    inode: int
    size: int
    modified: int
    digest: str


def stamp_of(path):
    """The present state of a file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    stamp : Stamp

    Raises
    ------
    WorkbookError
        When it cannot be read.
    """
    try:
        with open(path, "rb") as file:
            status = os.fstat(file.fileno())
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise WorkbookError(unreadable(path, error)) from None
    identity = (status.st_dev, status.st_ino, status.st_size, status.st_mtime_ns)
    return Stamp(*identity, digest)


def refuse_changed(path, stamp):
    """Raise when a file has changed since it was read."""
    if stamp_of(path) != stamp:
        raise WorkbookError(
            f"{path} was saved by another program while pennyweight worked on it. "
            "Nothing was written. Run the command again."
        )


def refuse_other_ending(path):
    """Raise unless the name of an output is that of a workbook."""
    if path.suffix.lower() != ".xlsx":
        raise CallError(f"{path}: the name of a workbook ends in .xlsx.")


def refuse_existing(path, force):
    """Raise for a file that is there already, unless it may be replaced."""
    if path.exists() and not force:
        raise CallError(
            f"{path} exists already. Choose another name, or replace it with --force "
            "on the command line (force=True in Python)."
        )


def refuse_inputs(outputs, inputs):
    """Raise when an output is one of the input files, perhaps under another name.

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
                    f"{output}, to be written here, is the input file. Choose another "
                    "name for the output; force never replaces an input."
                )


def write_whole(path, content, force=False, check=None):
    """Write a file completely or change nothing.

    Parameters
    ----------
    path : str or Path
    content : bytes
    force : bool
        Whether a file that is there already may be replaced.
    check : callable, optional
        Called just before the file is replaced; may raise to stop that.

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
    (path,) = write_together({path: content}, force, check)
    return path


def write_together(contents, force=False, check=None):
    """Write several files, or none of them.

    Parameters
    ----------
    contents : mapping of path to bytes
    force : bool
        Whether files that are there already may be replaced.
    check : callable, optional
        As `write_whole`.

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
        # A link stays a link: its target is replaced.
        real = [Path(os.path.realpath(path)) for path in paths]
        written = [
            _scratch(path, content, undo)
            for path, content in zip(real, contents.values(), strict=True)
        ]
        saved = [_saved(path, undo) if len(real) > 1 else None for path in real]
        if check is not None:
            check()
        # From here on files are only renamed, which is too fast to be interrupted.
        with contextlib.ExitStack() as restore:
            for path, scratch, old in zip(real, written, saved, strict=True):
                _replace(path, scratch)
                if len(real) > 1:
                    restore.callback(_put_back, path, old)
            restore.pop_all()
            WRITTEN.extend(paths)
    for folder in {path.parent for path in real}:
        _settle(folder)
    return paths


@contextlib.contextmanager
def _explained(what):
    """Raise an error of the system as a message: what failed, and why."""
    try:
        yield
    except OSError as error:
        raise WorkbookError(f"{what}: {error.strerror}.") from None


def make_folder(folder):
    """Make a folder and its parents, unless they exist."""
    with _explained(f"Cannot make the folder {folder}"):
        folder.mkdir(parents=True, exist_ok=True)


@contextlib.contextmanager
def scratch_folder():
    """A temporary folder, deleted at the end."""
    with _explained(f"Cannot write in {tempfile.gettempdir()}"):
        folder = tempfile.TemporaryDirectory(prefix="pennyweight-")
    with folder as name:
        yield Path(name)


def _refuse(path, force):
    """Raise when a file cannot or must not be written."""
    if len(os.fsencode(path.name)) > LONGEST_NAME:
        detail = f"{path.name[:40]}... is longer than {LONGEST_NAME} bytes"
        raise CallError(f"The name {detail}: choose a shorter one.")
    refuse_existing(path, force)
    refuse_if_open(path)
    if path.exists() and not os.access(path, os.W_OK):
        raise WorkbookError(f"{path} is write-protected: choose another name.")
    if not path.parent.is_dir():
        raise WorkbookError(f"The folder {path.parent} does not exist: make it first.")


def _scratch(path, content, undo):
    """Write a part file beside the file; ``undo`` removes it if it is left."""
    remove_leftovers(path)
    with _explained(f"Cannot write in {path.parent}"):
        handle, scratch = tempfile.mkstemp(PART, _beginning(path), path.parent)
    undo.callback(Path(scratch).unlink, missing_ok=True)
    with _explained(f"Cannot write {path}"):
        with os.fdopen(handle, "wb") as file:
            _hold(file)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        _keep(path, scratch)
    return scratch


def _saved(path, undo):
    """A copy of the old file; None if there was no file."""
    with _explained(f"Cannot read {path}"):
        return _scratch(path, path.read_bytes(), undo) if path.exists() else None


def _replace(path, scratch):
    """Move a written file into its place."""
    with _explained(f"Cannot write {path}"):
        os.replace(scratch, path)


def _put_back(path, old):
    if old is None:
        path.unlink(missing_ok=True)
    else:
        os.replace(old, path)


def remove_leftovers(path):
    """Remove part files that a killed process has left beside a file.

    A running process has a lock on its part file, which stays; so do files of other
    programs.

    Parameters
    ----------
    path : Path
    """
    for left in path.parent.glob(f"{glob.escape(_beginning(path))}*{PART}"):
        try:
            status = left.lstat()
            old = time.time() - status.st_mtime > LEFT_SECONDS
            if old and stat.S_ISREG(status.st_mode) and not _held(left):
                left.unlink()
        except OSError:
            continue


def _beginning(path):
    """Prefix of the name of a file's part file."""
    kept = os.fsencode(path.name)[:LONGEST_KEPT]
    return f".{kept.decode(errors='ignore')}.{OWN}"


def _hold(file):
    with contextlib.suppress(ImportError, OSError):  # Windows locks open files anyway
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


def _keep(path, scratch):
    """Give a file the permissions, owner and attributes of the one that it replaces."""
    os.chmod(scratch, _mode(path))
    if not path.exists():
        return
    if _owner_differs(path, scratch):
        _give(path, scratch)
    for name in os.listxattr(path) if hasattr(os, "listxattr") else ():
        with contextlib.suppress(OSError):  # some belong to the system alone
            os.setxattr(scratch, name, os.getxattr(path, name))


def _owner_differs(path, scratch):
    old, new = path.stat(), os.stat(scratch)
    return (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid)


def _give(path, scratch):
    try:
        os.chown(scratch, path.stat().st_uid, path.stat().st_gid)
    except PermissionError:
        raise WorkbookError(
            f"{path} belongs to another user or group, which a new file cannot keep. "
            "Choose another name for the output."
        ) from None
    os.chmod(scratch, _mode(path))  # a new owner resets some permissions


def _mode(path):
    """Permissions of the file that is replaced, or the usual ones of a new file."""
    try:
        return path.stat().st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _settle(folder):
    """Flush the folder to disk, so that a power cut loses no file."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
