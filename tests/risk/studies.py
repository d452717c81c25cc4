"""Small studies that several tests use, and a check that numba is installed."""

import importlib.util
import os

import pytest

from pennyweight.risk.study import make_study


def needs_numba():
    """Skip without numba; on CI, where it must be there, fail."""
    if importlib.util.find_spec("numba") is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("numba is missing")


def two_lognormals():
    """Gold price and grade, lognormal and independent, nothing else."""
    distributions = {
        "gold_price": ("lognormal", [3000.0, 0.2]),
        "silver_price": ("lognormal", [30.0, 0.3]),
    }
    return make_study(vary=distributions, only=True)


def one_normal(mean=3000.0, deviation=300.0):
    """The gold price alone, normal."""
    return make_study(vary={"gold_price": ("normal", [mean, deviation])}, only=True)
