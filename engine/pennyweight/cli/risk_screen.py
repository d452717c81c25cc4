"""A risk analysis on the terminal."""

from .screen import console, safe, table


def show_report(report, plan):
    """Print a report for people.

    Parameters
    ----------
    report : Report
    plan : Plan
        It has labels and units.
    """
    screen = console()
    subject = safe(plan.subject)
    first, *rest = report.summary()
    screen.print(f"\n[bold]{subject}[/bold]: {safe(first)}\n")
    for sentence in rest:
        screen.print(f"  {safe(sentence)}")
    for heads, rows in report.tables(plan):
        made = table(*heads, right=range(1, min(len(heads), 5)))
        for row in rows:
            made.add_row(*map(safe, row))
        screen.print()
        screen.print(made)
    screen.print()
    *method, caution = report.method()
    for sentence in method:
        screen.print(safe(sentence))
    screen.print(safe(caution), style="dim")
