"""What the terminal shows of a comparison and of an inspection."""

from collections import Counter

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..documents.comparison import HEADLINES
from ..model.inputs import INPUTS, amount
from ..model.mill import MODEL
from ..model.units import shown
from ..workbook.package.text_part import plain

MOST_SHOWN = 40
MOST_OF_A_KIND = 6
COLOURS = {"sound": "green", "altered": "yellow", "unusable": "red"}


def show_comparison(comparison):
    """Print a comparison for people.

    Parameters
    ----------
    comparison : Comparison
    """
    console = Console(highlight=False)
    before, after = comparison.verdicts
    same = " still" if before == after else ""
    console.print(
        f"\nThe claim [bold]{before}[/]; with their figures it{same} ", end=""
    )
    console.print(f"[bold]{after}[/].\n")
    for note in comparison.notes:
        console.print(_safe(note))
    if comparison.changes:
        console.print(_changes(comparison))
        _explain(console, comparison)
    else:
        console.print("No input differs.")
    console.print()
    console.print(_results(comparison))
    console.print()
    _remarks(console, comparison)
    _differing_findings(console, comparison)
    show_inspection(comparison.inspection, console)


def _safe(text):
    """Text of a file that can neither style nor steer the terminal."""
    return escape(plain(text))


def _changes(comparison):
    table = Table(box=None, pad_edge=False, padding=(0, 2))
    heads = ("Changed", "cell", "from", "to", "NPV alone, $", "fair share, $")
    for head in (*heads, "of margin, $"):
        left = head in ("Changed", "cell")
        table.add_column(
            head, justify="left" if left else "right", no_wrap=head == "cell"
        )
    for change in comparison.changes:
        alone, fair = comparison.effect(change.name, "net_present_value")
        margin = comparison.effect(change.name, "margin_per_ton")[1]
        mark = " *" if comparison.turns(change.name) else ""
        table.add_row(
            _safe(change.label) + mark,
            change.place,
            *(
                _value(change.name, v, comparison)
                for v in (change.before, change.after)
            ),
            *("" if v is None else f"{v:+,.0f}" for v in (alone, fair)),
            "" if margin is None else f"{margin:+,.2f}",
        )
    return table


def _explain(console, comparison):
    """How the shares were found, and what they could not tell."""
    if any(comparison.turns(change.name) for change in comparison.changes):
        console.print("* alone turns the verdict.")
    if comparison.shares is None:
        if comparison.no_shares:
            console.print(_safe(comparison.no_shares), style="yellow")
        return
    console.print(f"Fair shares {comparison.basis}.", style="dim")
    if not comparison.shares.exact:
        errors = [
            comparison.standard_error(name, "net_present_value")
            for name in comparison.shares.names
        ]
        console.print(f"Standard error of a share of NPV: up to {max(errors):,.0f} $.")
    for name, others in comparison.shares.together.items():
        labels = " and ".join(INPUTS[n].label for n in (name, *others))
        console.print(f"Only together: {escape(labels)}; counted as one change.")
    for name, part in comparison.as_json()["without_answer"].items():
        console.print(
            f"{escape(MODEL.lines[name].label)}: none in {part:.0%} of the "
            "combinations, so it is not shared out."
        )


def _value(name, value, comparison):
    entry = INPUTS[name]
    return amount(value, entry, comparison.units) if entry.numeric else _safe(value)


def _results(comparison):
    table = Table(box=None, pad_edge=False, padding=(0, 2))
    heads = ["Result", "before", "after", "change", "unit"]
    if comparison.shown:
        heads.append("shown in theirs")
    for head in heads:
        table.add_column(
            head, justify="left" if head in ("Result", "unit") else "right"
        )
    for name in HEADLINES:
        before, after = comparison.before[name], comparison.after[name]
        change = None if None in (before, after) else after - before
        unit = shown(MODEL.lines[name].unit, comparison.units)
        row = [
            MODEL.lines[name].label,
            _figure(name, before),
            _figure(name, after),
            _figure(name, change, "+"),
            "a year" if MODEL.lines[name].unit == "1/year" else unit,
        ]
        if comparison.shown:
            there = comparison.shown.get(name)
            row.append("" if there is None else _figure(name, there))
        table.add_row(*row)
    return table


def _figure(name, value, sign=""):
    unit = MODEL.lines[name].unit
    if value is None:
        return "none"
    if unit == "1/year":
        return f"{value * 100:{sign}.1f} %"
    digits = 0 if unit in ("$", "month") else 3 if unit == "grade" else 2
    return f"{value:{sign},.{digits}f}"


def _remarks(console, comparison):
    for remark in comparison.remarks[:MOST_SHOWN]:
        told = f"{remark.label}, {remark.what}: {remark.before!r} is now"
        console.print(f"  {_safe(told)} {_safe(repr(remark.after))}")
    if comparison.remarks:
        console.print()


def _differing_findings(console, comparison):
    old = len(comparison.inspection.findings) - len(comparison.added)
    stale = sum(f.kind == "stored value" for f in comparison.inspection.findings)
    if old - stale > 0:
        console.print(f"{old - stale} of the findings below are in your book too.")
    for finding in comparison.gone[:MOST_SHOWN]:
        console.print(f"In your book only: {_line(finding)}", soft_wrap=True)


def show_inspection(inspection, console=None):
    """Print an inspection for people.

    Parameters
    ----------
    inspection : Inspection
    console : rich.console.Console, optional
    """
    console = console or Console(highlight=False)
    colour = COLOURS[inspection.outcome]
    console.print(f"The book is [bold {colour}]{inspection.outcome}[/].")
    if inspection.reason:
        console.print(_safe_lines(inspection.reason))
    told, kinds = 0, Counter()
    for finding in inspection.findings:
        kinds[finding.kind] += 1
        if kinds[finding.kind] <= MOST_OF_A_KIND and told < MOST_SHOWN:
            console.print(f"  {_line(finding)}", soft_wrap=True)
            told += 1
    for kind, count in kinds.items():
        if count > MOST_OF_A_KIND:
            more = count - MOST_OF_A_KIND
            console.print(f"  {kind}: {more} more; --json gives all of them.")
    if inspection.checks:
        checks = inspection.checks
        console.print(f"Checks: {checks['passed']} hold, {checks['failed']} do not.")


def _safe_lines(text):
    return "\n".join(_safe(line) for line in text.splitlines())


def _line(finding):
    where = "!".join(filter(None, (finding.sheet, finding.cell))) or "The file"
    aside = "" if finding.grave else " (for your information)"
    return _safe(f"{where}: {finding.kind}{aside}. {_told(finding)}")


def _told(finding):
    parts = []
    if finding.expected:
        parts.append(f"Expected {finding.expected}")
    if finding.found:
        parts.append(f"found {finding.found}")
    told = ", ".join(parts)
    mend = finding.mend.rstrip(".")
    return f"{told}. To do: {mend}." if told else f"To do: {mend}."
