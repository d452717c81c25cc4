"""Distribution of the mean grade, from the samples."""

import numpy as np

from ..errors import BadValue
from ..model.run import run
from ..model.sources import as_entered
from ..trade.samples import coefficient_of_variation
from .distributions import MeanOf

USUAL_VARIATION = 1.0
"""Coefficient of variation of assays of vein gold; common practice: 1 and more."""


def assays(inputs, units):
    """Assays of the samples that are used.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    grades : ndarray
    """
    found = run(inputs, units, wanted=["sample_value", "sample_used"])
    return found["sample_value"][found["sample_used"] > 0]


def grade_by_samples(inputs, units):
    """Distribution of the mean grade by the samples.

    Its median is the grade of the base case; its spread is that of the samples' mean.

    Parameters
    ----------
    inputs : mapping
        All inputs, as read from the workbook.
    units : {"us", "metric"}

    Returns
    -------
    distribution : MeanOf

    Raises
    ------
    BadValue
        With fewer than two samples.
    """
    grades = assays(inputs, units)
    if len(grades) < 2:
        raise BadValue(
            f"Samples: {len(grades)} samples have a weight. At least 2 are needed for "
            "the uncertainty of their mean."
        )
    found = run(inputs, units, wanted=["mean_is_lognormal", "sample_effective_count"])
    lognormal = bool(found["mean_is_lognormal"])
    effective = len(grades) if lognormal else found["sample_effective_count"]
    return MeanOf(
        tuple(grades.tolist()),
        lognormal,
        float(as_entered(inputs, units)["ore_grade"]),
        float(inputs["sample_constant"]),
        float(np.sqrt(len(grades) / effective)),
    )


def assay_variation(inputs, units):
    """Coefficient of variation of the samples; the usual value with fewer than three.

    Returns
    -------
    variation : float
    """
    grades = assays(inputs, units)
    if len(grades) < 3 or np.mean(grades) <= 0:
        return USUAL_VARIATION
    return float(coefficient_of_variation(grades))
