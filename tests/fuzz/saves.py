"""Saves made meanwhile: ``python -m tests.fuzz.saves [SAVES]``.

A command works on a workbook in a process of its own. At a random moment a spreadsheet
program saves newer inputs over it. That save must never be lost, nor mixed with the old
file.
"""

import os
import random
import sys
import tempfile
import time
from pathlib import Path

from pennyweight.errors import WorkbookError
from pennyweight.risk.report import make_report
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from pennyweight.workbook.risk_sheet.fill import fill_risk_sheet

from ..books import book_at
from ..oracles.package import write_changed
from ..risk.studies import only_varying

TRIALS = 256


class Commands:
    """The commands that write into a workbook, and what each leaves of it.

    Parameters
    ----------
    folder : Path
    names : sequence of str
    """

    def __init__(self, folder, names):
        from pennyweight.workbook.layout import layout

        book, self.path = book_at(folder / "issued.xlsx"), folder / "book.xlsx"
        place = layout().entered["wage"]
        self.old, self.newer = (
            self._saved(book, folder / f"wage{wage:g}.xlsx", place, wage)
            for wage in (31.0, 44.0)
        )
        self.run = {}
        if "renew" in names:
            self.run["renew"] = lambda: renew_book(self.path)
        if "risk" in names:
            study, reading = only_varying(units="us"), read_book(book)
            report = make_report(study, TRIALS)
            self.run["risk"] = lambda: fill_risk_sheet(self.path, report, reading)
        self.seconds = {}
        for name, command in self.run.items():
            self.path.write_bytes(self.old)
            start = time.monotonic()
            command()
            self.seconds[name] = time.monotonic() - start

    @staticmethod
    def _saved(book, path, place, wage):
        write_changed(book, path, {(place.sheet, place.cell()): wage})
        return path.read_bytes()

    def start(self, name):
        """Begin a command in a process of its own."""
        self.path.write_bytes(self.old)
        child = os.fork()
        if child == 0:
            code = 1
            try:
                self.run[name]()
                code = 0
            except WorkbookError:
                code = 3
            finally:
                os._exit(code)
        return child

    def save_meanwhile(self, name, generator):
        """Save newer inputs at a random moment; what went wrong, if anything."""
        child = self.start(name)
        time.sleep(generator.random() * 1.2 * self.seconds[name])
        if generator.random() < 0.5:
            scratch = self.path.with_suffix(".saving")
            scratch.write_bytes(self.newer)
            os.replace(scratch, self.path)
        else:
            self.path.write_bytes(self.newer)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        if code not in (0, 3):
            return f"{name} ended with {code}"
        wage = read_book(self.path).inputs["wage"]
        return "" if wage == 44.0 else f"{name}: the newer save is lost"


def main(saves=200, seed=0, names=("renew", "risk")):
    """Try so many, every command in turn; give the number of faults."""
    faults = 0
    with tempfile.TemporaryDirectory(prefix="saves-") as folder:
        commands = Commands(Path(folder), names)
        for number in range(saves):
            generator, name = random.Random(seed + number), names[number % len(names)]
            if fault := commands.save_meanwhile(name, generator):
                faults += 1
                print(f"seed {seed + number}: {fault}", flush=True)
    print(f"{saves} saves meanwhile; {faults} faults")
    return faults


if __name__ == "__main__":
    sys.exit(bool(main(*map(int, sys.argv[1:]))))
