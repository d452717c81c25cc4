"""A single page of live figures for another party: a quote or a statement.

Each line is a function, as in the model. Called with the names of cells it gives the
formula, called with values the stored value. The page has only what is entered on it.
"""

import inspect
import re

import numpy as np

from ..errors import ModelError
from ..model.currency import in_currency, symbol
from ..model.figures import money
from ..model.inputs import INPUTS, inputs_in
from ..model.jobs import AGREED_RATES, MASSES, precedents
from ..model.mill_model import MODEL
from ..model.units import TON, shown
from ..workbook.style import NONE_AT_ZERO, none_at_zero
from ..workbook.table import GIVEN, Cell, Column, Table, live, reference, table_bytes

CENTS = "#,##0.00_);(#,##0.00)"
"""Number format of money on a statement: negative amounts in parentheses."""
NUMBERS = {
    "share": "0.0#%",
    "oz": "#,##0.0000",
    "ton": "#,##0.000",
    "hour": "#,##0.0",
    "count": "#,##0",
}
_AS_ENTERED = {
    "share": "0.0#####%",
    "ton": "#,##0.000####",
    "grade": "0.00####",
    "hour": "#,##0.0##",
    "oz": "#,##0.00####",
    "oz/ton": "#,##0.00#######",
    "count": "#,##0",
    "day": "#,##0",
    "$": "#,##0.00####_);(#,##0.00####)",
}
_IN_THE_TITLE = re.compile(
    r"Settlement (?!assay)|, agreed contract| \(0: none\)|, customer ore"
    r"|customer (?:ore|lot) (?=\w)|customer (?=lot)|test lot (?=\w)",
    re.IGNORECASE,
)
ON_CONTRACT = tuple(n for n, line in MODEL.lines.items() if line.sheet == "Contract")
"""Lines from which papers are made; what these depend on is calculated with them."""
MOST_NAMED = 12
"""The most names in a sentence; the others are counted."""
COLUMNS = (
    Column("Item", width=46),
    Column("Value", "#,##0.0##", 17),
    Column("Unit", width=15, looks={"font_color": "#5B6B73", "text_wrap": True}),
    Column(
        "Note",
        width=48,
        looks={"font_color": "#5B6B73", "italic": True, "text_wrap": True},
    ),
)


def on_paper(label):
    """A label without the words that the title of the paper already has."""
    label = _IN_THE_TITLE.sub("", label)
    return label[0].upper() + label[1:]


def as_sentence(note):
    """A note with a capital letter and a full stop.

    Examples
    --------
    >>> as_sentence("the London afternoon gold price"), as_sentence("")
    ('The London afternoon gold price.', '')
    """
    note = note.strip()
    return note and note[0].upper() + note[1:].removesuffix(".") + "."


def number(unit, units, whole=False):
    """Number format of a unit on papers; ``whole`` shows all digits as entered."""
    if whole:
        return _AS_ENTERED.get("$" if unit.startswith("$") else unit, "#,##0.0####")
    if unit == "grade":
        return "0.000" if units == "us" else "0.00"
    return CENTS if unit.startswith("$") else NUMBERS.get(unit, "#,##0.0##")


def unit_of(unit, units):
    """A unit as written on papers: ounces are troy ounces."""
    return shown(unit, units).replace("oz", "troy oz")


def in_units(words, units):
    """Words about tons in the tons of a paper: tons or tonnes."""
    return re.sub(r"\b(t|T)on(?=s?\b)", rf"\1{TON[units][1:]}", words)


MARKED = "; the workbook marks each as an estimate on the sheet Inputs"


def draft_words(estimated, opening, faults=()):
    """Sentences on estimates, and on what is wrong; empty if there is neither.

    Parameters
    ----------
    estimated : list of str
        Labels.
    opening : str
        The sentence before the list.
    faults : sequence of str
        What is wrong, to be mended before the paper is signed.
    """
    sentences = []
    if estimated:
        where = MARKED if len(estimated) > MOST_NAMED else ""
        text = listed(estimated, "; ")
        sentences.append(f"{opening} These figures are estimates: {text}{where}.")
    if faults:
        draft = "" if sentences else "Draft. "
        sentences.append(f"{draft}Correct this first: {listed(faults, '; ')}.")
    return " ".join(sentences)


def listed(names, between=", "):
    """The first names in a row, and the number of the others."""
    more = len(names) - MOST_NAMED
    return between.join(names[:MOST_NAMED]) + f" and {more:,} more" * (more > 0)


def with_and(words):
    """Words in a row, the last after *and*.

    Examples
    --------
    >>> with_and(["moisture", "clay", "sulphides"]), with_and(["clay"]), with_and([])
    ('moisture, clay and sulphides', 'clay', '')
    """
    *others, last = words or [""]
    return " and ".join(filter(None, (", ".join(others), last)))


class Page(Table):
    """Rows of a page, and the names and values of their cells.

    Parameters
    ----------
    title : str
    book : mapping
        Values of a workbook, as given by `run`.
    units : {"us", "metric"}
    """

    def __init__(self, title, book, units):
        by = str(book["prepared_by"])
        super().__init__(
            *(f"{title}: {by}" if by else title, COLUMNS, units, title),
            top=2,
            landscape=False,
        )
        self.by, self.book, self.protected = by, book, True
        self.symbol = symbol(str(book["currency"]))
        kinds = MODEL.axes["contract"].values
        self.kind = kinds.index(str(book["contract_kind"]))
        self.values, self.cells, self.inputs = {}, {}, set()
        self.draft, self.all_digits = "", True

    def mark_draft(self):
        """Enter at the top what makes the page a draft."""
        if self.draft:
            self.rows.insert(1, ("sentence", self.draft, {"bold": True}))

    def bind(self, *names, value=None):
        """Let lines read a constant without a cell: the workbook's, or a given one."""
        for name in names:
            constant = self.found(name) if value is None else value
            self.values[name] = self.cells[name] = constant

    def alias(self, name, other):
        """Let lines that read one name read the cell of another."""
        self.values[name], self.cells[name] = self.values[other], self.cells[other]

    def given(self, name, label, value, unit="-", note="", bounds=()):
        """Enter a value; with bounds, the reader may change it within them."""
        looks = {"num_format": none_at_zero(name, number(unit, self.units, True))}
        looks |= {} if bounds else GIVEN
        self._put(Cell(value, "", name, bounds, looks), label, unit, note)

    def found(self, name):
        """A value of the workbook; of a table of contracts, for the agreed type."""
        value = self.book[name]
        return (value[self.kind] if value.ndim else value).item()

    def told(self, name):
        """A value of the workbook for a sentence of the page; 0 if it is missing."""
        value = self.found(name)
        if value and name in INPUTS:
            self.rests_on(name)
        return value

    def rests_on(self, name):
        """Enter an input that the page tells, or those behind a line of the model.

        Charges by contract type, and the rates of cost plus, are looked at elsewhere.
        """
        found = {name} if name in INPUTS else precedents((name,), MASSES)[1]
        self.inputs |= {one for one in found if not INPUTS[one].over}

    def put(self, *names, entry=False, note=None):
        """Enter inputs and lines with their labels, values and notes.

        Parameters
        ----------
        *names : str
        entry : bool
            Whether the reader of the page may change them.
        note : str, optional
            Instead of their own notes.
        """
        for name in names:
            row = INPUTS.get(name) or MODEL.lines[name]
            if name not in AGREED_RATES:
                self.rests_on(name)
            kind = INPUTS[row.parameters[0]] if getattr(row, "entry", False) else row
            share = getattr(kind, "kind", "") == "share"
            own = getattr(row, "description", "") or getattr(row, "note", "")
            bounds = inputs_in(self.book)[name].within(self.units) if entry else ()
            unit = "share" if share else row.unit
            text = own if note is None else note
            self.given(name, row.label, self.found(name), unit, text, bounds)

    def put_positive(self, *names, unless=()):
        """Enter the inputs above zero; lines read the others as zero."""
        for name in names:
            self.put_where(name not in unless and self.found(name) > 0, name)

    def put_where(self, applies, name):
        """Enter an input if it applies; else lines read it as zero."""
        if applies:
            self.put(name)
        else:
            self.bind(name, value=0.0)

    def line_where(self, applies, name, **options):
        """Enter a line if it applies; else others read it as zero."""
        if applies:
            self.lines(name, **options)
        else:
            self.bind(name, value=0.0)

    def refining(self, used):
        """Enter the refining charge, with that of base metal if there is one."""
        if self.found("base_metal_charge") == 0:
            self.alias(used, "refining_charge")
            return
        reads = [name for name in MODEL.lines[used].parameters if name != "fine"]
        self.put(*(name for name in reads if name not in self.values))
        self.bind("fine")
        self.lines(used)

    def line(self, function, label, unit="-", note="", name="", reads=(), bold=False):
        """Enter a calculated line.

        Parameters
        ----------
        function : callable
        label, unit, note : str
        name : str, optional
            Instead of the function's own.
        reads : tuple of str, optional
            Instead of the names of its parameters.
        bold : bool
        """
        name = name or function.__name__
        reads = reads or tuple(inspect.signature(function).parameters)
        missing = [read for read in reads if read not in self.values]
        if missing:
            raise ModelError(f"{name} reads {missing}, which the page does not have.")
        # All digits but of amounts, so that each can be worked out from the others.
        whole = self.all_digits and unit != "$"
        looks = {"num_format": number(unit, self.units, whole)}
        looks |= {"bold": True, "top": 1} if bold else {}
        cell = live(function, self.values, self.cells, reads, name=name, looks=looks)
        if isinstance(cell.value, str):
            # A long answer extends into the empty unit cell.
            looks["align"] = "left"
        self._put(cell, label, unit, note)

    def lines(self, *names, label="", note=None, bold=False, function=None, reads=()):
        """Enter lines of the model, calculated from the page's own cells.

        Parameters
        ----------
        *names : str
        label, note, function, reads : optional
            Instead of their own.
        bold : bool
        """
        for name in names:
            line = MODEL.lines[name]
            self.line(
                function or line.function,
                label or line.label,
                line.unit,
                line.note if note is None else note,
                name,
                reads or line.parameters,
                bold,
            )

    def _put(self, cell, label, unit, note):
        kind = "text" if isinstance(cell.value, str) else "number"
        self.values[cell.name] = cell.value
        self.cells[cell.name] = reference(cell.name, kind)
        unit = unit_of(unit, self.units).replace("$", self.symbol)
        note = in_units(as_sentence(note), self.units)
        self.row(in_units(on_paper(label), self.units), cell, unit, note)

    @property
    def contract_type(self):
        """The contract type agreed, in words."""
        return in_units(self.found("contract_kind"), self.units)

    def money(self, amount):
        """An amount with its currency, for sentences."""
        return in_currency(money(amount, 2), str(self.book["currency"]))

    def balance(self, at, name, words, note=""):
        """Enter, above the other rows, who pays whom and how much, as formulas.

        Parameters
        ----------
        at : int
            Row among the page's rows.
        name : str
            Line with the net to the owner.
        words : callable
            Who pays whom, by the net.
        note : str
        """
        looks = {"bold": True, "font_size": 14}
        reads = (name,)
        who = live(words, self.values, self.cells, reads, looks=looks)
        looks = {**looks, "num_format": CENTS}
        net = live(np.abs, self.values, self.cells, reads, looks=looks)
        self.rows.insert(at, ("row", (who, net, self.symbol, note), {}))

    def records(self):
        """Rows as text and numbers: label, value, unit, formula."""
        for kind, cells, _ in self.rows:
            if kind == "row":
                label, cell, unit, _ = cells
                none = cell.name in NONE_AT_ZERO and cell.value == 0
                label = getattr(label, "value", label)
                yield label, "none" if none else cell.value, unit, cell.formula

    def content(self):
        """Give the bytes of the page's .xlsx file."""
        return table_bytes([self], self.sheet, self.by)


OUNCES = "ounces are troy ounces of 31.1034768 g."
UNITS_IN_WORDS = {
    "us": f"Tons are US tons of 2,000 lb; {OUNCES}",
    "metric": f"Tonnes (t) are metric, 1,000 kg; {OUNCES}",
}
"""Sentence on tons and ounces."""


def ounce_as_grade(page):
    """Enter the grade of one ounce per ton, unless it is 1."""
    value = page.found("grade_per_ounce")
    if value == 1:
        page.bind("grade_per_ounce")
    else:
        label = f"Grade of 1 troy oz in 1 {TON[page.units]}"
        page.given("grade_per_ounce", label, value, "grade")
