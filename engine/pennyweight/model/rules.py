"""Rules between inputs: conditions that bounds cannot express."""

import itertools
import math

import numpy as np

from ..errors import BadValue
from ..trade.exact_units import FINE
from ..trade.mill_charge import inside_diameter
from ..trade.mills import critical_speed
from .inputs import INPUTS, amount, families
from .lines.rock.test_lot import (
    lot_button_gold,
    lot_caught,
    lot_cleaned_up,
    lot_dry_tons,
)
from .units import SMALLEST_REDUCTION, constants

FIRST_YEAR = 1901
"""First year without the leap-year error of spreadsheets in 1900."""
MOST_CALLED = 1.5
"""Largest ratio of gold in the button to gold assayed in the feed."""

RULES = (
    # inputs, condition, message
    (
        ("product_p80", "feed_f80"),
        lambda product, feed: product * SMALLEST_REDUCTION <= feed,
        f"the mill feed must be {SMALLEST_REDUCTION} times as coarse as the product",
    ),
    (
        ("bullion_fineness", "silver_fineness"),
        lambda gold, silver: gold + silver <= FINE,
        "gold and silver in the bullion cannot exceed 1000 parts",
    ),
    (
        ("settle_fineness", "settle_silver_fineness"),
        lambda gold, silver: gold + silver <= FINE,
        "gold and silver in the bullion of the lot cannot exceed 1000 parts",
    ),
    (
        ("settle_fineness",),
        lambda gold: np.logical_or(gold == 0, gold >= 1),
        "fineness is in parts per 1,000, such as 780, not 0.78",
    ),
    (
        ("gravity_recovery", "middlings_share"),
        lambda caught, middlings: caught + middlings <= 1,
        "tables and middlings together cannot hold more than all of the gold",
    ),
    (
        ("first_pull", "second_pull", "middlings_pull"),
        lambda first, second, middlings: first + second + middlings < 1,
        "concentrates and middlings together must weigh less than the feed",
    ),
    (
        ("lot_first_mass", "lot_second_mass", "lot_middlings_mass", "lot_wet_mass"),
        lambda first, second, middlings, wet: first + second + middlings < wet / 2,
        "the products of the test lot weigh more than half of it, which tables "
        "never take out",
    ),
    (
        ("loan_grace", "loan_months", "loan_share"),
        lambda grace, term, share: np.logical_or(share == 0, grace < term),
        "the grace period counts inside the loan term and must be shorter",
    ),
    (
        ("build_months", "loan_months", "loan_share"),
        lambda months, term, share: np.logical_or(share == 0, months <= term),
        "the loan is drawn while the plant is built, which must not take longer than "
        "the loan term",
    ),
    (
        ("start_year",),
        lambda year: np.logical_or(year == 0, year >= FIRST_YEAR),
        f"it is 0 for no dates, or a year from {FIRST_YEAR}",
    ),
)


def check_rules(inputs, places=None, units="us"):
    """Raise if inputs contradict one another.

    Parameters
    ----------
    inputs : mapping of str to float, str or array
        All inputs, in either unit system.
    places : mapping of str to str, optional
        Sheet and cell of each input, for the message.
    units : {"us", "metric"}

    Raises
    ------
    BadValue
        With the inputs, their values and the condition.
    """
    for names, holds, sentence in RULES:
        values = [inputs[name] for name in names]
        broken = np.logical_not(holds(*values))
        if broken.any():
            told = ", ".join(
                f"{_named(name, places)} = {_value(broken, value, name, units)}"
                for name, value in zip(names, values, strict=True)
            )
            raise BadValue(f"{told}: {sentence}. Change one of them.")
    _check_lot(inputs, places, units)
    _check_measured(inputs, places)
    _check_speeds(inputs, places, units)
    _check_steps(inputs, places, units)


def _named(name, places):
    """Label of an input with its cell; without a workbook, with its name."""
    return f"{INPUTS[name].label} ({(places or {}).get(name, name)})"


def _value(broken, value, name, units):
    """Value of an input in the first scenario that breaks a rule."""
    value = np.broadcast_to(value, broken.shape)[broken].flat[0]
    return amount(value, INPUTS[name], units)


def _check_lot(inputs, places, units):
    """Refuse a test lot with more gold out than in.

    Assays of a feed with coarse gold are uncertain, hence the margin of one half.
    """
    fixed = constants(units)
    tons = lot_dry_tons(
        inputs["lot_wet_mass"], inputs["lot_moisture"], fixed["mass_per_ton"]
    )
    ounces = tons * inputs["lot_assay_head"] / fixed["grade_per_ounce"]
    assayed = ounces * fixed["grams_per_ounce"]
    button = lot_button_gold(inputs["lot_button_mass"], inputs["lot_button_fineness"])
    unassayed = np.equal(inputs["lot_assay_head"], 0)
    if np.any(np.logical_and(button > assayed * MOST_CALLED, ~unassayed)):
        raise BadValue(
            f"{_named('lot_button_mass', places)}: it holds {np.max(button):.4g} g of "
            f"gold, but by {_named('lot_assay_head', places)} only "
            f"{np.min(assayed):.4g} g went in: more gold out than in. Weigh and assay "
            "again, or correct the entries."
        )


RECOVERY_OF_LOT = ("recovery_source", "test lot")
GRADE_OF_LOT = ("grade_source", "test lot")
BY_SIZE = ("grind_model", "size data")
WITHOUT_GOLD = (
    # measurement, choices that use it, input to name, message if it is zero
    (
        "tailings mass",
        (RECOVERY_OF_LOT, GRADE_OF_LOT, BY_SIZE),
        "screen_tails_share_01",
        "no fraction of the test lot's tailings has a share of their mass",
    ),
    (
        "screens",
        (BY_SIZE,),
        "screen_caught_gold_01",
        "no screen fraction of the test lot holds gold",
    ),
    (
        "lot",
        (RECOVERY_OF_LOT, GRADE_OF_LOT),
        "lot_button_mass",
        "the test lot holds no gold anywhere, caught or lost",
    ),
    (
        "caught",
        (RECOVERY_OF_LOT,),
        "lot_button_mass",
        "the recovery is taken from the test lot, and that caught no gold",
    ),
    (
        "samples",
        (("grade_source", "samples"),),
        "sample_weight_01",
        "the grade is taken from the samples, and no assay above zero has a weight "
        "(true width, mass, or the tons that a sample stands for; 1 for each where "
        "all are alike)",
    ),
)


def _check_measured(inputs, places):
    """Refuse measurements without gold that a grade or recovery is taken from."""
    measured = _measured(inputs)
    for what, choices, name, sentence in WITHOUT_GOLD:
        used = sum(np.equal(inputs[choice], word) for choice, word in choices)
        if np.any(np.logical_and(used, np.equal(measured[what], 0))):
            raise BadValue(
                f"{_named(name, places)}: {sentence}. Enter what was found, here or "
                "beside."
            )


def _measured(inputs):
    """Total of each group of measurements."""
    button = lot_button_gold(inputs["lot_button_mass"], inputs["lot_button_fineness"])
    cleaned_up = lot_cleaned_up(button, inputs["lot_slag_gold"], inputs["lot_hold_up"])
    caught = lot_caught(cleaned_up, inputs["lot_carried_in"])
    middlings = inputs["lot_middlings_mass"] * inputs["lot_middlings_grade"]
    tails = _summed(inputs, "screen_tails_share", "screen_tails_grade")
    coarse = ("sample_weight", "sample_coarse_mass", "sample_coarse_grade")
    return {
        "tailings mass": _summed(inputs, "screen_tails_share"),
        "screens": _summed(inputs, "screen_caught_gold") + tails,
        "lot": caught + middlings + tails,
        "caught": caught,
        "samples": _summed(inputs, "sample_weight", "sample_grade")
        + _summed(inputs, *coarse),
    }


def _summed(inputs, *tables):
    """Sum over rows of the product of the entries of tables of inputs."""
    rows = zip(*(families()[table] for table in tables), strict=True)
    return sum(math.prod(inputs[name] for name in row) for row in rows)


def _check_speeds(inputs, places, units):
    """Refuse ball mills above critical speed, planned or compared."""
    fixed = constants(units)
    liner = inputs["liner_thickness"] * fixed["millimetres_per_size"]
    liner = liner * fixed["metres_per_millimetre"]
    liner = np.where(np.equal(inputs["diameter_basis"], "inside shell"), liner, 0)
    compared = (families()[f"choice_{what}"] for what in ("kind", "speed", "diameter"))
    mills = [("mill_kind", "mill_speed", "mill_diameter"), *zip(*compared, strict=True)]
    for kind, speed, diameter in mills:
        shell = inputs[diameter] * fixed["metres_per_length"]
        critical = critical_speed(inside_diameter(shell, liner))
        turns = np.equal(inputs[kind], "ball mill")
        broken = np.logical_and(inputs[speed] > critical, turns)
        if broken.any():
            turning = _value(broken, inputs[speed], speed, units)
            raise BadValue(
                f"{_named(speed, places)} = {turning}: at {np.min(critical):.4g} "
                "revolutions a minute the charge of this mill "
                f"({_named(diameter, places)}) goes round with the shell. "
                "It must turn more slowly."
            )


def _check_steps(inputs, places, units):
    """Refuse payable steps that are half filled, have a gap between them, or fall."""
    rows = [*zip(families()["step_from"], families()["step_paid"], strict=True)]
    for grade, share in rows:
        half = np.greater(inputs[grade], 0) & np.equal(inputs[share], 0)
        if half.any():
            value = _value(half, inputs[grade], grade, units)
            raise BadValue(
                f"{_named(grade, places)} = {value}: the step has no payable share. "
                f"Enter {_named(share, places)}."
            )
    for (grade, share), (next_grade, next_share) in itertools.pairwise(rows):
        falls = np.logical_or(
            inputs[next_grade] <= inputs[grade], inputs[next_share] < inputs[share]
        )
        gap = np.equal(inputs[share], 0)
        broken = np.logical_and(np.greater(inputs[next_share], 0), falls | gap)
        if broken.any():
            told = ", ".join(
                f"{_named(name, places)} = {_value(broken, inputs[name], name, units)}"
                for name in (grade, share, next_grade, next_share)
            )
            raise BadValue(
                f"{told}: payable steps are entered without a gap, each from a higher "
                "grade than the one before, and with no lower share. Change one of "
                "them."
            )
