"""Accepted books, recalculated: ``python -m tests.fuzz.recalculated [MANY] [FEW]``.

Alterations that `inspect` accepts, half of them with another figure of an input too,
are recalculated: so many by Gnumeric, and some by LibreOffice. Verdict and results must
be those of the engine for the inputs that it reads in the file.
"""

import collections
import math
import random
import sys
import tempfile
from pathlib import Path

from pennyweight.model.judgement import RESULTS
from pennyweight.model.run import run
from pennyweight.workbook.inspection.findings import AS_ISSUED
from pennyweight.workbook.layout import defined_name, layout
from pennyweight.workbook.read import read_book

from ..oracles.gnumeric import Gnumeric
from ..oracles.libreoffice import LibreOffice
from ..oracles.package import write_changed
from ..oracles.values import OracleFailed
from ..workbook.inspection.tricks import ALLOWED
from .counting import draw
from .files import packed
from .quick import workbook

WANTED = {defined_name(name): name for name in ("verdict", "checks_flag", *RESULTS)}
KINDS = ("allowed changes", "encodings", "packages")
MOVED = ("gold_price", "ore_grade", "wage", "discount_rate", "gravity_recovery")


def accepted(seed, path):
    """Write an alteration that is accepted; its name, or nothing if it is not."""
    rows = list(ALLOWED)
    if seed < len(rows):
        name, parts = rows[seed], dict(workbook().parts)
        ALLOWED[name](parts)
    else:
        name = KINDS[seed % len(KINDS)]
        parts, _ = draw(name, seed)
    if workbook().inspect(parts).outcome != AS_ISSUED:
        return ""
    path.write_bytes(packed(parts))
    generator = random.Random(seed)
    if generator.random() < 0.5:
        return name
    moved = generator.choice(MOVED)
    place = layout().entered[moved]
    value = read_book(path).inputs[moved] * generator.uniform(0.9, 1.1)
    other = path.with_suffix(".changed")
    try:
        write_changed(path, other, {(place.sheet, place.cell()): value})
    except (OracleFailed, UnicodeError):
        return name  # a part in another encoding or spelling stays as it is
    other.replace(path)
    return f"{name}, with another {moved}"


def fault_of(path, program):
    """How the figures that a program works out differ from the engine's."""
    reading = read_book(path)
    values = run(reading.inputs, reading.units)
    shown = program.scenarios(path, [{}], list(WANTED))[0]
    for name, found in shown.items():
        wanted = values[WANTED[name]].item()
        if not _same(wanted, found):
            return f"{name}: {found!r} instead of {wanted!r}"
    return ""


def _same(wanted, found):
    if isinstance(wanted, str) or isinstance(found, str):
        return wanted == found or (found == "n/a" and wanted != wanted)
    return math.isclose(wanted, found, rel_tol=1e-9, abs_tol=1e-6)


def main(many=100, few=20, seed=0):
    """Recalculate so many books by each program; give the number of faults."""
    faults, counts = 0, collections.Counter()
    with (
        tempfile.TemporaryDirectory(prefix="again-") as folder,
        LibreOffice() as office,
    ):
        path = Path(folder) / "book.xlsx"
        while counts["Gnumeric"] < many or counts["LibreOffice"] < few:
            name = accepted(seed, path)
            seed += 1
            if not name:
                counts["not accepted"] += 1
                continue
            programs = {"Gnumeric": (Gnumeric(), many), "LibreOffice": (office, few)}
            for program, (oracle, most) in programs.items():
                if counts[program] < most:
                    counts[program] += 1
                    if fault := fault_of(path, oracle):
                        faults += 1
                        print(
                            f"{name}, seed {seed - 1}, {program}: {fault}", flush=True
                        )
    told = ", ".join(f"{many} {what}" for what, many in counts.items())
    print(f"accepted books recalculated: {told}; {faults} faults")
    return faults


if __name__ == "__main__":
    sys.exit(bool(main(*map(int, sys.argv[1:]))))
