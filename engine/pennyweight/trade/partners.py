"""Partners of a venture: catch-up, dilution and earn-in.

Capital is returned first, then the preferred return on it, then the catch-up of the
carried interest; the rest is split.
"""

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract


@contract
def catch_up(
    preferred: ArrayLike, carry: ArrayLike, catch_up_share: ArrayLike
) -> Number:
    """Cash of the catch-up tier, after a preferred return was paid.

    k P / (q - k), of which the share q goes to the holder of the carried interest, so
    that he has k of all profit; none where q does not exceed k.

    Parameters
    ----------
    preferred : array_like [money] in [0, inf)
        Preferred return paid, P.
    carry : array_like [-] in [0, 1)
        Carried interest, k.
    catch_up_share : array_like [-] in [0, 1]
        Share of the tier that goes to the holder of the carried interest, q.

    Returns
    -------
    cash : [money]

    Source
    ------
    Definition; analystforum.com 154723 (50 in, 100 out, 8%, 20%: 1 is caught up).

    Examples
    --------
    >>> round(catch_up(4, 0.2, 1.0), 6)
    1.0
    """
    above = np.where(catch_up_share > carry, catch_up_share - carry, 1)
    due = carry * preferred / above
    return np.where(catch_up_share > carry, due, 0)


@contract
def interest_after_dilution(
    own_value: ArrayLike, all_value: ArrayLike, refused: ArrayLike
) -> Number:
    """Interest of a partner who refuses his part of a budget that others pay.

    own value / (all value + budget), where values are initial ones and contributions.

    Parameters
    ----------
    own_value : array_like [money] in [0, inf)
        Initial value and contributions of the partner.
    all_value : array_like [money] in (0, inf)
        The same of all partners.
    refused : array_like [money] in [0, inf)
        Budget that the others pay in full.

    Returns
    -------
    interest : [-]

    Source
    ------
    markettransfer.info, mining venture agreement, "Voluntary Reduction".

    Examples
    --------
    >>> round(interest_after_dilution(2_000_000, 5_000_000, 1_000_000), 4)
    0.3333
    """
    return own_value / (all_value + refused)


@contract
def owner_initial_value(spent: ArrayLike, earned: ArrayLike) -> Number:
    """Initial value of an owner whose partner earns in by spending.

    E (1 - I) / I

    Parameters
    ----------
    spent : array_like [money] in [0, inf)
        That earns the partner his interest, E.
    earned : array_like [-] in (0, 1]
        Interest earned, I.

    Returns
    -------
    value : [money]

    Source
    ------
    Lawrence, CIM 2003.

    Examples
    --------
    >>> owner_initial_value(3_000_000, 0.6)
    2000000.0
    """
    return spent * (1 - earned) / earned
