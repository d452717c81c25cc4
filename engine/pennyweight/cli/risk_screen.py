"""What the terminal shows of a claim's chances."""

import numpy as np
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..model.inputs import INPUTS, amount
from ..model.mill import MODEL
from ..model.units import shown
from ..risk.report import share_label
from ..risk.sentences import (
    caution,
    chances,
    judged,
    money_at_hand,
    percent,
    trials_told,
)

QUANTILES = ("net_present_value", "margin_per_ton", "life_cash", "peak_funding")
BARS = 10
RANKED = 10


def show_report(report):
    """Print a report for people.

    Parameters
    ----------
    report : chance.report.Report
    """
    console = Console(highlight=False)
    claim = escape(report.study.inputs["claim_name"] or "The claim")
    console.print(f"\n[bold]{claim}[/bold]: {escape(judged(report))}\n")
    for sentence in (*chances(report), money_at_hand(report)):
        console.print(f"  {escape(sentence)}")
    console.print()
    console.print(_quantiles(report))
    console.print()
    console.print(_effects(report))
    console.print()
    console.print(_shares(report))
    console.print()
    console.print(_contracts(report))
    for what, knowing in report.knowing.items():
        console.print()
        console.print(_knowing(what, knowing))
    console.print()
    for sentence in trials_told(report):
        console.print(escape(sentence))
    console.print(caution(), style="dim")


def _table(*heads):
    table = Table(box=None, pad_edge=False, padding=(0, 1))
    for place, head in enumerate(heads):
        table.add_column(head, justify="right" if place and head else "left")
    return table


def _number(value, digits=0):
    return "none" if np.isnan(value) else f"{value:,.{digits}f}"


def _quantiles(report):
    table = _table("", "1 in 10 below", "half below", "9 in 10 below", "± half", "")
    figures, units = report.risk.figures, report.study.units
    names = list(QUANTILES)
    if "internal_rate_p50" in figures:
        names.append("internal_rate")
    for name in names:
        digits = {"margin_per_ton": 2, "internal_rate": 3}.get(name, 0)
        row = [_number(figures[f"{name}_p{p}"].value, digits) for p in (10, 50, 90)]
        error = _number(figures[f"{name}_p50"].error, digits)
        unit = shown(MODEL.lines[name].unit, units)
        table.add_row(MODEL.lines[name].label, *row, error, unit)
    row = [_number(figures[f"payback_month_p{p}"].value) for p in (10, 50, 90)]
    table.add_row(MODEL.lines["payback_month"].label, *row, "", "month")
    return table


def _effects(report):
    table = _table(
        "Moved alone, NPV in thousands", "from", "to", "at low", "at high", ""
    )
    effects, units = report.risk.ranked[:RANKED], report.study.units
    most = max((e.size("net_present_value") for e in effects), default=0) or 1
    for effect in effects:
        entry = INPUTS[effect.name]
        size = effect.size("net_present_value")
        table.add_row(
            escape(entry.label),
            amount(effect.low, entry, units, 4),
            amount(effect.high, entry, units, 4),
            _number(effect.at_low["net_present_value"] / 1000),
            _number(effect.at_high["net_present_value"] / 1000),
            _bar(size / most),
        )
    return table


def _bar(share):
    return "■" * max(1, round(BARS * share))


def _shares(report):
    table = _table("Share of the variance of NPV", "alone", "± ", "in all", "± ")
    for share in report.shares[:RANKED]:
        row = (share.alone, share.alone_error, share.total, share.total_error)
        texts = [f"{100 * value:.1f} %" for value in row]
        table.add_row(escape(share_label(share)), *texts)
    return table


def _contracts(report):
    unit = shown("$/ton", report.study.units)
    heads = ("1 in 10 below", "half below", "9 in 10 below", "loses")
    table = _table(f"Contract, margin in {unit}", *heads)
    agreed = report.study.inputs["contract_kind"]
    for kind, sides in report.contracts.items():
        for side, how in sides.items():
            row = [_number(figure.value, 2) for figure in (how.p10, how.p50, how.p90)]
            label = f"{kind}{' (agreed)' if kind == agreed else ''}: {side}"
            table.add_row(label, *row, percent(how.loses.value))
    return table


def _knowing(what, knowing):
    table = _table(f"More {what} before the capital", "gain", "cost", "net")
    rows = zip(knowing.counts, knowing.gains, knowing.costs, knowing.net, strict=True)
    for count, gain, cost, net in rows:
        mark = "  best" if count == knowing.best else ""
        table.add_row(f"{count}{mark}", *(_number(v) for v in (gain, cost, net)))
    table.add_row("knowing it exactly", _number(knowing.perfect), "", "")
    return table
