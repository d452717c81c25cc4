"""Every named function, called wrongly: ``python -m tests.fuzz.functions``."""

import sys
import tempfile
from pathlib import Path

from ..addins.test_function_book import names, refused_alike
from ..oracles.iron import Iron


def main(size=30):
    """Hold all bad calls to the engine, some functions at a time; give their number."""
    called = names()
    with tempfile.TemporaryDirectory(prefix="functions-") as folder:
        return sum(
            refused_alike(Iron(), Path(folder), called[start : start + size])
            for start in range(0, len(called), size)
        )


if __name__ == "__main__":
    sys.stdout.write(f"{main():,} calls refused or answered alike\n")
