"""The table of lots of a ledger: weights, assays and payments of each lot."""

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ..errors import BadValue, CallError, WorkbookError
from ..model.allowed import complete
from ..model.columns import Field, in_plan, of_input, refuse_names
from ..model.inputs import INPUTS
from ..model.lines.settlement.money import PENALTIES as DUE
from ..model.parsing import as_name
from ..model.rules import check_rules
from ..workbook.csv_file import headed
from ..workbook.style import NONE_AT_ZERO
from .page import listed

PAID = "paid"
"""Column of the table of lots: paid to the owner after the settlement."""
PAID_ON = "date_paid"
"""Column of the table of lots: the day of that payment."""
FOLLOWS = "terms"
"""Column of the table of lots: the terms that a lot follows, as number/version."""
LOT, DATE, CUSTOMER = "settle_lot", "settle_date", "customer_name"
TERMS = ("split_limit", "umpire_rule", "umpire_fee", "gap_band")
"""Inputs of the section of the lot that are terms, so not columns of a table."""
MONEY = ("settle_deposit", "settle_advances", "settle_provisional")
OWN = {
    FOLLOWS: Field("Terms", "text"),
    PAID: Field(
        *("Paid to the owner", "money"),
        **{"least": -1e12, "most": 1e12, "filled": True},
        if_none="Enter 0 if nothing was paid.",
    ),
    PAID_ON: Field("Paid on", "date"),
}
"""Columns that are not inputs."""
ALWAYS = (
    *(LOT, "settle_wet_tons", "settle_moisture"),
    *("settle_mill_assay", "settle_owner_assay", "settle_price"),
    *("settle_deposit", "settle_advances", PAID),
)
"""Columns that every table needs."""
NONE_WITHOUT = ("settle_umpire_assay", "settle_provisional", "settle_made_good")
"""Figures that are zero if a table has no column for them."""
MELTED = (
    *("settle_melt_mass", "settle_melt_loss"),
    *("settle_fineness", "settle_silver_fineness"),
)
FOUND = ("settle_tails_grade", "settle_middlings", "settle_slag", "settle_cleanup")
"""Columns for the metal and its balance, needed unless the mill buys the ore."""
ALIKE = (
    *("settle_wet_tons", "settle_moisture", "settle_mill_assay"),
    *("settle_owner_assay", "settle_umpire_assay", *MELTED, *FOUND),
)
"""Weights and assays: two lots in which all of them are equal are one lot."""
PENALTIES = {what: rate for what, (rate, _) in DUE.items() if what != "moisture"}
"""Rate of each penalty by what is measured beside the moisture."""


@dataclass(frozen=True)
class Lots:
    """Lots as given in a table.

    Attributes
    ----------
    columns : dict of str to list
        By input, and ``paid``.
    lines : list of int
        Line of each lot in the file.
    heads : dict of str to str
        Head of each column in the file.
    file : str
    skipped : sequence of int
        Lines that are empty.
    """

    columns: dict
    lines: list
    heads: dict
    file: str
    skipped: tuple = ()

    @property
    def note(self):
        """Sentence on the skipped lines; empty if there are none."""
        if not self.skipped:
            return ""
        count, names = len(self.skipped), listed([*map(str, self.skipped)])
        lines = "line was" if count == 1 else "lines were"
        return f"{self.file}: {count:,} empty {lines} skipped: {names}."

    @property
    def names(self):
        """Name of each lot."""
        return self.columns[LOT]

    def place(self, at, name):
        """File, line and column of one figure."""
        return (
            f"{self.file}, line {self.lines[at]}, column {self.heads.get(name, name)}"
        )

    def lot(self, at):
        """Inputs of one lot."""
        return {n: column[at] for n, column in self.columns.items() if n in INPUTS}

    def part(self, rows):
        """The lots of some rows, counted from 0."""
        columns = {n: [column[at] for at in rows] for n, column in self.columns.items()}
        return replace(self, columns=columns, lines=[self.lines[at] for at in rows])

    def equal(self):
        """Sentences on lots that are equal in every weight and assay."""
        found = {}
        figures = [self.columns[name] for name in ALIKE if name in self.columns]
        for at, measured in enumerate(zip(*figures, strict=True)):
            found.setdefault(measured, []).append(at)
        return [
            f"{self.file}, "
            + listed(
                [f"line {self.lines[at]}, {self.names[at]}" for at in rows], " and "
            )
            + ": every weight and assay is equal (if it is the same lot, delete all "
            "lines but one; if not, enter each digit of the scale and the assay report)"
            for rows in found.values()
            if len(rows) > 1
        ]


def read_lots(rows, units, file="table of lots", skipped=(), inputs=None):
    """Read a table of lots: one line for each lot, one column for each input.

    Parameters
    ----------
    rows : list of (int, list of str)
        As given by `csv_file.read_csv`. The heads are inputs of the section Settlement
        lot, with or without ``settle_``, and ``paid``.
    units : {"us", "metric"}
    file : str
        Its name, for messages.
    skipped : sequence of int
        Lines that are empty.

    Returns
    -------
    lots : Lots

    Raises
    ------
    CallError
        For a column that is unknown or given twice, a line that is longer than the
        heads, or an empty table.
    WorkbookError
        For a value that is missing or out of range, a lot without a name or with
        another one's, and a row of totals.
    """
    table = headed(rows, "table of lots", file)
    for head in table.heads:
        if as_name(head) in TERMS:
            raise CallError(
                f"{file}: column {head!r} is a term of the contract, the same for "
                "every lot. Delete the column; the term is the workbook's."
            )
    fields = in_plan(_fields(), inputs)
    _refuse_names(table, table.texts(fields))
    columns = table.checked(fields, units)
    heads = dict(zip(columns, table.heads, strict=True))
    return Lots(columns, table.lines, heads, file, skipped)


def _fields():
    """Columns of a table of lots, by their heads."""
    found = {}
    for name, entry in INPUTS.items():
        if entry.section == "Settlement lot" or name == CUSTOMER:
            head = name.removeprefix("settle_").removesuffix("_name")
            kind = "money" if name in MONEY else ""
            more = {"also": (name,), "required": name == LOT, "filled": entry.numeric}
            none = "Enter 0 if there is no such assay." if name in NONE_AT_ZERO else ""
            found[head] = of_input(name, kind, if_none=none, **more)
    return {n: field for n, field in found.items() if n not in TERMS} | OWN


def _refuse_names(table, texts):
    """Refuse lots without a name, with another lot's name, and rows of totals."""
    names = texts["lot"]
    place = partial(table.place, head=table.heads[[*texts].index("lot")])
    for at, name in enumerate(names):
        if not name:
            raise WorkbookError(f"{place(at)}: the lot has no name. Enter one.")
    refuse_names(names, place, texts.get("customer"))


def require_columns(lots, values):
    """Raise when the table has no column for a figure that the terms need.

    Weights, assays and payments of a lot are never taken from the workbook.

    Parameters
    ----------
    lots : Lots
    values : mapping
        Of the workbook, as given by `run`.

    Raises
    ------
    WorkbookError
        Naming every column that is missing.
    """
    missing = [name for name in needed_figures(values) if name not in lots.columns]
    if missing:
        names = ", ".join(
            f"{name.removeprefix('settle_')} ({_label(name)})" for name in missing
        )
        raise WorkbookError(
            f"{lots.file}: these columns are missing: {names}. Add them: figures of a "
            "lot are never taken from the workbook."
        )


def needed_figures(values):
    """Figures of a lot that the terms of a workbook need: inputs, and ``paid``."""
    needed = list(ALWAYS)
    if str(values["agreed_purchase"]) != "yes":
        needed += MELTED + FOUND
    if bills_hours(values.__getitem__):
        needed.append("settle_hours")
    if values["escalation_share"] > 0:
        needed.append("settle_index")
    needed += [f"settle_{what}" for what, rate in PENALTIES.items() if values[rate] > 0]
    return needed


def bills_hours(value):
    """Whether the terms bill the mill hours of a lot."""
    return bool(value("agreed_per_hour") > 0 or str(value("agreed_on_cost")) == "yes")


def _label(name):
    return (OWN.get(name) or INPUTS[name]).label


def check_lots(lots, inputs, units):
    """Raise for the lot that contradicts itself, with file, line and columns."""
    for at, name in enumerate(lots.names):
        one = lots.lot(at)
        places = {given: lots.place(at, given) for given in one}
        try:
            check_rules(complete({**inputs, **one}, units), places, units)
        except BadValue as error:
            raise WorkbookError(f"{name}: {error}") from None


def as_arrays(lots):
    """Inputs of all lots as arrays; those of `NONE_WITHOUT` are 0 without a column."""
    columns = {
        name: column
        for name, column in lots.columns.items()
        if name in INPUTS and INPUTS[name].kind != "text"
    }
    none = dict.fromkeys(NONE_WITHOUT, [0.0] * len(lots.names))
    return {name: np.asarray(column) for name, column in {**none, **columns}.items()}
