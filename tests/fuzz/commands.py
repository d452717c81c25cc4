"""Killed, or on a full disk: ``python -m tests.fuzz.commands [KILLS] [SEED] [NAME]``.

Every command that writes runs in a process of its own and is killed at random moments,
half of them while it writes; then each call of the system that writes fails once, and
the disk fills up at several sizes. Its files must be the old ones or the new ones,
byte for byte, all of them alike, with nothing left beside them.
"""

import collections
import errno
import functools
import os
import random
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path

import typer

from pennyweight.cli import main as command_line
from pennyweight.workbook.layout import layout

from ..books import book_at
from ..oracles.package import write_changed

WORKBOOKS = Path(__file__).parents[2] / "workbooks"
CALLS = {
    "new": "new out.xlsx --example --force",
    "new, with functions": "new out.xlsx --example --with-functions --force",
    "new, from another": "new out.xlsx --from theirs.xlsx --for lot --force",
    "quote": "quote theirs.xlsx -o out.xlsx --force",
    "quote, charges": "quote theirs.xlsx --margin 20% -o out.xlsx --force",
    "settle": "settle theirs.xlsx -o out.xlsx --force",
    "report": "report theirs.xlsx -o out.xlsx --force",
    "settle, ledger": "settle theirs.xlsx --lots lots.csv -o out.xlsx --force",
    "risk": "risk mine.xlsx --trials 256",
    "risk, a copy": "risk theirs.xlsx --trials 256 -o out.xlsx --force",
    "season": "season theirs.xlsx --lots wanted.csv --start 2026-04-01 --seconds 1 "
    "-o out.xlsx --force",
    "learn": "learn theirs.xlsx actuals.csv -o out.xlsx --force",
    "learn, entered": "learn mine.xlsx actuals.csv --enter all",
    "compare": "compare theirs.xlsx mine.xlsx -o out.xlsx --force",
    "renew": "renew mine.xlsx",
    "renew, a copy": "renew theirs.xlsx -o out.xlsx --force",
    "functions": "functions --book out.xlsx --force",
    "functions, added": "functions --add-to theirs.xlsx -o out.xlsx --force",
    "functions, macros": "functions --vba out.bas --force",
    "excel new": "excel new out.xlsm --example --force",
    "excel refresh": "excel refresh macros.xlsm",
    "excel install": "excel install",
    "calc build": "calc build out.oxt --force",
    "calc install": "calc install --everybody",
}
"""Each writing command, in each of its ways."""
READING = {
    "judge",
    "cases",
    "break-even",
    "inspect",
    "excel uninstall",
    "excel doctor",
    "calc uninstall",
    "calc doctor",
}
STEPS = ("open", "fsync", "replace", "chmod", "mkdir")
"""Calls of the system that write; `write` itself is stopped by a limit of size."""
SEASON = "season"


def commands(command=None, words=()):
    """Every command of the command line, by its words."""
    command = command or typer.main.get_command(command_line.app)
    inner = getattr(command, "commands", None)
    if inner is None:
        return {" ".join(words)}
    return set().union(*(commands(c, (*words, n)) for n, c in inner.items()))


def prepare(folder, read):
    """A folder with what the calls read, and old files where they write."""
    tables = {
        "lots": "season-contract",
        "wanted": "season-plan",
        "actuals": "season-plan",
    }
    for name, place in tables.items():
        table = WORKBOOKS / place / f"{name}.csv"
        (folder / table.name).write_bytes(table.read_bytes())
    for name in ("out", "macros"):
        for ending in ("xlsx", "xlsm", "py", "bas", "oxt", "csv"):
            (folder / f"{name}.{ending}").write_bytes(b"the old file")
    (folder / "start").mkdir()
    if read & {"theirs.xlsx", "mine.xlsx"}:
        book_at(folder / "theirs.xlsx")
        wage = layout().entered["wage"]
        # Typed, and saved without calculating.
        changed = {(wage.sheet, wage.cell()): 31.0}
        write_changed(folder / "theirs.xlsx", folder / "mine.xlsx", changed)


def contents(folder):
    """Every file in a folder, by its name there."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


def _inside(folder, call, before=lambda: None):
    """Run a call in this process, in a folder; give its exit code."""
    places = {"HOME": folder, "PENNYWEIGHT_XLSTART": folder / "start"}
    os.environ |= {name: str(place) for name, place in places.items()}
    os.environ |= {"PENNYWEIGHT_CACHE": str(folder.parent / "cache"), "COLUMNS": "300"}
    os.environ["PENNYWEIGHT_UNOPKG"] = "/bin/true"
    tempfile.tempdir = str(folder.parent / "tmp")
    os.chdir(folder)
    before()
    try:
        command_line.main(call.split())
    except SystemExit as stop:
        return int(stop.code or 0)
    return 0


class Process:
    """A call in a process of its own; its output comes through a pipe."""

    def __init__(self, folder, call, before=lambda: None):
        self.reading, writing = os.pipe()
        self.child = os.fork()
        if self.child == 0:
            code = 70
            try:
                os.dup2(writing, 1)
                os.dup2(writing, 2)
                code = _inside(folder, call, before)
                sys.stdout.flush()
            finally:
                os._exit(code)
        os.close(writing)

    def end(self):
        """Wait for the end; exit code and what was said."""
        with os.fdopen(self.reading, "rb") as said:
            told = said.read().decode(errors="replace")
        return os.waitstatus_to_exitcode(os.waitpid(self.child, 0)[1]), told


def at_step(number, act):
    """Have the n-th call of the system that writes do something else first."""
    count = 0

    def wrapped(name, call):
        def step(*arguments, **more):
            nonlocal count
            making = name != "open" or arguments[1] & os.O_CREAT
            if making:
                count += 1
                if count == number:
                    act()
            return call(*arguments, **more)

        return step

    for name in STEPS:
        setattr(os, name, wrapped(name, getattr(os, name)))


def _full():
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def _limit(size):
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


class Case:
    """One call, its files before and after, and the trials that it is put through.

    Parameters
    ----------
    folder : Path
        Prepared; each trial gets a copy.
    call : str
    """

    def __init__(self, folder, call):
        self.folder, self.call = folder, call
        self.work = folder.parent / "work"
        self.before = contents(folder)
        start = time.monotonic()
        code, said = self.started().end()
        self.seconds = time.monotonic() - start
        assert code == 0, (call, said)
        self.after = contents(self.work)
        known = self.before.keys() | self.after.keys()
        self.outputs = {n for n in known if self.before.get(n) != self.after.get(n)}
        assert self.outputs, call

    def started(self, before=lambda: None):
        """Start the call in a fresh copy of the folder."""
        shutil.rmtree(self.work, ignore_errors=True)
        shutil.copytree(self.folder, self.work)
        shutil.rmtree(self.folder.parent / "tmp")
        (self.folder.parent / "tmp").mkdir()
        return Process(self.work, self.call, before)

    def fault(self, code, said):
        """What is wrong after an end of any kind; empty if nothing is."""
        now = contents(self.work)
        left = {n for n in now if ".pennyweight-" in n and n.endswith(".part")}
        for name in (now.keys() | self.before.keys()) - left:
            if now.get(name) not in (self.before.get(name), self.after.get(name)):
                return f"{name} is neither the old file nor the new one"
        new = {name for name in self.outputs if now.get(name) == self.after.get(name)}
        if code == -signal.SIGKILL:
            return self.fault_after_kill(left, new)
        told = all(Path(name).name in said for name in new)
        if new and new != self.outputs and not told:
            return f"only {', '.join(sorted(new))} was written"
        if left or any((self.folder.parent / "tmp").iterdir()):
            return "a part file is left"
        known = (code in (0, 3) and "Cannot " in said) or (
            code == 0 and new == self.outputs
        )
        if not known or "Traceback" in said or "unforeseen" in said:
            return f"it ended with {code}: {said.strip()[-300:]}"
        return ""

    def fault_after_kill(self, left, new):
        """What a killed writer leaves, the next one clears away."""
        if new and new != self.outputs:
            return f"only {', '.join(sorted(new))} was written"
        for name in left:
            os.utime(self.work / name, (time.time() - 60,) * 2)
        if not left:
            return ""
        code, said = Process(self.work, self.call).end()
        if code != 0 or contents(self.work) != self.after:
            return f"after a kill, a second run ended with {code}: {said[-300:]}"
        return ""

    def kill(self, generator, aimed):
        """Kill the call at a random moment, or while it writes."""
        told, tell = os.pipe()
        wait = functools.partial(at_step, 1, lambda: os.write(tell, b"."))
        process = self.started(wait)
        os.close(tell)
        if aimed:
            select.select([told], [], [], 60)
            time.sleep(generator.random() * 0.03)
        else:
            time.sleep(generator.random() * 1.1 * self.seconds)
        os.kill(process.child, signal.SIGKILL)
        fault = self.fault(*process.end())
        os.close(told)
        return fault

    def full_disks(self, generator):
        """Have each step fail once, and the disk fill up at several sizes."""
        number, code, said = 0, 3, ""
        while (code != 0 or "Cannot " in said) and number < 99:
            number += 1
            failing = functools.partial(at_step, number, _full)
            code, said = self.started(failing).end()
            yield f"step {number}", self.fault(code, said)
        largest = max(len(self.after.get(name, b"")) for name in self.outputs)
        for size in (0, *sorted(generator.randrange(largest) for _ in range(3))):
            end = self.started(functools.partial(_limit, size)).end()
            yield f"{size} bytes", self.fault(*end)


def cases(folder, names=tuple(CALLS)):
    """The calls of these names, ready to be put through trials."""
    home = Path(folder) / "home"
    (home.parent / "tmp").mkdir()
    home.mkdir()
    prepare(home, {word for name in names for word in CALLS[name].split()})
    scratch = home.parent / "scratch"
    for name in names:
        shutil.copytree(home, scratch)
        if name != SEASON:  # its threads would not live on in other processes
            _quietly(scratch, CALLS[name])
        shutil.rmtree(scratch)
        yield name, Case(home, CALLS[name])


def _quietly(folder, call):
    """Run a call here: what it keeps in memory serves the processes that follow."""
    kept, nowhere = (os.dup(1), os.dup(2)), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        _inside(folder, call)
        sys.stdout.flush()
    finally:
        for number, handle in enumerate(kept, 1):
            os.dup2(handle, number)
            os.close(handle)
        os.close(nowhere)


def main(kills=330, seed=0, names=tuple(CALLS)):
    """Put every call through its share of trials; give the number of faults."""
    known = commands() - READING
    lacking = known ^ {call.partition(",")[0] for call in CALLS}
    assert not lacking, f"not tried: {lacking}"
    counts, faults = collections.Counter(), 0
    with tempfile.TemporaryDirectory(prefix="commands-") as folder:
        for name, case in cases(folder, names):
            generator = random.Random(f"{seed} {name}")
            each = -(-kills // len(names))
            trials = [
                *((f"kill {n}", case.kill(generator, n % 2)) for n in range(each)),
                *case.full_disks(generator),
            ]
            counts["kills"] += each
            counts["full disks"] += len(trials) - each
            for trial, fault in trials:
                if fault:
                    faults += 1
                    print(f"{name}, {trial}, seed {seed}: {fault}")
            print(f"{name}: {each} kills, {len(trials) - each} full disks", flush=True)
    print(
        f"{counts['kills']} kills, {counts['full disks']} full disks; {faults} faults"
    )
    return faults


if __name__ == "__main__":
    numbers = [int(told) for told in sys.argv[1:] if told.isdecimal()]
    words = [told for told in sys.argv[1:] if not told.isdecimal()]
    sys.exit(bool(main(*numbers, **({"names": words} if words else {}))))
