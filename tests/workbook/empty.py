"""Workbooks without entries, written once in each process."""

from functools import cache

import pennyweight as pw
from pennyweight.workbook.write import book_bytes


def empty_at(path, **told):
    """Put such a workbook at a path, for the units or the job told; give the path."""
    path.write_bytes(_content(**told))
    return path


@cache
def _content(**told):
    return book_bytes(pw.Plan(**told).book())
