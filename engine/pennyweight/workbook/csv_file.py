"""The one writer of CSV: what was typed as text stays text wherever it is opened."""

import csv
import io

from .text_part import csv_text


def csv_bytes(rows):
    """Give the bytes of a CSV file.

    Parameters
    ----------
    rows : iterable of sequence
        Numbers are written in full; no text begins as a formula would.

    Returns
    -------
    content : bytes
        In UTF-8.

    Examples
    --------
    >>> csv_bytes([("lot", "net"), ("=1+1", -2.5)])
    b"lot,net\\n'=1+1,-2.5\\n"
    """
    target = io.StringIO()
    csv.writer(target, lineterminator="\n").writerows(map(_safe, row) for row in rows)
    return target.getvalue().encode()


def _safe(value):
    return csv_text(value) if isinstance(value, str) else repr(value)
