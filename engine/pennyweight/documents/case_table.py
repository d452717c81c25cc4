"""Reading a table of cases from CSV."""

from ..errors import CallError
from ..model.columns import entered
from ..model.inputs import input_called, inputs_in

WHAT = "table of cases"
LAYOUT = "The first line names the cases, the first column the inputs that differ."


def read_cases(rows, units, inputs=None):
    """Read a table of cases: one line for each input, one column for each case.

    Parameters
    ----------
    rows : list of (int, list of str)
        As given by `csv_file.read_csv`. The head has the names of the cases; each line
        begins with the name or the label of an input. An empty field is the base case.
    units : {"us", "metric"}
    inputs : mapping, optional
        Of the base case.

    Returns
    -------
    cases : dict of str to dict
        For `compare_cases`.

    Raises
    ------
    CallError
        For a table without cases, a case or an input given twice, or an unknown
        input.
    BadValue
        For a value that the input cannot take, with its line and case.

    Examples
    --------
    >>> rows = [(1, ["", "low", "dear"]), (2, ["Gold price", "2400"])]
    >>> read_cases([*rows, (3, ["fuel_price", "", "6.5"])], "us")
    {'low': {'gold_price': 2400.0}, 'dear': {'fuel_price': 6.5}}
    """
    (_, head), *lines = rows or [(1, [])]
    names = head[1:]
    if not names or not lines:
        raise CallError(f"The {WHAT} is empty. {LAYOUT}")
    for name in names:
        if not name or names.count(name) > 1:
            fault = f"the case {name} is given twice" if name else "a case has no name"
            raise CallError(f"First line of the {WHAT}: {fault}. {LAYOUT}")
    cases, seen = {name: {} for name in names}, {}
    table = inputs_in(inputs or {})
    for number, line in lines:
        name = _input(number, line, seen, len(names))
        seen[name] = number
        for case, field in zip(names, line[1:], strict=False):
            if field:
                place = f"line {number}, case {case}"
                cases[case][name] = entered(name, field, units, place, table)
    return cases


def _input(number, line, seen, cases):
    try:
        name = input_called(line[0])
    except CallError as error:
        raise CallError(f"Line {number} of the {WHAT}: {error} {LAYOUT}") from None
    if name in seen:
        fault = f"{name} is also in line {seen[name]}"
    elif len(line) > cases + 1:
        fault = f"{len(line) - 1} values for {cases} cases"
    else:
        return name
    raise CallError(f"Line {number} of the {WHAT}: {fault}.")
