"""Tables of a risk analysis, for the terminal and a sheet."""

import numpy as np

from ..model.figures import NO_ANSWER, money
from ..model.jobs import CLAIM
from .figures import MONEY

LABORATORY_ONLY = "Cost: the laboratory's fee alone, without cutting the sample"
BARS = 8
RANKED = 10
"""Inputs shown in a table of effects."""
NPV = "net_present_value"


def tables(report, plan):
    """Heads and rows of each table, all in text.

    Parameters
    ----------
    report : Report
    plan : Plan
        Source of labels and units.

    Returns
    -------
    tables : list of (tuple of str, list of list of str)
    """
    effects = effects_table(report.risk.ranked, plan, NPV, "NPV")
    found = [_quantiles(report, plan), effects, _shares(report)]
    if plan.inputs["job"] != CLAIM:
        found.append(contracts_table(report, plan))
    for what, value in report.value_of_information.items():
        found.append(_information(what, value, report))
    return found


def as_rows(report, plan):
    """A whole report as rows for a sheet: sentences, tables, method."""
    found = [[sentence] for sentence in report.summary()]
    for heads, body in report.tables(plan):
        found += [[], list(heads), *body]
    return [*found, [], *([sentence] for sentence in report.method())]


def _quantiles(report, plan):
    figures = report.risk.figures
    names = list(MONEY)
    if "internal_rate_p50" in figures:
        names.append("internal_rate")
    found = []
    for name in (*names, "payback_month"):
        texts = [plan.text(name, figures[f"{name}_p{p}"].value) for p in (10, 50, 90)]
        error = plan.text(name, figures[f"{name}_p50"].error) if name in names else ""
        found.append([plan.label(name), *texts, error])
    return ("Result", "P10", "Median", "P90", "SE of median"), found


def effects_table(ranked, plan, result, short):
    """Inputs with the largest effects on a result, whose short name is given."""
    effects = ranked[:RANKED]
    most = max((effect.size(result) for effect in effects), default=0) or 1
    found = []
    for effect in effects:
        ends = [plan.text(effect.name, end, 4) for end in (effect.low, effect.high)]
        at_ends = (effect.at_low[result], effect.at_high[result])
        texts = [plan.text(result, value) for value in at_ends]
        bar = "■" * max(1, round(BARS * effect.size(result) / most))
        found.append([plan.label(effect.name), *ends, *texts, bar])
    ends = f"{short} at low", f"{short} at high"
    return ("One input at a time", "Low", "High", *ends, ""), found


def _shares(report):
    found = []
    for index in report.sobol_indices[:RANKED]:
        row = (index.first_order, index.first_order_error)
        row += (index.total, index.total_error)
        found.append([index.label, *(f"{100 * v:.1f}%" for v in row)])
    return ("Sobol' index of NPV", "First-order", "SE", "Total", "SE"), found


def contracts_table(report, plan):
    """Both parties' margin per ton under each contract type."""
    agreed = plan.inputs["contract_kind"]
    found = []
    for kind, sides in report.contracts.items():
        for side, margins in sides.items():
            texts = [
                plan.text("margin_per_ton", figure.value)
                for figure in (margins.p10, margins.p50, margins.p90)
            ]
            label = f"{kind}{' (agreed)' if kind == agreed else ''}: {side}"
            found.append([label, *texts, f"{100 * margins.loss.value:.1f}%"])
    return ("Milling contract: margin", "P10", "Median", "P90", "P(loss)"), found


def _information(what, value, report):
    found = []
    for count, *sums in zip(
        value.counts, value.gains, value.costs, value.net, strict=True
    ):
        found.append([f"{count}  {value.mark(count)}".rstrip(), *map(_dollars, sums)])
    found.append(["Perfect information", _dollars(value.perfect_information), "", ""])
    if np.isnan(value.costs).all():
        found.append(["For the net gain, give the lot cost", "", "", ""])
    found.append([note_on(what, report), "", "", ""])
    heads = (f"Value of information: additional {what}", "Gain", "Cost", "Net gain")
    return heads, found


def note_on(what, report):
    """What the value of more assays or test lots counts, and what it leaves out."""
    if what != "assays":
        return "Of recovery only; a test lot measures the grade, too"
    cost = report.value_of_information[what].costs[0]
    laboratory = cost == report.study.inputs["assay_price"]
    return (
        LABORATORY_ONLY if laboratory else "Cost per sample as given, with cutting it"
    )


def _dollars(value):
    return money(value, 0) if value == value else NO_ANSWER
