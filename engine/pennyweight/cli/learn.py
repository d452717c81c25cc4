"""``pennyweight learn``: actuals compared with the plan, and learned figures."""

from pathlib import Path

import typer

from .arguments import (
    BookArgument,
    ForceOption,
    JsonOption,
    OptionalOutput,
    argument,
    option,
)
from .screen import (
    console,
    echo_json,
    opened,
    safe,
    say_currency,
    say_look_again,
    say_stand_ins,
    table,
)

SHOWN = 7
"""Months or lots on the screen, with the total; --json gives all."""


def learn(
    book: BookArgument,
    actuals: argument(
        Path, "A line for each month or lot milled.", metavar="ACTUALS.csv"
    ),
    enter: option(
        str,
        "Enter these learned figures in the workbook, as measured; or: all.",
        metavar="INPUT,INPUT",
    ) = "",
    output: OptionalOutput = None,
    copy: option(
        Path | None, "With --enter: a copy of BOOK to write instead.", metavar="FILE"
    ) = None,
    force: ForceOption = False,
    as_json: JsonOption = False,
):
    """Compare what was milled with the plan, and learn the plan's figures from it."""
    from ..errors import CallError

    if copy and not enter:
        raise CallError("--copy is for the workbook with learned figures: add --enter.")
    plan = opened(book)
    say_currency(plan)
    for path in filter(None, (output, copy)):
        plan.may_write(path, force)
    found = plan.learn(actuals)
    say_stand_ins(plan.stand_ins, as_json)
    say_look_again(found.look_again, as_json)
    if as_json:
        echo_json(found.to_dict())
    else:
        _show(found, plan)
    if output:
        written = plan.write_learned(found, output, force)
        typer.echo(f"Written: {written}", err=as_json)
    if enter:
        names = None if enter.strip() == "all" else enter.split(",")
        written = plan.enter_learned(found, names, copy, force)
        typer.echo(f"Written: {written}", err=as_json)


def _show(found, plan):
    screen = console()
    screen.print("Contribution, $: plan, actual, and why they differ")
    rows = found.variances.set_index("period").iloc[-SHOWN:]
    shown = table("", *map(safe, rows.index), right=range(1, len(rows) + 1))
    for name in rows.columns:
        shown.add_row(name.capitalize(), *(f"{value:,.0f}" for value in rows[name]))
    screen.print(shown)
    screen.print(found.notes[0])
    screen.print("\nFigures learned; the mean is in the range with 80% probability")
    shown = table(
        *("Figure", "Unit", "Plan", "Learned", "Low", "High", "Periods"),
        right=range(2, 7),
    )
    for row in found.figures.itertuples():
        ends = (row.planned, row.learned, row.learned_low, row.learned_high)
        if row.count:
            shown.add_row(
                *(row.figure, row.unit, *(_figure(end, row.unit) for end in ends)),
                str(row.count),
            )
    screen.print(shown)
    for row in found.figures.itertuples():
        if row.drift:
            screen.print(f"Drift. {row.figure}: {row.drift}")
    _show_forecast(found, screen)
    screen.print(" ".join(found.notes[1:]))
    if found.entries:
        screen.print("\n--enter all puts these inputs into the workbook")
        shown = table("Input", "Value", "Low", "High", right=range(1, 4))
        for name, ends in found.entries.items():
            shown.add_row(plan.label(name), *(plan.text(name, e) for e in ends[:3]))
        screen.print(shown)


def _figure(value, unit):
    return f"{value:,.4g}" if unit else f"{value:.1%}"


def _show_forecast(found, screen):
    screen.print("\nForecast from the learned figures")
    shown = table(
        *("Per working month", "Unit", "Plan", "Forecast"),
        *("Rest of season: plan", "Forecast"),
        right=range(2, 6),
    )
    for row in found.forecast.itertuples():
        ends = (row.planned, row.forecast, row.planned_rest, row.forecast_rest)
        shown.add_row(row.row, row.unit, *(f"{value:,.0f}" for value in ends))
    screen.print(shown)
