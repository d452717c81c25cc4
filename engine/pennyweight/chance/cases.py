"""Named cases side by side: the plan, and what if."""

import csv
import io

import numpy as np

from ..errors import CallError
from ..model.inputs import INPUTS, check, complete, input_called
from ..model.judgement import RESULTS
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
    whole = [complete({**planned, **changes}, units) for changes in named.values()]
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


def read_cases(text, units):
    """Read a table of cases: a line an input, a column a case.

    Parameters
    ----------
    text : str
        CSV. Its head names the cases; each line begins with the name or the label of
        an input. An empty field leaves the input as planned.
    units : {"us", "metric"}

    Returns
    -------
    cases : dict of str to dict
        For `compare_cases`.

    Raises
    ------
    CallError
        For a table without cases, a case or an input that stands twice, or an
        unknown input.
    BadValue
        For a value that the input cannot take, with its line and case.
    """
    reader = csv.reader(io.StringIO(text))
    lines = [(reader.line_num, line) for line in reader if any(map(str.strip, line))]
    names = [name.strip() for name in lines[0][1][1:]] if lines else []
    if not names or len(lines) < 2 or not all(names):
        raise CallError(
            "The table of cases is empty: its first line names the cases from the "
            "second column on, each further line begins with an input."
        )
    if len(set(names)) < len(names):
        raise CallError("A case stands twice in the first line of the table of cases.")
    cases, seen = {name: {} for name in names}, set()
    for number, line in lines[1:]:
        name = input_called(line[0])
        if name in seen or len(line) > len(names) + 1:
            fault = f"{name} stands twice" if name in seen else "it has too many fields"
            raise CallError(f"Line {number} of the table of cases: {fault}.")
        seen.add(name)
        for case, field in zip(names, line[1:], strict=False):
            if field.strip():
                place = f"line {number}, case {case}"
                cases[case][name] = _entered(name, field.strip(), units, place)
    return cases


def _entered(name, field, units, place):
    entry = INPUTS[name]
    if entry.numeric:
        share = entry.kind == "share" and field.endswith("%")
        try:
            number = float(field.removesuffix("%") if share else field)
            field = number / 100 if share else number
        except ValueError:
            pass  # the check says what it wants instead
    return check(entry, field, units, place)


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
