"""What the terminal shows of a risk analysis."""

import numpy as np
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..model.inputs import INPUTS, amount
from ..model.mill import MODEL
from ..model.units import shown
from ..risk.report import group_label
from ..risk.sentences import (
    caution,
    funding,
    main_results,
    method,
    percent,
    probability_of_paying,
)

QUANTILES = ("net_present_value", "margin_per_ton", "life_cash", "peak_funding")
BARS = 10
RANKED = 10


def show_report(report):
    """Print a report for people.

    Parameters
    ----------
    report : risk.report.Report
    """
    console = Console(highlight=False)
    claim = escape(report.study.inputs["claim_name"] or "The claim")
    console.print(f"\n[bold]{claim}[/bold]: {probability_of_paying(report)}\n")
    for sentence in (*main_results(report), funding(report)):
        console.print(f"  {escape(sentence)}")
    console.print()
    console.print(_quantiles(report))
    console.print()
    console.print(_effects(report))
    console.print()
    console.print(_shares(report))
    console.print()
    console.print(_contracts(report))
    for what, value in report.value_of_information.items():
        console.print()
        console.print(_information(what, value))
    console.print()
    for sentence in method(report):
        console.print(escape(sentence))
    console.print(caution(), style="dim")


def _table(*heads):
    table = Table(box=None, pad_edge=False, padding=(0, 1))
    for place, head in enumerate(heads):
        table.add_column(head, justify="right" if place and head else "left")
    return table


def _number(value, digits=0):
    return "n/a" if np.isnan(value) else f"{value:,.{digits}f}"


def _quantiles(report):
    table = _table("Result", "P10", "Median", "P90", "SE of median", "")
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
        "One input at a time",
        "Low",
        "High",
        "NPV at low, $1,000",
        "NPV at high, $1,000",
        "",
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
    table = _table("Sobol' index of NPV", "First-order", "SE", "Total", "SE")
    for index in report.sobol_indices[:RANKED]:
        row = (index.first_order, index.first_order_error)
        row += (index.total, index.total_error)
        texts = [f"{100 * value:.1f}%" for value in row]
        table.add_row(escape(group_label(index)), *texts)
    return table


def _contracts(report):
    unit = shown("$/ton", report.study.units)
    heads = ("P10", "Median", "P90", "P(loss)")
    table = _table(f"Milling contract: margin, {unit}", *heads)
    agreed = report.study.inputs["contract_kind"]
    for kind, sides in report.contracts.items():
        for side, how in sides.items():
            row = [_number(figure.value, 2) for figure in (how.p10, how.p50, how.p90)]
            label = f"{kind}{' (agreed)' if kind == agreed else ''}: {side}"
            table.add_row(label, *row, percent(how.loss.value))
    return table


def _information(what, value):
    title = f"Value of information: additional {what}, $"
    table = _table(title, "Gain", "Cost", "Net gain")
    rows = zip(value.counts, value.gains, value.costs, value.net, strict=True)
    for count, gain, cost, net in rows:
        mark = "  optimum" if count == value.best else ""
        table.add_row(f"{count}{mark}", *(_number(v) for v in (gain, cost, net)))
    table.add_row("Perfect information", _number(value.perfect_information), "", "")
    return table
