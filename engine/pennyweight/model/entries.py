"""State of each input: the user's figure, an estimate, or missing.

Like the lines of the model, these functions serve twice: the engine calls them with
plain values; called with references to cells, they give the formulas beside each input.
"""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from ..formulas import alike, begins, is_blank, is_number, is_text, joined
from .currency import OTHER, foreign, in_currency, rate_used
from .inputs import INPUTS, Input, mass_beside
from .jobs import LOT, rests_on, settled_on
from .lines.plant.power import FITS, NO_BILL
from .lines.plant.throughput import OWN_MILL
from .units import shown

TAILS_ASSAYS = "Tailings assays of screen fractions (sheet Test lot)"
YOURS, ESTIMATE, MISSING = "yours", "estimate", "missing"
UNUSUAL, UNUSABLE, UNNEEDED = "unusual", "cannot be used", "not needed"
STATES = (YOURS, ESTIMATE, MISSING, UNUSUAL, UNUSABLE, UNNEEDED)

BEYOND_RANGE, BEYOND_ESTIMATE, BEYOND_AMOUNT = 2.0, 5.0, 9.0
"""A figure counts as unusual from this factor beyond the estimate's range, or beyond an
estimate without a range; an amount that grows with the plant, from the last. A wrong
decimal place moves it further."""
BEYOND_PER_TIME = 3.0
"""The factor for tons per hour, and for a month's cost that a verdict requires: closer,
as the figure of a day or a year is entered by mistake."""
USUAL_ZEROS = (
    *("dilution", "royalty_rate", "haulage_cost", "capital_to_spend"),
    *("toll_charge", "toll_share"),
)
"""Figures that a verdict requires and that may be nothing."""
AMOUNTS = (
    *("ton", "ton/hour", "ton/month", "power", "kW", "kWh", "oz"),
    *("$", "$/month", "1/month", "hour/month"),
)
"""Units of what grows with the plant."""


def number_usable(entered, least, most):
    """1 if a cell has a number within its bounds."""
    within = np.logical_and(entered >= least, entered <= most)
    return np.where(is_number(entered), np.where(within, 1, 0), 0)


def whole_usable(entered, least, most):
    """1 if a cell has a whole number within its bounds."""
    inside = np.logical_and(entered >= least, entered <= most)
    within = np.logical_and(inside, entered == np.floor(entered))
    return np.where(is_number(entered), np.where(within, 1, 0), 0)


def choice_usable(entered, *choices):
    """1 if a cell has one of the choices."""
    same = [entered == choice for choice in choices]
    found = same[0]
    for other in same[1:]:
        found = np.logical_or(found, other)
    return np.where(found, 1, 0)


def text_usable(entered):
    """1 if a cell has a text, or a number used as text."""
    return np.where(np.logical_or(is_text(entered), is_number(entered)), 1, 0)


def range_usable(own_low, own_high, used):
    """1 if the user's low and high are empty, or numbers around the figure."""
    return np.where(
        np.logical_and(
            np.logical_or(is_blank(own_low), _ordered(own_low, own_low, used)),
            np.logical_or(is_blank(own_high), _ordered(own_high, used, own_high)),
        ),
        1,
        0,
    )


def _ordered(own, low, high):
    return np.logical_and(is_number(own), low <= high)


def filled_word(entered, low, high, own_low, own_high):
    """Yours if near the estimate's range or within the user's own; else unusual."""
    near = np.logical_and(entered >= low, entered <= high)
    own = np.logical_and(is_number(own_low), is_number(own_high))
    inside = np.logical_and(entered >= own_low, entered <= own_high)
    likely = np.logical_or(near, np.logical_and(own, inside))
    return np.where(likely, YOURS, UNUSUAL)


def filled_or_zero_word(entered, *ends):
    """The same for a figure that may be nothing: 0 is usual."""
    return np.where(entered == 0, YOURS, filled_word(entered, *ends))


def empty_word(*choices):
    """Missing if one of the (choice, wanted) pairs is equal, else not needed.

    What only an own mill needs is not needed with a hired one.
    """
    asked = [
        foreign(choice) if wanted == OTHER else choice == wanted
        for choice, wanted in choices
        if wanted != OWN_MILL
    ]
    owns = [choice == wanted for choice, wanted in choices if wanted == OWN_MILL]
    either = [functools.reduce(np.logical_or, asked)] if asked else []
    wanted = functools.reduce(np.logical_and, owns + either)
    return np.where(wanted, MISSING, UNNEEDED)


@functools.cache
def jobs_of(name: str) -> tuple[str, ...]:
    """Jobs whose results depend on an input."""
    return tuple(job for job in INPUTS["job"].choices if name in rests_on(job)[1])


def conditions(entry: Input) -> list[tuple[str, str]]:
    """Choices under which an input is required, as (name of the choice, value).

    If jobs are among them, it is required in these jobs only. Any of the other choices
    makes it required. A figure of a milled lot is required under the contract types
    whose payment depends on it.
    """
    parts = filter(None, entry.required.split("|"))
    found = [tuple(part.split("=")) for part in parts if "=" in part]
    kinds = settled_on().get(entry.name, ()) if ("job", LOT) in found else ()
    if len(kinds) < len(INPUTS["contract_kind"].choices):
        found += [("contract_kind", kind) for kind in kinds]
    return found


@functools.cache
def job_needs(name: str, job: str) -> bool:
    """Whether a job requires an input, always or under some choice."""
    entry = INPUTS[name]
    jobs = [wanted for choice, wanted in conditions(entry) if choice == "job"]
    asked = entry.required and job in jobs_of(name)
    return bool(asked) and job in (jobs or jobs_of(name))


RATES = ("terms_per_ton", "terms_per_hour", "terms_markup", "terms_share")
"""Tables of charges by contract type. New workbooks have them filled in."""


def charge_estimates(units: str) -> list[tuple[str, str, float]]:
    """Charges by contract type: the type, the input and its estimate."""
    names = [
        (kind, f"{rate}_{number:02}")
        for number, kind in enumerate(INPUTS["contract_kind"].choices, 1)
        for rate in RATES
    ]
    found = [(*pair, INPUTS[pair[1]].value(units, "estimate")) for pair in names]
    return [(kind, name, estimate) for kind, name, estimate in found if estimate > 0]


def estimated_charges(inputs: Mapping[str, Any], units: str) -> list[str]:
    """Charges of the agreed contract type that are still the program's estimate."""
    if inputs["charges_agreed"] == "yes":
        return []
    return [
        name
        for kind, name, estimate in charge_estimates(units)
        if inputs["contract_kind"] == kind
        and inputs[name] == _of_plan(name, estimate, inputs.get)
    ]


def _of_plan(name, estimate, read):
    """An estimate in the currency of the plan."""
    return (
        scaled(estimate, read("exchange_rate")) if INPUTS[name].is_money else estimate
    )


def charge_words(
    read: Callable[[str], Any],
    units: str,
    place: Callable[[str], str] = lambda name: "the sheet Contract",
) -> Any:
    """Sentences on agreed charges that are estimates.

    ``read`` gives an input or its cell; ``place`` gives where it is entered.
    """
    told, agreed = [], INPUTS["charges_agreed"].label
    for kind, name, estimate in charge_estimates(units):
        words = (
            f"{INPUTS[name].label}: an estimate. Enter the agreed charge on "
            f"{place(name)}, or yes at {agreed}, on the sheet Inputs. "
        )
        charge = _of_plan(name, estimate, read)
        same = np.logical_and(read("contract_kind") == kind, read(name) == charge)
        told.append(np.where(same, words, ""))
    return np.where(read("charges_agreed") == "yes", "", joined(*told))


def bill_words(bill_state):
    """Sentence on a power bill that does not fit the motors at the planned hours."""
    told = joined(INPUTS["energy_bill"].label, ": ", bill_state, f". {BILL_STAYS} ")
    quiet = np.logical_or(bill_state == FITS, bill_state == NO_BILL)
    return np.where(quiet, "", told)


BILL_STAYS = "It stays when the hours change: enter that of a month at the new hours."


def state(entered, empty, filled, usable):
    """State of an input: the word for empty or filled, or that it cannot be used."""
    told = np.where(usable == 1, filled, UNUSABLE)
    return np.where(is_blank(entered), empty, told)


def state_with_range(ordered, entered, empty, filled, usable):
    """State of an input whose low and high must be in order with it."""
    return np.where(ordered == 1, state(entered, empty, filled, usable), UNUSABLE)


def figure_used(entered, usable, estimate):
    """The user's figure if it can be used, else the estimate."""
    return np.where(usable == 1, entered, estimate)


def rate_figure(entered, usable, estimate, currency):
    """The exchange rate: the user's figure, and 1 if the currency is US dollars."""
    return rate_used(currency, figure_used(entered, usable, estimate))


def scaled(dollars, exchange_rate):
    """US dollars in the currency of the plan."""
    return dollars * exchange_rate


def text_used(entered, usable, estimate):
    """The user's text if there is one, else the estimate."""
    return np.where(usable == 1, joined(entered, ""), joined(estimate, ""))


def own_end(own, used, end, estimate, least, most):
    """Low or high: the user's own, else the estimate's in proportion to the figure."""
    moved = np.minimum(np.maximum(used * end / estimate, least), most)
    return np.where(is_number(own), own, moved)


def listed(before, found, wanted, label, *told):
    """The labels listed so far, with one more if its state is the wanted one.

    What is told of it stands behind it in brackets.
    """
    brackets = (np.where(words == "", "", joined(" (", words, ")")) for words in told)
    more = joined(before, np.where(before == "", "", "; "), label, *brackets)
    return np.where(found == wanted, more, before)


def hint(found, usable, allowed, asked):
    """What is told beside an entry: the values allowed, and what it may be instead."""
    more = np.where(asked == "", "", joined("; ", asked))
    wrong = np.where(usable == 1, OUT_OF_ORDER, joined(allowed, more))
    likely = np.where(found == UNUSUAL, asked, "")
    return np.where(found == UNUSABLE, wrong, likely)


OUT_OF_ORDER = "beyond its low or high on Inputs"
FROM_LIST = "choose from its list"


def changed(present, before):
    """1 if a figure is another than before."""
    return np.where(alike(present, before), 0, 1)


def unassayed(shares, grades):
    """Number of tailings fractions with mass but without an assay."""
    # Gnumeric takes ISNUMBER or ISBLANK of a column as that of one cell.
    return np.sum((shares > 0) * 1 * ((grades == "") * 1), axis=0)


def with_assays(before, count):
    """A list of missing figures, with the assays of the tailings if some are empty."""
    more = joined(before, np.where(before == "", "", "; "), TAILS_ASSAYS)
    return np.where(count > 0, more, before)


FAULTY = "not yet: a balance fails, see the sheet Checks"


def sound(told, balances_failed):
    """The answer, or the sentence that a balance fails."""
    return np.where(balances_failed > 0, FAULTY, told)


def doubted(verdict, unusual, unusual_list, failed):
    """The verdict, and that it rests on unusual figures or that checks failed."""
    several = joined(", if ", unusual, " unusual figures are right")
    look = np.where(unusual == 1, joined(", if this is right: ", unusual_list), several)
    checks = counted(failed, "check", "checks")
    told = joined(
        verdict,
        np.where(unusual > 0, look, ""),
        np.where(failed > 0, joined(", but ", checks, " failed"), ""),
    )
    figures = counted(unusual, "figure", "figures")
    waiting = np.where(unusual > 0, joined("; look again at ", figures), "")
    return np.where(begins(verdict, "not yet"), joined(verdict, waiting), told)


def answer(usable, missing, wrong):
    """The verdict, or the number of figures that are missing or cannot be used."""
    incomplete = missing_words(missing)
    unusable = counted(wrong, "entry cannot be used", "entries cannot be used")
    checked = np.where(wrong > 0, joined("not yet: ", unusable), usable)
    more = np.where(wrong > 0, joined("; ", unusable), "")
    return np.where(missing > 0, joined("not yet: ", incomplete, more), checked)


def missing_words(number):
    """Number of missing figures, in words."""
    return counted(number, "figure is missing", "figures are missing")


def counted(number, one, several):
    """A count with a noun."""
    return joined(number, " ", np.where(number == 1, one, several))


def answer_list(missing, missing_list, wrong, wrong_list, unusual_list):
    """Labels of the figures that are missing, unusable or unusual."""
    look = np.where(unusual_list == "", "", joined("Look again at: ", unusual_list))
    unusable = np.where(wrong > 0, joined("Cannot be used: ", wrong_list), look)
    more = np.where(wrong > 0, joined(". Cannot be used: ", wrong_list), "")
    return np.where(missing > 0, joined("Missing: ", missing_list, more), unusable)


def stand_in_words(names: Iterable[str]) -> str:
    """Sentence on missing figures for which estimates are used; empty if none."""
    labels = "; ".join(INPUTS[name].label for name in names)
    return f"Estimates stand in for what is missing: {labels}." if labels else ""


@dataclasses.dataclass(frozen=True)
class Entry:
    """One input as a plan uses it.

    Attributes
    ----------
    name, label, unit : str
    value : float or str
        The figure used.
    state : str
        One of `STATES`.
    low, high : float or None
        Its range: the user's own, or the estimate's scaled to the figure.
    basis : str
        Of the estimate; empty for the user's own figure.
    """

    name: str
    label: str
    unit: str
    value: Any
    state: str
    low: float | None
    high: float | None
    basis: str


def blank(entry: Input) -> Any:
    """Value of an input whose cell is empty."""
    return np.nan if entry.numeric else ""


def needed(name: str, inputs: Mapping[str, Any]) -> bool:
    """Whether a verdict requires the user's figure of an input.

    Parameters
    ----------
    name : str
    inputs : mapping of str to float or str
        All inputs; some are needed under one choice only.

    Returns
    -------
    needed : bool
    """
    return when_empty(name, inputs) == MISSING


def is_reported(name: str) -> bool:
    """Whether an input is reported if missing: all but most entries of tables."""
    return not INPUTS[name].over or mass_beside(name) is not None


def choices_that_ask(entry: Input, job: str) -> list[tuple[str, str]]:
    """Choices of a job under which an input is required; if none, it always is.

    A test lot has no choice: it uses its own figures.
    """
    return [pair for pair in conditions(entry) if pair[0] in rests_on(job)[1]]


def when_empty(name: str, inputs: Mapping[str, Any]) -> str:
    """The state of an input that the user did not enter."""
    job = inputs["job"]
    if job not in jobs_of(name):
        return UNNEEDED
    if not job_needs(name, job):
        return ESTIMATE
    mass = mass_beside(name)
    if mass and not inputs[mass] > 0:
        return UNNEEDED
    asked = choices_that_ask(INPUTS[name], job)
    if not asked:
        return MISSING
    return str(empty_word(*((inputs[choice], wanted) for choice, wanted in asked)))


def unlikely_beyond(entry: Input, units: str) -> tuple[float, float]:
    """Limits beyond which a figure counts as unusual, far from the estimate's range."""
    ends = [entry.value(units, which) for which in ("low", "estimate", "high")]
    numbers = [end for end in ends if end != ""]
    least, most = entry.within(units)
    unknown = entry.low == "" and entry.estimate <= max(entry.minimum, 0)
    if entry.kind == "whole" or unknown or entry.name == "exchange_rate":
        return least, most
    far = BEYOND_ESTIMATE if entry.low == "" else BEYOND_RANGE
    far = BEYOND_AMOUNT if entry.unit in AMOUNTS else far
    monthly = entry.unit == "$/month" and entry.required
    if entry.low != "" and (monthly or entry.unit == "ton/hour"):
        far = BEYOND_PER_TIME
    return max(least, min(numbers) / far), min(most, max(numbers) * far)


def word_of(entry: Input) -> Callable[..., Any]:
    """The function that tells an unusual figure of an input."""
    may_be_zero = not entry.required or entry.name in USUAL_ZEROS
    return filled_or_zero_word if may_be_zero else filled_word


def has_range(entry: Input) -> bool:
    """Whether an input has a low and a high."""
    return entry.numeric and entry.low != "" and bool(entry.estimate)


def entry_of(
    row: Input,
    given: Mapping[str, Any],
    ranges: Mapping[str, tuple[float, float]],
    inputs: Mapping[str, Any],
    units: str,
) -> Entry:
    """The state, value and range of an input.

    Parameters
    ----------
    row : Input
        Its row of the table of inputs, in the currency of the plan.
    given : mapping of str to float or str
        The user's own figures.
    ranges : mapping of str to (float, float)
        The user's own low and high.
    inputs : mapping of str to float or str
        All inputs, as used.
    units : {"us", "metric"}

    Returns
    -------
    entry : Entry
    """
    name, used = row.name, inputs[row.name]
    own = ranges.get(name, (np.nan, np.nan))
    empty = when_empty(name, inputs)
    filled = YOURS if name != "job" else UNNEEDED  # nobody's figure
    if name in given and row.numeric:
        filled = word_of(row)(used, *unlikely_beyond(row, units), *own).item()
    entered = given.get(name, blank(row))
    if row.kind == "text" and name in given:
        entered = entered or " "
    found, low, high = state(entered, empty, filled, 1), None, None
    if has_range(row):
        ends = [row.value(units, which) for which in ("low", "high")]
        estimate, bounds = row.value(units, "estimate"), row.within(units)
        low, high = (
            float(own_end(mine, used, end, estimate, *bounds))
            for mine, end in zip(own, ends, strict=True)
        )
        ordered = range_usable(*own, used)
        found = state_with_range(ordered, entered, empty, filled, 1)
    return Entry(
        name,
        row.label,
        in_currency(shown(row.unit, units), row.currency),
        used,
        found.item(),
        low,
        high,
        "" if name in given else row.estimate_basis,
    )
