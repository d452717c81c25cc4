"""``pennyweight judge``: does the claim pay?"""

from .arguments import BookArgument, JsonOption
from .inspect import checks_line
from .quote import margins_of_a_lot
from .screen import console, echo_json, opened, safe, table

SHOWN = (
    "net_return_per_ton",
    "cost_per_ton",
    "margin_per_ton",
    "mean_gold_price",
    "site_cost_per_ounce",
    "sustaining_cost_per_ounce",
    "all_in_cost_per_ounce",
    "break_even_grade",
    "running_break_even_grade",
    "break_even_gold_price",
    "net_present_value",
    "internal_rate",
    "peak_funding",
    "owner_payback_month",
    "tons_milled",
    "ounces_sold",
    "life_months",
)
NAMED = 4
"""Figures named at most: that each turn the verdict, or that a workbook shows."""
COLOURS = {
    "pays": "green",
    "pays the mill": "green",
    "does not pay": "red",
    "does not pay the mill": "red",
    "the figures do not contradict each other": "green",
    "mill and motor are large enough": "green",
    "the mill is too small": "red",
    "the motor is too small": "red",
    "outside the power equation": "red",
}


def judge(book: BookArgument, as_json: JsonOption = False):
    """Judge whether the claim pays: verdict, reasons, and what would change it."""
    plan = opened(book)
    if as_json:
        echo_json(plan.judge().to_dict())
    else:
        show_judgement(plan)


def show_judgement(plan):
    """Print the judgement of a plan, in the order of the sheet Answer.

    While must-haves are missing, no result is shown.

    Parameters
    ----------
    plan : Plan
    """
    judgement, screen = plan.judge(), console()
    complete = not judgement.in_state("missing", "cannot be used")
    subject = safe(judgement.subject)
    odds = plan.odds() if complete and judgement.of_claim else None
    colour = COLOURS.get(judgement.verdict, "yellow")
    doubtful = judgement.answer != judgement.verdict or (odds and odds.against)
    if doubtful and colour == "green":
        colour = "yellow"
    verdict = safe(judgement.answer.replace("not yet: ", "not yet, "))
    screen.print(f"\n[bold]{subject}: [{colour}]{verdict}[/][/bold]")
    if odds:
        mean = plan.text("net_present_value", odds.mean)
        screen.print(
            f"Within the ranges on Inputs the probability that it pays is "
            f"{odds.pays:.1%}, and the mean net present value {mean}. A range that you "
            "did not enter is an estimate."
        )
    told = [f'"{plan.shown}"'] if plan.shown not in ("", judgement.answer) else []
    told += _figures_shown(plan) if complete else []
    if told:
        screen.print(
            f"[yellow]The workbook itself shows {safe('; '.join(told))}. Either it was "
            "not recalculated after a figure changed, or a formula or a sheet was "
            "changed. Run pennyweight inspect.[/]"
        )
    for text in judgement.look_again:
        screen.print(f"[yellow]{safe(text)}[/]")
    if judgement.currency_note:
        screen.print(safe(judgement.currency_note))
    screen.print()
    _missing(screen, plan, judgement)
    _unusable(screen, plan, judgement)
    if complete:
        margins = margins_of_a_lot(plan) if judgement.job == "contract" else ()
        for reason in (*judgement.reasons, *margins):
            screen.print(f"  {safe(reason)}")
        screen.print()
    screen.print(_input_counts(judgement))
    if complete:
        screen.print()
        screen.print(_results(judgement, plan))
        if judgement.switching_values:
            screen.print()
            screen.print(_switching_values(judgement, plan))
            screen.print(
                "The value of each input at which the net present value after tax, or "
                "the margin over the plan, is zero.",
                style="dim",
            )
    screen.print()
    _remarks(screen, judgement, complete)
    if complete and judgement.of_claim:
        _measure_next(screen, plan)
        _turning(screen, plan)
    screen.print(
        "Estimates. Not a mineral reserve, not investment or tax advice.", style="dim"
    )


def _figures_shown(plan):
    """Headline figures that the workbook shows otherwise, in words."""
    found = [
        f"{plan.label(name)} "
        + (value if isinstance(value, str) else plan.text(name, value))
        for name, value in plan.shown_otherwise().items()
    ]
    more = [f"and {len(found) - NAMED} more"] * (len(found) > NAMED)
    return [*found[:NAMED], *more]


def _missing(screen, plan, judgement):
    missing = judgement.in_state("missing")
    if not missing:
        return
    of_screens = any(entry.name.startswith("screen_") for entry in missing)
    sheets = "Start, Inputs or Test lot" if of_screens else "Start or Inputs"
    screen.print(f"Missing; enter them on the sheet {sheets}:")
    for entry in missing:
        unit = plan.unit(entry.name)
        screen.print(f"  {safe(entry.label)}{', ' if unit else ''}{safe(unit)}")
    screen.print()


def _unusable(screen, plan, judgement):
    for entry in judgement.in_state("cannot be used"):
        low, now, high = (
            safe(plan.text(entry.name, value, 4))
            for value in (entry.low, entry.value, entry.high)
        )
        screen.print(
            f"{safe(entry.label)}: the low is {low}, the figure {now}, the high "
            f"{high}. Correct them on the sheet Inputs: the figure must be between low "
            "and high.\n"
        )


def _input_counts(judgement):
    own = len(judgement.in_state("yours", "unusual"))
    estimates = len(judgement.in_state("estimate"))
    figures = "figure is" if own == 1 else "figures are"
    are = "is an estimate" if estimates == 1 else "are estimates"
    return f"{own} {figures} your own, {estimates} {are}."


def _results(judgement, plan):
    made = table("Result", "", right=(1,))
    for name in SHOWN if judgement.of_claim else judgement.headlines:
        result = judgement.results[name]
        text = plan.text(name, result["value"])
        if result["value"] is None:
            text = f"{text}: {result['reason'].removeprefix('none: ')}"
        made.add_row(safe(plan.label(name)), safe(text))
    return made


def _switching_values(judgement, plan):
    made = table("Switching value", "Now", "Turns at", "Change", right=(1, 2, 3))
    for value in judgement.switching_values:
        now, needed = value.now, value.turns_at
        turns = not isinstance(needed, str)
        texts = [plan.text(value.name, now, 4)]
        texts.append(plan.text(value.name, needed, 4) if turns else needed)
        change = f"{value.change:+.1%}" if now and turns else ""
        made.add_row(safe(plan.label(value.name)), *texts, change)
    return made


def _remarks(screen, judgement, complete):
    if complete:
        screen.print(safe(checks_line({**judgement.checks, "failures": []})))
    for warning in judgement.warnings:
        screen.print(f"Warning: {safe(warning)}", style="yellow")


def _turning(screen, plan):
    """Tell which figures alone turn the verdict, of all that a risk analysis varies."""
    labels = [safe(plan.label(name)) for name in plan.turning()]
    if not labels:
        screen.print(
            "Nothing to measure next: no single figure within its range turns the "
            "verdict."
        )
        return
    more = f" and {len(labels) - NAMED} more" if len(labels) > NAMED else ""
    named = "; ".join(labels[:NAMED])
    screen.print(f"Figures that alone turn the verdict, within range: {named}{more}.")


def _measure_next(screen, plan):
    ranked = plan.worth_measuring()
    if not ranked or not plan.turning():
        return
    made = table("Measure next", "Low", "High", "NPV changes by", right=(1, 2, 3))
    for name, row in list(ranked.items())[:3]:
        ends = [plan.text(name, row[end], 4) for end in ("low", "high")]
        change = plan.text("net_present_value", abs(row["change"]))
        made.add_row(safe(row["label"]), *ends, change)
    screen.print()
    screen.print(made)
    if not plan.ranges.keys() >= set(list(ranked)[:3]):
        screen.print(
            "A low or high that you did not enter is an estimate. Enter Your low and "
            "Your high on the sheet Inputs; a status of measured takes a figure off "
            "this list.",
            style="dim",
        )
    screen.print()
