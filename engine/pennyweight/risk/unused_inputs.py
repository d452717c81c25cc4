"""Changed inputs that the plan does not use: each is told, or used as entered."""

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS
from ..model.run import run
from ..model.sources import SOURCES, as_entered


def use_entered(inputs, changes):
    """Take a grade or recovery as entered if it is changed while it is measured.

    Parameters
    ----------
    inputs : mapping
        Those of the base case, complete.
    changes : mapping
        Inputs that are changed.

    Returns
    -------
    changes : dict
        With the choice set to ``entered`` where it was a measurement.
    notes : list of str
        One sentence for each.
    """
    found, notes = dict(changes), []
    for choice, (_, name) in SOURCES.items():
        source = inputs[choice]
        if name in changes and choice not in changes and source != "entered":
            found[choice] = "entered"
            notes.append(
                f"{INPUTS[name].label}: the changed value is used as entered, in place "
                f"of the {source}."
            )
    return found, notes


def measured_base(inputs, units, name):
    """The inputs to change one of: with its measured value entered, if it has one.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}
    name : str

    Returns
    -------
    inputs : mapping
        With the same results.
    notes : list of str
    """
    _, notes = use_entered(inputs, {name: None})
    return (as_entered(inputs, units) if notes else inputs), notes


def without_effect(base, case, units, results):
    """Changed inputs of a case that change none of some results.

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
    except BadValue:  # the case holds only with all of its changes
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
