"""Scenarios: the full monthly model against LibreOffice and a loop written by hand."""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from tests.books import made_book

COUNTS = (10**3, 10**4, 10**5, 10**6, 10**7)
BATCH = 4096 * 16
OFFICE_SCENARIOS = (10, 60)
AIM_OFFICE, AIM_HAND = 10_000, 2.0


def report():
    """Print every ratio; the aims stand beside them."""
    from pennyweight.risk.kernel import NoKernel

    try:
        per_second = _kernel_and_hand()
        way = "kernel"
    except NoKernel as error:
        print(f"No kernel: {error}; what follows is NumPy.")
        per_second, way = None, "numpy"
    whole = _by_count(way)
    _office(whole, per_second)


def _by_count(way):
    """Whole risk runs, each in a process of its own: draws, model, figures."""
    print("trials       seconds   trials/s   peak MB   chance that it pays")
    best, memory = 0.0, {}
    for count in COUNTS if way == "kernel" else COUNTS[:3]:
        found = run_apart(count, way)
        rate = found["trials"] / found["seconds"]
        best, memory[count] = max(best, rate), found["megabytes"]
        print(
            f"{found['trials']:>10,} {found['seconds']:>9.2f} {rate:>10,.0f} "
            f"{found['megabytes']:>9.0f}   {found['pays']:.5f} ± {found['error']:.5f}"
        )
    if 10**7 in memory:
        print(f"memory at 10^7 over 10^5 trials: {memory[10**7] / memory[10**5]:.2f}")
    return best


def run_apart(count, way):
    """Run one count in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.trials", str(count), way]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def _kernel_and_hand():
    """The kernel alone on two threads, against the loop written by hand."""
    from pennyweight.risk.draws import BLOCK, Draws
    from pennyweight.risk.evaluate import Evaluator, cores, over_cores
    from pennyweight.risk.study import make_study

    study = make_study()
    results = ("net_present_value", "peak_funding", "payback_month")
    began = time.perf_counter()
    evaluate = Evaluator(study, results)
    seconds = time.perf_counter() - began
    print(f"kernel ready in {seconds:.1f} s (compiled once, then kept)")
    blocks = list(Draws(study, 1).blocks(0, BATCH))

    def work(block):
        return evaluate(block)

    list(over_cores(work, blocks[:2]))
    ours = _best(lambda: list(over_cores(work, blocks)))
    rate = BATCH / ours
    hand, off = _by_hand(study, blocks, results, evaluate)
    print(f"kernel: {rate:,.0f} scenarios/s on {cores()} cores, blocks of {BLOCK}")
    print(f"by hand: {BATCH / hand:,.0f} scenarios/s, of the months alone")
    print(
        f"kernel's time over the loop's by hand: {ours / hand:.2f} (aim: at most "
        f"{AIM_HAND:g}); largest difference {off:.1e} of the largest result"
    )
    return rate


def _by_hand(study, blocks, results, evaluate):
    from pennyweight.model.run import run

    from .by_hand import GIVEN, cash_flow

    def together(name):
        if name not in study.distributions:
            return np.full(BATCH, float(study.inputs[name]))
        return np.concatenate([block.values[name] for block in blocks])

    inputs = {name: together(name) for name in study.distributions}
    found = run(
        {**study.inputs, **inputs},
        study.units,
        wanted=[*GIVEN, "discount_factor", "months_before"],
    )
    given = np.array([np.broadcast_to(found[name], (BATCH,)) for name in GIVEN])
    factors = np.array(found["discount_factor"].reshape(120, -1)[:, 0])
    out = np.empty((3, BATCH))
    calendar = (float(study.inputs[n]) for n in ("start_month", "season_start"))
    tax_year = (float(np.ravel(found["months_before"])[0]), study.inputs["tax_delay"])
    arguments = (np.ascontiguousarray(given), factors, *calendar, *tax_year, out)
    cash_flow(*arguments)
    seconds = _best(lambda: cash_flow(*arguments))
    off = 0.0
    for row, name in zip(out, results, strict=True):
        ours = np.concatenate([evaluate(block)[name] for block in blocks])
        gap = np.nanmax(np.abs(row - ours)) / np.nanmax(np.abs(ours))
        off = max(off, float(gap))
    return seconds, off


def _best(task, times=7):
    """Shortest of several runs: what the machine can do."""
    seconds = []
    for _ in range(times):
        began = time.perf_counter()
        task()
        seconds.append(time.perf_counter() - began)
    return min(seconds)


def _office(whole, kernel):
    """LibreOffice on the same workbook: inputs set, recalculated, results read."""
    from tests.oracles import libreoffice

    lacking = libreoffice.missing()
    if lacking:
        print(lacking)
        return
    rate = office_rate()
    print(f"LibreOffice: {rate:.2f} scenarios/s")
    print(
        f"risk run over LibreOffice: {whole / rate:,.0f} times (aim: at least "
        f"{AIM_OFFICE:,})"
    )
    if kernel:
        print(f"kernel alone over LibreOffice: {kernel / rate:,.0f} times")


def office_rate():
    """Scenarios a second, without opening the book."""
    from pennyweight.risk.draws import Draws
    from pennyweight.risk.study import make_study
    from pennyweight.workbook.layout import defined_name
    from pennyweight.workbook.write import write_book
    from tests.oracles.libreoffice import LibreOffice

    study = make_study()
    (block, *_) = Draws(study, 1).blocks(0, max(OFFICE_SCENARIOS))
    inputs = [
        {defined_name(name): float(row[i]) for name, row in block.values.items()}
        for i in range(max(OFFICE_SCENARIOS))
    ]
    read = ["Net_present_value", "Margin_per_ton", "Peak_funding", "Verdict"]
    seconds = []
    with tempfile.TemporaryDirectory() as folder, LibreOffice() as office:
        book = write_book(made_book(), Path(folder) / "book.xlsx")
        office.scenarios(book, inputs[:1], read)
        for count in OFFICE_SCENARIOS:
            began = time.perf_counter()
            office.scenarios(book, inputs[:count], read)
            seconds.append(time.perf_counter() - began)
    few, many = OFFICE_SCENARIOS
    return (many - few) / (seconds[1] - seconds[0])
