"""Named cases compared with the base case."""

import numpy as np

from ..errors import BadValue, CallError
from ..model import checks
from ..model.allowed import complete
from ..model.inputs import INPUTS
from ..model.jobs import CLAIM, EVERYTHING, HEADLINES, precedents
from ..model.judgement import RESULTS
from ..model.rules import check_rules
from ..model.run import run
from .range_warnings import without_range_warnings
from .unused_inputs import measured_base, without_effect

BASE_CASE = "base case"
SHOWN = ("verdict", *RESULTS)


def shown(job):
    """Results that cases compare, for a job."""
    of_claim = job in (EVERYTHING, CLAIM)
    return SHOWN if of_claim else ("job_verdict", *HEADLINES[job])


@without_range_warnings()
def compare_cases(inputs, units, cases, results):
    """Compare named cases with the base case.

    A case that changes a grade or recovery which the plan takes from measurements uses
    the changed value as entered.

    Parameters
    ----------
    inputs : mapping
        All of the base case.
    units : {"us", "metric"}
    cases : mapping of str to mapping
        For each name, the inputs that differ from the base case.
    results : tuple of str

    Returns
    -------
    table : dict of str to dict
        Inputs changed, notes on those without effect, failed checks and results by
        name of the case, ``base case`` first.

    Raises
    ------
    CallError
        For a case with the name of the base case, and unknown inputs or results.
    BadValue
        For an input outside its bounds, or inputs that contradict one another.
    """
    if BASE_CASE in cases:
        raise CallError(
            f"A case is named {BASE_CASE!r}; that name is taken by the inputs of the "
            "workbook. Give the case another name."
        )
    named = {BASE_CASE: {}, **cases}
    given = {case: _all_inputs(inputs, case, named[case], units) for case in named}
    columns = {
        name: np.array([case[name] for case in given.values()])
        if any(case[name] != inputs[name] for case in given.values())
        else inputs[name]
        for name in INPUTS
    }
    found = run(columns, units, wanted=results)
    rows = {name: np.broadcast_to(found[name], (len(named),)) for name in results}
    return {
        case: {
            "inputs": named[case],
            "notes": _notes(inputs, given[case], named[case], units, results),
            "failed_checks": checks.failed_checks(given[case], units),
            **{name: rows[name][place].item() for name in results},
        }
        for place, case in enumerate(named)
    }


def _notes(inputs, case, changes, units, results):
    """Sentences on changed inputs that do not change the results."""
    base, notes = measured_base(inputs, units, changes)
    read = precedents(results)[1]
    return notes + [
        f"{INPUTS[unused].label} has no effect on these results"
        + (" in this case." if unused in read else ": the plan does not use it.")
        for unused in without_effect(base, case, units, results)
        if unused in changes
    ]


def _all_inputs(base, case, changes, units):
    """All inputs of a case; refused if they contradict one another."""
    entered, _ = measured_base(base, units, changes)
    given = complete({**entered, **changes}, units)
    try:
        check_rules(given, units=units)
    except BadValue as error:
        raise BadValue(f"Case {case}: {error}") from None
    return given
