"""Results of a risk analysis, in sentences."""

import numpy as np

from ..model.figures import money
from ..model.inputs import INPUTS
from ..model.units import TON
from .distributions import Lognormal
from .draws import REPLICATES
from .figures import TARGET_ERROR, TARGET_ERROR_OF_MEDIAN, WORST
from .gold_price import BASIS
from .measured_grade import USUAL_VARIATION, assay_variation

STANDARD_ERROR = (
    "SE, the standard error: about how far the figure moves with other random draws."
)
SOBOL_INDEX = (
    "Sobol' index: share of the uncertainty (variance) of the NPV that an input causes "
    "alone (first-order) and together with the others (total)."
)
"""Terms of the tables, in plain words."""


def percent(share, error=None):
    """A probability, with its standard error in points.

    Examples
    --------
    >>> percent(0.4094, 0.0021)
    '40.9% (SE 0.2 points)'
    """
    text = f"{100 * share:.1f}%"
    return text if error is None else f"{text} (SE {100 * error:.1f} points)"


def probability_of_paying(report):
    """The probability that the claim pays, in one line."""
    pays = report.risk.figures["pays"]
    return f"Probability that it pays: {percent(pays.value, pays.error)}"


def main_results(report):
    """Probabilities and the distribution of the net present value."""
    figures = report.risk.figures
    planned = float(report.risk.base_case["net_present_value"])
    return (
        f"Operating margin per {TON[report.study.units]} is positive in "
        f"{percent(figures['margin_positive'].value)} of the trials, the net present "
        f"value is not negative in {percent(figures['npv_not_negative'].value)}, and "
        f"there is no payback in {percent(figures['no_payback'].value)}.",
        f"Net present value: base case {money(planned, 0)}, mean "
        f"{money(figures['net_present_value_mean'].value, 0)}, expected shortfall "
        f"(mean of the worst {WORST * 100:.0f}%) "
        f"{money(figures['expected_shortfall'].value, 0)}.",
    )


def funding(report):
    """The probability and the size of a funding shortfall."""
    risk = report.risk
    short, month = risk.figures["funds_run_out"], risk.figures["shortfall_month_p50"]
    planned = risk.funds == float(risk.base_case["peak_funding"])
    cash = "only the plan's peak funding" if planned else "cash"
    text = (
        f"Probability of a funding shortfall with {cash} of {money(risk.funds, 0)} "
        f"available: {percent(short.value, short.error)}"
    )
    if np.isnan(month.value):
        return text + "."
    mean = risk.figures["funding_shortfall_mean"].value / short.value
    return (
        f"{text}. In these trials the median month is {month.value:.0f}, and the mean "
        f"shortfall {money(mean, 0)}."
    )


def method(report):
    """Number and kind of trials, and whether their number meets the targets."""
    risk, study = report.risk, report.study
    enough = (
        "This meets the targets"
        if risk.enough
        else f"Too few: about {risk.trials_needed:,} would meet the targets"
    )
    sentences = [
        f"{trials_drawn(risk.trials, risk.seed, study)} {enough}: "
        f"a standard error of {TARGET_ERROR * 100:.0f} point for the "
        f"probability that it pays, and of {TARGET_ERROR_OF_MEDIAN * 100:.0f}% of the "
        "range from P10 to P90 for the median NPV.",
        *gold_price(study, "the life"),
    ]
    if risk.clipped:
        sentences.append(f"In {risk.clipped:,} trials an input was set to its bound.")
    if risk.adjusted:
        sentences.append(
            f"In {risk.adjusted:,} trials inputs contradicted one another and were "
            "adjusted toward the base case."
        )
    sentences += [*correlated(study), *assay_scatter(report)]
    if risk.method == "numpy" and "numba" in risk.reason:
        sentences.append(f"Calculated by NumPy: {risk.reason}.")
    return tuple(sentences)


def trials_drawn(trials, seed, study):
    """Number and kind of trials, and the inputs that vary or keep a quoted figure."""
    text = (
        f"{trials:,} trials in {REPLICATES} randomized replicates of a Sobol "
        f"sequence, seed {seed}; {len(study.names)} inputs vary."
    )
    if not study.quoted:
        return text
    kept = "; ".join(INPUTS[name].label for name in study.quoted)
    return (
        f"{text} Quoted figures without a low and high of your own stay fixed: {kept}."
    )


def gold_price(study, span):
    """Model of the gold price over a span of time, if the price varies."""
    if study.path:
        return [
            "The gold price is a monthly random walk with a constant mean and a "
            f"volatility of {study.volatility * 100:.3g}% per year. {BASIS}"
        ]
    how = study.distributions.get("gold_price")
    if isinstance(how, Lognormal):
        return [
            f"The gold price is one lognormal mean price over {span} (standard "
            f"deviation of its logarithm {how.deviation:.3g}). {BASIS}"
        ]
    return []


def correlated(study):
    """The correlation coefficients, if there are any."""
    pairs = ", ".join(
        f"{INPUTS[a].label} and {INPUTS[b].label} {share:g}"
        for (a, b), share in study.correlations.items()
    )
    return [f"Correlation coefficients (Gaussian copula): {pairs}."] if pairs else []


def assay_scatter(report):
    """The scatter of one assay on which the value of more assays rests."""
    if "assays" not in report.value_of_information:
        return []
    scatter, study = report.assay_variation, report.study
    basis = "the scatter of the samples"
    if scatter != assay_variation(study.inputs, study.units):
        basis = "as given"
    elif scatter == USUAL_VARIATION:
        basis = "usual for vein gold, for fewer than three samples"
    return [
        "The value of more assays rests on a coefficient of variation of one assay of "
        f"{100 * scatter:.0f}%, {basis}."
    ]


def distribution_name(how):
    """Name of a distribution."""
    kind = type(how).__name__
    return "mean of measurements" if kind == "MeanOf" else kind.lower()


def caution():
    """Caution on the use of the results."""
    return (
        "Probabilities under the ranges and distributions assumed. Not a mineral "
        "reserve, not investment advice."
    )
