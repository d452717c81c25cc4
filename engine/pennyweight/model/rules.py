"""Conditions between inputs that no single bound can express."""

import numpy as np

from ..errors import BadValue

SMALLEST_REDUCTION = 1.5
"""Below this the factor for small reductions means nothing; at 1.35 it has a pole."""

RULES = (
    # inputs that take part, whether it holds, what must be so
    (
        ("product_p80", "feed_f80"),
        lambda product, feed: product * SMALLEST_REDUCTION <= feed,
        f"the mill feed must be {SMALLEST_REDUCTION} times as coarse as the product",
    ),
    (
        ("bullion_fineness", "silver_fineness"),
        lambda gold, silver: gold + silver <= 1000,
        "gold and silver in the bullion cannot exceed 1000 parts",
    ),
    (
        ("gravity_recovery", "middlings_share"),
        lambda caught, middlings: caught + middlings <= 1,
        "tables and middlings together cannot hold more than all of the gold",
    ),
    (
        ("first_pull", "second_pull", "middlings_pull"),
        lambda first, second, middlings: first + second + middlings < 1,
        "concentrates and middlings together must weigh less than the feed",
    ),
    (
        ("ball_diameter", "mill_diameter"),
        lambda ball, mill: ball < mill,
        "the balls must be smaller than the mill",
    ),
)


def check_rules(inputs, places=None):
    """Raise when inputs contradict one another.

    Parameters
    ----------
    inputs : mapping of str to float, str or array
        All of them, in any unit system.
    places : mapping of str to str, optional
        Sheet and cell of each input, for the message.

    Raises
    ------
    BadValue
        Naming the inputs, their values and what must be so.
    """
    for names, holds, sentence in RULES:
        values = [inputs[name] for name in names]
        if not np.all(holds(*values)):
            shown = ", ".join(
                f"{name}{_at(name, places)} = {np.min(value):.6g}"
                for name, value in zip(names, values, strict=True)
            )
            raise BadValue(f"{shown}: {sentence}. Change one of them.")


def _at(name, places):
    return f" ({places[name]})" if places and name in places else ""
