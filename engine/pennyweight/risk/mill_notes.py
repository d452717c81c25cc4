"""What a mill of another size asks for: its speed, its motor, what limits it then."""

from ..model.inputs import INPUTS, amount
from ..model.run import run
from ..trade.motors import LARGEST_STANDARD_MOTOR, standard_motor

BALL_MILL = ("mill_diameter", "mill_length", "ball_filling", "mill_speed")
HAMMER_MILL = ("hammer_capacity",)
USUAL_SPEED = (0.65, 0.79)
"""Of critical speed, after Rowland and Kjos 1980."""
RESERVE = 1.1
"""Of a motor over what it drives, for starting and harder ore: common practice."""
SERIES = {"us": "NEMA", "metric": "IEC"}
READ = ("speed_share", "mill_shaft_power", "mill_motor_rating", "bottleneck")


def mill_notes(inputs, units, name, values):
    """Say what else changes with the mill, at each value of an input that sizes it.

    Parameters
    ----------
    inputs : mapping
        Those of the base case, complete.
    units : {"us", "metric"}
    name : str
        The input that is moved.
    values : sequence of float

    Returns
    -------
    notes : list of str
        Sentences; empty where the input does not size the plan's mill.
    """
    ball_mill = inputs["mill_kind"] == "ball mill"
    if name not in (BALL_MILL if ball_mill else HAMMER_MILL):
        return []
    notes = []
    for value in values:
        found = run({**inputs, name: value}, units, wanted=READ)
        told = [*_speed(inputs, units, found)] * ball_mill
        told.append(_motor(inputs, units, found, name, value))
        told.append(f"The bottleneck is then the {found['bottleneck'].item()}.")
        notes.append(f"At {amount(value, INPUTS[name], units, 4)}: {' '.join(told)}")
    return notes


def _speed(inputs, units, found):
    """A speed outside the usual share of critical; nothing where it is usual."""
    share, (low, high) = found["speed_share"].item(), USUAL_SPEED
    if not low <= share <= high:
        speed = amount(found["mill_speed"].item(), INPUTS["mill_speed"], units, 4)
        middle = found["mill_speed"].item() * (low + high) / 2 / share
        yield (
            f"The mill speed of {speed} is {share:.0%} of critical there; {low:.0%} to "
            f"{high:.0%} is usual, such as "
            f"{amount(middle, INPUTS['mill_speed'], units, 3)}."
        )


def _motor(inputs, units, found, name, value):
    """The motor to buy: the next standard size for what the mill takes."""
    power = found["mill_shaft_power"].item()
    if name in HAMMER_MILL:
        # Its power is that of its motor; a ton takes the energy that it took before.
        power *= value / inputs[name]
    kilowatts = found["mill_motor_rating"].item()
    scale = inputs["mill_motor"] / kilowatts
    now = amount(inputs["mill_motor"], INPUTS["mill_motor"], units)
    drawn = amount(power * scale, INPUTS["mill_motor"], units, 3)
    told = f"The mill takes {drawn} at the motor's shaft"
    power *= RESERVE
    if power > LARGEST_STANDARD_MOTOR:
        return f"{told}, with a tenth in reserve more than any standard motor gives."
    size = float(standard_motor(power, SERIES[units])) * scale
    buy = amount(size, INPUTS["mill_motor"], units, 3)
    return (
        f"{told}; with a tenth in reserve the next standard motor is {buy}. The plan "
        f"has {now}."
    )
