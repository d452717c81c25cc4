"""Many random settlements and ledgers compared with decimal arithmetic.

    python -m tests.documents.many 10000 1

settles 10,000 lots one by one, and 10,000 in ledgers of 200, from the seed 1.
"""

import sys

from .naive import ledgers_that_differ, settlements_that_differ

IN_A_LEDGER = 200


def main(count, seed):
    """Try them in both unit systems in turn; the figures that differ end it."""
    found = {"settlements": [], "ledgers": []}
    for at, start in enumerate(range(0, count, IN_A_LEDGER)):
        lots, units = min(IN_A_LEDGER, count - start), ("us", "metric")[at % 2]
        for what, differ in (
            ("settlements", settlements_that_differ),
            ("ledgers", ledgers_that_differ),
        ):
            off = differ(lots, seed + at, units)
            found[what] += [(f"seed {seed + at}, {units}", *one) for one in off]
    for what, off in found.items():
        print(f"{count:,} lots in {what}: {len(off)} figures differ")
        print(*off[:20], sep="\n", end="\n" * bool(off))
    return 1 if any(found.values()) else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))
