"""Named cases side by side: the plan, and what if."""

import numpy as np

from ..errors import BadValue, CallError
from ..model.inputs import INPUTS, complete
from ..model.judgement import RESULTS
from ..model.rules import check_rules
from ..model.run import run
from .quiet import quietly
from .sensitivity import check_results

SHOWN = ("verdict", *RESULTS)


@quietly
def compare_cases(inputs=None, units="us", cases=None, results=SHOWN):
    """Work out named cases beside the plan.

    Parameters
    ----------
    inputs : mapping, optional
        The plan; single values.
    units : {"us", "metric"}
    cases : mapping of str to mapping
        Under each name the inputs that differ from the plan.
    results : tuple of str

    Returns
    -------
    table : dict of str to dict
        Results under the name of each case, ``plan`` first.

    Raises
    ------
    CallError
        For a name used twice, and unknown inputs or results.
    BadValue
        For an input outside its bounds, or inputs that contradict one another.

    Examples
    --------
    >>> found = compare_cases(cases={"dear gold": {"gold_price": 5000}})
    >>> [found[case]["verdict"] for case in found]
    ['pays', 'pays']
    """
    planned = complete(inputs or {}, units)
    named = {"plan": {}, **(cases or {})}
    if "plan" in (cases or {}):
        raise CallError("A case cannot be named plan: that is the claim as it stands.")
    check_results(results)
    whole = [_whole(planned, name, named[name], units) for name in named]
    columns = {
        name: np.array([case[name] for case in whole])
        if any(case[name] != planned[name] for case in whole)
        else planned[name]
        for name in INPUTS
    }
    found = run(columns, units, wanted=results)
    rows = {name: np.broadcast_to(found[name], (len(named),)) for name in results}
    return {
        case: {name: rows[name][place].item() for name in results}
        for place, case in enumerate(named)
    }


def _whole(planned, case, changes, units):
    """Every input of a case, in agreement with one another."""
    given = complete({**planned, **changes}, units)
    try:
        check_rules(given, units=units)
    except BadValue as error:
        raise BadValue(f"Case {case}: {error}") from None
    return given


def outlook(study):
    """Cases of every uncertain input at once: a poor and a good outlook.

    Each input stands at the end of its range that is worse, or better, for the net
    present value. It marks the corners; hardly any trial comes near them.

    Parameters
    ----------
    study : Study

    Returns
    -------
    cases : dict of str to dict
        For `compare_cases`.
    """
    from .sensitivity import effects

    cases = {"everything poor": {}, "everything good": {}}
    for effect in effects(study):
        worth = "net_present_value"
        rises = effect.at_high[worth] >= effect.at_low[worth]
        ends = (effect.low, effect.high) if rises else (effect.high, effect.low)
        for case, end in zip(cases.values(), ends, strict=True):
            case[effect.name] = end
    from .draws import keep_rules

    for case in cases.values():
        moved = {name: np.array([value]) for name, value in case.items()}
        keep_rules(moved, study.inputs)
        case.update({name: float(value[0]) for name, value in moved.items()})
    return cases
