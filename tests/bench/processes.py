"""Whole processes, each beside the time LibreOffice takes for the same book."""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.oracles.libreoffice import LibreOffice

RUNS = 5


def median(action, runs=RUNS):
    """Median seconds of several runs, after one that does not count."""
    action()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def command(*arguments):
    """Run the command line as a process of its own."""

    def action():
        subprocess.run(
            [sys.executable, "-m", "pennyweight", *arguments],
            check=True,
            stdout=subprocess.DEVNULL,
        )

    return action


def report():
    """Print each command's time, and its ratio to LibreOffice's recalculation."""
    with tempfile.TemporaryDirectory() as folder, LibreOffice() as office:
        book = str(Path(folder) / "book.xlsx")
        command("new", book, "--example")()
        recalculation = median(lambda: office.recalculate(book))
        print(
            f"LibreOffice, already open, recalculates the book: {recalculation:.3f} s"
        )
        for words, arguments in (
            ("bare start (--help)", ("--help",)),
            ("new", ("new", book, "--example", "--force")),
            ("judge", ("judge", book)),
        ):
            seconds = median(command(*arguments))
            ratio = seconds / recalculation
            print(f"{words}: {seconds:.3f} s, {ratio:.2f} of that")
