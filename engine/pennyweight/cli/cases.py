"""``pennyweight cases``: named cases compared with the base case."""

from pathlib import Path

from .arguments import BookArgument, JsonOption, argument
from .screen import (
    console,
    echo_json,
    opened,
    safe,
    say_look_again,
    say_stand_ins,
    table,
)

NOT_RESULTS = ("inputs", "notes", "failed_checks")
VERDICTS = ("verdict", "job_verdict")
FAILED = "Failed checks"
GAP = 2
"""Spaces between two columns."""


def cases(
    book: BookArgument,
    cases: argument(
        Path,
        "Table: one row per input, one column per case; empty: base case.",
        metavar="CASES.csv",
    ),
    as_json: JsonOption = False,
):
    """Compare named cases with the base case."""
    plan = opened(book)
    found = plan.cases(cases)
    say_stand_ins(plan.stand_ins, as_json)
    say_look_again(plan.judge().look_again, as_json)
    if as_json:
        echo_json(found)
    else:
        show_cases(found, plan)


def show_cases(found, plan):
    """Print cases side by side: the inputs that differ, then the results.

    As many cases are side by side as the screen is wide; the others follow below.

    Parameters
    ----------
    found : dict of str to dict
        As given by `Plan.cases`.
    plan : Plan
    """
    screen = console()
    columns = {case: dict(_column(found, case, plan)) for case in found}
    labels = list(next(iter(columns.values())))
    widths = {
        case: max(len(case), *(_least(*row) for row in texts.items()))
        for case, texts in columns.items()
    }
    room = screen.width - min(max(map(len, labels)), screen.width // 3)
    for group in _groups(widths, room):
        made = table("")
        for case in group:
            made.add_column(safe(case), justify="right", min_width=widths[case])
        for label in labels:
            made.add_row(safe(label), *(safe(columns[case][label]) for case in group))
        screen.print(made)
        screen.print()
    for case, results in found.items():
        for note in results["notes"]:
            screen.print(safe(f"Case {case}: {note}"))


def _column(found, case, plan):
    """Label and text of each input that differs and of each result of a case."""
    for name in dict.fromkeys(n for other in found.values() for n in other["inputs"]):
        value = found[case]["inputs"].get(name, plan.inputs[name])
        yield plan.label(name), plan.text(name, value)
    for name, value in found[case].items():
        if name in NOT_RESULTS:
            continue
        yield plan.label(name), plan.text(name, value)
        if name in VERDICTS:
            yield FAILED, "; ".join(found[case]["failed_checks"]) or "none"


def _least(label, text):
    """Least width of a cell: a figure needs one line, a text may wrap."""
    if label != FAILED and any(character.isdigit() for character in text):
        return len(text)
    return max(map(len, text.split()), default=0)


def _groups(widths, room):
    """Cases that fit side by side, at least one in each group."""
    group, used = [], 0
    for case, width in widths.items():
        width += GAP
        if group and used + width > room:
            yield group
            group, used = [], 0
        group.append(case)
        used += width
    yield group
