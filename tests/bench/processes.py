"""Whole processes, each beside the time LibreOffice takes for the same book."""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pennyweight
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


WITHOUT_NUMBA = """
import importlib.util, sys
known = importlib.util.find_spec
importlib.util.find_spec = lambda n, *of: n != "numba" and known(n, *of) or None
from pennyweight.cli.main import main
main(sys.argv[1:])
"""


def command(*arguments, how=("-m", "pennyweight")):
    """Run the command line as a process of its own."""

    def action():
        subprocess.run(
            [sys.executable, *how, *arguments],
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
            ("inspect", ("inspect", book)),
            ("risk", ("risk", book)),
        ):
            _show(words, median(command(*arguments)), recalculation)
        without = command("risk", book, how=("-c", WITHOUT_NUMBA))
        _show("risk without numba", median(without, runs=2), recalculation)
        _show("one plan through the whole model", _one_plan(), recalculation)


def _show(words, seconds, recalculation):
    print(f"{words}: {seconds:.3f} s, {seconds / recalculation:.3f} of that")


def _one_plan():
    """Seconds for every line of one plan, in this process."""
    from pennyweight.model.run import run

    plan = pennyweight.example()
    return median(lambda: run(plan.inputs, plan.units), runs=20)
