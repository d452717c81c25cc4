"""Gnumeric, by its converter ssconvert, as an oracle.

Inputs are changed in the text of a copy's sheet parts (see `package`), so that no
other library rewrites the formulas on the way.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.oracles.oracle import Oracle
from tests.oracles.package import (
    defined_names,
    formula_cells,
    stored_cells,
    write_changed,
)
from tests.oracles.values import Inputs, OracleFailed

PROGRAM = "ssconvert"
SECONDS = 120  # a bound, far above the fraction of a second that a book takes


def missing() -> str | None:
    """Say what to install where this oracle can't run, None where it can."""
    if shutil.which(PROGRAM) is None:
        return "ssconvert is missing: install Gnumeric (Debian's package gnumeric)."
    return None


class Gnumeric(Oracle):
    """Recalculates with Gnumeric, one ``ssconvert`` run for every answer."""

    def scenarios(
        self,
        path: Path | str,
        inputs: Sequence[Inputs],
        read: Sequence[str] | None,
    ) -> list[dict[str, Any]]:
        """Recalculate once for every mapping in ``inputs``; see `Oracle.scenarios`."""
        return [self._scenario(path, changes, read) for changes in inputs]

    def save_changed(self, path: Path | str, out: Path | str, inputs: Inputs) -> None:
        """Put ``inputs`` in the book, recalculate it and let Gnumeric save it.

        ``out`` must not exist yet; its extension (.xlsx or .ods) tells the format.
        """
        out = Path(out)
        if out.exists():
            raise OracleFailed(f"{out} exists already, so it couldn't be told as new")
        with tempfile.TemporaryDirectory(prefix="gnumeric-") as folder:
            changed = Path(folder) / "changed.xlsx"
            names = defined_names(path)
            cells = {(n.sheet, n.corner): v for n, v in _by_cell(names, inputs)}
            write_changed(path, changed, cells)
            _convert(changed, out)
            _check_formulas(changed, out)

    def _scenario(
        self, path: Path | str, changes: Inputs, read: Sequence[str] | None
    ) -> dict[str, Any]:
        with tempfile.TemporaryDirectory(prefix="gnumeric-") as folder:
            out = Path(folder) / "recalculated.xlsx"
            self.save_changed(path, out, changes)
            cells = stored_cells(out)
        if read is None:
            return cells
        names = defined_names(path)
        return {name: names.read(cells, name) for name in read}


def _by_cell(names: Any, inputs: Inputs) -> list[tuple[Any, Any]]:
    return [(names.cell(name), value) for name, value in inputs.items()]


def _convert(book: Path, out: Path) -> None:
    """Run ssconvert; that it returns 0 proves nothing, so its file is looked at."""
    command = [PROGRAM, "--recalc", str(book), str(out)]
    try:
        done = subprocess.run(
            command,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=SECONDS,
        )
    except subprocess.TimeoutExpired as error:
        raise OracleFailed(f"ssconvert took over {SECONDS} s") from error
    if done.returncode or not out.exists() or not zipfile.is_zipfile(out):
        raise OracleFailed(f"ssconvert gave {done.returncode}: {done.stderr.strip()}")


def _check_formulas(book: Path, out: Path) -> None:
    """Hold the formula cells of the new file against those of the book."""
    wanted = formula_cells(book)
    if out.suffix == ".xlsx":
        lost = wanted - formula_cells(out)
        if lost:
            raise OracleFailed(f"Gnumeric lost the formulas of {sorted(lost)[:5]}")
        return
    with zipfile.ZipFile(out) as package:
        found = len(re.findall(rb"table:formula=", package.read("content.xml")))
    if found < len(wanted):
        raise OracleFailed(f"Gnumeric saved {found} formulas of {len(wanted)}")
