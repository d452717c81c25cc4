"""``pennyweight inspect``: check that a workbook is as issued."""

from collections import Counter
from pathlib import Path

import typer

from .arguments import BookArgument, JsonOption, option
from .screen import console, echo_json, safe

MOST_SHOWN = 40
MOST_OF_A_KIND = 6
COLOURS = {
    "as issued": "green",
    "inputs changed": "green",
    "something else changed": "yellow",
    "not calculated": "yellow",
    "cannot be used": "red",
}
GOOD = ("as issued", "inputs changed")


def inspect(
    book: BookArgument,
    as_json: JsonOption = False,
    strict: option(
        bool,
        "Look also for what hides or changes a figure on screen, and end with "
        "code 3 if something else than inputs changed.",
        "--strict",
    ) = False,
    workbook: option(
        Path | None,
        "Check a quote, a statement or a report of a test lot: is it as this "
        "workbook gives it?",
        "--book",
        metavar="WORKBOOK",
    ) = None,
):
    """Check a workbook: as issued, inputs changed, or something else changed."""
    from .. import opening

    inspection = opening.inspect(book, strict, workbook)
    if as_json:
        echo_json(inspection.to_dict())
    else:
        show_inspection(inspection, console())
    outcome = inspection.outcome
    if outcome == "cannot be used" or (strict and outcome not in GOOD):
        raise typer.Exit(3)


def show_inspection(inspection, screen, inputs=True):
    """Print an inspection for people.

    Parameters
    ----------
    inspection : Inspection
    screen : rich.console.Console
    inputs : bool
        Whether to list the inputs that differ from those at the issue.
    """
    colour = COLOURS[inspection.outcome]
    whose = "" if inputs else " of the second workbook"
    screen.print(f"Outcome{whose}: [bold {colour}]{inspection.outcome}[/].")
    screen.print("\n".join(map(safe, inspection.meaning.splitlines())))
    shown, kinds = 0, Counter()
    changed = inspection.inputs if inputs else []
    most = dict.fromkeys([f.kind for f in inspection.findings if f.follows], 1)
    for finding in (*inspection.findings, *changed):
        kinds[finding.kind] += 1
        many = kinds[finding.kind] > most.get(finding.kind, MOST_OF_A_KIND)
        if not many and shown < MOST_SHOWN:
            screen.print(f"  {finding_line(finding)}", soft_wrap=True)
            shown += 1
    for kind, count in kinds.items():
        more = count - most.get(kind, MOST_OF_A_KIND)
        if more > 0:
            screen.print(f"  {kind}: {more:,} more; --json lists all of them.")
    if inspection.reading and not inspection.strict and inspection.outcome in GOOD:
        screen.print("Formats, charts and validations were not compared: add --strict.")
    if inspection.checks:
        text = checks_line(inspection.checks, "Checks of its inputs by the engine")
        screen.print(safe(text))


def checks_line(checks, what="Checks"):
    """Sentence on the checks: how many passed and failed, and which failed."""
    text = f"{what}: {checks['passed']} passed, {checks['failed']} failed"
    failures = "; ".join(checks["failures"])
    return f"{text}: {failures}." if failures else f"{text}."


def finding_line(finding):
    """One finding: place, kind, expected and found value, effect, and fix."""
    where = "!".join(filter(None, (finding.sheet, finding.cell))) or "The file"
    aside = "" if finding.grave else " (for your information)"
    ends = (("was", finding.expected), ("is", finding.found))
    text = ", ".join(f"{word} {text}" for word, text in ends if text)
    text = f"{text[:1].upper()}{text[1:]}. " if text else ""
    fix = finding.mend.rstrip(".")
    return safe(f"{where}: {finding.kind}{aside}. {text}{finding.effect} Fix: {fix}.")
