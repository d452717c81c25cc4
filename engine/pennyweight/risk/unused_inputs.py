"""Changed inputs that the plan does not use: use them as entered, or report them."""

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS
from ..model.run import run
from ..model.sources import SOURCES, as_entered


def measured_base(inputs, units, changed):
    """Base case in which inputs to be changed are entered, not taken from measurements.

    Parameters
    ----------
    inputs : mapping
        All inputs of the base case.
    units : {"us", "metric"}
    changed : collection of str
        Names of the inputs and choices to be changed.

    Returns
    -------
    inputs : mapping
        With the same results as before.
    notes : list of str
        One sentence for each input that the plan took from a measurement.
    """
    choices, notes = [], []
    for choice, read in SOURCES.items():
        source = inputs[choice]
        if source == "entered" or choice in changed:
            continue
        for name in (name for name in read.values() if name in changed):
            choices.append(choice)
            notes.append(
                f"{INPUTS[name].label}: the changed value is used as entered, in place "
                f"of the {source}."
            )
    return as_entered(inputs, units, choices), notes


def without_effect(base, case, units, results):
    """Changed inputs of a case that change none of the given results.

    Parameters
    ----------
    base, case : mapping
        All inputs.
    units : {"us", "metric"}
    results : tuple of str

    Returns
    -------
    names : list of str
    """
    changed = [name for name in INPUTS if case[name] != base[name]]
    if not changed:
        return []
    columns = {
        name: np.array(
            [case[name], *(base[o] if o == name else case[name] for o in changed)]
        )
        for name in changed
    }
    try:
        found = run({**case, **columns}, units, wanted=results)
    except BadValue:  # valid only with all of its changes
        return []
    shape = (len(changed) + 1,)
    rows = [np.broadcast_to(found[name], shape) for name in results]
    return [
        name
        for place, name in enumerate(changed, 1)
        if all(_same(row[0], row[place]) for row in rows)
    ]


def _same(one, other):
    return one == other or (one != one and other != other)
