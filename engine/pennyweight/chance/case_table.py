"""Reading a table of cases, as a spreadsheet saves it."""

import csv
import io

from ..errors import CallError
from ..model.inputs import INPUTS, check, input_called

SEPARATORS = ",;\t"
LAYOUT = "The first line names the cases, the first column the inputs that differ."


def read_cases(text, units):
    """Read a table of cases: a line an input, a column a case.

    Parameters
    ----------
    text : str
        CSV, separated by commas, semicolons or tabs. Its head names the cases; each
        line begins with the name or the label of an input. An empty field leaves the
        input as planned.
    units : {"us", "metric"}

    Returns
    -------
    cases : dict of str to dict
        For `compare_cases`.

    Raises
    ------
    CallError
        For a table without cases or that is no CSV, a case or an input that stands
        twice, or an unknown input.
    BadValue
        For a value that the input cannot take, with its line and case.

    Examples
    --------
    >>> read_cases(",low,dear fuel\\nGold price,2400,\\nfuel_price,,6.5\\n", "us")
    {'low': {'gold_price': 2400.0}, 'dear fuel': {'fuel_price': 6.5}}
    """
    (_, head), *lines = _fields(text) or [(1, [])]
    names = head[1:]
    if not names or not lines:
        raise CallError(f"The table of cases is empty. {LAYOUT}")
    for name in names:
        if not name or names.count(name) > 1:
            fault = f"the case {name} stands twice" if name else "a case has no name"
            raise CallError(f"First line of the table of cases: {fault}. {LAYOUT}")
    cases, seen = {name: {} for name in names}, {}
    for number, line in lines:
        name = _input(number, line, seen, len(names))
        seen[name] = number
        for case, field in zip(names, line[1:], strict=False):
            if field:
                place = f"line {number}, case {case}"
                cases[case][name] = _entered(name, field, units, place)
    return cases


def _fields(text):
    """Number and fields of every line that has some, empty ends cut off."""
    first = next(filter(str.strip, text.splitlines()), "")
    reader = csv.reader(
        io.StringIO(text), delimiter=max(SEPARATORS, key=first.count), strict=True
    )
    lines = []
    try:
        for line in reader:
            fields = [field.strip() for field in line]
            while fields and not fields[-1]:
                fields.pop()
            if fields:
                lines.append((reader.line_num, fields))
    except csv.Error as error:
        raise CallError(
            f"The table of cases is no CSV (line {reader.line_num}: {error}). Save it "
            "from the spreadsheet again as CSV UTF-8."
        ) from None
    return lines


def _input(number, line, seen, cases):
    try:
        name = input_called(line[0])
    except CallError as error:
        raise CallError(
            f"Line {number} of the table of cases: {error} {LAYOUT}"
        ) from None
    if name in seen:
        fault = f"{name} stands in line {seen[name]} already"
    elif len(line) > cases + 1:
        fault = f"it has {len(line) - 1} values for {cases} cases"
    else:
        return name
    raise CallError(f"Line {number} of the table of cases: {fault}.")


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
