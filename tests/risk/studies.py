"""Small studies that several tests use, and a check that numba is installed."""

import importlib.util
import os
from dataclasses import replace
from unittest import mock

import pytest

from pennyweight.risk import kernel
from pennyweight.risk.study import make_study


def needs_numba():
    """Skip without numba; on CI, where it must be there, fail."""
    if importlib.util.find_spec("numba") is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)("numba is missing")


def by_numpy():
    """As where numba is missing."""
    reason = kernel.NoKernel("numpy was asked for")
    return mock.patch.object(kernel, "make_kernel", side_effect=reason)


def by_kernel():
    """Compile for few trials, too."""
    return mock.patch.object(kernel, "WORTH_COMPILING", 0)


def only_varying(*plan, vary=(), **options):
    """A study in which nothing else varies, the gold price included."""
    study = make_study(*plan, vary=dict(vary), **options)
    drawn = {name: how for name, how in study.distributions.items() if name in vary}
    return replace(study, distributions=drawn, path=False, quoted=())


def two_lognormals():
    """Gold price and grade, lognormal and independent, nothing else."""
    distributions = {
        "gold_price": ("lognormal", [3000.0, 0.2]),
        "silver_price": ("lognormal", [30.0, 0.3]),
    }
    return only_varying(vary=distributions)


def one_normal(mean=3000.0, deviation=300.0):
    """The gold price alone, normal."""
    return only_varying(vary={"gold_price": ("normal", [mean, deviation])})
