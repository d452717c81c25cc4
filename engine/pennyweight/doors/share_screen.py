"""What the terminal shows of a comparison and of an inspection."""

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..model.inputs import INPUTS, amount
from ..model.line import LINES
from ..model.units import shown
from ..workbook.compare import HEADLINES

MOST_SHOWN = 40
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
        console.print(escape(note))
    if comparison.changes:
        console.print(_changes(comparison))
        console.print()
        if comparison.no_shares:
            console.print(escape(comparison.no_shares), style="yellow")
        elif comparison.shares and not comparison.shares.exact:
            console.print("Shares are drawn over orders of the changes, not exact.")
    else:
        console.print("No input differs.")
    console.print(_results(comparison))
    console.print()
    show_inspection(comparison.inspection, console)


def _changes(comparison):
    table = Table(box=None, pad_edge=False, padding=(0, 2))
    for head in ("Changed", "cell", "from", "to", "NPV alone, $", "fair share, $"):
        left = head in ("Changed", "cell")
        table.add_column(
            head, justify="left" if left else "right", no_wrap=head == "cell"
        )
    for change in comparison.changes:
        alone, fair = comparison.effect(change.name, "net_present_value")
        table.add_row(
            escape(change.label),
            change.place,
            *(
                _value(change.name, v, comparison)
                for v in (change.before, change.after)
            ),
            *("" if v is None else f"{v:+,.0f}" for v in (alone, fair)),
        )
    return table


def _value(name, value, comparison):
    entry = INPUTS[name]
    return (
        amount(value, entry, comparison.units) if entry.numeric else escape(str(value))
    )


def _results(comparison):
    table = Table(box=None, pad_edge=False, padding=(0, 2))
    for head in ("Result", "before", "after", "change", "unit"):
        table.add_column(
            head, justify="left" if head in ("Result", "unit") else "right"
        )
    for name in HEADLINES:
        line = LINES[name]
        before, after = comparison.before[name], comparison.after[name]
        digits = 0 if line.unit == "$" else 3 if line.unit == "grade" else 2
        table.add_row(
            line.label,
            f"{before:,.{digits}f}",
            f"{after:,.{digits}f}",
            f"{after - before:+,.{digits}f}",
            shown(line.unit, comparison.units),
        )
    return table


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
        console.print(escape(inspection.reason))
    for finding in inspection.findings[:MOST_SHOWN]:
        where = "!".join(filter(None, (finding.sheet, finding.cell)))
        console.print(escape(f"  {where}: {finding.kind}. {_told(finding)}"))
    more = len(inspection.findings) - MOST_SHOWN
    if more > 0:
        console.print(f"  and {more} more; --json gives all of them.")


def _told(finding):
    parts = []
    if finding.expected:
        parts.append(f"Expected {finding.expected}")
    if finding.found:
        parts.append(f"found {finding.found}")
    told = ", ".join(parts)
    return f"{told}. To do: {finding.mend}." if told else f"To do: {finding.mend}."
