"""What the terminal shows."""

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..model.inputs import INPUTS, amount
from ..model.judgement import turning_words
from ..model.mill import MODEL
from ..model.units import shown

SHOWN = (
    "net_return_per_ton",
    "cost_per_ton",
    "margin_per_ton",
    "cost_per_ounce",
    "break_even_grade",
    "running_break_even_grade",
    "break_even_gold_price",
    "net_present_value",
    "internal_rate",
    "payback_month",
    "peak_funding",
    "tons_milled",
    "ounces_sold",
    "life_months",
)
COLOURS = {"pays": "bold green", "does not pay": "bold red"}


def show_judgement(judgement):
    """Print a judgement for people.

    Parameters
    ----------
    judgement : Judgement
    """
    console = Console(highlight=False)
    claim = escape(judgement.entries["claim_name"].value or "The claim")
    colour = COLOURS.get(judgement.verdict, "bold yellow")
    console.print(f"\n[bold]{claim}[/bold]: [{colour}]{judgement.verdict}[/]\n")
    for reason in judgement.reasons:
        console.print(f"  {escape(reason)}")
    console.print()
    console.print(_results(judgement))
    console.print()
    console.print(_turnings(judgement))
    checks = judgement.checks
    console.print(f"\nChecks: {checks['passed']} hold, {checks['failed']} do not.")
    for warning in judgement.warnings:
        console.print(f"Mind: {escape(warning)}", style="yellow")
    console.print(
        "Estimates; not a mineral reserve, not investment or tax advice.", style="dim"
    )


def _results(judgement):
    table = Table(box=None, pad_edge=False, padding=(0, 2), show_header=False)
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    for name in SHOWN:
        result = judgement.results[name]
        value, line = result["value"], MODEL.lines[name]
        text = result["reason"] if value is None else result_text(value, line.unit)
        unit = "" if value is None else result_unit(line.unit, judgement.units)
        table.add_row(line.label, text, unit)
    return table


def _turnings(judgement):
    table = Table(box=None, pad_edge=False, padding=(0, 2), title_justify="left")
    table.add_column("One change alone")
    table.add_column("now", justify="right")
    table.add_column("the claim")
    for turning in judgement.turnings:
        entry = INPUTS[turning.name]
        table.add_row(
            entry.label,
            amount(turning.now, entry, judgement.units),
            turning_words(turning, judgement.units),
        )
    return table


def result_text(value, unit):
    """A result as the terminal shows it, without its unit."""
    if unit == "1/year":
        return f"{value * 100:.1f} %"
    if unit in ("$", "ton", "oz", "month"):
        return f"{value:,.0f}"
    return f"{value:,.3f}" if unit == "grade" else f"{value:,.2f}"


def result_unit(unit, units):
    """The unit beside it."""
    return "a year" if unit == "1/year" else shown(unit, units)
