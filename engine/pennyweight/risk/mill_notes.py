"""Notes on a mill of another size: speed, motor and bottleneck."""

import numpy as np

from ..model.inputs import INPUTS, amount
from ..model.jobs import MILL
from ..model.run import run
from ..trade.motors import LARGEST_STANDARD_MOTOR, standard_motor

BALL_MILL = ("mill_diameter", "mill_length", "ball_filling", "mill_speed")
HAMMER_MILL = ("hammer_capacity",)
USUAL_SPEED = (0.65, 0.79)
"""Usual share of critical speed, by Rowland and Kjos 1980."""
SERIES = {"us": "NEMA", "metric": "IEC"}
READ = ("speed_share", "mill_shaft_power", "mill_motor_rating", "bottleneck")


def changes_with(inputs, units, name, values):
    """An input at other values, and what changes with it.

    With the diameter of a ball mill its speed changes, at the same share of critical
    speed.

    Parameters
    ----------
    inputs, units, name
        As for `mill_notes`.
    values : float or array_like of float

    Returns
    -------
    changes : dict of str to float or ndarray
    """
    changes = {name: values}
    if name != "mill_diameter" or inputs["mill_kind"] != "ball mill":
        return changes
    wanted = ["critical_mill_speed"]
    now, then = (
        run({**inputs, **moved}, units, wanted=wanted)["critical_mill_speed"]
        for moved in ({}, changes)
    )
    speed = inputs["mill_speed"] * then / now
    return {
        **changes,
        "mill_speed": np.clip(speed, *INPUTS["mill_speed"].within(units)),
    }


def mill_notes(inputs, units, name, values):
    """Notes on what else changes with the size of the mill, for each value of an input.

    Parameters
    ----------
    inputs : mapping
        All inputs of the base case.
    units : {"us", "metric"}
    name : str
        The input that changes.
    values : sequence of float

    Returns
    -------
    notes : list of str
        A note for each value; empty if the input does not set the size of the mill.
    """
    ball_mill = inputs["mill_kind"] == "ball mill"
    if name not in (BALL_MILL if ball_mill else HAMMER_MILL):
        return []
    notes = []
    for value in values:
        changes = changes_with(inputs, units, name, value)
        found = run({**inputs, **changes}, units, wanted=READ)
        parts = [*_speed(units, found, "mill_speed" in changes)] * ball_mill
        parts.append(_motor(inputs, units, found, name, value))
        if inputs["job"] != MILL:  # a workbook for a mill has no other machines
            parts.append(f"The bottleneck is then: {found['bottleneck'].item()}.")
        notes.append(f"At {amount(value, INPUTS[name], units, 4)}: {' '.join(parts)}")
    return notes


def _speed(units, found, changed):
    """Sentence on a speed that changed, or is outside the usual share of critical."""
    share, (low, high) = found["speed_share"].item(), USUAL_SPEED
    if changed:
        speed = amount(found["mill_speed"].item(), INPUTS["mill_speed"], units, 3)
        yield f"The mill speed is then {speed}, {share:.0%} of critical as in the plan."
    if not low <= share <= high:
        speed = amount(found["mill_speed"].item(), INPUTS["mill_speed"], units, 4)
        middle = found["mill_speed"].item() * (low + high) / 2 / share
        yield (
            f"The mill speed of {speed} is {share:.0%} of critical there; {low:.0%} to "
            f"{high:.0%} is usual, such as "
            f"{amount(middle, INPUTS['mill_speed'], units, 3)}."
        )


def _motor(inputs, units, found, name, value):
    """Sentence on the motor to buy: the next standard size for the power drawn."""
    power = found["mill_shaft_power"].item()
    if name in HAMMER_MILL:
        # Its power is in proportion to its capacity: the energy per ton is the same.
        power *= value / inputs[name]
    kilowatts = found["mill_motor_rating"].item()
    scale = inputs["mill_motor"] / kilowatts
    now = amount(inputs["mill_motor"], INPUTS["mill_motor"], units)
    drawn = amount(power * scale, INPUTS["mill_motor"], units, 3)
    draw = f"The mill takes {drawn} at the motor's shaft"
    power *= 1 + inputs["mill_reserve"]
    spare = f"a reserve of {inputs['mill_reserve']:.0%}"
    if power > LARGEST_STANDARD_MOTOR:
        return f"{draw}; with {spare} no standard motor is large enough."
    size = float(standard_motor(power, SERIES[units])) * scale
    buy = amount(size, INPUTS["mill_motor"], units, 3)
    return f"{draw}; with {spare} the next standard motor is {buy}. The plan has {now}."
