"""Questions for the must-haves: ``pennyweight new --ask``."""

import re

import typer

from ..errors import BadValue, CallError, plain

THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+(\.\d*)?")


def ask_must_haves(plan):
    """Ask for the claim's name, who mills the ore, and each must-have.

    Ctrl-C or the end of the input ends the questions; the answers are kept.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    plan : Plan
        With the answers.
    """
    typer.echo("The estimate is in brackets. Press Enter to leave a figure missing.")
    typer.echo("Press Ctrl-C to stop; your answers are kept.\n")
    asked, job = set(), plan.inputs["job"]
    jobs = {
        "claim_name": ("everything", "claim", "test"),
        "ore_milled_by": ("everything", "claim"),
    }
    try:
        for name, wanted in jobs.items():
            if job in wanted and name not in plan.given:
                plan = _ask(plan, name)
        while names := [name for name in plan.must_haves() if name not in asked]:
            asked.add(names[0])
            plan = _ask(plan, names[0])
    except (KeyboardInterrupt, EOFError):
        typer.echo("\n")
    return plan


def _ask(plan, name):
    """The plan with the answer to one question, asked until it can be used."""
    choices = plan.choices(name)
    for number, choice in enumerate(choices, 1):
        typer.echo(f"  {number} {choice}")
    while True:
        typed = input(_question(plan, name)).strip()
        if not typed:
            return plan
        try:
            return plan.change({name: _value(plan, name, typed, choices)})
        except (BadValue, CallError) as error:
            typer.echo(plain(error))


def _question(plan, name):
    unit, choices = plan.unit(name), plan.choices(name)
    if choices:
        unit = f"1 to {len(choices)}"
    elif unit.startswith("%"):
        unit = unit.replace("%", "percent", 1)
    label = f"{plan.label(name)}{', ' if unit else ''}{unit}"
    estimate = plan.text(name, plan.inputs[name])
    return f"{label} [{estimate}]: " if estimate else f"{label} (Enter to skip): "


def _value(plan, name, typed, choices):
    """The typed answer as a value of the input; invalid text is left for the check."""
    if choices:
        chosen = typed.isdecimal() and 1 <= int(typed) <= len(choices)
        return choices[int(typed) - 1] if chosen else typed
    if isinstance(plan.inputs[name], str):
        return typed
    percent = typed.endswith("%")
    sign = plan.money_sign
    unit = plan.unit(name).removeprefix(sign)
    bare = typed.removesuffix("%").removesuffix(unit).removeprefix(sign).strip()
    number = _number(bare)
    if number is None:
        return typed
    if plan.unit(name).startswith("%"):
        return _share(plan, name, number, percent)
    return typed if percent else number


def _number(typed):
    typed = typed.replace(",", "") if THOUSANDS.fullmatch(typed) else typed
    try:
        return float(typed)
    except ValueError:
        return None


def _share(plan, name, number, percent):
    """A share typed as 4 or 4%, or as 0.04 if that can only mean 4%."""
    if percent or not 0 < number < 1:
        return number / 100
    readings = [value for value in (number, number / 100) if _fits(plan, name, value)]
    if len(readings) != 1:
        both = " or ".join(plan.text(name, value) for value in (number, number / 100))
        raise CallError(
            f"{plan.label(name)}: {number:g} may be {both}. Type it with the sign %."
        )
    return readings[0]


def _fits(plan, name, value):
    try:
        plan.change({name: value})
    except BadValue:
        return False
    return True
