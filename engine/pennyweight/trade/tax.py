"""Income tax by rule: losses carried forward and back, and percentage depletion.

The rules are data, `TAX_RULES`, each with its law. Ask a tax adviser what a law means
for a claim.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract


@dataclass(frozen=True)
class TaxRule:
    """How losses and depletion count for income tax.

    Attributes
    ----------
    offset_share : float
        Share of a year's income that earlier losses may offset.
    years_back : int
        Years of income that a loss may be carried back to, 3 at most.
    depletion_rate : float
        Percentage depletion, as a share of gross income.
    depletion_cap : float
        Its limit, as a share of income before depletion.
    law : str
        Source of the rule.
    """

    offset_share: float = 1.0
    years_back: int = 0
    depletion_rate: float = 0.0
    depletion_cap: float = 0.0
    law: str = ""


TAX_RULES = {
    "plain rate": TaxRule(
        law="Losses carried forward without limit; common practice in studies",
    ),
    "losses offset 80%": TaxRule(
        offset_share=0.8,
        law="26 USC 172(a)(2): 80% of income, no expiry, no carry-back",
    ),
    "80% and depletion": TaxRule(
        offset_share=0.8,
        depletion_rate=0.15,
        depletion_cap=0.5,
        law="26 USC 172(a)(2), 613(a) and (b): gold 15%, at most 50% of income",
    ),
    "losses back 3 years": TaxRule(
        years_back=3,
        law="Income Tax Act (Canada) 111(1)(a): 3 years back (memory), 20 forward",
    ),
}
"""Tax rules by name."""


@contract
def loss_offset(
    income: ArrayLike,
    losses: ArrayLike,
    share: ArrayLike = 1.0,
    free: ArrayLike = 0.0,
) -> Number:
    """Losses of earlier years that offset the income of a year.

    min(losses, min(income, free) + share x max(income - free, 0)), none without income.

    Parameters
    ----------
    income : array_like [money] in (-inf, inf)
        Of the year, before losses.
    losses : array_like [money] in [0, inf)
        Carried forward.
    share : array_like [-] in [0, 1], optional
        Of the income above the free amount that losses may offset.
    free : array_like [money] in [0, inf), optional
        Income that losses may offset in full.

    Returns
    -------
    offset : [money]

    Source
    ------
    26 USC 172(a)(2) (share 80%, nothing free); HMRC CTM05130 (50%, GBP 5m free).

    Examples
    --------
    >>> loss_offset(1_000_000, 2_000_000, share=0.8)
    800000.0
    """
    earned = np.maximum(income, 0)
    allowed = np.minimum(earned, free) + share * np.maximum(earned - free, 0)
    return np.minimum(losses, allowed)


@contract
def percentage_depletion(
    gross_income: ArrayLike,
    income: ArrayLike,
    rate: ArrayLike = 0.15,
    cap: ArrayLike = 0.5,
) -> Number:
    """Percentage depletion of a year, limited by its income.

    min(rate x gross income, cap x income before depletion), none without income. Cost
    depletion, which it must not fall below, is not part of it.

    Parameters
    ----------
    gross_income : array_like [money] in (-inf, inf)
        From the property, less rents and royalties.
    income : array_like [money] in (-inf, inf)
        Taxable income from the property before depletion.
    rate : array_like [-] in [0, 1], optional
        Of the mineral; gold from deposits in the United States 15%.
    cap : array_like [-] in [0, 1], optional

    Returns
    -------
    depletion : [money]

    Source
    ------
    26 USC 613(a) and (b); Newnan, Engineering Economic Analysis, question 11.7.

    Examples
    --------
    >>> percentage_depletion(250_000, 40_000, rate=0.10)
    20000.0
    """
    by_gross, limit = rate * np.maximum(gross_income, 0), cap * np.maximum(income, 0)
    return np.minimum(by_gross, limit)
