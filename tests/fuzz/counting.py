"""Alterations counted by kind: how many were found, allowed, or harmless."""

import collections
import random
import tempfile
import time

from ..memory import peak_megabytes
from .kinds import ALLOWED, FOUND, KINDS, OTHERS, Drawing
from .quick import stored, workbook
from .truth import calculated, same_numbers

SECONDS, MEGABYTES = 5.0, 500
"""Allowed for one alteration, and for all of them."""
WANTED = {
    FOUND: ("something else changed", "cannot be used"),
    ALLOWED: ("as issued",),
}


def draw(kind, seed):
    """Draw an alteration of a kind.

    Returns
    -------
    parts : dict of str to bytes
    wanted : str
        Whether it must be found, is allowed, or only has to be harmless.
    """
    for more in range(100):
        drawing = Drawing(workbook(), random.Random(f"{kind} {seed} {more}"))
        parts = dict(workbook().parts)
        try:
            change, wanted = KINDS[kind](drawing)
            change(parts)
        except (AssertionError, AttributeError, IndexError, KeyError, ValueError):
            continue  # the sheet drawn has nothing of the sort
        if parts != workbook().parts:
            return parts, wanted
    raise AssertionError(f"nothing to alter: {kind}, {seed}")


def fault_of(parts, wanted):
    """Inspect an alteration: the outcome, and what is wrong with it.

    Returns
    -------
    outcome, fault : str
    """
    start = time.process_time()
    try:
        found = workbook().inspect(parts)
    except Exception as error:
        return "raised", f"{type(error).__name__}: {error}"
    outcome, seconds = found.outcome, time.process_time() - start
    if seconds > SECONDS:
        return outcome, f"it took {seconds:.0f} s"
    if wanted in WANTED and outcome not in WANTED[wanted]:
        told = [(f.kind, f.sheet, f.cell, f.found) for f in found.findings[:3]]
        return outcome, f"not {wanted}: {outcome}, {found.reason or told}"
    if wanted not in WANTED and outcome == "as issued":
        return outcome, _wrongly_as_issued(parts)
    return outcome, ""


def _wrongly_as_issued(parts):
    """No formula and no stored value may have changed."""
    try:
        cells = calculated(stored(parts).getvalue())
    except Exception as error:  # what a plain reader cannot read is not as issued
        return f"as issued, but {type(error).__name__}: {error}"
    known = calculated(stored(workbook().parts).getvalue())
    return "" if same_numbers(known, cells) else "changed, but as issued"


def drawn_fault(kind, seed, folder):
    """Draw and judge one alteration.

    Returns
    -------
    outcome, fault : str
    mark : hashable
        The same for the same alteration.
    """
    if kind in OTHERS:
        fault = OTHERS[kind](random.Random(f"{kind} {seed}"), folder)
        return "answered", fault, (kind, seed)
    parts, wanted = draw(kind, seed)
    known = workbook().parts
    changed = sorted((n, c) for n, c in parts.items() if known.get(n) != c)
    return *fault_of(parts, wanted), (kind, hash(tuple(changed)), len(parts))


def count_kinds(count=2000, seed=0):
    """Draw so many alterations, of each kind in turn; give the number of faults."""
    kinds = [*KINDS, *OTHERS]
    outcomes = {kind: collections.Counter() for kind in kinds}
    distinct, faults, slowest = set(), 0, 0.0
    begun = time.monotonic()
    workbook()  # written before anything is timed
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        for number in range(count):
            kind, start = kinds[number % len(kinds)], time.process_time()
            outcome, fault, mark = drawn_fault(kind, seed + number, folder)
            slowest = max(slowest, time.process_time() - start)
            distinct.add(mark)
            outcomes[kind][outcome] += 1
            if fault:
                faults += 1
                print(f"{kind}, seed {seed + number}: {fault}", flush=True)
    for kind, found in outcomes.items():
        told = ", ".join(f"{many} {outcome}" for outcome, many in found.most_common())
        print(f"{kind}: {sum(found.values())} ({told})")
    print(f"{count} alterations, {len(distinct)} distinct; {faults} faults")
    peak = peak_megabytes()
    print(
        f"slowest {slowest:.1f} s, most memory {peak:.0f} MB of {MEGABYTES} MB", end=""
    )
    print(f"; {time.monotonic() - begun:.0f} s in all")
    return faults + (peak > MEGABYTES)
