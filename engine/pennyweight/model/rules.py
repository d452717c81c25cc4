"""Conditions between inputs that no single bound can express."""

import numpy as np

from ..errors import BadValue
from ..trade.mills import critical_speed
from .units import SMALLEST_REDUCTION, constants

MOST_CALLED = 1.5
"""Gold in a button over gold assayed in the feed, beyond which no lot is believed."""

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
        ("settle_fineness", "settle_silver_fineness"),
        lambda gold, silver: gold + silver <= 1000,
        "gold and silver in the bullion of the lot cannot exceed 1000 parts",
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
        ("lot_first_mass", "lot_second_mass", "lot_middlings_mass", "lot_wet_mass"),
        lambda first, second, middlings, wet: first + second + middlings < wet / 2,
        "the products of the test lot weigh more than half of it, which tables "
        "never take out",
    ),
    (
        ("ball_diameter", "mill_diameter"),
        lambda ball, mill: ball < mill,
        "the balls must be smaller than the mill",
    ),
)


def check_rules(inputs, places=None, units="us"):
    """Raise when inputs contradict one another.

    Parameters
    ----------
    inputs : mapping of str to float, str or array
        All of them, in any unit system.
    places : mapping of str to str, optional
        Sheet and cell of each input, for the message.
    units : {"us", "metric"}

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
    _check_lot(inputs, places, units)
    _check_speeds(inputs, places, units)


def _check_lot(inputs, places, units):
    """Refuse a test lot that gave more gold than went in.

    Coarse gold makes assays of the feed unsure, hence the margin of one half.
    """
    fixed = constants(units)
    tons = inputs["lot_wet_mass"] * (1 - inputs["lot_moisture"]) / fixed["mass_per_ton"]
    ounces = tons * inputs["lot_assay_head"] / fixed["grade_per_ounce"]
    assayed = ounces * fixed["grams_per_ounce"]
    button = inputs["lot_button_mass"] * inputs["lot_button_fineness"] / fixed["fine"]
    if np.any(button > assayed * MOST_CALLED):
        raise BadValue(
            f"lot_button_mass{_at('lot_button_mass', places)}: the button holds "
            f"{np.max(button):.4g} g of gold, but by its assay "
            f"(lot_assay_head{_at('lot_assay_head', places)}) only "
            f"{np.min(assayed):.4g} g went in: more gold out than in. Weigh and assay "
            "again, or correct the entries."
        )


def _check_speeds(inputs, places, units):
    """Refuse mills, the planned one and those compared, that would centrifuge."""
    metres = constants(units)["metres_per_length"]
    pairs = [("mill_speed", "mill_diameter")]
    pairs += [
        (name, name.replace("speed", "diameter"))
        for name in inputs
        if name.startswith("choice_speed_")
    ]
    for speed, diameter in pairs:
        critical = critical_speed(inputs[diameter] * metres)
        if np.any(np.asarray(inputs[speed]) > critical):
            raise BadValue(
                f"{speed}{_at(speed, places)} = {np.max(inputs[speed]):.4g}: at "
                f"{np.min(critical):.4g} revolutions a minute the balls of this mill "
                f"({diameter}{_at(diameter, places)}) cling to the shell; it must "
                "turn more slowly."
            )


def _at(name, places):
    return f" ({places[name]})" if places and name in places else ""
