"""``pennyweight season``: which lots to mill, in what order, when, at what grind."""

from pathlib import Path

import typer

from .arguments import BookArgument, ForceOption, JsonOption, OptionalOutput, option
from .screen import (
    console,
    counting,
    echo_json,
    opened,
    safe,
    say_currency,
    say_look_again,
    say_stand_ins,
    table,
)

NO_LIMIT = {"show_default": "no limit"}


def season(
    book: BookArgument,
    lots: option(Path, "Lots wanted, a line for each.", metavar="LOTS.csv"),
    output: OptionalOutput = None,
    grinds: option(
        str, "Product sizes to try, µm; default: the plan's.", metavar="P80,P80"
    ) = "",
    start: option(
        str, "First day, 2026-04-01; default: see the page on seasons.", metavar="DATE"
    ) = "",
    closed: option(
        list[str] | None, "Day without work; may be repeated.", metavar="DATE"
    ) = None,
    reserve: option(float, "Share of hours kept for breakdowns.") = 0.0,
    owner_hours: option(float, "Clean-up hours between owners.") = 0.0,
    storage: option(
        float, "Wet ore that may wait at the mill, in the workbook's tons.", **NO_LIMIT
    ) = float("inf"),
    tailings_room: option(
        float, "Room for dry tailings, in the workbook's tons.", **NO_LIMIT
    ) = float("inf"),
    cash: option(float, "Cash at the start, $.", **NO_LIMIT) = float("inf"),
    freeze: option(float, "Working days whose planned lots stay.") = 0.0,
    keep: option(float, "Least gain, $, for moving a planned lot.") = 0.0,
    seconds: option(float, "Time limit, seconds.") = 60.0,
    chance: option(
        int, "Random trials of the plan; none when left out.", metavar="DRAWS"
    ) = 0,
    cases: option(
        Path | None,
        "Table as for cases: what a second shift or a bigger mill adds.",
        metavar="CASES.csv",
    ) = None,
    force: ForceOption = False,
    as_json: JsonOption = False,
):
    """Plan a season: which lots to mill, when, at what grind."""
    plan = opened(book)
    say_currency(plan)
    if output:
        plan.may_write(output, force)
    options = {
        "grinds": _sizes(grinds),
        "start": start or None,
        "closed": tuple(closed or ()),
        "reserve": reserve,
        "owner_hours": owner_hours,
        "storage": storage,
        "tailings_room": tailings_room,
        "cash": cash,
        "freeze_days": freeze,
        "keep_bonus": keep,
        "seconds": seconds,
    }
    with counting("Planning the season, seconds") as progress:
        found = plan.season(lots, progress=progress, **options)
        compared = plan.season_cases(lots, cases, **options) if cases else None
    say_stand_ins(found.stand_ins, as_json)
    say_look_again(found.look_again, as_json)
    risk = found.under_chance(chance) if chance else None
    if as_json:
        answer = {**found.to_dict(), **(risk.to_dict() if risk else {})}
        if compared is not None:
            answer["cases"] = compared.to_dict("index")
        echo_json(answer)
    else:
        _show(found, plan)
        if risk:
            _show_chance(risk)
        if compared is not None:
            _show_cases(compared)
    if output:
        written = plan.write_season(found, output, force)
        typer.echo(f"Written: {written}", err=as_json)


def _sizes(text):
    from ..errors import CallError

    try:
        return tuple(float(word) for word in text.split(",") if word.strip())
    except ValueError:
        raise CallError(
            f"--grinds {text}: these are not product sizes. Enter P80 in µm, for "
            "example 200,250,320."
        ) from None


def _show(found, plan):
    screen = console()
    total = plan.text("net_present_value", found.contribution)
    screen.print(
        f"Contribution of the season: {total} from {len(found.plan)} lots, "
        f"{found.hours_used:.0%} of the mill hours."
    )
    if found.clean_up_note:
        screen.print(found.clean_up_note)
    screen.print(found.not_counted)
    screen.print(f"{found.proof} Money is in $.")
    first = found.calendar.days[0]
    screen.print(f"First working day: {_day(first)} {first.year}.\n")
    _show_plan(found, plan, screen)
    _show_left_out(found, screen)
    _show_worth(found, screen)
    _show_cash(found, screen)
    screen.print("\nSimple rules, contribution")
    for name, money in found.rules.items():
        text = plan.text("net_present_value", money)
        less = plan.text("net_present_value", found.contribution - money)
        as_good = round(found.contribution - money) == 0
        gap = "as much as this plan" if as_good else f"{less} less than this plan"
        screen.print(f"  {name}: {text}; {gap}")


def _show_plan(found, plan, screen):
    tons = "Dry t" if plan.units == "metric" else "Dry\ntons"
    late = "Working\ndays\nlate"
    rows = list(found.plan.itertuples())
    columns = {
        "Start": [_day(row.start) for row in rows],
        "Finish": [_day(row.finish) for row in rows],
        late: [f"{row.days_late:,.2f}" if row.days_late else "" for row in rows],
        "P80,\nµm": [f"{row.p80:,.0f}" for row in rows],
        tons: [f"{row.tons:,.1f}" for row in rows],
        "Mill\nhours": [f"{row.hours:,.0f}" for row in rows],
        "Contribution": [f"{row.contribution:,.0f}" for row in rows],
        "Per\nhour": [f"{row.per_hour:,.0f}" for row in rows],
    }
    if not any(columns[late]):
        del columns[late]
    shown = table("Lot", *columns, right=range(1, 9))
    for row, *texts in zip(rows, *columns.values(), strict=True):
        shown.add_row(safe(row.lot), *texts)
    screen.print(shown)


def _show_left_out(found, screen):
    if found.left_out.empty:
        return
    screen.print("\nLots left out; contribution in $")
    shown = table("Lot", "Hours", "Contribution", "Reason", right=(1, 2))
    shown.columns[0].no_wrap = True
    for row in found.left_out.itertuples():
        money = f"{row.contribution:,.0f}"
        shown.add_row(safe(row.lot), f"{row.hours:,.1f}", money, row.reason)
    screen.print(shown)


def _day(date):
    return f"{date.day} {date:%b}"


def _show_worth(found, screen):
    screen.print("\nWhat a mill hour is worth, $")
    shown = table(
        "Month", "In a week more", "In a week less", "Average", right=(1, 2, 3)
    )
    for row in found.hour_worth.itertuples():
        worth = (row.hour_more, row.hour_less, row.relaxation)
        texts = ("n/a" if value != value else f"{value:,.0f}" for value in worth)
        shown.add_row(row.month, *texts)
    screen.print(shown)
    screen.print(found.hour_note)


def _show_cash(found, screen):
    if found.cash.empty:
        return
    screen.print("\nCash, $")
    heads = ("Received\nby start", "Spent at\nstart", "Left", "Paid for\nit later")
    shown = table("Lot", *heads, "Waits", right=range(1, 5))
    shown.columns[0].no_wrap = True
    left = found.options.cash
    shown.add_row("Cash in hand", "", "", f"{left:,.0f}")
    for row in found.cash.itertuples():
        money = (row.received, row.spent, row.cash, row.charges + row.metal)
        shown.add_row(safe(row.lot), *(f"{n:,.0f}" for n in money), safe(row.waits))
        left = row.cash
    end = found.cash_end
    shown.add_row("End, all paid", f"{end - left:,.0f}", "", f"{end:,.0f}")
    screen.print(shown)
    for sentence in (*found.cash_notes, *found.more_cash):
        screen.print(sentence)


def _show_chance(risk):
    screen = console()
    screen.print(f"\nContribution in {risk.draws:,} draws, $")
    shown = table("", "P10", "Median", "P90", "This plan is better", right=range(1, 5))
    for row in risk.contribution.itertuples():
        text = f"{row.beaten:.0%}" if row.Index else ""
        points = (f"{value:,.0f}" for value in (row.p10, row.p50, row.p90))
        shown.add_row(row.rule, *points, text)
    screen.print(shown)
    screen.print("\nChance of each lot")
    finish = "Finish, P10", "Median", "P90"
    shown = table("Lot", "Milled", "In time", *finish, right=range(1, 6))
    for row in risk.lots.itertuples():
        in_time = "" if row.in_time != row.in_time else f"{row.in_time:.0%}"
        days = (_day(day) for day in (row.finish_p10, row.finish_p50, row.finish_p90))
        shown.add_row(safe(row.lot), f"{row.milled:.0%}", in_time, *days)
    screen.print(shown)


def _show_cases(compared):
    screen = console()
    screen.print("\nThe season in other cases, before the cost of the change, $")
    shown = table("", "Contribution", "More", "Lots", "Hours used", right=range(1, 5))
    for case, row in compared.iterrows():
        money = (f"{row[name]:,.0f}" for name in ("contribution", "difference"))
        counts = f"{row['lots']:.0f}", f"{row['hours_used']:.0%}"
        shown.add_row(safe(case), *money, *counts)
    screen.print(shown)
