"""Where the rows or columns of a sheet have gone: inserted, deleted, out of order."""

import bisect
import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Shift:
    """How lines (rows, or columns) of ours lie in theirs.

    Attributes
    ----------
    segments : tuple of (int, float, int)
        First line, the one after the last, and by how much they have moved on.
        Lines of ours in no segment are gone; lines of theirs in none are new.
    """

    segments: tuple = ((0, math.inf, 0),)

    @property
    def moved(self):
        """Whether any line is not where it was."""
        return len(self.segments) > 1 or bool(self.segments[0][2])

    def forward(self, line):
        """Where a line of ours lies now; None when it is gone."""
        for first, end, offset in self.segments:
            if first <= line < end:
                return line + offset
        return None

    def back(self, line):
        """Which line of ours a line of theirs is; None when it is new."""
        for first, end, offset in self.segments:
            if first <= line - offset < end:
                return line - offset
        return None

    def changes(self):
        """Lines inserted and lines deleted.

        Returns
        -------
        inserted : list of (int, int, int)
            First and last of theirs, and the line of ours that follows.
        deleted : list of (int, int)
            First and last of ours.
        """
        inserted, deleted, end, new = [], [], 0, 0
        for first, last, offset in self.segments:
            if first > end:
                deleted.append((end, first - 1))
            if first + offset > new:
                inserted.append((new, first + offset - 1, first))
            end, new = last, last + offset
        return inserted, deleted


def shift_of(offsets, alike):
    """Find the shift that most lines agree on.

    Parameters
    ----------
    offsets : dict of int to int
        By how much lines of ours have moved on, for those that are recognised.
    alike : callable
        ``alike(ours, theirs)`` counts cells of two lines that look the same; it
        decides about lines between two that are recognised.

    Returns
    -------
    shift : Shift
    out_of_order : set of int
        Recognised lines of ours that do not follow one another any more.
    """
    chain = _in_order(sorted(offsets.items()))
    segments, start, offset, last = [], 0, 0, -1
    for line, now in chain:
        if now != offset:
            gone = max(0, offset - now)
            split = _split(last + 1, line - gone, gone, (offset, now), alike)
            segments.append((start, split, offset))
            start, offset = split + gone, now
        last = line
    segments.append((start, math.inf, offset))
    kept = tuple(s for s in segments if s[0] < s[1])
    return Shift(kept), offsets.keys() - dict(chain).keys()


def _split(first, last, gone, offsets, alike):
    """The line from which on the later offset holds, by what looks the same."""
    lines = range(first, last)
    before = [alike(line, line + offsets[0]) for line in lines]
    after = [alike(line + gone, line + gone + offsets[1]) for line in lines]
    score = best = sum(after)
    split = first
    for line, (left, right) in enumerate(zip(before, after, strict=True), first + 1):
        score += left - right
        if score >= best:
            best, split = score, line
    return split


def _in_order(pairs):
    """The most pairs whose places in theirs rise along with those in ours."""
    ends, chains = [], []
    for line, offset in pairs:
        place = line + offset
        at = bisect.bisect_left(ends, place)
        chain = (chains[at - 1] if at else None, (line, offset))
        ends[at : at + 1], chains[at : at + 1] = [place], [chain]
    found, chain = [], chains[-1] if chains else None
    while chain:
        chain, pair = chain
        found.append(pair)
    return found[::-1]
