"""What the trials say, in sentences."""

import numpy as np

from ..model.inputs import INPUTS
from . import price
from .draws import SCRAMBLES
from .figures import ENOUGH_CHANCE, ENOUGH_RANGE, WORST


def percent(share, error=None):
    """A chance with its standard error."""
    text = f"{100 * share:.1f} %"
    return text if error is None else f"{text} ± {100 * error:.1f}"


def judged(report):
    """One line: the chance that the claim pays."""
    pays = report.risk.figures["pays"]
    return f"it pays in {percent(pays.value, pays.error)} of the trials"


def chances(report):
    """What the chances are, and how bad it may be."""
    figures = report.risk.figures
    worth, planned = figures["expected_shortfall"], report.risk.planned
    return (
        f"A ton pays its cost in {percent(figures['margin_positive'].value)}, the "
        f"whole plan is worth something in {percent(figures['worth_it'].value)}, and "
        f"the money never comes back within the plan in "
        f"{percent(figures['never_back'].value)} of the trials.",
        f"As planned the net present value is "
        f"{float(planned['net_present_value']):,.0f} $; over all trials it is "
        f"{figures['net_present_value_mean'].value:,.0f} $ on average, and "
        f"{worth.value:,.0f} $ on average in the worst {WORST * 100:.0f} %.",
    )


def money_at_hand(report):
    """When the money at hand runs out."""
    risk = report.risk
    short, month = risk.figures["runs_short"], risk.figures["shortage_month_p50"]
    text = (
        f"With {risk.funds:,.0f} $ of the owner's money at hand it runs out in "
        f"{percent(short.value, short.error)} of the trials"
    )
    if np.isnan(month.value):
        return text + "."
    return (
        f"{text}, half of them by month {month.value:.0f}; then "
        f"{risk.figures['missing_mean'].value / short.value:,.0f} $ are missing on "
        "average."
    )


def trials_told(report):
    """How the trials were drawn, and whether they were enough."""
    risk, study = report.risk, report.study
    enough = (
        "They are enough"
        if risk.enough
        else f"They are not enough (about {risk.wanted_trials:,} would be)"
    )
    said = [
        f"{risk.trials:,} trials in {SCRAMBLES} scrambles of a Sobol sequence, seed "
        f"{risk.seed}; {len(study.names)} inputs drawn. {enough} for a standard error "
        f"of {ENOUGH_CHANCE * 100:.0f} point of chance, and for the median NPV of "
        f"{ENOUGH_RANGE * 100:.0f} % of the distance from P10 to P90."
    ]
    if study.path:
        said.append(
            f"The gold price walks from month to month, its mean unmoved, by "
            f"{study.volatility * 100:.3g} % a year. {price.BASIS}"
        )
    elif type(study.spreads.get("gold_price")).__name__ == "Lognormal":
        deviation = study.spreads["gold_price"].deviation
        said.append(
            f"The gold price is one uncertain mean over the life (deviation of its "
            f"logarithm {deviation:.3g}). {price.BASIS}"
        )
    if risk.clipped:
        said.append(f"In {risk.clipped:,} trials an input was set to its bound.")
    if risk.pulled:
        said.append(
            f"In {risk.pulled:,} trials inputs contradicted one another and were "
            "pulled towards the plan."
        )
    if study.correlations:
        pairs = ", ".join(
            f"{INPUTS[a].label} and {INPUTS[b].label} {share:g}"
            for (a, b), share in study.correlations.items()
        )
        said.append(f"Drawn together by a Gaussian copula: {pairs}.")
    if risk.way == "numpy" and "numba" in risk.reason:
        said.append(f"Worked out by NumPy: {risk.reason}.")
    return tuple(said)


def drawn_as(how):
    """The word for a distribution."""
    kind = type(how).__name__
    return "mean of measures" if kind == "MeanOf" else kind.lower()


def caution():
    """What these figures are not."""
    return (
        "Chances under the ranges and shapes assumed, not of the world; not a mineral "
        "reserve, not investment advice."
    )
