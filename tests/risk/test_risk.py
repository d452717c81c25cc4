"""Monte Carlo simulation: against the model, by seed, by cores, and refusals."""

import multiprocessing
import subprocess
import sys

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import BadValue, CallError
from pennyweight.model.run import run
from pennyweight.risk.analysis import risk
from pennyweight.risk.draws import REPLICATES, Draws
from pennyweight.risk.evaluate import Evaluator, over_cores
from pennyweight.risk.study import make_study

from .studies import by_kernel, by_numpy, needs_numba, only_varying


@pytest.fixture(scope="module")
def found():
    with by_numpy():
        return risk(make_study(), 1024, seed=7, workers=1)


def test_figures_are_those_of_plain_runs(found):
    """The same draws through the model, without histograms."""
    draws, wanted = Draws(found.study, 7), ["net_present_value", "closing_owner"]
    worth, short, verdicts = [], [], []
    for replicate in range(REPLICATES):
        for block in draws.blocks(replicate, 64):
            inputs = {**found.study.inputs, **block.values}
            values = run(inputs, wanted=[*wanted, "verdict"])
            worth.append(values["net_present_value"])
            lowest = values["closing_owner"]
            short.append((lowest < -found.funds - 1e-3).any(axis=0))
            verdicts.append(values["verdict"] == "pays")
    worth = np.concatenate(worth)
    figures = found.figures
    assert figures["pays"].value == np.mean(np.concatenate(verdicts))
    assert figures["funds_run_out"].value == np.mean(np.concatenate(short))
    assert figures["net_present_value_mean"].value == pytest.approx(worth.mean())
    width = found.histograms["net_present_value"].bins.width
    for share in (10, 50, 90):
        assert figures[f"net_present_value_p{share}"].value == pytest.approx(
            np.quantile(worth, share / 100, method="inverted_cdf"), abs=2 * width
        )
    worst = np.sort(worth)[: len(worth) // 10]
    assert figures["expected_shortfall"].value == pytest.approx(
        worst.mean(), abs=2 * width
    )


@pytest.mark.thorough
def test_error_is_the_scatter_between_seeds(found):
    """Figures of 12 seeds scatter as the error says, within what 12 can tell."""
    seen = [risk(make_study(), 1024, seed=seed).figures["pays"] for seed in range(12)]
    scatter = np.std([figure.value for figure in seen], ddof=1)
    said = np.sqrt(np.mean([figure.error**2 for figure in seen]))
    assert 0.5 < scatter / said < 2.0


@pytest.mark.parametrize("gold", ["flat", "path"])
def test_without_spread_the_median_is_the_plan(gold):
    still = only_varying(gold=gold, volatility=0.0)
    found = risk(still, 256, workers=1)
    for name in ("net_present_value", "margin_per_ton", "peak_funding"):
        for ending in ("p10", "p50", "p90", "mean"):
            assert found.figures[f"{name}_{ending}"].value == pytest.approx(
                float(found.base_case[name]), rel=1e-15
            )
            assert found.figures[f"{name}_{ending}"].error == 0
    assert found.figures["pays"].value == 1.0


def test_narrow_spread_closes_in_on_the_plan():
    price = make_study().inputs["gold_price"]
    study = only_varying(vary={"gold_price": ("normal", [price, 1e-6])})
    with by_numpy():
        found = risk(study, 256, workers=1)
    assert found.figures["net_present_value_p50"].value == pytest.approx(
        float(found.base_case["net_present_value"]), rel=1e-6
    )


@pytest.fixture
def start_method(request):
    """How processes start in this test; with spawn they inherit nothing."""
    if request.param not in multiprocessing.get_all_start_methods():
        pytest.skip(f"this system has no start method {request.param}")
    usual = multiprocessing.get_start_method()
    multiprocessing.set_start_method(request.param, force=True)
    yield
    multiprocessing.set_start_method(usual, force=True)


@pytest.mark.parametrize("start_method", ["spawn"], indirect=True)
def test_a_process_that_starts_afresh_calculates_the_same(found, start_method):
    """As on Windows and macOS; the thorough run draws whole analyses that way."""
    with by_numpy():
        evaluate = Evaluator(found.study, ("net_present_value",))
    block = next(Draws(found.study, 7).blocks(0, 64))
    (afresh,) = over_cores(evaluate, [block], 2, processes=True)
    alone = evaluate(block)["net_present_value"]
    assert afresh["net_present_value"].tobytes() == alone.tobytes()


def test_one_core_and_all_give_the_same_bytes(found):
    with by_numpy():
        again = risk(make_study(), 1024, seed=7, workers=2)
    assert again.figures == found.figures
    for name, histogram in found.histograms.items():
        assert again.histograms[name].counts.tobytes() == histogram.counts.tobytes()
        assert again.histograms[name].sums.tobytes() == histogram.sums.tobytes()


def test_kernel_gives_the_figures_of_numpy_on_any_number_of_cores(found):
    needs_numba()
    with by_kernel():
        one, two = (risk(make_study(), 1024, seed=7, workers=n) for n in (1, 2))
    assert one.method == "kernel"
    assert one.figures == two.figures
    assert one.fan.tobytes() == two.fan.tobytes()
    for name, figure in found.figures.items():
        assert one.figures[name].value == pytest.approx(
            figure.value, rel=1e-9, abs=1e-6, nan_ok=True
        )


@pytest.fixture(scope="module")
def rich():
    """Few trials, with more money than any of them needs."""
    options = {"funds": 1e12, "rate": True, "workers": 1}
    with by_numpy():
        return risk(make_study(), 256, **options)


@pytest.mark.thorough
def test_enough_money_never_runs_short(rich):
    own = make_study({"loan_share": 0.0})  # a loan comes in month 1
    with by_numpy():
        poor = risk(own, 256, funds=0.0, workers=1)
    assert rich.figures["funds_run_out"].value == 0
    assert np.isnan(rich.figures["shortfall_month_p50"].value)
    assert poor.figures["funds_run_out"].value == 1
    assert poor.figures["shortfall_month_p90"].value == 1


def test_too_few_trials_say_so_and_how_many_would_do(rich):
    assert not rich.enough
    assert rich.trials_needed > rich.trials


def test_fan_rises_from_worse_to_better(found):
    assert found.fan.shape == (3, 120)
    assert (np.diff(found.fan, axis=0) >= 0).all()


def test_rate_of_return_when_asked(rich, found):
    assert 0 < rich.figures["internal_rate_p90"].value < 10
    assert "internal_rate_p90" not in found.figures


@pytest.mark.parametrize(
    "options",
    [
        {"trials": 0},
        {"trials": 1},
        {"trials": -5},
        {"trials": 10**12},
        {"funds": -1.0},
        {"funds": float("nan")},
    ],
)
def test_refused(options):
    with pytest.raises(BadValue):
        risk(make_study(), **{"trials": 256, **options})


@pytest.mark.parametrize("seed", [-1, 1.5])
def test_a_seed_is_a_whole_number_of_0_or_more(seed):
    with pytest.raises(CallError, match="seed: give a whole number of 0 or more"):
        pw.example().risk(256, seed)


def test_what_the_model_cannot_take_is_said():
    """A mill that would centrifuge: the rules, or the power equation, refuse it."""
    study = only_varying(vary={"mill_speed": ("uniform", [31, 60])})
    with by_numpy(), pytest.raises(BadValue, match="speed"):
        risk(study, 256, workers=1)


@pytest.mark.thorough
@pytest.mark.parametrize("method", ["spawn", "forkserver"])
def test_processes_of_a_script_may_start_afresh(method, tmp_path, monkeypatch):
    """As on Windows and macOS, where a process inherits nothing."""
    if method not in multiprocessing.get_all_start_methods():
        pytest.skip(f"this system has no start method {method}")
    script = tmp_path / "started.py"
    monkeypatch.setenv("PENNYWEIGHT_CACHE", str(tmp_path))  # so there is no kernel
    script.write_text(
        "import multiprocessing\n"
        "from pennyweight.risk.analysis import risk\n"
        "from pennyweight.risk.study import make_study\n"
        "if __name__ == '__main__':\n"
        f"    multiprocessing.set_start_method({method!r})\n"
        "    found = risk(make_study(), 256, 3, workers=2)\n"
        "    print(found.figures['pays'].value)\n",
        "utf-8",
    )
    done = subprocess.run([sys.executable, script], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    with by_numpy():
        alone = risk(make_study(), 256, 3, workers=1)
    assert float(done.stdout) == alone.figures["pays"].value
