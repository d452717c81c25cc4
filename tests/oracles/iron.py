"""IronCalc, a spreadsheet engine in Rust from PyPI, as an oracle."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from tests.oracles.oracle import Oracle
from tests.oracles.package import Names
from tests.oracles.values import Cells, ErrorValue, Input, Inputs, OracleFailed, Value

try:
    import ironcalc
except ImportError:  # told by missing(), so that the other oracles go on
    ironcalc = None


def missing() -> str | None:
    """Say what to install where this oracle can't run, None where it can."""
    if ironcalc is None:
        return "IronCalc is missing: install the package's 'test' extra with pip."
    return None


class Iron(Oracle):
    """Recalculates with IronCalc, in this process; every question loads the book."""

    def scenarios(
        self,
        path: Path | str,
        inputs: Sequence[Inputs],
        read: Sequence[str] | None,
    ) -> list[dict[str, Any]]:
        """Recalculate once for every mapping in ``inputs``; see `Oracle.scenarios`."""
        return [_scenario(path, changes, read) for changes in inputs]


def _scenario(
    path: Path | str, changes: Inputs, read: Sequence[str] | None
) -> dict[str, Any]:
    model = _load(path)
    names = _names(model)
    sheets = [sheet["name"] for sheet in model.get_worksheets_properties()]
    for name, value in changes.items():
        cell = names.cell(name)
        place = sheets.index(cell.sheet), cell.top + 1, cell.left + 1
        _set(model, place, value)
    model.evaluate()
    cells = _cells(model, sheets)
    if read is None:
        return cells
    return {name: names.read(cells, name) for name in read}


def _load(path: Path | str) -> Any:
    try:
        return ironcalc.load_from_xlsx(str(path))
    except ironcalc.WorkbookError as error:
        raise OracleFailed(f"IronCalc can't load {path}: {error}") from error


def _names(model: Any) -> Names:
    return Names(
        {
            item["name"]: item["formula"]
            for item in model.get_defined_name_list()
            if item["scope"] is None
        }
    )


def _set(model: Any, place: tuple[int, int, int], value: Input) -> None:
    if value is None:
        model.clear_cell_contents(*place)
    elif isinstance(value, bool):
        model.update_cell_with_bool(*place, value)
    elif isinstance(value, str):
        model.update_cell_with_text(*place, value)
    else:
        model.update_cell_with_number(*place, float(value))


def _cells(model: Any, sheets: list[str]) -> Cells:
    cells: Cells = {sheet: {} for sheet in sheets}
    for index, row, column in model.get_all_cells():
        value = _value(model, index, row, column)
        if value is not None:
            address = xl_rowcol_to_cell(row - 1, column - 1)
            cells[sheets[index]][address] = value
    return cells


def _value(model: Any, *place: int) -> Value | None:
    """Give a cell's value; errors come as text and only the type tells them."""
    value = model.get_cell_value(*place)
    is_error = model.get_cell_type(*place) == ironcalc.CellType.ErrorValue
    return ErrorValue(value) if is_error else value
