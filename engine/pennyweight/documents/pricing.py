"""Charges for lots that give a wanted margin.

For the mill only: the figures follow from its cost.
"""

import re
from dataclasses import dataclass

import numpy as np

from ..errors import CallError, WorkbookError
from ..model.columns import Field, in_plan, of_input
from ..model.currency import in_currency, symbol
from ..model.figures import money
from ..model.inputs import INPUTS
from ..model.lines.contract.charges import BASIS, treatment_charge, unless_minimum
from ..model.mill_model import MODEL
from ..model.run import run
from ..model.units import Units, shown, worded
from ..season.lots import by_work_index, needed_charges
from ..workbook.chart import draw
from ..workbook.csv_file import headed
from ..workbook.table import Cell, Column, Table, table_bytes
from .page import ON_CONTRACT
from .page import number as number_of

WHAT = "table of lots to price"
KEYS = ("customer", "lot")
"""Columns that identify a lot."""
SECTIONS = ("Contract: lot and season", "Contract: charges and penalties")
NEEDED = ("custom_wet_tons", "custom_moisture", "custom_grade")
INTERNAL = "For the mill only: these figures follow from its cost."
FORMATS = {"share": "0.0%", "$/ton": "#,##0.00", "$/hour": "#,##0.00"}


@dataclass(frozen=True)
class Prices:
    """Charges that give the wanted margin.

    Attributes
    ----------
    wanted : str
        The margin, in words.
    names : list of str
        Of the lots.
    rows : dict of str to ndarray
        By line: one row for each cost basis, one column for each lot.
    by_load : dict of str to ndarray
        The tonnage charge over the share of the season's hours that is booked.
    load : float
        Share of the season's hours that the booked lots use.
    booked : float
        Lots in the booked season, each like the workbook's.
    units : {"us", "metric"}
    extras : ndarray
        Clean-up gold, its silver, and by-products that are the mill's, for each lot, $.
    currency : str
    crew_paid_for : str
        As entered.
    bases : tuple of str
        Cost basis of each row.
    """

    wanted: str
    names: list[str]
    rows: dict[str, np.ndarray]
    by_load: dict[str, np.ndarray]
    load: float
    booked: float
    units: Units
    extras: np.ndarray
    currency: str = "US dollars"
    crew_paid_for: str = INPUTS["crew_paid_for"].choices[0]
    bases: tuple[str, ...] = BASIS.values

    def label(self, name: str) -> str:
        """Label of a row."""
        return worded(MODEL.lines[name].label, self.units)

    def unit(self, name: str) -> str:
        """Unit of a row as it is shown."""
        unit = MODEL.lines[name].unit
        return "" if unit == "share" else self.in_currency(shown(unit, self.units))

    def in_currency(self, text: str) -> str:
        """A text with its money in the currency entered."""
        return in_currency(text, self.currency)

    def text(self, name: str, value: float) -> str:
        """A figure of a row as people read it."""
        unit = MODEL.lines[name].unit
        if np.isnan(value):
            return "n/a"
        return f"{value:.1%}" if unit == "share" else f"{value:,.2f}"

    @property
    def notes(self) -> tuple[str, ...]:
        """Notes on the figures, in sentences."""
        lost = np.all(self.rows["owner_left"] < 0, axis=0)
        losing = [name for name, loses in zip(self.names, lost, strict=True) if loses]
        sentences = (
            f"Wanted: a margin of {self.wanted}. The booked season has "
            f"{self.booked:g} lots like the one in the workbook, whatever lots are "
            f"priced here. They use {self.load:.0%} of the season's mill hours and "
            "bear the fixed cost of all hours. "
            f"{INPUTS['crew_paid_for'].label}: {self.crew_paid_for}.",
            "Only the last column recovers fixed cost and capital from the booked "
            "lots. The others leave one or both to lots that are not booked yet.",
            f"{INTERNAL} Markup is on the milling cost of a full season.",
        )
        if self.extras.max() > 0:
            each = (self.in_currency(money(extra, 2)) for extra in self.extras)
            extras = "; ".join(each)
            sentences += (
                "The charges count on clean-up gold, its silver, and by-products "
                f"that the terms leave to the mill, for each lot: {extras}.",
            )
        rows = (row for name, row in self.rows.items() if name != "share_charge")
        if any(np.isnan(row).any() for row in rows):
            sentences += (
                "n/a: a lower charge brings the same, the minimum charge per lot.",
            )
        if self.rows["treatment_charge"].min() < 0:
            sentences += (
                "A treatment charge below 0 is money that the mill can pay on top of "
                "the ore price: it earns the margin wanted all the same.",
            )
        if losing:
            sentences += (
                f"The owner loses money at each of these charges: {'; '.join(losing)}.",
            )
        return sentences


def wanted_margin(text, currency="US dollars"):
    """Read the wanted margin.

    Parameters
    ----------
    text : str
        A share of the income, ``20%``, or money per mill hour, ``$150/hour``.

    Returns
    -------
    share, per_hour : float
        The other one is 0.

    Raises
    ------
    CallError

    Examples
    --------
    >>> wanted_margin("20%"), wanted_margin("$150/hour")
    ((0.2, 0.0), (0.0, 150.0))
    >>> wanted_margin("GHS 900/hour", "GHS"), wanted_margin("900/hour", "GHS")
    ((0.0, 900.0), (0.0, 900.0))
    """
    text, sign = str(text).strip(), symbol(str(currency))
    share = re.fullmatch(r"(-?\d+(?:\.\d+)?)\s*%", text)
    if share and -1000 < float(share[1]) <= 95:
        return float(share[1]) / 100, 0.0
    per = rf"({re.escape(sign)})?\s*(\d+(?:\.\d+)?)\s*({re.escape(sign)})?"
    hour = re.fullmatch(rf"{per}\s*/\s*h(?:our)?", text, re.IGNORECASE)
    if hour and not (hour[1] and hour[3]):
        return 0.0, float(hour[2])
    raise CallError(
        f"Margin {text!r}: this is not a margin. Enter a percentage of the income, at "
        "most 95%, for example 20%, or money per mill hour, for example "
        f"{in_currency('$150/hour', currency)}."
    )


def price(inputs, units, margin, lots=None):
    """Find the charge of every contract type that gives the wanted margin.

    Parameters
    ----------
    inputs : mapping
        Of a workbook.
    units : {"us", "metric"}
    margin : str
        For `wanted_margin`.
    lots : dict of str to list, optional
        By `read_lots_to_price`; the workbook's own lot when left out.

    Returns
    -------
    prices : Prices

    Raises
    ------
    WorkbookError
        When the booked lots need more hours than the season has.
    """
    base = run(inputs, units, ON_CONTRACT)
    currency = str(base["currency"])
    share, per_hour = wanted_margin(margin, currency)
    load = float(base["season_load"])
    if load > 1:
        raise WorkbookError(
            f"The booked lots need {load:.0%} of the season's mill hours. Enter fewer "
            f"lots ({INPUTS['season_lots'].label}), more hours or more months."
        )
    given = {n: np.asarray(c) for n, c in (lots or {}).items() if n not in KEYS}
    if "custom_work_index" in given:
        index = given["custom_work_index"]
        pace = given.get("custom_pace", np.full(index.shape, np.nan))
        given |= by_work_index(index, pace, base)
    values = run({**inputs, **given}, units, ON_CONTRACT) if given else base
    values = {name: np.asarray(value) for name, value in values.items()}
    borne = values["custom_hours"] / (base["custom_hours"] * base["season_lots"])
    costs = _costs(values["milling_cost"], borne, base)
    income = costs / (1 - share) + per_hour * values["custom_hours"]
    with np.errstate(all="ignore"):
        rows = {"basis_cost": costs, "basis_income": income, **_charges(income, values)}
    names = [str(base["customer_name"])]
    if lots:
        names = [", ".join(pair) for pair in zip(*(lots[n] for n in KEYS), strict=True)]
    wanted = (
        in_currency(f"${per_hour:,.2f} per mill hour", currency)
        if per_hour
        else f"{100 * share:g}% of the income"
    )
    by_load = _by_load(inputs, units, share, per_hour, base)
    extras = np.atleast_1d(values["mill_extras"])
    booked = float(base["season_lots"])
    told = currency, str(base["crew_paid_for"])
    return Prices(wanted, names, rows, by_load, load, booked, units, extras, *told)


def _costs(milling_cost, borne, base):
    """Cost of each lot on each basis; ``borne`` is its share of the booked hours."""
    idle, capital = base["season_idle_cost"], base["season_capital"]
    more = [0, idle, capital * base["season_load"], idle + capital]
    return np.array([milling_cost + part * borne for part in more]).reshape(
        len(BASIS), -1
    )


def _charges(income, values):
    """Every charge, by basis and lot."""
    kinds = np.array(MODEL.axes["contract"].values)[:, None]
    found = needed_charges(income, values)
    found["treatment_charge"] = treatment_charge(
        income,
        kinds,
        values["mill_income"].reshape(len(kinds), -1),
        values["purchase_treatment"],
        values["custom_tons"],
    )
    found["owner_left"] = MODEL.lines["owner_left"].function(
        income,
        *(values[name] for name in MODEL.lines["owner_left"].parameters[1:]),
    )
    return {name: np.atleast_2d(value) for name, value in found.items()}


def _by_load(inputs, units, share, per_hour, base):
    """The tonnage charge at each load of the season, for the workbook's lot."""
    names = ("load_charge", "load_charge_capital")
    values = run({**inputs, "target_margin": max(share, 0)}, units, names)
    billed, least = base["billed_tons"], base["least_lot_charge"]
    found = {n: values[n] + per_hour * base["custom_hours"] / billed for n in names}
    at = MODEL.axes["contract"].values.index("by the ton")
    charged, term = base["rated_charge"][at], base["terms_per_ton"][at]
    return {
        name: unless_minimum(charge, charged + (charge - term) * billed, least)
        for name, charge in found.items()
    }


def read_lots_to_price(rows, units, file="table of lots", inputs=None):
    """Read a table of lots to price.

    Parameters
    ----------
    rows : list of (int, list of str)
        As given by `csv_file.read_csv`. Heads are ``customer``, ``lot``, and names of
        inputs of the customer's lot, with or without ``custom_``. Figures without a
        column are the workbook's.
    units : {"us", "metric"}
    file : str

    Returns
    -------
    lots : dict of str to list

    Raises
    ------
    CallError, WorkbookError
        As for `checked_columns`, and for an empty table.
    """
    return headed(rows, WHAT, file).checked(in_plan(_fields(), inputs), units)


def _fields():
    """Columns of a table of lots to price."""
    found = {
        "customer": Field("Customer", "text", required=True, also=("owner",)),
        "lot": Field("Lot", "text", required=True),
    }
    for name, entry in INPUTS.items():
        if entry.section in SECTIONS and name != "season_lots":
            needed, word = name in NEEDED, name.removeprefix("custom_")
            found[word] = of_input(name, also=(name,), required=needed, filled=True)
    return found


def prices_book(prices, by):
    """Give the bytes of the table of charges as an .xlsx file.

    Parameters
    ----------
    prices : Prices
    by : str
        Who prepared it.

    Returns
    -------
    content : bytes
    """
    one = len(prices.names) == 1
    table = (_of_one if one else _of_many)(prices)
    return table_bytes([table], "Charges", by)


def _cell(name, value):
    unit = MODEL.lines[name].unit
    value = None if value is None else float(value)
    return Cell(value, looks={"num_format": FORMATS.get(unit, number_of(unit, "us"))})


def _of_one(prices):
    """Table for one lot: one row per charge, one column per cost basis, and a chart."""
    columns = [Column("What to charge", width=44), Column("Unit", width=10)]
    columns += [Column(head.capitalize(), "#,##0.00", 16) for head in BASIS.values]
    title = f"What to charge: {prices.names[0]}"
    table = Table(
        *(title, columns, prices.units, "Charges", prices.notes),
        landscape=False,
        pages=1,
    )
    table.heads()
    for name, row in prices.rows.items():
        cells = (_cell(name, value) for value in row[:, 0])
        table.row(prices.label(name), prices.unit(name), *cells)
    unit = prices.in_currency(shown("$/ton", prices.units))
    table.blank()
    table.heading(f"Tonnage charge needed, by season load, {unit}")
    heads = ("Share of the season's hours booked", "", "Without capital")
    table.heads(*heads, "With capital")
    first = table.next_row
    for place, load in enumerate(MODEL.axes["season_fill"].values):
        pair = (_cell(name, row[place]) for name, row in prices.by_load.items())
        table.row(Cell(load, looks={"num_format": "0%", "align": "left"}), None, *pair)
    last = table.next_row - 1
    table.charts.append((table.next_row + 1, lambda p: _chart(p, prices, first, last)))
    table.printed = (table.next_row + 18, len(table.columns) - 1)
    return table


def _chart(package, prices, first, last):
    series = [
        {
            "name": name,
            "categories": ["Charges", first, 0, last, 0],
            "values": ["Charges", first, column, last, column],
        }
        for column, name in ((2, "Without capital"), (3, "With capital"))
    ]
    title = f"Tonnage charge for a margin of {prices.wanted}"
    unit = prices.in_currency(shown("$/ton", prices.units))
    x = {"name": "Share of the season's hours booked", "num_format": "0%"}
    y = {"name": unit, "num_format": "#,##0", "min": 0}
    return draw(package, "line", title, series, x, y)


def _of_many(prices):
    """Table for several lots: a block per cost basis, a row per lot."""
    names = list(prices.rows)
    columns = [Column("Customer and lot", width=34)]
    for name in names:
        unit = prices.unit(name)
        head = f"{prices.label(name)}, {unit}" if unit else prices.label(name)
        columns.append(Column(head, "#,##0.00", 15))
    title = "What to charge, by lot"
    table = Table(title, columns, prices.units, "Charges", prices.notes)
    table.heads()
    for place, basis in enumerate(BASIS.values):
        table.blank()
        table.heading(f"Cost counted: {basis}")
        for at, lot in enumerate(prices.names):
            cells = (_cell(name, prices.rows[name][place, at]) for name in names)
            table.row(lot, *cells)
    return table
