"""The compiled kernel against the model, line by line."""

import warnings

import numpy as np
import pytest

from pennyweight.errors import OutsideRange
from pennyweight.model.allowed import complete
from pennyweight.model.mill_model import MODEL
from pennyweight.risk import kernel
from pennyweight.risk.draws import Draws
from pennyweight.risk.evaluate import Evaluator
from pennyweight.risk.funding_shortfall import SHORTFALL_LINES
from pennyweight.risk.kernel import NoKernel, build
from pennyweight.risk.kernel.source import HEAD, Source
from pennyweight.risk.ranges import uncertain
from pennyweight.risk.study import make_study
from tests.thorough import sampled

from .studies import by_numpy, needs_numba, only_varying

ON_ZERO = ("balances_failed", "checks_flag")
"""Lines that hang on a figure which is nothing but rounding."""
SOME = (
    "net_present_value",
    "margin_per_ton",
    "life_cash",
    "peak_funding",
    "payback_month",
    "shortfall_month",
    "verdict",
    "funding_shortfall",
)


def compare(study, results, count=256):
    needs_numba()
    block = next(Draws(study, 5).blocks(0, count))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutsideRange)
        ours = Evaluator(study, results, 6e5)
        assert ours.method == "kernel", ours.reason
        ours = ours(block)
        with by_numpy():
            theirs = Evaluator(study, results, 6e5)(block)
    for name in results:
        first, second = ours[name], theirs[name]
        if second.dtype.kind in "US":
            assert (first == second).all(), name
            continue
        if second.dtype.kind == "f" and np.isnan(second).all():
            assert np.isnan(first).all(), name  # such as the rate of nobody's money
            continue
        # Of sums that nearly cancel, relative to the largest among the trials; where
        # even that is only what rounding left of large sums, both must be so small.
        size = np.nanmax(np.abs(second), initial=1e-12)
        if size < 1e-6:
            assert np.nanmax(np.abs(first)) < 1e-6, name
            continue
        np.testing.assert_allclose(
            first, second, rtol=1e-12, atol=1e-12 * size, err_msg=name
        )


@pytest.mark.parametrize(
    ("units", "gold"), sampled([("us", "path"), ("us", "flat"), ("metric", "flat")], 3)
)
def test_every_single_line_is_the_models(units, gold, monkeypatch):
    """By the source that is compiled, run as Python; `test_other_plans` compiles it."""
    monkeypatch.setattr(
        kernel, "compiled", lambda source, wait: build.in_memory(source)
    )
    study = make_study(units=units, gold=gold)
    lines = {**MODEL.lines, **SHORTFALL_LINES}
    single = [name for name, line in lines.items() if not line.over]
    inputs = {*uncertain(complete({}, units), units), "gold_price"}
    Source(lines, tuple(sorted(inputs)), single)  # gives all
    compare(study, tuple(n for n in single if n not in ON_ZERO), count=12)


@pytest.mark.parametrize(
    ("units", "inputs", "gold"),
    [
        ("metric", {}, "flat"),
        ("us", {}, "path"),
        ("us", {"mill_kind": "hammer mill", "power_source": "grid"}, "flat"),
        (
            "us",
            {
                "depreciation_method": "straight line",
                "payment_timing": "middle",
                "season_months": 12,
                "grinding": "dry",
                "circuit": "closed",
                "loan_share": 0,
                "ore_tons": 60_000,
            },
            "flat",
        ),
    ],
)
def test_other_plans(units, inputs, gold):
    compare(make_study(inputs, units, gold=gold), SOME)


def test_choices_are_pythons_own_when_compiled():
    """Also of not-a-number, of truths, and of endless values."""
    needs_numba()
    from numba import njit

    names = {}
    exec(HEAD + "    pass\n", names)
    choose = names["choose"]
    ends = (-np.inf, -1.0, 0.0, 2.0, np.inf, np.nan)
    for choice in (np.maximum, np.minimum):
        made = njit(lambda a, b, choice=choice: choice(a, b))
        for first in ends:
            for second in ends:
                pair = made(first, second), choice(first, second)
                np.testing.assert_equal(*pair)
    made = njit(lambda c, a, b: choose(c, a, b))
    for condition in (True, False):
        assert made(condition, 2.0, 3.0) == choose(condition, 2.0, 3.0)
        assert made(condition, True, False) is condition
        assert made(condition, True, 0.0) == float(condition)


def test_odd_number_of_trials():
    compare(make_study(), SOME, 37)


def test_one_kernel_serves_other_plans_and_fewer_inputs(tmp_path, monkeypatch):
    needs_numba()
    wide = Evaluator(make_study(), SOME).kernel
    few = only_varying({"ore_grade": 0.4}, vary={"wage": ("uniform", [20, 40])})
    assert Evaluator(few, SOME[:2]).kernel.source == wide.source
    compare(few, SOME)


def test_without_numba_numpy_does_it_and_says_why(monkeypatch):
    monkeypatch.setattr(build.importlib.util, "find_spec", lambda name: None)
    found = Evaluator(make_study(), SOME)
    assert found.method == "numpy"
    assert "numba is not installed" in found.reason


def test_few_trials_are_not_compiled_for(tmp_path, monkeypatch):
    needs_numba()
    monkeypatch.setenv("PENNYWEIGHT_CACHE", str(tmp_path))
    found = Evaluator(make_study(), SOME, trials=1000)
    assert found.method == "numpy"
    assert "not worth compiling" in found.reason
    assert not list(tmp_path.iterdir())


def test_kernel_that_differs_is_left(monkeypatch):
    needs_numba()
    study = make_study()
    found = Evaluator(study, SOME)
    found.kernel.scalars = found.kernel.scalars * 1.01
    found.verify(next(Draws(study, 0).blocks(0, 64)))
    assert found.method == "numpy"
    assert "differs" in found.reason


def test_kept_kernel_that_is_spoilt_is_compiled_anew(tmp_path, monkeypatch):
    needs_numba()
    monkeypatch.setenv("PENNYWEIGHT_CACHE", str(tmp_path))
    source = "def kernel(a, b, c, d, out):\n    out[0, 0] = a[0, 0] + 1\n"
    cells, out = np.ones((1, 1)), np.empty((1, 1))
    build.compiled(source)(cells, cells, cells[0], cells, out)
    assert out == 2.0
    for kept in (tmp_path / "__pycache__").glob("*.nb?"):
        kept.write_bytes(b"spoilt")
    build._loaded.cache_clear()  # as the next process finds it
    build.compiled(source)(2 * cells, cells, cells[0], cells, out)
    assert out == 3.0


def test_what_is_no_single_line_is_refused():
    lines = {**MODEL.lines, **SHORTFALL_LINES}
    for name in ("closing_owner", "no_such_line"):
        with pytest.raises(NoKernel, match="not a single line"):
            Source(lines, ("gold_price",), (name,))
