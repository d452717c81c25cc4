"""Reasons of error values, stored for `DWT_REASON` and in a log."""

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
        Workbook, sheet and cell if the program gives them, else empty.
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
"""Whether calls had the calling cell; if none had, the last reason counts."""


def log_path():
    """Path of the log; the environment variable PENNYWEIGHT_LOG names another."""
    named = os.environ.get("PENNYWEIGHT_LOG")
    return Path(named) if named else Path.home() / ".pennyweight" / "reasons.log"


def note(reason):
    """Store a reason and write it to the log, each text once a session."""
    with _guard:
        _kept.append(reason)
        key = (reason.function, reason.text)
        if key in _written or len(_written) > KEPT:
            return
        _written.add(key)
    _log(reason)


def forget(place):
    """Drop the stored reasons of a cell that is recalculated."""
    _asking.add(bool(place))
    if place and _kept:
        with _guard:
            left = [reason for reason in _kept if reason.place != place]
            if len(left) < len(_kept):
                _kept.clear()
                _kept.extend(left)


def last(function="", place=""):
    """Give the last reason, of a function or of a cell if one is named.

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
    """Write to the log; if that fails, the sheet must still work."""
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
