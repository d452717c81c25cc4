"""Why a cell shows an error: the reasons, kept for `DWT_REASON` and in a log."""

import collections
import datetime
import os
import threading
from dataclasses import dataclass
from pathlib import Path

KEPT = 1000
LOG_SIZE = 256 * 1024


@dataclass(frozen=True)
class Reason:
    """One reason.

    Attributes
    ----------
    function, marker, text : str
        ``marker`` is the error shown, or empty for a warning.
    place : str
        Workbook, sheet and cell where the program tells them, else empty.
    """

    function: str
    marker: str
    text: str
    place: str = ""

    def __str__(self):
        shown = f"{self.marker} " if self.marker else "Warning: "
        return f"{self.function}: {shown}{self.text}"


_kept = collections.deque(maxlen=KEPT)
_guard = threading.Lock()
_written = set()
_asking = set()
"""Whether cells that ask were known so far; where none was, the last reason counts."""


def log_path():
    """Where the log lies; the variable PENNYWEIGHT_LOG names another place."""
    named = os.environ.get("PENNYWEIGHT_LOG")
    return Path(named) if named else Path.home() / ".pennyweight" / "reasons.log"


def note(reason):
    """Keep a reason and write it to the log, each text once a session."""
    with _guard:
        _kept.append(reason)
        key = (reason.function, reason.text)
        if key in _written or len(_written) > KEPT:
            return
        _written.add(key)
    _log(reason)


def forget(place):
    """Drop what was kept of a cell that is worked out anew."""
    _asking.add(bool(place))
    if place and _kept:
        with _guard:
            left = [reason for reason in _kept if reason.place != place]
            if len(left) < len(_kept):
                _kept.clear()
                _kept.extend(left)


def last(function="", place=""):
    """Give the last reason, of one function or cell where one is named.

    Parameters
    ----------
    function, place : str, optional

    Returns
    -------
    reason : Reason or None
    """
    with _guard:
        for reason in reversed(_kept):
            if place and True in _asking and reason.place != place:
                continue
            if function and reason.function != function.upper():
                continue
            return reason
    return None


def _log(reason):
    """A log that cannot be written must not spoil a sheet."""
    path = log_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.stat().st_size > LOG_SIZE:
            path.replace(path.with_suffix(".former.log"))
        with path.open("a", encoding="utf-8") as log:
            moment = datetime.datetime.now().isoformat(" ", "seconds")
            log.write(f"{moment} {reason} {reason.place}".rstrip() + "\n")
    except OSError:
        return
