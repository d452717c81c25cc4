"""The one table of inputs, and holding values to it.

`inputs.csv` drives the input sheet, its validation, the checks, the functions' help
and the documentation. Its numbers are in US customary units; a metric book converts
them exactly.
"""

import contextlib
import csv
import functools
import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from importlib.resources import files

import numpy as np

from ..arguments import shown as short
from ..errors import BadValue
from .axes import INPUT_AXES
from .figures import input_text
from .lookup import called
from .typed import hint
from .units import convert, pint_unit, shown

LONGEST_TEXT = 255
STATUSES = ("measured", "quoted", "assumed", "example")


@dataclass(frozen=True)
class Input:
    """One input, as its row of the table states it.

    Attributes
    ----------
    name, label, section, unit : str
    kind : {"number", "share", "whole", "choice", "text"}
        A share is a fraction shown as a percentage.
    estimate, low, high : float or str
        Used until the user enters a figure, and the range of that.
    minimum, maximum : float
        Bounds, both allowed.
    choices : tuple of str
    example, example_low, example_high : float or str
        The value and the range in the worked example.
    basis, status : str
        Where the example's value comes from, and how sure it is.
    estimate_basis, description : str
        Where the estimate comes from, and what the input means.
    required : str
        ``yes`` where there is no verdict without the user's figure; a choice and its
        value, as ``pace_source=measured``, where that depends on the choice; ``job=``
        and a job, where only that job needs it.
    formerly : tuple of str
        Former names and labels.
    over, family : str
        For an entry of a table: the axis along which the table runs, and the name
        that its entries share.
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

    @property
    def numeric(self):
        """Whether the value is a number."""
        return self.kind in ("number", "share", "whole")

    def within(self, units):
        """Bounds in a unit system.

        Parameters
        ----------
        units : {"us", "metric"}

        Returns
        -------
        minimum, maximum : float
        """
        bounds = (self.minimum, self.maximum)
        return tuple(convert(bound, self.unit, "us", units) for bound in bounds)

    def value(self, units, which="example"):
        """The example, estimate, low or high in a unit system.

        They are round figures in either system: 6 tons/h, 5.4 t/h.
        """
        value = getattr(self, which)
        if not self.numeric or value == "":
            return value
        found = convert(value, self.unit, "us", units)
        agreed = self.section.startswith(("Contract", "Settlement"))
        if found == value:
            return found
        near = 0.03 if agreed else 0.01
        if which.startswith("example") and self.name.startswith("settle_"):
            near = 0.005  # measured
        low, high = self.within(units)
        return min(max(round_figure(found, near), low), high)


def round_figure(number, tolerance):
    """The roundest figure near a number: a multiple of 10, 5, 1, 0.5, 0.1, ...

    Parameters
    ----------
    number : float
    tolerance : float
        How far off the figure may be, as a share.

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
    **dict.fromkeys(
        (
            "regrind_recovery",
            "retreat_payable",
            "base_metal_charge",
            "water_supply",
            "lot_carried_in",
            "equipment_rent",
            "equipment_owned",
        ),
        0.0,
    ),
    "equipment_share": 1.0,
    "motor_efficiency": 1.0,  # was part of the drive's
    "overtime_multiple": 1.0,
    "tax_rule": "plain rate",
    "loan_grace": 0.0,
    "start_year": 0.0,
    "grace_interest": "paid",
}
"""Inputs that version 0.1.0 did not have: what its workbooks meant."""

SAME_AS = {
    "measured_p80": "product_p80",
    "hammer_work_index": "work_index",
    "lot_dilution": "dilution",
}
"""Inputs that version 0.1.0 did not have, and the input that it had for them."""

FORMER_UNITS = {
    "ball_diameter": {"ft": 12.0, "m": 1000.0},
    "liner_thickness": {"ft": 12.0, "m": 1000.0},
}
"""Inputs that had another unit: by that, inches or millimetres in one of it."""

EXAMPLE = ("example", "example_low", "example_high")


def rows_of(name, package=__package__):
    """Rows of a table that lies in a package, by the heads of its columns."""
    text = files(package).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def _read():
    found = {}
    for row in rows_of("inputs.csv"):
        for entry in _table(row) if row["over"] else [row]:
            found[entry["name"]] = _input(entry)
    return found


def _table(row):
    """One row of the table of inputs for each entry along an axis."""
    values = INPUT_AXES[row["over"]].values
    cells = {which: row[which].split("|") for which in ("estimate", "example")}
    for position, label in enumerate(values):
        yield {
            **row,
            "name": f"{row['name']}_{position + 1:02d}",
            "label": f"{row['label']}, {INPUT_AXES[row['over']].label.lower()} {label}",
            "formerly": "|".join(_former_entry(row, position)),
            "family": row["name"],
            # The last one stands for all that follow.
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
    """Name of the weight that makes an assay of 0 a finding; None for other inputs."""
    if entry.family != "sample_grade":
        return None
    return entry.name.replace(entry.family, "sample_weight")


def mass_beside(name):
    """Name of the mass that asks for an assay of the tailings; None for others."""
    entry = INPUTS[name]
    if entry.family != "screen_tails_grade":
        return None
    return name.replace(entry.family, "screen_tails_share")


def complete(given, units, rest="example"):
    """Check the inputs given, and add the example's values or estimates for the rest.

    Parameters
    ----------
    given : mapping of str to float, str or array
        In the units of ``units``.
    units : {"us", "metric"}
    rest : {"example", "estimate"}

    Returns
    -------
    inputs : dict
        Every input under its name, in the order of the table.

    Raises
    ------
    CallError
        For a name that is not the name of an input.
    BadValue
        For a value that is not of the input's kind or outside its bounds.
    """
    given = {input_called(name): value for name, value in given.items()}
    return {
        name: check(entry, given[name], units)
        if name in given
        else entry.value(units, rest)
        for name, entry in INPUTS.items()
    }


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
        When there is no such input, or more than one.

    Examples
    --------
    >>> input_called("Gold price")
    'gold_price'
    """
    return called(words, INPUTS, "input")


def check(entry, value, units, place=""):
    """Hold one value to its row of the table.

    Parameters
    ----------
    entry : Input
    value : object
    units : {"us", "metric"}
    place : str, optional
        Sheet and cell, for the message.

    Returns
    -------
    value : float, ndarray or str

    Raises
    ------
    BadValue
        Saying what is wrong, the value, what is allowed, where, and what to do.
    """
    if type(value) is float and _fine(entry, value, units):
        return value
    if entry.numeric and isinstance(value, Decimal | Fraction):
        with contextlib.suppress(OverflowError):
            value = float(value)
    elif entry.numeric and hasattr(value, "magnitude"):
        value = _magnitude(entry, value, units)
    where = f" ({place})" if place else ""
    problem = _problem(entry, value, units)
    if problem:
        sheet, _, cell = place.rpartition("!")
        words = allowed(entry, units)
        raise BadValue(
            f"{entry.label}{where}: {problem} {words}",
            input=entry.name,
            sheet=sheet,
            cell=cell,
            value=value,
            allowed=words,
        )
    if not entry.numeric:
        return str(value) if np.ndim(value) == 0 else np.asarray(value)
    number = np.asarray(value, float)
    return number if number.ndim else float(number)


def _magnitude(entry, value, units):
    """The number of a quantity of pint's in the unit of an input."""
    unit = shown(entry.unit, units) or "no unit"
    try:
        return value.to(pint_unit(entry.unit, units)).magnitude
    except (AttributeError, TypeError, ValueError):  # pint's own are kinds of these
        raise BadValue(
            f"{entry.label}: {value} cannot be converted to {unit}. Enter a number "
            f"in {unit}.",
            input=entry.name,
            value=value,
        ) from None


def _fine(entry, value, units):
    """Whether a single number is plainly allowed; far faster than `_problem`."""
    if entry.kind not in ("number", "share"):
        return False
    low, high = bounds(entry.name, units) if INPUTS.get(entry.name) is entry else (1, 0)
    return low <= value <= high


@functools.cache
def bounds(name, units):
    """Bounds of an input of the table in a unit system."""
    return INPUTS[name].within(units)


def _problem(entry, value, units):
    """What is wrong with a value, in words; empty when nothing is."""
    if np.ma.is_masked(value):
        return "it is masked."
    if value is None or (isinstance(value, str) and not value.strip()):
        return "" if entry.kind == "text" and value is not None else "it is empty."
    if entry.kind == "text":
        return _text_problem(value)
    if entry.kind == "choice":
        unknown = set(np.atleast_1d(value).tolist()) - set(entry.choices)
        return f"{short(unknown.pop())} is not one of the choices." if unknown else ""
    array = np.asarray(value)
    if array.dtype.kind not in "iuf":
        share = entry.kind == "share"
        told = hint(value, share or "%" not in value) if isinstance(value, str) else ""
        return f"{short(value)} is not a number.{told}"
    low, high = entry.within(units)
    slack = 1e-12 * np.maximum(abs(low), abs(high))
    wrong = ~((array >= low - slack) & (array <= high + slack))
    if entry.kind == "whole":
        wrong |= array != np.floor(array)
    if not wrong.any():
        return ""
    worst = array[wrong].flat[0]
    meant = entry.kind == "share" and low <= worst / 100 <= high and worst > high
    hinted = f" Is it {amount(worst / 100, entry, units)}?" if meant else ""
    return f"{amount(worst, entry, units)} is out of range.{hinted}"


def _text_problem(value):
    if not isinstance(value, str):
        dated = hasattr(value, "isoformat")
        hinted = f" Write the date as '{value:%Y-%m-%d}'." if dated else ""
        return f"{short(value)} is not text.{hinted}"
    if len(value) > LONGEST_TEXT:
        return f"it has {len(value)} characters; {LONGEST_TEXT} are the most."
    # Line breaks, control characters and halves of characters cannot be shown.
    return "" if value.isprintable() else f"{value!r} cannot be shown on one line."


def allowed(entry, units):
    """What an input may be, as a sentence with units."""
    if entry.kind == "choice":
        return f"Choose one of: {', '.join(entry.choices)}."
    if entry.kind == "text":
        return "Enter a text."
    low, high = (amount(bound, entry, units) for bound in entry.within(units))
    kind = "a whole number" if entry.kind == "whole" else "a number"
    return f"Enter {kind} from {low} to {high}."


def amount(value, entry, units, digits=6):
    """A value of an input with its unit, for people."""
    return input_text(value, entry.unit, entry.kind, units, digits)
