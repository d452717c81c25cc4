"""A running ledger of lots under one contract: what each leaves, what is owed."""

import io
import math

import numpy as np
import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from ..errors import BadValue, CallError, WorkbookError, nearest
from ..formulas import Reference, formula
from ..model.inputs import INPUTS, complete
from ..model.rules import check_rules
from ..model.run import run
from ..model.units import shown
from ..trade import settlement
from ..workbook.csv_file import entered
from ..workbook.style import NONE_AT_ZERO, Formats
from .page import CENTS, FORMATS
from .statement import refuse_unsettled

WHAT = "table of lots"
PAID = "paid"
"""Column of the table of lots: paid to the owner after the settlement."""

COLUMNS = (
    # name, head, unit
    ("settle_lot", "Lot", "-"),
    ("settle_tons", "Dry weight", "ton"),
    ("settle_assay", "Assay settled on", "grade"),
    ("settle_how", "How", "-"),
    ("settle_bullion_gold", "Gold in the bullion", "oz"),
    ("settle_metal", "Metal, or price of the ore", "$"),
    ("charges", "All charges", "$"),
    ("deposit", "Deposit", "$"),
    ("settle_advances", "Advances", "$"),
    ("net", "Net to the owner", "$"),
    (PAID, "Paid to the owner", "$"),
    ("balance", "Owed to the owner so far", "$"),
    ("words", "In words", "-"),
)
CHARGES = ("settle_charge", "settle_penalties", "settle_shipment", "settle_umpire_fee")
HEAD, FIRST = 3, 4
WIDTHS = {"settle_lot": 18, "settle_how": 26, "words": 18}


def read_lots(rows, units):
    """Read the table of lots: a line a lot, a column an input.

    Parameters
    ----------
    rows : list of (int, list of str)
        By `csv_file.read_csv`. The head names inputs of the section Lot to settle,
        with or without ``settle_``, ``deposit`` and ``paid``.
    units : {"us", "metric"}

    Returns
    -------
    lots : dict of str to list
        Columns; ``paid`` is always there.

    Raises
    ------
    CallError
        For a column that is unknown or stands twice, a line that is longer than the
        head, or an empty table.
    WorkbookError
        For a value that is missing or out of bounds, with its line.
    """
    (_, heads), *lines = rows or [(1, [])]
    if not lines:
        raise CallError(f"The {WHAT} is empty: give a head and a line a lot.")
    names = [_input_of(head) for head in heads]
    for name in names:
        if names.count(name) > 1:
            raise CallError(f"The {WHAT} has two columns for {name}: leave one out.")
    if "settle_lot" not in names:
        raise CallError(f"The {WHAT} needs a column lot.")
    lots = {name: [] for name in (*names, PAID)}
    for number, fields in lines:
        row = _fields(number, fields, heads)
        for name, head, field in zip(names, heads, row, strict=True):
            place = f"line {number}, {head}"
            lots[name].append(_value(name, field, units, place))
    lots[PAID] = lots[PAID] or [0.0] * len(lines)
    return lots


def _fields(number, fields, heads):
    """The fields of a line, one for each head; empty ones at its end are cut off."""
    if len(fields) > len(heads):
        raise CallError(
            f"Line {number} of the {WHAT} has {len(fields)} fields for {len(heads)} "
            "columns."
        )
    return [*fields, *[""] * (len(heads) - len(fields))]


def _input_of(head):
    allowed = {n for n, entry in INPUTS.items() if entry.section == "Lot to settle"}
    allowed |= {PAID, "deposit"}
    for name in (head, f"settle_{head}"):
        if name in allowed:
            return name
    known = sorted(n.removeprefix("settle_") for n in allowed)
    raise CallError(
        f"The {WHAT} has a column {head!r}; it may have {', '.join(known)}."
        + nearest(head, known)
    )


def _value(name, field, units, place):
    """A field as a value; what is paid is any amount, below zero by the owner."""
    try:
        if name != PAID:
            return entered(name, field, units, place)
        paid = float(field)
        if not math.isfinite(paid):
            raise ValueError
    except BadValue as error:
        none = name in NONE_AT_ZERO and not field
        hint = " Enter 0 where there is no such assay." if none else ""
        raise WorkbookError(f"{error}{hint}") from None
    except ValueError:
        raise WorkbookError(
            f"{place}: {field!r} is no amount of money. Enter one, 0 where nothing "
            "was paid."
        ) from None
    return paid


def ledger(inputs, units, lots):
    """Give the bytes of the ledger.

    Parameters
    ----------
    inputs : mapping
        Of the book whose terms hold.
    units : {"us", "metric"}
    lots : dict of str to list
        By `read_lots`.

    Returns
    -------
    content : bytes
    owed : float
        To the owner after the last lot, in whole cents; below zero the owner owes.

    Raises
    ------
    WorkbookError
        When a lot contradicts itself, or needs an umpire that it does not have.
    """
    _check_lots(inputs, units, lots)
    texts = (PAID, "settle_lot")
    given = {n: np.asarray(column) for n, column in lots.items() if n not in texts}
    values = run({**inputs, **given}, units)
    values["settle_lot"] = np.asarray(lots["settle_lot"])
    count = len(lots["settle_lot"])
    refuse_unsettled(
        {"settle_how": np.broadcast_to(values["settle_how"], count)},
        np.asarray(lots["settle_lot"]),
    )
    values[PAID] = np.asarray(lots[PAID], float)
    values["charges"] = sum(values[name] for name in CHARGES)
    rows = {
        name: np.broadcast_to(values[name], count).tolist()
        for name, *_ in COLUMNS
        if name in values
    }
    return _write(values, units, rows, count)


def _check_lots(inputs, units, lots):
    """Name the lot that contradicts itself."""
    columns = {name: column for name, column in lots.items() if name != PAID}
    for lot in zip(*columns.values(), strict=True):
        one = dict(zip(columns, lot, strict=True))
        try:
            check_rules(complete({**inputs, **one}, units), units=units)
        except BadValue as error:
            raise WorkbookError(f"{one['settle_lot']}: {error}") from None


def net(metal, charges, deposit, advances):
    """In whole cents, as its statement says."""
    owed = settlement.net_to_owner(metal, charges, deposit, advances)
    return settlement.whole_cents(owed)


def balance(before, net, paid):
    """Carried on from lot to lot, free of noise below a cent."""
    return settlement.whole_cents(before + net - paid)


def words(balance):
    """Never by a sign alone."""
    owed = np.where(balance < 0, "the owner owes", "nothing owed")
    return np.where(balance > 0, "the mill owes", owed)


CALCULATED = {
    "net": (net, ("settle_metal", "charges", "deposit", "settle_advances")),
    "balance": (balance, ("before", "net", PAID)),
    "words": (words, ("balance",)),
}


def _write(values, units, rows, count):
    target = io.BytesIO()
    package = xlsxwriter.Workbook(target, {"in_memory": True})
    from ..workbook.write import CREATED

    by = str(values["prepared_by"])
    package.set_properties({"title": "Ledger", "author": by, "created": CREATED})
    sheet, formats = package.add_worksheet("Ledger"), Formats(package)
    title = f"Ledger: {by} and {values['customer_name']}"
    sheet.write_string(0, 0, title, formats.title())
    sheet.write_string(
        *(1, 0, f"Terms: {values['contract_kind']}. Each net is in whole cents."),
        formats.note(),
    )
    places = {name: place for place, (name, *_) in enumerate(COLUMNS)}
    before, done = 0.0, {"net": []}
    for number in range(count):
        before = _row(sheet, formats, rows, places, number, before, units, done)
    _heads_and_totals(sheet, formats, {**rows, **done}, count, units)
    sheet.set_landscape()
    sheet.set_paper(1 if units == "us" else 9)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0, HEAD)
    sheet.freeze_panes(FIRST, 1)
    sheet.hide_gridlines(2)
    package.close()
    return target.getvalue(), before


def _row(sheet, formats, rows, places, number, before, units, done):
    """One lot; gives the balance after it."""
    row = FIRST + number
    here = {name: Reference(xl_rowcol_to_cell(row, at)) for name, at in places.items()}
    last = Reference(xl_rowcol_to_cell(row - 1, places["balance"]))
    here["before"] = last if number else 0.0
    at = {name: column[number] for name, column in rows.items()}
    at["before"] = before
    for name, _, unit in COLUMNS:
        number_format = _number(unit, units)
        side = {"align": "right"} if unit != "-" else _text(places[name])
        look = formats(num_format=number_format, **side)
        if name in CALCULATED:
            function, reads = CALCULATED[name]
            value = function(*(at[read] for read in reads))
            at[name] = value.item() if hasattr(value, "item") else value
            written = formula(function(*(here[read] for read in reads)))
            sheet.write_formula(row, places[name], written, look, at[name])
        else:
            put = sheet.write_string if unit == "-" else sheet.write_number
            put(row, places[name], at[name], look)
    done["net"].append(at["net"])
    return at["balance"]


def _text(at):
    """Text keeps off the number to its left."""
    return {"align": "left", "indent": 1 if at else 0}


def _number(unit, units):
    if unit == "grade" and units == "metric":
        return "0.00"
    return FORMATS.get(unit, "General")


def _heads_and_totals(sheet, formats, rows, count, units):
    """Heads, and below the lots what adds up."""
    foot = FIRST + count
    for at, (name, head, unit) in enumerate(COLUMNS):
        sheet.set_column(at, at, WIDTHS.get(name, 15))
        text = f"{head}, {shown(unit, units)}" if shown(unit, units) else head
        side = {"align": "right"} if unit != "-" else _text(at)
        sheet.write_string(HEAD, at, text, formats.head(**side))
        look = formats(bold=True, top=1, num_format=_number(unit, units))
        if unit in ("$", "ton", "oz") and name != "balance":
            first, last = (xl_rowcol_to_cell(r, at) for r in (FIRST, foot - 1))
            whole = float(np.sum(rows[name]))
            sheet.write_formula(foot, at, f"=SUM({first}:{last})", look, whole)
    sheet.write_string(foot, 0, "All lots", formats(bold=True, top=1))
    sheet.set_row(HEAD, 32)
    owed = [at for at, (name, *_) in enumerate(COLUMNS) if name in ("net", PAID)]
    net_cell, paid_cell = (xl_rowcol_to_cell(foot, at) for at in owed)
    at = [name for name, *_ in COLUMNS].index("balance")
    look = formats(bold=True, top=1, num_format=CENTS)
    both = float(np.sum(rows["net"])) - float(np.sum(rows[PAID]))
    sheet.write_formula(foot, at, f"={net_cell}-{paid_cell}", look, both)
