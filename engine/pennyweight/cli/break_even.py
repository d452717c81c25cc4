"""``pennyweight break-even``: the input value at which a result reaches a target."""

from .arguments import BookArgument, JsonOption, argument, number_or_share, option
from .screen import console, echo_json, opened, safe, say_look_again, say_stand_ins


def break_even(
    book: BookArgument,
    moved: argument(str, "Name or label of an input.", metavar="INPUT"),
    result: option(
        str | None,
        "Name or label of a result; the main one when left out.",
        "--of",
        metavar="RESULT",
    ) = None,
    target: option(
        float | None,
        "Target value of the result, such as 12.5 or 85%. Without it 0, or for a "
        "mill's capacity the throughput required.",
        "--at",
        parser=number_or_share,
        metavar="TARGET",
    ) = None,
    as_json: JsonOption = False,
):
    """Find the input value at which a result reaches a target."""
    plan = opened(book)
    found = plan.break_even(moved, result, target)
    say_stand_ins(plan.stand_ins, as_json)
    say_look_again(plan.judge().look_again, as_json)
    if as_json:
        echo_json(found.to_dict(plan.units))
    else:
        show_break_even(found, plan)


def show_break_even(found, plan):
    """Print the break-even values of an input.

    Parameters
    ----------
    found : BreakEven
    plan : Plan
    """
    screen = console()
    screen.print(safe(found.sentence(plan.units)))
    label = safe(plan.label(found.name))
    if not found.used:
        screen.print(f"The plan does not use {label} for this result.")
    elif found.without_effect:
        screen.print(
            f"{label} moves this result under other choices only, or past a limit that "
            "no value tried reaches."
        )
    if found.jumps:
        screen.print(
            "A result jumps where the work ends a month sooner or later, or where "
            "another limit or choice takes over."
        )
    if found.note:
        screen.print(safe(found.note))
    now = plan.text(found.result, found.result_now)
    at = plan.text(found.name, found.now)
    screen.print(f"Base case: {safe(plan.label(found.result))} is {now} at {at}.")
