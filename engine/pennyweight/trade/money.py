"""Time value of money: present value, rate of return, payback, loans."""

from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Choice, Number, contract

TRIAL_RATES = tuple(
    np.expm1(np.linspace(np.log(0.1), np.log(11.0), 48)).round(6).tolist()
)
"""Trial rates, -90% to 1000% per period, in equal steps of log(1 + rate). Between the
ends none is a round number that could be the rate itself."""

SHARE_OF_A_GAIN = 0.5
"""Factor on the lowest trial rate for flows with larger receipts than outlays."""

HALVINGS = 50
"""Bisection steps; after 50, the error is negligible."""


@contract
def periods_to_discount(period: ArrayLike, timing: Choice = "end") -> Number:
    """Number of periods that a cash flow is discounted over.

    A flow of period t falls at its end (t), its middle (t - 1/2) or its start
    (t - 1); the flow of period 0 is today's.

    Parameters
    ----------
    period : array_like [-] in [0, inf)
        Number of the period.
    timing : {"end", "middle", "start"}, optional
        When in its period the money flows.

    Returns
    -------
    periods : [-]

    Source
    ------
    Definition; Panneerselvam, Engineering Economics, ch. 3.

    Examples
    --------
    >>> periods_to_discount([0, 1, 2], "middle").tolist()
    [0.0, 0.5, 1.5]
    """
    shift = np.where(timing == "end", 0, np.where(timing == "middle", 0.5, 1))
    return np.maximum(period - shift, 0)


@contract
def discount_factor(rate: ArrayLike, periods: ArrayLike) -> Number:
    """Discount factor of a future cash flow.

    1 / (1 + i)^t

    Parameters
    ----------
    rate : array_like [-] in (-1, inf)
        Per period.
    periods : array_like [-] in (-inf, inf)
        Until the money flows.

    Returns
    -------
    factor : [-]

    Source
    ------
    Definition; Panneerselvam, Engineering Economics, ch. 3.

    Examples
    --------
    >>> round(discount_factor(0.10, 2), 6)
    0.826446
    """
    return 1 / compound_amount_factor(rate, periods)


def compound_amount_factor(rate: Any, periods: Any) -> Any:
    """Growth of money at a rate: (1 + i)^t."""
    return (1 + rate) ** periods


@contract
def net_present_value(
    rate: ArrayLike, flows: ArrayLike, timing: Choice = "end"
) -> Number:
    """Net present value of cash flows.

    Sum of CF_t / (1 + i)^t over t = 0, 1, 2 ...; the first flow is not discounted.

    Parameters
    ----------
    rate : array_like [-] in (-1, inf)
        Per period.
    flows : 1-D [money] in (-inf, inf)
        Along the last axis, from period 0 on.
    timing : {"end", "middle", "start"}, optional
        When in their period the later flows fall.

    Returns
    -------
    value : [money]
        Rate's shape and the flows' leading axes broadcast together.

    Source
    ------
    numpy-financial documentation, npv (first flow undiscounted).

    Examples
    --------
    >>> round(net_present_value(0.08, [-40_000, 5_000, 8_000, 12_000, 30_000]), 5)
    3065.22267
    """
    periods = periods_to_discount(np.arange(flows.shape[-1]), timing)
    return present_value_at(np.asarray(rate)[..., None], flows, periods, axis=-1)


def present_value_at(rate: Any, flows: Any, periods: Any, axis: int = 0) -> Any:
    """Sum of flows, each divided by (1 + rate)^periods, along an axis.

    Parameters
    ----------
    rate : array_like [-]
    flows : array_like [money]
    periods : array_like [-]
        Same length as the flows along the axis.
    axis : int
        Axis of the periods.

    Returns
    -------
    value : [money]

    Examples
    --------
    >>> import numpy as np
    >>> float(present_value_at(0.25, np.array([-100.0, 150.0]), np.array([0, 1])))
    20.0
    """
    return np.sum(flows / compound_amount_factor(rate, periods), axis=axis)


class Rate(float):
    """A rate of return, with the reason if there is none.

    Attributes
    ----------
    rate : float
        The rate; NaN if there is none.
    reason : str
    """

    rate: float
    reason: str

    def __new__(cls, rate: float, reason: str) -> "Rate":
        made = super().__new__(cls, rate)
        made.rate, made.reason = float(rate), reason
        return made


def crosses(former: Any, latter: Any) -> Any:
    """1 if the sign differs between two neighbours, else 0."""
    return np.where(former * latter < 0, 1, 0)


def lower_end(low: Any, high: Any, middle_value: Any, lowest_value: Any) -> Any:
    """Lower end of the half of a bracket in which the sign changes."""
    return np.where(middle_value * lowest_value > 0, halfway(low, high), low)


def upper_end(low: Any, high: Any, middle_value: Any, lowest_value: Any) -> Any:
    """Upper end of the half of a bracket in which the sign changes."""
    return np.where(middle_value * lowest_value > 0, high, halfway(low, high))


def halfway(low: Any, high: Any) -> Any:
    """Middle of a bracket."""
    return (low + high) / 2


def lowest_rate(outlay: Any, receipts: Any, lowest: Any) -> Any:
    """Lowest trial rate: half as low if receipts exceed outlays.

    Late costs, as tax and closure, give such flows a second rate far below zero, which
    tells nothing.
    """
    return np.where(receipts > outlay, SHARE_OF_A_GAIN * lowest, lowest)


def rate_reason(crossings: Any, no_rate: Any) -> Any:
    """Status of a rate of return: unique, or the reason why it is not.

    Parameters
    ----------
    crossings : array_like [-]
        How many times the present value changes sign over the trial rates.
    no_rate : str
        The reason when it never does.

    Returns
    -------
    reason : str
        Free of doubt only for ``"one rate"``.
    """
    several = np.where(crossings > 1, "none: several rates fit", no_rate)
    return np.where(crossings == 1, "one rate", several)


def no_rate_reason(outlay: Any, receipts: Any, rate_beyond: Any) -> Any:
    """Reason why the present value never changes sign.

    Parameters
    ----------
    outlay, receipts : array_like [money]
        Sums of the flows below and above zero, both positive.
    rate_beyond : str
        The reason when there are both.

    Returns
    -------
    reason : str
    """
    both = np.where(receipts > 0, rate_beyond, "none: no money comes in")
    return np.where(outlay > 0, both, "none: no money is put in")


def rate_beyond(highest_value: Any) -> Any:
    """Side of the trial rates on which the rate must be.

    Parameters
    ----------
    highest_value : array_like [money]
        Present value at the highest trial rate.

    Returns
    -------
    reason : str
    """
    return np.where(
        highest_value > 0, "none: above 1,000% per year", "none: below -90% per year"
    )


@contract
def internal_rate(flows: ArrayLike, years: ArrayLike | None = None) -> Rate:
    """Internal rate of return of cash flows, if there is exactly one.

    The present value is tried at `TRIAL_RATES`, from -45% on if more comes in than
    goes out; where it changes sign exactly once,
    the bracket of all of them is halved `HALVINGS` times. Several sign changes mean
    several rates, of which none tells anything: no rate is given, but the reason.
    Not a live formula; the workbook lays the same steps out as rows.

    Parameters
    ----------
    flows : 1-D [money] in (-inf, inf)
        From period 0 on, two at least.
    years : 1-D [-] in (-inf, inf), optional
        When each flow falls, in the periods that the rate is for; 0, 1, 2 ... when
        left out.

    Returns
    -------
    rate : [-]
        Per period; a number that also carries its ``reason``, and is not-a-number
        when there is none.

    Raises
    ------
    BadValue
        For flows that are not at least two finite numbers.

    Source
    ------
    Descartes' rule of signs; Norstrom 1972, J. Financial and Quantitative
    Analysis 7, 1835-1839 (when the rate is unique).

    Examples
    --------
    >>> round(internal_rate([-100, 39, 59, 55, 20]), 5)
    0.28095
    >>> internal_rate([-100, 100, 0, -7]).reason
    'none: several rates fit'
    """
    require(flows.ndim == 1 and flows.size > 1, "flows are a row of two or more")
    years = np.arange(flows.size) if years is None else years
    require(years.shape == flows.shape, "each flow has its own year")
    outlay, receipts = -flows[flows < 0].sum(), flows[flows > 0].sum()
    lowest = float(lowest_rate(outlay, receipts, TRIAL_RATES[0]))
    tried = [max(rate, lowest) for rate in TRIAL_RATES]
    values = [present_value_at(rate, flows, years) for rate in tried]
    changed = [crosses(former, latter) for former, latter in pairwise(values)]
    none = no_rate_reason(outlay, receipts, rate_beyond(values[-1]))
    reason = str(rate_reason(sum(changed), none))
    if reason != "one rate":
        return Rate(float("nan"), reason)
    low, high = lowest, TRIAL_RATES[-1]
    for _ in range(HALVINGS):
        middle = present_value_at(halfway(low, high), flows, years)
        low, high = (
            lower_end(low, high, middle, values[0]),
            upper_end(low, high, middle, values[0]),
        )
    return Rate(float(halfway(low, high)), reason)


def last_negative_period(cumulative: Any, period: Any, axis: int = 0) -> Any:
    """Last period with a negative cumulative flow at its end; -1 if there is none.

    Parameters
    ----------
    cumulative : array_like [money]
    period : array_like [-]
        Numbers of the periods, along the axis.
    axis : int

    Returns
    -------
    period : array_like [-]
    """
    return np.max(negative_period(cumulative, period), axis=axis)


def negative_period(cumulative: Any, period: Any) -> Any:
    """Number of the period if the cumulative flow is negative, else -1."""
    return np.where(cumulative < 0, period, -1)


@contract
def payback(flows: ArrayLike) -> Number:
    """Payback period of cash flows.

    Counted to the last time that the cumulative flow turns from below zero, with
    the share of that period which the money still missing takes.

    Parameters
    ----------
    flows : 1-D [money] in (-inf, inf)
        Along the last axis, from period 0 on.

    Returns
    -------
    periods : [-]
        Not-a-number where the outlay never comes back; 0 where there was none.

    Source
    ------
    Definition; Panneerselvam, Engineering Economics, ch. 7.

    Examples
    --------
    >>> payback([-100, 40, 40, 40])
    2.5
    """
    total = np.cumsum(flows, axis=-1)
    last = last_negative_period(total, np.arange(flows.shape[-1]), axis=-1)
    here = np.maximum(last, 0)[..., None]
    after = np.minimum(here + 1, flows.shape[-1] - 1)
    missing = -np.take_along_axis(total, here, -1)[..., 0]
    next_flow: Any = np.take_along_axis(flows, after, -1)[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        periods = last + missing / next_flow
    never = last == flows.shape[-1] - 1
    return np.where(last < 0, 0.0, np.where(never, np.nan, periods))


@contract(any_units=True)
def loan_payment(principal: ArrayLike, rate: ArrayLike, periods: ArrayLike) -> Number:
    """Level payment of a loan.

    A = P i / (1 - (1 + i)^-n), and P / n without interest

    Parameters
    ----------
    principal : array_like [money] in [0, inf)
    rate : array_like [-] in [0, inf)
        Interest per period.
    periods : array_like [-] in [1, inf)
        Number of payments, at the end of each period.

    Returns
    -------
    payment : [money]

    Source
    ------
    numpy-financial documentation, pmt.

    Examples
    --------
    >>> round(loan_payment(200_000, 0.075 / 12, 15 * 12), 8)
    1854.02472001
    """
    charged = np.where(rate > 0, rate, 1)
    with_interest = (
        principal * charged / (1 - compound_amount_factor(charged, -periods))
    )
    return np.where(rate > 0, with_interest, principal / periods)


@contract
def modified_internal_rate(
    flows: ArrayLike, finance_rate: ArrayLike, reinvestment_rate: ArrayLike
) -> Number:
    """Modified internal rate of return, with a rate each for outlays and receipts.

    (F/P)^(1/n) - 1: F what the receipts grow to by the end of period n, P what all
    outlays are worth at the start. It exists where several internal rates fit.

    Parameters
    ----------
    flows : 1-D [money] in (-inf, inf)
        Along the last axis, from period 0 on.
    finance_rate : array_like [-] in (-1, inf)
        Per period: what money for the outlays costs.
    reinvestment_rate : array_like [-] in (-1, inf)
        Per period: what the receipts earn meanwhile.

    Returns
    -------
    rate : [-]
        Per period; not-a-number where there is no outlay or only one flow, and -1
        where nothing is received.

    Source
    ------
    Definition; numpy-financial documentation, mirr.

    Examples
    --------
    >>> flows = [-120_000, 39_000, 30_000, 21_000, 37_000, 46_000]
    >>> round(modified_internal_rate(flows, 0.10, 0.12), 4)
    0.1261
    """
    last = flows.shape[-1] - 1
    grown = net_present_value(reinvestment_rate, np.maximum(flows, 0))
    spent = -np.asarray(net_present_value(finance_rate, np.minimum(flows, 0)))
    known = (spent > 0) & (last > 0)
    ratio = np.where(known, grown, np.nan) / np.where(known, spent, 1)
    return (1 + np.asarray(reinvestment_rate)) * ratio ** (1 / max(last, 1)) - 1


@contract
def equivalent_annual_worth(rate: ArrayLike, flows: ArrayLike) -> Number:
    """Level amount, at the end of each period, that is worth as much as some flows.

    The present value, as the payments of a loan over as many periods. It compares
    machines of unlike lives, each replaced by its like; the life of the least yearly
    cost is the economic one.

    Parameters
    ----------
    rate : array_like [-] in [0, inf)
        Per period.
    flows : 1-D [money] in (-inf, inf)
        Along the last axis, from period 0 on, two at least. Costs are negative.

    Returns
    -------
    worth : [money]
        Per period; negative where costs prevail.

    Raises
    ------
    BadValue
        For fewer than two flows.

    Source
    ------
    Panneerselvam, Engineering Economics, ch. 6 and 8.

    Examples
    --------
    >>> round(equivalent_annual_worth(0.25, [-150_000, *[60_000] * 4, 75_000]), 2)
    6050.69
    """
    require(flows.shape[-1] > 1, "flows are a row of two or more")
    return net_present_value(rate, flows) * loan_payment(1.0, rate, flows.shape[-1] - 1)


@contract
def hoskold_value(
    income: ArrayLike, years: ArrayLike, rate: ArrayLike, safe_rate: ArrayLike
) -> Number:
    """Present value of a mine's level income, by Hoskold's two rates.

    V = A / (r + s/((1 + s)^n - 1)): the buyer takes the rate r on the whole price all
    the time, and puts aside at the safe rate s what gives the price back at the end.
    With s = r it is the present value of an annuity.

    Parameters
    ----------
    income : array_like [money] in [0, inf)
        Of each year.
    years : array_like [-] in (0, inf)
        That the ore lasts.
    rate : array_like [-] in (0, inf)
        Wanted on the price, for a mine's risk.
    safe_rate : array_like [-] in (0, inf)
        What the money put aside earns.

    Returns
    -------
    value : [money]

    Source
    ------
    Hoskold 1877, The Engineer's Valuing Assistant; Hoover 1909, Principles of Mining,
    ch. 5, whose tables have the safe rate 4%.

    Examples
    --------
    >>> round(hoskold_value(450_000, 6, 0.07, 0.04))
    2038395
    """
    set_aside = safe_rate / (compound_amount_factor(safe_rate, years) - 1)
    return income / (rate + set_aside)


@contract(any_units=True)
def drawn_in_parts(
    amount: ArrayLike, rate: ArrayLike, parts: ArrayLike, periods: ArrayLike = 0.0
) -> Number:
    """Balance of a loan drawn in equal parts, with all interest added.

    amount / n x ((1 + i)^n - 1) / i x (1 + i)^m, and the amount without interest

    Parameters
    ----------
    amount : array_like [money] in [0, inf)
    rate : array_like [-] in [0, inf)
        Interest per period.
    parts : array_like [-] in [1, inf)
        Number of draws n, one at the end of each period.
    periods : array_like [-] in [0, inf), optional
        After the last draw, m.

    Returns
    -------
    balance : [money]

    Source
    ------
    numpy-financial documentation, fv.

    Examples
    --------
    >>> round(drawn_in_parts(300_000, 0.01, 3), 6)
    303010.0
    """
    charged = np.where(rate > 0, rate, 1)
    drawn = (compound_amount_factor(charged, parts) - 1) / charged
    grown = drawn * compound_amount_factor(charged, periods)
    return np.where(rate > 0, amount / parts * grown, amount)
