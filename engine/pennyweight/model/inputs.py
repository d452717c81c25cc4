"""Table of inputs.

`inputs.csv` drives the input sheet, its validation, the checks, the functions' help
and the documentation. Its numbers are in US customary units; a metric book converts
them exactly.
"""

import csv
import functools
import math
from dataclasses import dataclass, replace
from importlib.resources import files

import numpy as np

from .axes import INPUT_AXES
from .currency import foreign, in_currency, rate_of
from .figures import input_text
from .lookup import called
from .units import convert

STATUSES = ("measured", "quoted", "assumed", "example")


@dataclass(frozen=True)
class Input:
    """One input: its row of the table.

    Attributes
    ----------
    name, label, section, unit : str
    kind : {"number", "share", "whole", "choice", "text"}
        A share is a fraction shown as a percentage.
    estimate, low, high : float or str
        Estimate used until the user enters a figure, and its range.
    minimum, maximum : float
        Bounds; both ends are allowed.
    choices : tuple of str
    example, example_low, example_high : float or str
        The value and the range in the worked example.
    basis, status : str
        Source of the example's value, and its status.
    estimate_basis, description : str
        Source of the estimate, and meaning of the input.
    required : str
        ``yes`` if there is no verdict without the user's figure. A choice and its
        value, such as ``pace_source=measured``, if that depends on the choice. ``job=``
        and a job, if only that job needs it.
    formerly : tuple of str
        Former names and labels.
    over, family : str
        For an entry of a table: axis of the table, and shared name of its entries.
    currency : str
    exchange_rate : float
        Of a plan; see `inputs_in`. Estimates, ranges and bounds are multiplied by it.
    """

    name: str
    label: str
    section: str
    unit: str
    kind: str
    estimate: object
    low: object
    high: object
    minimum: float
    maximum: float
    choices: tuple
    basis: str
    status: str
    description: str
    example: object
    example_low: object = ""
    example_high: object = ""
    estimate_basis: str = ""
    required: str = ""
    over: str = ""
    formerly: tuple = ()
    family: str = ""
    currency: str = "US dollars"
    exchange_rate: float = 1.0

    @property
    def numeric(self):
        """Whether the value is a number."""
        return self.kind in ("number", "share", "whole")

    @property
    def is_money(self):
        """Whether the value is an amount or a price."""
        return self.unit.startswith("$")

    def within(self, units):
        """Bounds in a unit system.

        Parameters
        ----------
        units : {"us", "metric"}

        Returns
        -------
        minimum, maximum : float
        """
        if not self.numeric:
            return self.minimum, self.maximum
        return tuple(bound * self.exchange_rate for bound in self._bounds(units))

    def _bounds(self, units):
        bounds = (self.minimum, self.maximum)
        return [convert(bound, self.unit, "us", units) for bound in bounds]

    def value(self, units, which="example"):
        """The example, estimate, low or high in a unit system.

        They are round numbers in either system: 6 tons/h, 5.4 t/h.
        """
        value = getattr(self, which)
        if not self.numeric or value == "":
            return value
        return self._rounded(value, units, which) * self.exchange_rate

    def _rounded(self, value, units, which):
        found = convert(value, self.unit, "us", units)
        agreed = self.section.startswith(("Contract", "Settlement"))
        if found == value:
            return found
        near = 0.03 if agreed else 0.01
        if which.startswith("example") and self.name.startswith("settle_"):
            near = 0.005  # measured
        low, high = self._bounds(units)
        return min(max(round_figure(found, near), low), high)


def round_figure(number, tolerance):
    """Round to the coarsest multiple of 10, 5, 1, 0.5, 0.1, ... within a tolerance.

    Parameters
    ----------
    number : float
    tolerance : float
        Largest relative deviation.

    Examples
    --------
    >>> [round_figure(number, 0.03) for number in (9.07185, 165.3467, 1.0286, 0.6857)]
    [9.0, 170.0, 1.0, 0.7]
    """
    places = math.floor(math.log10(abs(number)))
    for power in range(places, places - 4, -1):
        for step in (10.0**power, 10.0**power / 2):
            found = float(f"{round(number / step) * step:.12g}")
            if abs(found - number) <= tolerance * abs(number):
                return found
    return number


BEFORE = {
    "pace_source": "calculated",
    "energy_source": "motors",
    "consumables_source": "wear",
    "fixed_cost_source": "itemised",
    "capital_source": "itemised",
    "lot_material": "clean ore",
    "diameter_basis": "inside liners",
    "mill_discharge": "overflow",
    **dict.fromkeys(
        (
            "regrind_recovery",
            "retreat_payable",
            "base_metal_charge",
            "water_supply",
            "lot_carried_in",
            "equipment_rent",
            "equipment_owned",
            "crusher_f80",
            "settle_made_good",
        ),
        0.0,
    ),
    "cleanup_limit": 1.0,
    "equipment_share": 1.0,
    "motor_efficiency": 1.0,  # was part of the drive's
    "overtime_multiple": 1.0,
    "tax_rule": "plain rate",
    "loan_grace": 0.0,
    "start_year": 0.0,
    "grace_interest": "paid",
    "exchange_rate": 1.0,
}
"""Inputs that version 0.1.0 did not have, with the value that its workbooks imply."""

SAME_AS = {
    "measured_p80": "product_p80",
    "hammer_work_index": "work_index",
    "lot_dilution": "dilution",
    "settle_deposit": "deposit",
    "crusher_p80": "feed_f80",
    "hammer_abrasion_index": "abrasion_index",
}
"""Inputs that version 0.1.0 did not have, and the input that it used instead."""

FORMER_UNITS = {
    "ball_diameter": {"ft": 12.0, "m": 1000.0},
    "liner_thickness": {"ft": 12.0, "m": 1000.0},
}
"""Inputs with a former unit: factors from it to inches or millimetres."""

EXAMPLE = ("example", "example_low", "example_high")


def rows_of(name, package=__package__):
    """Rows of a CSV table in a package, as dicts by column head."""
    text = files(package).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def _read():
    found = {}
    for row in rows_of("inputs.csv"):
        for entry in _table(row) if row["over"] else [row]:
            found[entry["name"]] = _input(entry)
    return found


def _table(row):
    """A row of the table of inputs for each entry along an axis."""
    values = INPUT_AXES[row["over"]].values
    cells = {which: row[which].split("|") for which in ("estimate", "example")}
    for position, label in enumerate(values):
        yield {
            **row,
            "name": f"{row['name']}_{position + 1:02d}",
            "label": f"{row['label']}, {INPUT_AXES[row['over']].label.lower()} {label}",
            "formerly": "|".join(_former_entry(row, position)),
            "family": row["name"],
            # The last value also applies to all further entries.
            **{
                which: found[min(position, len(found) - 1)]
                for which, found in cells.items()
            },
        }


def _former_entry(row, position):
    """Former names and labels of one entry of a table."""
    axis = INPUT_AXES[row["over"]]
    for word in filter(None, row["formerly"].split("|")):
        label = f"{word}, {axis.formerly or axis.label} {axis.values[position]}"
        yield f"{word}_{position + 1:02d}" if word.islower() else label


def _input(row):
    numeric = row["kind"] in ("number", "share", "whole")
    for name in (*EXAMPLE, "estimate", "low", "high", "minimum", "maximum"):
        row[name] = float(row[name]) if numeric and row[name] else row[name]
    for name in ("choices", "formerly"):
        row[name] = tuple(filter(None, row[name].split("|")))
    return Input(**row)


INPUTS = _read()
"""Every input under its name, in the order of the input sheet."""


def inputs_in(values):
    """The table of inputs with its money in the currency of a plan.

    Parameters
    ----------
    values : mapping of str to float or str
        Inputs of the plan. Without a currency it is US dollars.

    Returns
    -------
    inputs : dict of str to Input

    Examples
    --------
    >>> plan = {"currency": "GHS", "exchange_rate": 15.0}
    >>> inputs_in(plan)["wage"].value("us", "estimate")
    480.0
    """
    return _inputs_in(str(np.ravel(values.get("currency", ""))[0]), rate_of(values))


@functools.lru_cache(maxsize=32)
def _inputs_in(currency, rate):
    if not foreign(currency):
        return INPUTS
    return {
        name: replace(entry, currency=currency, exchange_rate=rate)
        if entry.is_money
        else entry
        for name, entry in INPUTS.items()
    }


@functools.cache
def families():
    """Tables of inputs: the names of their entries, under the shared name.

    Returns
    -------
    families : dict of str to list of str
    """
    found = {}
    for name, entry in INPUTS.items():
        if entry.family:
            found.setdefault(entry.family, []).append(name)
    return found


def weight_beside(entry):
    """Name of the weight of a sample assay: with it an assay of 0 counts; else None."""
    if entry.family != "sample_grade":
        return None
    return entry.name.replace(entry.family, "sample_weight")


def mass_beside(name):
    """Name of the mass that makes a tailings assay required; None for other inputs."""
    entry = INPUTS[name]
    if entry.family != "screen_tails_grade":
        return None
    return name.replace(entry.family, "screen_tails_share")


def is_filled_in(entry, value, units):
    """Whether a table's entry is as a new workbook has it: zero, or an estimate.

    Estimates of money are formulas there, so a number is the user's.
    """
    estimate = INPUTS[entry.name].value(units, "estimate")
    priced = entry.is_money and estimate
    return bool(entry.over and value == estimate and not priced)


def input_called(words):
    """The name of an input, by its name or label, present or former.

    Parameters
    ----------
    words : str

    Returns
    -------
    name : str

    Raises
    ------
    CallError
        If there is no such input, or more than one.

    Examples
    --------
    >>> input_called("Gold price")
    'gold_price'
    """
    return called(words, INPUTS, "input")


def amount(value, entry, units, digits=6):
    """Format a value of an input with its unit."""
    text = input_text(value, entry.unit, entry.kind, units, digits)
    return in_currency(text, entry.currency)
