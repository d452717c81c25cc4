"""What the oracles share: the questions they answer, and how formulas are posed."""

from __future__ import annotations

import tempfile
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import xlsxwriter

from tests.oracles.values import Cells, Input, Inputs, Value

ANSWERS = "OracleAnswers"
ANSWER_COLUMN = 701  # ZZ: out of the way of any cell that a formula asks about
WRONG = -987654321.0  # stored where the answer goes, so that trusting it shows


class Oracle(ABC):
    """A program that can work out a workbook's formulas afresh."""

    def recalculate(self, path: Path | str) -> Cells:
        """Give every cell of the workbook at ``path``, its formulas worked out anew."""
        return self.scenarios(path, [{}], None)[0]

    @abstractmethod
    def scenarios(
        self,
        path: Path | str,
        inputs: Sequence[Inputs],
        read: Sequence[str] | None,
    ) -> list[dict[str, Any]]:
        """Recalculate the workbook once for every mapping in ``inputs``.

        Each mapping has defined names of single cells and what to put there.
        Names that a mapping doesn't have hold what they hold in the file. The
        answers are the values of the names in ``read`` (a list of rows for a
        name of several cells, None for an empty cell), or all cells as
        `recalculate` gives them where ``read`` is None. The file stays as it is.
        """

    def evaluate(
        self, formulas: Sequence[str], cells: Mapping[str, Input] | None = None
    ) -> list[Value]:
        """Give the value of each formula, beside ``cells`` on an otherwise empty sheet.

        Formulas are as in an .xlsx file: English names, commas, and ``_xlfn.``
        before newer functions. The leading "=" may be left out.
        """
        if not formulas:
            return []
        with tempfile.TemporaryDirectory(prefix="oracle-") as folder:
            book = Path(folder) / "formulas.xlsx"
            write_formulas(book, formulas, cells or {})
            found = self.scenarios(book, [{}], [ANSWERS])[0][ANSWERS]
        return [row[0] for row in found] if isinstance(found, list) else [found]


def write_formulas(
    path: Path, formulas: Sequence[str], cells: Mapping[str, Input]
) -> None:
    """Write a book of ``cells`` and, under the name `ANSWERS`, the formulas."""
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Formulas")
        for address, value in cells.items():
            _write_value(sheet, address, value)
        for row, formula in enumerate(formulas):
            sheet.write_formula(row, ANSWER_COLUMN, formula, None, WRONG)
        book.define_name(ANSWERS, f"=Formulas!$ZZ$1:$ZZ${len(formulas)}")


def _write_value(sheet: Any, address: str, value: Input) -> None:
    """Write by type, so that text which looks like a formula or number stays text."""
    if isinstance(value, bool):
        sheet.write_boolean(address, value)
    elif isinstance(value, str):
        sheet.write_string(address, value)
    elif value is not None:
        sheet.write_number(address, value)
