"""The larger runs: ``python -m tests.fuzz [BOOKS] [SEED]``, and with ``kinds`` before.

In the first every book is a whole file on disk, altered in one to three ways and
inspected. The second draws alterations by kind, and counts what was said of each kind.
Both print what failed, with the seed that repeats it, and end with 1 then.
"""

import collections
import random
import sys
import tempfile
import time
from pathlib import Path

from ..memory import peak_megabytes
from .counting import count_kinds
from .files import FILE_MUTATIONS, issued, mutated_file
from .verdicts import SECONDS, fault_of

MEGABYTES = 500


def main(books=3000, seed=0):
    """Draw and inspect so many books; give the number of faults."""
    outcomes, faults, slowest = collections.Counter(), 0, 0.0
    start = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        path = Path(folder) / "book.xlsx"
        for number in range(seed, seed + books):
            generator = random.Random(number)
            units = generator.choice(["us", "metric"])
            content, kinds = issued(units), []
            for _ in range(generator.choice([1, 1, 2, 3])):
                kind = generator.choice(FILE_MUTATIONS)
                try:
                    content = mutated_file(content, kind, generator)
                except Exception:  # an alteration too many: the file is beyond it
                    break
                kinds.append(kind)
            path.write_bytes(content)
            outcome, fault, seconds = fault_of(path, issued(units))
            outcomes[outcome] += 1
            slowest = max(slowest, seconds)
            if fault:
                faults += 1
                print(f"seed {number} ({', '.join(kinds)}): {fault}")
            if sys.stdout.isatty():
                print(f"\r{number - seed + 1} of {books}", end="", flush=True)
    told = ", ".join(f"{count} {outcome}" for outcome, count in outcomes.items())
    print(f"\n{books} books: {told}; {faults} faults; slowest {slowest:.1f} s of")
    print(f"{SECONDS:g} s allowed; {time.monotonic() - start:.0f} s in all")
    peak = peak_megabytes()
    print(f"most memory {peak:.0f} MB of {MEGABYTES} MB allowed")
    return faults + (peak > MEGABYTES)


if __name__ == "__main__":
    if sys.argv[1:2] == ["kinds"]:
        sys.exit(bool(count_kinds(*map(int, sys.argv[2:]))))
    sys.exit(bool(main(*map(int, sys.argv[1:]))))
