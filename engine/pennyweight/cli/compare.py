"""``pennyweight compare``: comparison of two workbooks."""

from pathlib import Path

import typer

from ..errors import WorkbookError
from .arguments import ForceOption, JsonOption, argument, output_option
from .inspect import finding_line, show_inspection
from .screen import console, counting, echo_json, safe, table

MOST_SHOWN = 40


def compare(
    mine: argument(Path, "The workbook that you sent.", metavar="MINE"),
    theirs: argument(Path, "The workbook that came back.", metavar="THEIRS"),
    output: output_option(Path | None, "Write the comparison as a workbook.") = None,
    force: ForceOption = False,
    as_json: JsonOption = False,
):
    """Compare two workbooks: what changed, and the effect of each change."""
    from ..opening import read

    try:
        first, second = read(mine), read(theirs)
    except WorkbookError:
        if not as_json:
            _show_changed_inputs(mine, theirs)
        raise
    for plan in (first, second):
        output and plan.may_write(output, force)
    with counting("Combinations of changes calculated") as progress:
        comparison = first.compare(second, progress)
    if output:
        comparison.write(output, force)
    if as_json:
        echo_json(comparison.to_dict())
        return
    show_comparison(comparison, first)
    if output:
        typer.echo(f"Written: {output}")


def _show_changed_inputs(mine, theirs):
    """Print which inputs differ where a workbook has entries that cannot be used."""
    from ..opening import changed_inputs

    try:
        changes = changed_inputs(mine, theirs)
    except WorkbookError:
        return  # the error that follows says why
    values = table("Changed", "Cell", "Before", "After", right=(2, 3))
    for change in changes:
        texts = (_end(*end) for end in change.ends)
        values.add_row(safe(change.label), change.place, *map(safe, texts))
    console().print(values, "No effect is known until each entry can be used.")


def show_comparison(comparison, plan):
    """Print a comparison for people.

    Parameters
    ----------
    comparison : Comparison
    plan : Plan
        The first; it has labels and units.
    """
    screen = console()
    words = ("Before", "After")
    screen.print()
    for ends in zip(words, comparison.files, comparison.verdicts, strict=True):
        screen.print("{} ({}): [bold]{}[/]".format(*map(safe, ends)))
    screen.print()
    for note in comparison.notes:
        screen.print(safe(note))
    if comparison.changes:
        _changes(screen, comparison, plan)
    else:
        beside = "figure differs; ranges, statuses or bases do: see below"
        screen.print(f"No {beside if comparison.remarks else 'input differs'}.")
    screen.print()
    screen.print(_results(comparison, plan))
    screen.print()
    for remark in comparison.remarks[:MOST_SHOWN]:
        text = f"{remark.label}, {remark.what}: {remark.before!r} is now"
        screen.print(f"  {safe(text)} {safe(repr(remark.after))}")
    if any(remark.what == "range" for remark in comparison.remarks):
        screen.print("Ranges move the odds: run pennyweight risk on the workbook.")
    if comparison.remarks:
        screen.print()
    _findings(screen, comparison)
    # The changed inputs are in the tables above.
    show_inspection(comparison.inspection, screen, inputs=False)


def _changes(screen, comparison, plan):
    figures = [c for c in comparison.changes if not _is_text(plan, c)]
    values = table("Changed", "Cell", "Before", "After", right=(2, 3))
    (main, short), (other, other_short) = comparison.money.items()
    effects = table(
        "Effect of each change", f"{short} alone", f"{short} share", right=(1, 2, 3)
    )
    effects.add_column(f"{other_short} share", justify="right", no_wrap=True)
    idle = []
    for change in figures:
        mark = " *" if comparison.turns(change.name) else ""
        texts = (_end(plan.text(change.name, v), own) for v, own in change.ends)
        values.add_row(safe(change.label) + mark, change.place, *map(safe, texts))
        found = comparison.effect(change.name, main)
        money = [_signed(plan, main, value) for value in found]
        money.append(_signed(plan, other, comparison.effect(change.name, other)[1]))
        if all(map(_is_zero, money)):
            idle.append(change.label)
        else:
            effects.add_row(safe(change.label) + mark, *money)
    for shown in (values, effects):
        if shown.row_count:
            screen.print(shown)
            screen.print()
    if idle:
        more = f" and {len(idle) - MOST_SHOWN} more" * (len(idle) > MOST_SHOWN)
        named = "; ".join(idle[:MOST_SHOWN])
        screen.print(safe(f"Without effect on either figure: {named}{more}."))
    for change in comparison.changes:
        if change not in figures:
            before, after = (repr(v) if v else "empty" for v, _ in change.ends)
            text = f"{change.label} ({change.place}): {before} is now {after}"
            screen.print(safe(text))
    if comparison.on_empty:
        screen.print(comparison.on_empty)
    _explain(screen, comparison, plan)


def _end(text, estimated):
    """A value; for an empty cell, the estimate in brackets."""
    return f"empty ({text})" if estimated else text


def _is_text(plan, change):
    """Whether a change is of a text that the model does not read."""
    return isinstance(change.before, str) and not plan.choices(change.name)


def _signed(plan, name, value):
    if value is None:
        return ""
    length = "life_months" if name == "payback_month" else name
    text = plan.text(length, value).replace("% per year", "%").replace("%", " points")
    return ("+" if value > 0 and not _is_zero(text) else "") + text


def _is_zero(text):
    """Whether a figure is zero as shown."""
    return text != "" and not any(digit in text for digit in "123456789")


def _explain(screen, comparison, plan):
    """Print how the shares were calculated, and their limits."""
    if any(comparison.turns(change.name) for change in comparison.changes):
        screen.print("* changes the verdict alone.")
    if comparison.shares is None:
        if comparison.no_shares:
            screen.print(safe(comparison.no_shares), style="yellow")
        return
    screen.print(f"Shares {safe(comparison.basis)}.", style="dim")
    if not comparison.shares.exact:
        main, short = next(iter(comparison.money.items()))
        most = max(
            comparison.standard_error(name, main) for name in comparison.shares.names
        )
        text = f"Standard error, {short} share: up to {plan.text(main, most)}."
        screen.print(text)
    for name, others in comparison.shares.together.items():
        labels = " and ".join(plan.label(n) for n in (name, *others))
        screen.print(f"Only together: {safe(labels)}; counted as one change.")
    for name, part in comparison.to_dict()["without_answer"].items():
        screen.print(
            f"{safe(plan.label(name))}: n/a in {100 * part:.3g}% of the combinations, "
            "so it is not divided among the changes."
        )


def _results(comparison, plan):
    heads = ["Result", "Before", "After", "Change"]
    if comparison.shown:
        heads.append("Shown in second")
    made = table(*heads, right=range(1, len(heads)))
    for name, before in comparison.before.items():
        after = comparison.after[name]
        change = None if None in (before, after) else after - before
        row = [plan.text(name, value) for value in (before, after)]
        row.append(_signed(plan, name, change))
        if comparison.shown:
            there = comparison.shown.get(name)
            row.append(plan.text(name, there) if there is not None else "")
        made.add_row(safe(plan.label(name)), *row)
    return made


def _findings(screen, comparison):
    old = len(comparison.inspection.findings) - len(comparison.added)
    stale = sum(f.kind == "stored value" for f in comparison.inspection.findings)
    if old - stale > 0:
        screen.print(f"{old - stale} of the findings below are in your workbook, too.")
    for finding in comparison.gone[:MOST_SHOWN]:
        screen.print(f"In your workbook only: {finding_line(finding)}", soft_wrap=True)
