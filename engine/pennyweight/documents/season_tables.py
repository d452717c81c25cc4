"""Reading the tables of a season from CSV files."""

from pathlib import Path

import numpy as np
import pandas as pd

from ..errors import CallError
from ..model.parsing import as_name
from ..model.run import run
from ..workbook.csv_file import headed, read_csv
from .lots import LOT, as_arrays, read_lots


def read_table(path, what="table"):
    """Read a CSV file with column heads; every field is a text.

    Parameters
    ----------
    path : str or Path
    what : str
        Kind of table, for messages.

    Returns
    -------
    table : pandas.DataFrame
        ``attrs`` has the file's name and the line of each row.

    Raises
    ------
    CallError, WorkbookError
    """
    file = Path(path).name
    found = headed(read_csv(path, what), what, file)
    table = pd.DataFrame(found.rows, columns=found.heads, dtype=object)
    table.attrs = {"file": file, "lines": found.lines}
    return table


LEDGER = ("melt_mass", "settle_melt_mass")
"""Columns by which a table of a ledger's lots is recognised."""
NEEDED = ("settle_hours", "settle_melt_mass", "settle_fineness", "settle_mill_assay")


def read_actuals(path, inputs, units):
    """Read a table of actuals, or the lots that a ledger has settled.

    Parameters
    ----------
    path : str or Path
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}

    Returns
    -------
    table : pandas.DataFrame
        Columns as in `season.actuals.FIELDS`.

    Raises
    ------
    CallError, WorkbookError
    """
    what = "table of actuals"
    rows = read_csv(path, what)
    heads = {as_name(head) for head in rows[0][1]} if rows else set()
    if not heads & {*LEDGER}:
        return read_table(path, what)
    lots = read_lots(rows, units, Path(path).name, inputs=inputs)
    missing = [n for n in NEEDED if n not in lots.columns]
    if missing:
        names = ", ".join(name.removeprefix("settle_") for name in missing)
        raise CallError(f"{lots.file}: these columns are missing: {names}. Add them.")
    values = run(
        {**inputs, **as_arrays(lots)},
        units,
        wanted=("settle_tons", "settle_bullion_gold"),
    )
    cleanup = lots.columns.get("settle_cleanup", [0.0] * len(lots.names))
    table = pd.DataFrame(
        {
            "period": lots.columns[LOT],
            "tons": values["settle_tons"],
            # Hours of a settlement include set-up; those of a throughput do not.
            "hours": np.array(lots.columns["settle_hours"]) - inputs["set_up_hours"],
            "gold": values["settle_bullion_gold"] + cleanup,
            "head_grade": lots.columns["settle_mill_assay"],
        }
    )
    if "settle_tails_grade" in lots.columns:
        table["tails_grade"] = lots.columns["settle_tails_grade"]
    table.attrs = {"file": lots.file, "lines": lots.lines, "customers": True}
    return table
