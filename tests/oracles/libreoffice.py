"""LibreOffice Calc, long-lived and headless, as an oracle."""

from __future__ import annotations

import shutil
import uuid
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from tests.oracles.office import Office, missing
from tests.oracles.oracle import Oracle
from tests.oracles.values import Cells, ErrorValue, Inputs, OracleFailed

__all__ = ["LibreOffice", "missing"]


class LibreOffice(Oracle):
    """Recalculates with LibreOffice; a context manager, which ends it at the end.

    Booleans are told by how they show, so one in a cell with a number format of
    its own comes as 1.0 or 0.0.
    """

    def __init__(self, locale: str = "en-US") -> None:
        """Prepare a private profile; the program starts with the first question."""
        self._office = Office(locale)

    def __enter__(self) -> LibreOffice:
        return self

    def __exit__(self, *unused: object) -> None:
        self._office.end()

    def scenarios(
        self,
        path: Path | str,
        inputs: Sequence[Inputs],
        read: Sequence[str] | None,
    ) -> list[dict[str, Any]]:
        """Recalculate once for every mapping in ``inputs``; see `Oracle.scenarios`.

        The book is opened once for all of them.
        """
        given = {
            "inputs": [dict(changes) for changes in inputs],
            "read": None if read is None else list(read),
        }
        found = self._ask("scenarios", path, given)
        convert = _named if read is not None else _cells
        return [convert(answer) for answer in found]

    def save_changed(self, path: Path | str, out: Path | str, inputs: Inputs) -> None:
        """Put ``inputs`` in the book, recalculate it and let LibreOffice save it.

        ``out`` must not exist yet; its extension (.xlsx or .ods) tells the format.
        """
        self._store(path, Path(out), inputs)

    def save_edited(
        self, path: Path | str, out: Path | str, edits: Sequence[Sequence[Any]]
    ) -> None:
        """Edit the sheets as a person would, recalculate and save as a new file.

        Each edit has what to do (``insert_rows``, ``delete_rows``, ``insert_columns``,
        ``cut_and_paste``, ``sort``, ``rename``, ``type``), the sheet and what it takes.
        """
        self._store(path, Path(out), {}, [list(edit) for edit in edits])

    def print_pages(self, path: Path | str, out: Path | str) -> None:
        """Recalculate the book and print it, as it is set up, to a new PDF."""
        self._store(path, Path(out), {})

    def _store(
        self, path: Path | str, out: Path, inputs: Inputs, edits: Sequence[Any] = ()
    ) -> None:
        if out.exists():
            raise OracleFailed(f"{out} exists already, so it couldn't be told as new")
        place = {"out": out.resolve().as_uri(), "extension": out.suffix}
        self._ask("save", path, {"inputs": dict(inputs), "edits": edits, **place})
        if not _whole(out):
            raise OracleFailed(f"LibreOffice saved no whole file at {out}")

    def _ask(self, task: str, path: Path | str, given: dict[str, Any]) -> Any:
        """Ask about a copy of the book, so that no lock file comes beside the book.

        It keeps its name, which pages show in their footers.
        """
        path = Path(path)
        copy = self._office.folder / uuid.uuid4().hex / path.name
        copy.parent.mkdir()
        shutil.copyfile(path, copy)
        try:
            return self._office.ask(task, url=copy.as_uri(), **given)
        finally:
            shutil.rmtree(copy.parent, ignore_errors=True)


def _whole(path: Path) -> bool:
    """Look at a file that was saved: storing can fail without a word."""
    if not path.exists():
        return False
    if path.suffix == ".pdf":
        return path.read_bytes().startswith(b"%PDF")
    return zipfile.is_zipfile(path)


def _value(sent: Any) -> Any:
    return ErrorValue(sent["error"]) if isinstance(sent, dict) else sent


def _named(answer: dict[str, Any]) -> dict[str, Any]:
    return {
        name: [[_value(one) for one in row] for row in sent]
        if isinstance(sent, list)
        else _value(sent)
        for name, sent in answer.items()
    }


def _cells(answer: dict[str, list[list[Any]]]) -> Cells:
    return {
        sheet: {
            xl_rowcol_to_cell(row, column): _value(sent)
            for row, values in enumerate(rows)
            for column, sent in enumerate(values)
            if sent is not None
        }
        for sheet, rows in answer.items()
    }
