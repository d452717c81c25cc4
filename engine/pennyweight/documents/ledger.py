"""A running ledger of lots under one set of terms: net of each lot, and balances."""

from itertools import repeat

import numpy as np
from xlsxwriter.utility import xl_col_to_name

from ..errors import BadValue, CallError, WorkbookError
from ..formulas import Reference, formula, rounded
from ..model.currency import symbol
from ..model.inputs import INPUTS
from ..model.mill_model import MODEL
from ..model.run import run
from ..trade import settlement
from ..workbook.csv_file import csv_bytes
from ..workbook.style import none_at_zero
from ..workbook.table import Cell, Column, Table, live, table_bytes
from .account import ACCOUNT
from .balances import balances_by_customer
from .clauses import money_in
from .dates import TEXTS_OF_LOT, day_after, due_date, in_words
from .lot_faults import lot_faults
from .lots import (
    CUSTOMER,
    DATE,
    FOLLOWS,
    LOT,
    PAID,
    PAID_ON,
    as_arrays,
    check_lots,
    require_columns,
)
from .overdue import (
    BEFORE,
    DUE,
    INTEREST,
    LATE,
    OPEN,
    RATE,
    late_interest,
    lateness,
    missing_dates,
    standing_day,
)
from .page import ON_CONTRACT, draft_words, in_units, listed, on_paper, unit_of
from .page import number as number_of
from .requirements import (
    refuse_before_assay_due,
    refuse_missing,
    refuse_unbalanced,
    refuse_unsettled,
    unbalanced,
)
from .statement import terms_draft
from .terms import citation, key_of, refuse_other_terms, unchecked

WHAT = "table of lots"
OWN = {
    # columns with heads of their own, and their units
    CUSTOMER: ("Customer", "-"),
    FOLLOWS: ("Terms", "-"),
    LOT: ("Lot", "-"),
    DATE: ("Date", "-"),
    "net": ("Net to the owner", "$"),
    DUE: ("Net due on", "-"),
    PAID: ("Paid to the owner", "$"),
    PAID_ON: ("Paid on", "-"),
    OPEN: ("Open of this lot", "$"),
    "balance": ("Balance owed to the owner", "$"),
    "words": ("Balance due", "-"),
    LATE: ("Days past due", "count"),
    BEFORE: ("Days from due to paid", "count"),
    RATE: ("Late rate per year", "share"),
    INTEREST: ("Late interest to the owner", "$"),
}
LINES = (
    *("settle_tons", "settle_mill_assay", "settle_owner_assay", "settle_assay"),
    *("settle_how", "settle_price", "settle_bullion_gold"),
)
OF_CUSTOMER = {OPEN, "balance", INTEREST}
"""Amounts that are not added up over customers."""
LAST = (
    *("net", DUE, PAID, PAID_ON, OPEN, "balance", "words"),
    *(LATE, BEFORE, RATE, INTEREST),
)
"""Columns after the account."""
ALWAYS = ("settle_metal", "settle_charge", "settle_deposit", "settle_advances")
"""Amounts that every ledger shows; the others only if a lot has them."""
GIVEN = (CUSTOMER, LOT, DATE, PAID)
"""Columns that are copied from the table of lots."""
RECEIVED = {PAID, "settle_advances", "settle_provisional"}
"""Columns with what the owner received for a lot."""
SHARED = ("prepared_by", "currency")
"""Inputs that are the same in every workbook of a ledger."""
PLACES = {"ton": 4, "oz": 4}
"""Decimals to which weights are rounded, so that printed columns add up."""
CHECK = (
    "The lot waits until weights, units and assays are checked, or both parties agree "
    "on the cause in writing."
)
WIDTHS = {
    CUSTOMER: 20,
    FOLLOWS: 12,
    DUE: 16,
    PAID_ON: 16,
    "settle_how": 14,
    "words": 13,
}
WRAPPED = {CUSTOMER, FOLLOWS, LOT, DUE, PAID_ON, "settle_how", "words"}
NARROWEST, WIDEST = 9, 24
"""Widths of a column in letters."""


class Ledger:
    """A ledger of lots.

    Parameters
    ----------
    inputs : mapping
        Of the workbook whose terms apply.
    units : {"us", "metric"}
    lots : Lots
    confirmed : str
        Why lots are paid although their gold balance is outside the tolerance.
    others : sequence of mapping
        Inputs of further workbooks, whose terms lots may follow.
    given : sequence of collection of str, optional
        For each workbook, the inputs for which there is the user's figure; all when
        left out.
    on : str
        The day on which the ledger stands, not before the latest date of the table;
        that date when left out.

    Attributes
    ----------
    draft : str
        Which terms are estimates; empty if all were entered.
    faults : list of str
        What is wrong with dates and prices of lots, and which customers the terms of
        their lots do not name, and which lots may be the same one; this makes a
        draft, too.
    day : datetime.date or None
        The day on which the ledger stands; None if its lots have no dates.
    owed : dict of str to float
        What the mill owes each customer after the last lot; negative if the customer
        owes the mill.
    held : dict of int to str
        Why lots of the table are not settled, by their place in it: they need an
        umpire's assay, or their gold balance is not confirmed.

    Raises
    ------
    CallError
        When two workbooks have the same terms number and version, or another mill or
        currency.
    WorkbookError
        When a lot follows terms that no workbook has, or contradicts itself; when
        all lots are held; when a column is missing; and when terms differ from the
        signed ones.
    """

    def __init__(self, inputs, units, lots, confirmed="", others=(), given=(), on=""):
        self.units, self.lots, self.day = units, lots, standing_day(lots, on)
        self.books = {}
        for one in (inputs, *others):
            _enter_terms(self.books, run(one, units, ON_CONTRACT), one)
        known = dict(zip(self.books, given or repeat(INPUTS), strict=False))
        (self.terms, _), *_ = self.books.values()
        self.follows = _followed(lots, self.books)
        self.notes, self.columns, self.held = [], {}, {}
        same = draft_words((), "", lots.equal())
        self.faults = [same] if same else []
        self.drafts = {}
        for key, (terms, one) in self.books.items():
            rows = [at for at, name in enumerate(self.follows) if name == key]
            if not rows:
                continue
            need = f"Terms {key} need the contract type"
            refuse_missing(("contract_kind",), known[key], need)
            if draft := terms_draft(terms, units, known[key]):
                self.drafts[key] = f"Terms {key}: {draft}"
            self._settle(rows, terms, one, confirmed)
        self.draft = "\n".join(self.drafts.values())
        followed = [self.books[key][0] for key in {*self.follows}]
        buys = all(str(terms["agreed_purchase"]) == "yes" for terms in followed)
        self.notes.append(missing_dates(lots, buys))
        self._leave_out_held()
        self.notes = [*self.drafts.values(), *self.faults, *self.notes, lots.note]
        self._drop_empty()
        self._balance()
        self._late_interest()

    def _settle(self, rows, terms, inputs, confirmed):
        """Calculate the lots that follow the same terms."""
        lots = self.lots.part(rows)
        require_columns(lots, terms)
        refuse_other_terms(terms)
        values = _calculated(inputs, self.units, lots)
        held = _reasons(lots, values, terms["assay_days"].item(), self.units, confirmed)
        if held:
            self.held |= {rows[at]: reason for at, reason in held.items()}
            if rest := [row for row in rows if row not in self.held]:
                self._settle(rest, terms, inputs, confirmed)
            return
        self.faults += _faults(lots, values)
        self.faults += _other_customers(lots, terms)
        self.notes += [
            f"{self._cited(terms)} Contract type: "
            f"{in_units(str(terms['contract_kind']), self.units)}. "
            f"{unchecked(terms)}",
            refuse_unbalanced(values, lots.names, self.units, confirmed),
        ]
        due = [_due_on(lots, values, at) for at in range(len(rows))]
        columns = {
            **{name: values[name] for name in LINES},
            **_printed(values),
            CUSTOMER: str(terms["customer_name"]),
            FOLLOWS: key_of(terms),
            DUE: [*map(in_words, due)],
            RATE: terms["late_rate"],
            **lateness(lots, due, self.day),
            **{name: lots.columns[name] for name in GIVEN if name in lots.columns},
        }
        if str(terms["agreed_purchase"]) == "yes":
            columns["settle_bullion_gold"] = None
        if PAID_ON in lots.columns:
            columns[PAID_ON] = [*map(in_words, lots.columns[PAID_ON])]
        for name, column in columns.items():
            self._enter(name, rows, column)

    def _cited(self, terms):
        """Sentence on terms that lots follow."""
        return citation(terms, key_of(terms) in self.drafts)

    def _leave_out_held(self):
        """Leave held lots out of the ledger, with a note."""
        if not self.held:
            return
        reasons = [reason for _, reason in sorted(self.held.items())]
        kept = [at for at in range(len(self.follows)) if at not in self.held]
        if not kept:
            raise WorkbookError("No lot can be settled.\n  " + "\n  ".join(reasons))
        self.lots = self.lots.part(kept)
        self.follows = [self.follows[at] for at in kept]
        self.columns = {n: [c[at] for at in kept] for n, c in self.columns.items()}
        self.notes += [f"Held, not in this ledger: {reason}" for reason in reasons]

    def _enter(self, name, rows, values):
        """Enter the values of a column for some lots."""
        column = self.columns.setdefault(name, [None] * len(self.lots.names))
        values = np.broadcast_to(values, len(rows))
        if name in MODEL.lines and (places := PLACES.get(MODEL.lines[name].unit)):
            values = rounded(values, places) if values.dtype.kind == "f" else values
        for at, value in zip(rows, values.tolist(), strict=True):
            column[at] = value

    def _drop_empty(self):
        """Drop columns of what no lot has, and of bullion owned by the mill."""
        for name in ("settle_bullion_gold", DUE, *(name for name, _ in ACCOUNT)):
            if name not in ALWAYS and not any(self.columns[name]):
                del self.columns[name]

    def _balance(self):
        """Calculate the net of each lot, and the customer's balance after it."""
        columns = self.columns
        net = self._net(*(np.asarray(columns[name]) for name, _ in self.account))
        columns["net"], columns["balance"] = net.tolist(), []
        owed = dict.fromkeys(columns[CUSTOMER], 0.0)
        rows = zip(columns[CUSTOMER], columns["net"], columns[PAID], strict=True)
        for customer, net, paid in rows:
            owed[customer] = balance(owed[customer], net, paid)
            columns["balance"].append(owed[customer])
        columns["words"] = words(np.asarray(columns["balance"])).tolist()
        self.owed = {customer: float(amount) for customer, amount in owed.items()}
        amounts = (np.asarray(columns[name]) for name in ("net", PAID))
        columns[OPEN] = still_open(*amounts).tolist()

    def _late_interest(self):
        """Calculate the late interest of each lot; None if a date for it is missing."""
        columns, (_, reads) = self.columns, self.calculated[INTEREST]
        figures = [*zip(*(columns[name] for name in reads), strict=True)]
        known = [at for at, row in enumerate(figures) if None not in row]
        found = [None] * len(figures)
        if known:
            amounts = late_interest(*np.transpose([figures[at] for at in known]))
            for at, amount in zip(known, amounts.tolist(), strict=True):
                found[at] = amount + 0.0  # no negative zero
        if any(found):
            columns[INTEREST] = found
        if self.day:
            self.notes += self._unknown(found)
        unused = () if any(found) else (RATE, BEFORE)
        for name in (*unused, *((LATE,) if DUE not in columns else ())):
            del columns[name]

    def _unknown(self, interest):
        """Sentences on lots whose due day, or late interest, is not known."""
        names, columns = self.lots.names, self.columns
        rows = zip(names, columns[LATE], columns[RATE], interest, strict=True)
        undated, unpaid = [], []
        for name, late, rate, amount in rows:
            if late is None:
                undated.append(name)
            elif rate and amount is None:
                unpaid.append(name)
        if undated:
            yield (
                "The due day is not known, because a date is missing, of: "
                f"{listed(undated)}. They have no age and no late interest here."
            )
        if unpaid:
            yield (
                "Late interest is not shown, because the day of the payment is missing "
                f"({PAID_ON}), of: {listed(unpaid)}."
            )

    @property
    def account(self):
        """The amounts shown, with their signs."""
        return [(name, sign) for name, sign in ACCOUNT if name in self.columns]

    @property
    def names(self):
        """Names of the columns, in order."""
        several = CUSTOMER in self.lots.columns or len({*self.columns[CUSTOMER]}) > 1
        named = [CUSTOMER] if several else []
        if FOLLOWS in self.lots.columns:
            named.append(FOLLOWS)
        first = [*named, LOT, DATE, *LINES]
        names = (*first, *(name for name, _ in ACCOUNT), *LAST)
        return [name for name in names if name in self.columns]

    @property
    def calculated(self):
        """Function and arguments of each column with formulas."""
        return {
            "net": (self._net, tuple(name for name, _ in self.account)),
            OPEN: (still_open, ("net", PAID)),
            "balance": (balance, ("before", "net", PAID)),
            "words": (words, ("balance",)),
            INTEREST: (late_interest, ("net", OPEN, RATE, LATE, BEFORE)),
        }

    def _net(self, *amounts):
        """Net of a lot in whole cents, as on its statement."""
        signs = [sign for _, sign in self.account]
        owed = sum(a if s > 0 else -a for a, s in zip(amounts, signs, strict=True))
        return settlement.round_to_cents(owed)

    def content(self, progress=None):
        """Give the bytes of the ledger as an .xlsx file.

        Parameters
        ----------
        progress : callable, optional
            Called with the number of lots written.
        """
        by, money = str(self.terms["prepared_by"]), symbol(str(self.terms["currency"]))
        columns = [self._column(name, money) for name in self.names]
        notes = self._notes()
        table = Table(f"Ledger: {by}", columns, self.units, "Ledger", notes)
        table.frozen, table.header = self.names.index(LOT) + 1, table.title
        table.heads()
        first = table.next_row
        self._rows(table, first, progress or (lambda done: None))
        self._totals(table, first)
        customers = balances_by_customer(self, first, money)
        return table_bytes([table, customers], "Ledger", by)

    def _notes(self):
        customer = "" if CUSTOMER in self.names else f"{self.terms['customer_name']}. "
        return (
            f"{customer}{money_in(self.terms['currency'])} Each amount is in whole "
            "cents, as on the statement of its lot.",
            *filter(None, self.notes),
            *(
                f"Late interest to {in_words(self.day)} is simple, and owed beside the "
                "balance: on the net of a lot from its due day until it was paid, then "
                "on what is open. In parentheses: owed by the owner.",
            )
            * (INTEREST in self.columns),
        )

    def _column(self, name, money):
        head, unit = OWN.get(name) or _label_and_unit(name)
        shown = unit_of(unit, self.units).replace("$", money)
        head = f"{head}, {shown}" if shown else head
        total = unit in ("$", "ton", "oz") and name not in OF_CUSTOMER
        return Column(
            head,
            none_at_zero(name, number_of(unit, self.units)) if unit != "-" else "",
            self._width(name, head, total),
            total=total,
            looks={"text_wrap": True} if name in WRAPPED else {},
        )

    def _width(self, name, head, total):
        """Least width of a column, in letters: many columns share one page."""
        if name in WIDTHS:
            return WIDTHS[name]
        values = [0 if value is None else value for value in self.columns[name]]
        if total:
            values.append(sum(map(abs, values)))
        longest = max(
            len(value) if isinstance(value, str) else len(f"({value:,.2f})")
            for value in values
        )
        wide = max(NARROWEST, longest + 1, 1.2 * max(map(len, head.split())))
        return min(wide, WIDEST)

    def _rows(self, table, first, progress):
        """Enter the lots; each formula is traced once, then filled in for each row."""
        letters = {n: xl_col_to_name(at) for at, n in enumerate(self.names)}
        cells = {n: Reference(f"{letter}{{row}}") for n, letter in letters.items()}
        cells["before"] = Reference("{before}")
        formulas = {
            name: formula(function(*(cells[read] for read in reads)))
            for name, (function, reads) in self.calculated.items()
            if name in letters
        }
        names, last = self.names, {}
        columns = [self.columns[name] for name in names]
        rows = zip(self.columns[CUSTOMER], *columns, strict=True)
        for at, (customer, *entries) in enumerate(rows, 1):
            row = str(first + at)
            for place, name in enumerate(names):
                if name in formulas and entries[place] is not None:
                    text = formulas[name].replace("{row}", row)
                    text = text.replace("{before}", last.get(customer, "0"))
                    entries[place] = Cell(entries[place], text)
            last[customer] = f"{letters['balance']}{row}"
            table.row(*entries)
            progress(at)

    def _totals(self, table, first):
        """Enter the totals; balances of several customers are not added up."""
        names = self.names
        if len(self.owed) > 1:
            table.total("All lots", first)
            return
        cells = {n: Reference(table.place(names.index(n))) for n in ("net", PAID)}
        sums = {name: float(np.sum(self.columns[name])) for name in ("net", PAID)}
        last = live(lambda net, paid: net - paid, sums, cells, ("net", PAID))
        table.total("All lots", first, **{f"at_{names.index('balance')}": last})

    def audit(self):
        """Give the audit copy as CSV: mill, terms, customer and lot in each row.

        Returns
        -------
        content : bytes
        """
        names = [CUSTOMER, *(n for n in self.names if n not in (CUSTOMER, FOLLOWS))]
        mill = str(self.terms["prepared_by"])
        books = self.books.items()
        fixed = {key: (mill, self._cited(terms)) for key, (terms, _) in books}
        heads = ["mill", FOLLOWS, *(n.removeprefix("settle_") for n in names)]
        rows = zip(*(self.columns[name] for name in names), strict=True)
        pairs = zip(self.follows, rows, strict=True)
        return csv_bytes([heads, *([*fixed[key], *row] for key, row in pairs)])


def _enter_terms(books, terms, inputs):
    """Enter the terms of a workbook by their number and version."""
    key = key_of(terms)
    if key in books:
        raise CallError(
            f"Two workbooks have terms {key}. Enter another version in one of them."
        )
    for name in SHARED:
        known = {str(one[name]) for one, _ in books.values()}
        if known - {str(terms[name])}:
            raise CallError(
                f"Terms {key}: {INPUTS[name].label} is {terms[name]}, in the first "
                f"workbook {known.pop()}. A ledger has one mill and one currency."
            )
    books[key] = (terms, inputs)


def _followed(lots, books):
    """Terms of each lot; without a column of terms, those of the only workbook."""
    if FOLLOWS not in lots.columns:
        if len(books) > 1:
            raise CallError(
                f"{lots.file}: several workbooks give terms ({', '.join(books)}). Add "
                "the column terms, so that each lot names its own."
            )
        return [*books] * len(lots.names)
    for at, key in enumerate(lots.columns[FOLLOWS]):
        if key not in books:
            raise WorkbookError(
                f"{lots.place(at, FOLLOWS)}: the terms are {key or 'missing'}. Enter "
                f"number/version of the terms of a workbook: {', '.join(books)}."
            )
    return lots.columns[FOLLOWS]


def _faults(lots, values):
    """What is wrong with dates, gold balance and price of each lot."""
    found = []
    for at, name in enumerate(lots.names):
        faults = lot_faults(_reader(lots, values, at)) + _paid_early(lots, at)
        if faults:
            line = f"{lots.file}, line {lots.lines[at]}, {name}"
            found.append(draft_words((), "", [f"{line}: {'; '.join(faults)}"]))
    return found


def _paid_early(lots, at):
    """A payment that is dated before its lot was weighed."""
    paid_on, weighed = (
        day_after(lots.columns.get(name, [""] * (at + 1))[at])
        for name in (PAID_ON, "settle_weighed")
    )
    if not (lots.columns[PAID][at] and paid_on and weighed and paid_on < weighed):
        return []
    return [
        f"paid on {in_words(paid_on)}, before it was weighed, {in_words(weighed)} "
        "(enter a payment in advance in the column advances)"
    ]


def _reader(lots, values, at):
    """Function that gives the value of a line or an input for one lot."""

    def value(entry):
        if entry in lots.columns:
            return lots.columns[entry][at]
        if entry in TEXTS_OF_LOT:
            return ""
        return np.broadcast_to(values[entry], len(lots.names))[at].item()

    return value


def _due_on(lots, values, at):
    """The day on which the net of a lot is due; None if a date is missing."""
    value = _reader(lots, values, at)
    return due_date(value, value("settle_net") > 0)


def _other_customers(lots, terms):
    """Sentence on lots that follow terms with another customer's name."""
    named = str(terms["customer_name"])
    others = sorted({*lots.columns.get(CUSTOMER, ())} - {named, ""})
    if not (named and others):
        return []
    return [
        f"Draft. Terms {key_of(terms)} name {named}; lots of {listed(others)} follow "
        "them, too. Give the workbook with the terms that each customer signed "
        "(--terms), and name them in the column terms."
    ]


def _calculated(inputs, units, lots):
    """The lines of all lots at once; the error names a lot that contradicts itself."""
    wanted = [
        name for name in (*LINES, *(n for n, _ in ACCOUNT)) if name in MODEL.lines
    ]
    wanted += ["settle_gap", "settle_found", "settle_gold_fed", "agreed_purchase"]
    wanted += ["settle_balance", "settle_net"]
    try:
        return run({**inputs, **as_arrays(lots)}, units, wanted)
    except BadValue:
        check_lots(lots, inputs, units)
        raise


def _reasons(lots, values, days, units, confirmed):
    """Why lots cannot be settled yet, by their place in the table."""
    found = {}
    if not confirmed.strip():
        outside = unbalanced(values, lots.names, units)
        found = {at: f"{words}. {CHECK}" for at, words in outside.items()}
    for at, how in enumerate(np.broadcast_to(values["settle_how"], len(lots.names))):
        try:
            _refuse_unsettled(lots, at, how, days)
        except WorkbookError as error:
            found[at] = str(error)
    for at in found:
        if paid := sum(lots.columns[name][at] for name in RECEIVED & {*lots.columns}):
            found[at] += (
                " What was paid for it, advances too, is not in this ledger: "
                f"{paid:,.2f}."
            )
    return found


def _refuse_unsettled(lots, at, how, days):
    """Raise when the assay of the owner or of an umpire is missing."""
    place = lots.place(at, "settle_umpire_assay")
    refuse_unsettled(how, f"{lots.names[at]} ({place})")
    dates = (lots.columns.get(n) for n in ("settle_weighed", DATE))
    weighed, dated = (column[at] if column else "" for column in dates)
    place = lots.place(at, "settle_owner_assay")
    refuse_before_assay_due(how, f"{lots.names[at]} ({place})", weighed, dated, days)


def _printed(values):
    """Amounts of the account in cents, rounded as on the statement of the lot."""
    return {name: settlement.round_to_cents(values[name]) for name, _ in ACCOUNT}


def _label_and_unit(name):
    line = MODEL.lines.get(name) or MODEL.inputs[name]
    return on_paper(line.label), line.unit


def still_open(net, paid):
    """What is unpaid of the net of a lot, in whole cents."""
    return settlement.round_to_cents(net - paid)


def balance(before, net, paid):
    """Balance after a lot, in whole cents."""
    return settlement.round_to_cents(before + net - paid)


def words(balance):
    """Who owes whom, in words."""
    owed = np.where(balance < 0, "the owner owes the mill", "nothing is owed")
    return np.where(balance > 0, "the mill owes the owner", owed)
