"""Random valid sets of inputs: usual ones, and ones at their bounds."""

import functools

import numpy as np

from pennyweight.errors import BadValue
from pennyweight.model.inputs import INPUTS, families
from pennyweight.model.rules import check_rules
from pennyweight.model.units import convert

EDGE = 0.06
"""Share of the inputs of an unusual set that lie at a bound, or anywhere between."""

APART = {
    "gold_price_by_year": (0.7, 1.3),
    "start_year": (2020, 2020),
    "inflation": (-0.01, 0.06),
    "metal_rise": (-0.03, 0.03),
    "wage_rise": (-0.03, 0.03),
    "energy_rise": (-0.03, 0.03),
}
"""Tables and inputs drawn apart from the others, and between what."""

LATER = {
    "purchase_least_deduction": (0.0, 0.1),
    "least_lot_charge": (0.0, 2000.0),
    "assay_days": (14.0, 14.0),
    "cleanup_limit": (0.0, 0.03),
    "settle_made_good": (0.0, 0.0),
    "exchange_rate": (1.0, 1.0),
}
"""Drawn after all others, which stay as they were."""
STEPS = ("step_from", "step_paid")
"""Tables drawn together, after those: `steps`."""
BY_THEMSELVES = {*LATER, *STEPS}


def usual(rng, units="us"):
    """Draw every input between its low and high, or around its default."""
    return _fitting(rng, _usual, units)


@functools.cache
def usual_sets(count=120):
    """Usual sets, the same for every test: drawing takes longer than their results."""
    rng = np.random.default_rng(31)
    return [usual(rng) for _ in range(count)]


def unusual(rng, units="us"):
    """Draw a usual set with some inputs at a bound or anywhere within the bounds."""
    return _fitting(rng, _unusual, units)


def stacked(sets):
    """Put sets side by side, as scenarios to be worked out together."""
    return {
        name: np.array([one[name] for one in sets])
        for name, entry in INPUTS.items()
        if entry.kind != "text"
    }


def converted(inputs, source, target):
    """Give the same inputs in another unit system."""
    return {
        name: convert(value, INPUTS[name].unit, source, target)
        if INPUTS[name].numeric
        else value
        for name, value in inputs.items()
    }


def _fitting(rng, draw, units):
    while True:
        own = rng.spawn(1)[0]
        inputs = {
            name: float(own.uniform(*APART[entry.family or name]))
            if (entry.family or name) in APART
            else draw(rng, entry)
            for name, entry in INPUTS.items()
            if (entry.family or name) not in BY_THEMSELVES
        }
        inputs |= {name: float(own.uniform(*span)) for name, span in LATER.items()}
        inputs |= steps(own)
        try:
            check_rules(inputs)
        except BadValue:
            continue  # it contradicts itself
        return converted(inputs, "us", units)


def steps(rng):
    """Draw a schedule of payable steps: none at all, some, or every one."""
    grades, shares = (families()[name] for name in STEPS)
    used = int(rng.integers(len(grades) + 1))
    drawn = {
        **dict(zip(grades, np.sort(rng.uniform(0.05, 1.5, used)), strict=False)),
        **dict(zip(shares, np.sort(rng.uniform(0.3, 1, used)), strict=False)),
    }
    return {name: float(drawn.get(name, 0)) for name in (*grades, *shares)}


def _usual(rng, entry):
    if entry.kind == "choice":
        return str(rng.choice(entry.choices))
    if not entry.numeric:
        return entry.example
    low, high = entry.low, entry.high
    if low == "":
        low, high = 0.9 * entry.example, 1.1 * entry.example
    value = min(max(rng.uniform(low, high), entry.minimum), entry.maximum)
    return float(round(value)) if entry.kind == "whole" else float(value)


def _unusual(rng, entry):
    if not entry.numeric or entry.family or rng.random() > EDGE:
        return _usual(rng, entry)
    least, most = entry.minimum, entry.maximum
    span = np.log1p(most - least)
    between = least + np.expm1(rng.uniform(0, span))
    value = float(rng.choice([least, most, min(between, most)]))
    return float(round(value)) if entry.kind == "whole" else value
