"""Sharing a model: fair shares, inspecting, comparing."""

import tempfile
import time
from pathlib import Path

from pennyweight.documents.compare import compare_books
from pennyweight.documents.comparison import HEADLINES, VERDICT
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.model.shapley import shapley_values
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.write import write_book
from tests.books import made_book

RESULTS = (*HEADLINES, VERDICT)
COUNTS = (4, 8, 12, 16, 24)


def changed(count):
    """The example's inputs with so many of them moved a little."""
    before = complete({}, "us")
    names = [name for name, e in INPUTS.items() if e.low not in ("", e.example)]
    names = [name for name in names if plain_number(name)][:count]
    moved = {name: before[name] * 0.99 + INPUTS[name].low * 0.01 for name in names}
    return before, {**before, **moved}


def plain_number(name):
    """Whether an input is a plain number, not a whole one."""
    return INPUTS[name].kind in ("number", "share")


def report():
    """Print times, and each against that of as many single runs."""
    start = time.perf_counter()
    for _ in range(5):
        run({}, "us", RESULTS)
    single = (time.perf_counter() - start) / 5
    print("changes  combinations   seconds   times faster than one by one")
    for count in COUNTS:
        before, after = changed(count)
        done = []
        start = time.perf_counter()
        found = shapley_values(before, after, RESULTS, progress=done.append)
        seconds = time.perf_counter() - start
        kind = "" if found.exact else "  (drawn)"
        ratio = done[-1] * single / seconds
        print(f"{count:7} {done[-1]:13,} {seconds:9.2f} {ratio:10.0f}{kind}")
    _files()


def _files():
    with tempfile.TemporaryDirectory() as folder:
        one, two = (Path(folder) / name for name in ("one.xlsx", "two.xlsx"))
        write_book(made_book(), one)
        write_book(made_book({"gold_price": 3000.0}), two)
        for word, task in (
            ("inspect, first", lambda: inspect_book(one)),
            ("inspect, again", lambda: inspect_book(one)),
            ("compare", lambda: compare_books(one, two)),
        ):
            start = time.perf_counter()
            task()
            print(f"{word}: {time.perf_counter() - start:.2f} s")
