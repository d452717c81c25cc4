"""What the terminal shows of a risk analysis."""

from .screen import console, safe, table

QUANTILES = ("net_present_value", "margin_per_ton", "life_cash", "peak_funding")
BARS = 8
RANKED = 10
NPV = "net_present_value"


def show_report(report, plan):
    """Print a report for people.

    Parameters
    ----------
    report : Report
    plan : Plan
        It knows labels and units.
    """
    screen = console()
    claim = safe(plan.inputs["claim_name"] or "The claim")
    first, *rest = report.summary()
    screen.print(f"\n[bold]{claim}[/bold]: {safe(first)}\n")
    for sentence in rest:
        screen.print(f"  {safe(sentence)}")
    tables = [
        _quantiles(report, plan),
        _effects(report, plan),
        _shares(report),
        _contracts(report, plan),
        *(_information(*item) for item in report.value_of_information.items()),
    ]
    for shown in tables:
        screen.print()
        screen.print(shown)
    screen.print()
    *method, caution = report.method()
    for sentence in method:
        screen.print(safe(sentence))
    screen.print(safe(caution), style="dim")


def _quantiles(report, plan):
    made = table("Result", "P10", "Median", "P90", "SE of median", right=range(1, 5))
    figures = report.risk.figures
    names = list(QUANTILES)
    if "internal_rate_p50" in figures:
        names.append("internal_rate")
    for name in names:
        texts = [plan.text(name, figures[f"{name}_p{p}"].value) for p in (10, 50, 90)]
        error = plan.text(name, figures[f"{name}_p50"].error)
        made.add_row(safe(plan.label(name)), *texts, error)
    name = "payback_month"
    texts = [plan.text(name, figures[f"{name}_p{p}"].value) for p in (10, 50, 90)]
    made.add_row(safe(plan.label(name)), *texts, "")
    return made


def _effects(report, plan):
    heads = ("One input at a time", "Low", "High", "NPV at low", "NPV at high", "")
    made = table(*heads, right=range(1, 5))
    effects = report.risk.ranked[:RANKED]
    most = max((effect.size(NPV) for effect in effects), default=0) or 1
    for effect in effects:
        ends = [plan.text(effect.name, end, 4) for end in (effect.low, effect.high)]
        worth = [plan.text(NPV, at[NPV]) for at in (effect.at_low, effect.at_high)]
        bar = "■" * max(1, round(BARS * effect.size(NPV) / most))
        made.add_row(safe(plan.label(effect.name)), *ends, *worth, bar)
    return made


def _shares(report):
    heads = ("Sobol' index of NPV", "First-order", "SE", "Total", "SE")
    made = table(*heads, right=range(1, 5))
    for index in report.sobol_indices[:RANKED]:
        row = (index.first_order, index.first_order_error)
        row += (index.total, index.total_error)
        texts = [f"{100 * value:.1f}%" for value in row]
        made.add_row(safe(report.index_label(index)), *texts)
    return made


def _contracts(report, plan):
    heads = ("Milling contract: margin", "P10", "Median", "P90", "P(loss)")
    made = table(*heads, right=range(1, 5))
    agreed = plan.inputs["contract_kind"]
    for kind, sides in report.contracts.items():
        for side, how in sides.items():
            texts = [
                plan.text("margin_per_ton", figure.value)
                for figure in (how.p10, how.p50, how.p90)
            ]
            label = f"{kind}{' (agreed)' if kind == agreed else ''}: {side}"
            made.add_row(safe(label), *texts, f"{100 * how.loss.value:.1f}%")
    return made


def _information(what, value):
    heads = (f"Value of information: additional {what}", "Gain", "Cost", "Net gain")
    made = table(*heads, right=range(1, 4))
    rows = zip(value.counts, value.gains, value.costs, value.net, strict=True)
    for count, *sums in rows:
        mark = "  optimum" if count == value.best else ""
        made.add_row(f"{count}{mark}", *map(_dollars, sums))
    made.add_row("Perfect information", _dollars(value.perfect_information), "", "")
    return made


def _dollars(value):
    if value != value:
        return "n/a"
    return f"{'-' if round(value) < 0 else ''}${abs(value):,.0f}"
