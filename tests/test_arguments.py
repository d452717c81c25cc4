"""Wrong calls of the public API: each gives a clear error of pennyweight."""

import copy
import inspect
import pickle
import re
import subprocess
import sys
import threading
from datetime import date
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pandas as pd
import pint
import pytest

import pennyweight as pw
from pennyweight import arguments
from pennyweight.model.inputs import INPUTS
from pennyweight.model.units import pint_unit
from pennyweight.risk.evaluate import over_cores
from pennyweight.season.learn import Learned
from pennyweight.season.season import Options, Season

LOTS = pd.DataFrame({"lot": ["A"], "wet_tons": [26], "grade": [0.42]})
Quantity = pint.get_application_registry().Quantity
MASKED = np.ma.array([14, 15], mask=[0, 1])


@pytest.fixture(scope="module")
def plan():
    return pw.example()


@pytest.fixture(scope="module")
def begun():
    """A plan with three of its figures."""
    return pw.Plan(units="metric", gold_price=4200, ore_tons=3000, wage=20)


@pytest.fixture(scope="module")
def report(begun):
    odd = {"funds": Decimal(10**6), "volatility": np.float32(0.15)}
    return begun.risk(np.int64(256), np.int32(3), **odd)


BULLION = pd.Series([100, 200], ["A", "B"]), pd.Series([900, 500], ["B", "A"])

WRONG = {
    "inputs: give names with their values": [
        lambda plan: pw.Plan(3),
        lambda plan: pw.Plan("wage"),
        lambda plan: plan.change([1, 2]),
        lambda plan: plan.change(pd.DataFrame({"wage": [3.0]})),
        lambda plan: plan.grid(np.array([1.0, 2.0])),
    ],
    "ranges: give names": [lambda plan: pw.Plan(ranges=3)],
    "vary: give names": [lambda plan: plan.risk(256, vary=3)],
    "cases: give names": [lambda plan: plan.cases(3)],
    "case a: give names": [lambda plan: plan.cases({"a": 3})],
    "path: give the name of a file, not": [
        lambda plan: pw.read(None),
        lambda plan: plan.write(3),
        lambda plan: plan.quote(None),
        lambda plan: plan.settle(None),
        lambda plan: plan.ledger(None, "lots.csv"),
        lambda plan: plan.write(""),
        lambda plan: pw.inspect(b"x"),
        lambda plan: pw.renew([1]),
        lambda plan: pw.carry_over(3),
    ],
    "lots: give a pandas DataFrame or the name of a file": [
        lambda plan: plan.season(None),
        lambda plan: plan.season([]),
    ],
    "lots: give the name of a file": [
        lambda plan: plan.ledger("ledger.xlsx", 3),
        lambda plan: plan.charges("20%", lots=LOTS),
    ],
    "actuals: give a pandas DataFrame or the name of a file": [
        lambda plan: plan.learn(None)
    ],
    "prices: give the name of a file": [lambda plan: plan.priced(None, "2026-01-01")],
    "give a whole number, not 'x'": [lambda plan: plan.risk("x")],
    "give a whole number of 0 or more, not": [
        lambda plan: plan.risk(256, "x"),
        lambda plan: plan.risk(256, -1),
        lambda plan: plan.measure_next("x"),
    ],
    "give a whole number of 1 or more, not": [
        lambda plan: plan.risk(256, workers=0),
        lambda plan: plan.text("wage", 3.0, digits=-1),
    ],
    "give True or False, not": [
        lambda plan: plan.write("a.xlsx", force="no"),
        lambda plan: plan.risk(256, rate="no"),
        lambda plan: plan.season(LOTS, explain=1),
    ],
    "give 'flat' or 'path' or 'table', not 'paht'. Did you mean path?": [
        lambda plan: plan.risk(256, gold="paht")
    ],
    "give 'us' or 'metric', not": [
        lambda plan: pw.Plan(units=["us"]),
        lambda plan: pw.example("imperial"),
    ],
    "give a function, not 3": [lambda plan: plan.season(LOTS, progress=3)],
    "terms: give a plan, not 3": [
        lambda plan: plan.ledger("a.xlsx", "lots.csv", terms=[3])
    ],
    "plan: give a plan, not None": [lambda plan: pw.plots.costs(None)],
    "period: give a text or a date": [lambda plan: plan.priced("prices.csv", 5)],
    "value: give a number or a text": [lambda plan: plan.text("wage", [1])],
    "give a number, not": [
        lambda plan: plan.risk(256, funds="x"),
        lambda plan: plan.risk(256, volatility="x"),
        lambda plan: plan.risk(256, lot_cost=[1]),
        lambda plan: plan.risk(256, assay_cost="dear"),
        lambda plan: plan.break_even("wage", target="x"),
        lambda plan: plan.season(LOTS, cash=True),
        lambda plan: plan.season(LOTS, grinds=["a"]),
        lambda plan: plan.risk(256, correlations={("wage", "ore_grade"): "x"}),
    ],
    "give a kind and its numbers": [lambda plan: plan.risk(256, vary={"wage": 3})],
    "normal: give a list of numbers, not": [
        lambda plan: plan.risk(256, vary={"wage": ("normal", 3)}),
        lambda plan: plan.risk(256, vary={"wage": ("normal", ["a", "b"])}),
    ],
    "is not a distribution": [
        lambda plan: plan.risk(256, vary={"wage": ([1], [2])}),
    ],
    "give a pair of inputs": [lambda plan: plan.risk(256, correlations={"wage": 3})],
    "takes a single value, not": [
        lambda plan: pw.Plan(wage=[30]),
        lambda plan: pw.Plan(estimates={"gold_price": [3000, 4000]}),
        lambda plan: pw.Plan(contract_kind={}),
    ],
    "Volatility 0.2: the gold price by its low and high": [
        lambda plan: plan.risk(256, gold="table", volatility=0.2)
    ],
    "Volatility 0.2: the gold price varies as you gave it": [
        lambda plan: pw.example().risk(256, volatility=0.2),
        lambda plan: plan.risk(
            256, gold="path", volatility=0.2, vary={"Gold price": ("fixed", [3000])}
        ),
    ],
    "lot_cv: the risk analysis of a contract does not use this": [
        lambda plan: plan.change(job="contract").risk(256, lot_cv=-5)
    ],
    "mass and fineness have different indexes": [
        lambda plan: pw.fine_gold(*BULLION),
        lambda plan: pw.fine_gold(BULLION[0], BULLION[1].to_frame()),
    ],
    "Sample assay: give a list of values, at most 60, not": [
        lambda plan: pw.Plan(sample_grade=1),
        lambda plan: pw.Plan(sample_grade=[[1, 2]]),
        lambda plan: pw.Plan(sample_grade=None),
    ],
    "as text, not": [
        lambda plan: pw.Plan({1: 3}),
        lambda plan: pw.Plan({None: 3}),
        lambda plan: plan.break_even(None),
        lambda plan: plan.break_even("wage", 3),
        lambda plan: plan.results[None],
        lambda plan: plan.results[["net_present_value"]],
        lambda plan: plan.grid(gold_price=[3000], results=5),
        lambda plan: plan.grid(gold_price=[3000], results=None),
        lambda plan: plan.unit(None),
    ],
    "There is no": [
        lambda plan: plan.results["foo"],
        lambda plan: plan.values["foo"],
        lambda plan: plan.inputs["foo"],
        lambda plan: plan.label("foo"),
        lambda plan: plan.text("foo", 3),
        lambda plan: plan.choices("foo"),
        lambda plan: plan.judge().in_state("foo"),
    ],
    "report: give the report that risk returned": [lambda plan: plan.enter_risk(3)],
    "season: give the plan that season returned": [
        lambda plan: plan.write_season(3, "a.xlsx")
    ],
    "learned: give the figures that learn returned": [
        lambda plan: plan.enter_learned(3),
        lambda plan: plan.write_learned(3, "a.xlsx"),
    ],
    "other: give a plan": [lambda plan: plan.compare(None)],
    "A grid needs at least one result": [
        lambda plan: plan.grid(gold_price=[3000], results=[]),
    ],
    "A season has no option grind. Did you mean grinds": [
        lambda plan: plan.season(LOTS, grind=3)
    ],
    "grinds: give a list, not": [lambda plan: plan.season(LOTS, grinds=3)],
    "Enter a number of 0 or more": [lambda plan: plan.season(LOTS, seconds=-1)],
    "margin: give '20%' of the income": [lambda plan: plan.charges(0.2)],
    "is given twice": [
        lambda plan: plan.grid({"Gold price": [3000]}, gold_price=[4000]),
        lambda plan: plan.change({"Gold price": 3000}, gold_price=4000),
        lambda plan: plan.risk(
            256, vary=dict.fromkeys(("wage", "Hourly wage"), ("fixed", [30]))
        ),
    ],
    "A plan stays as it is": [
        lambda plan: plan.inputs.update(wage=3),
        lambda plan: plan.given.pop("wage"),
    ],
    "units = 'metric': a plan stays as it is. Its method change": [
        lambda plan: setattr(plan, "units", "metric")
    ],
    "3000 gram cannot be converted to \\$/oz. Enter a number in \\$/oz.": [
        lambda plan: pw.Plan(gold_price=Quantity(3000, "gram")),
        lambda plan: plan.grid(gold_price=[Quantity(3000, "gram")]),
    ],
    "Write the date as '2026-07-04'": [
        lambda plan: plan.change(price_date=date(2026, 7, 4)),
    ],
    "the lists differ in shape": [
        lambda plan: pw.bond_energy([14, 15], [12_700] * 3, 150),
    ],
    "it must be numbers": [
        lambda plan: pw.bond_energy([[14, 15], [1]], 12_700, 150),
        lambda plan: pw.bond_energy(True, 12_700, 150),
        lambda plan: pw.critical_speed(np.array([True, False])),
        lambda plan: pw.bond_energy(10**400, 12_700, 150),
    ],
    "has missing or masked values": [
        lambda plan: pw.bond_energy(MASKED, 12_700, 150),
        lambda plan: pw.lognormal_mean(MASKED),
        lambda plan: pw.um_to_mesh(100, np.ma.array(["US", "US"], mask=[0, 1])),
    ],
    "it is masked": [lambda plan: pw.Plan(sample_grade=MASKED)],
    "units is \"\\['us'\\]\"; it must be one of metric, us.$": [
        lambda plan: pw.bond_energy(14, 12_700, 150, units=["us"]),
    ],
    "bond_energy: The product must not be coarser than the feed. Given: work_index 14 "
    "kWh/ton, feed_f80 100 um, product_p80 150 um": [
        lambda plan: pw.bond_energy(14, 100, 150),
    ],
    "it must be one of US, Tyler": [
        lambda plan: pw.um_to_mesh(100, []),
        lambda plan: pw.um_to_mesh(100, [["US"], ["US", "Tyler"]]),
    ],
    "these arguments have no answer": [lambda plan: pw.discount_factor(0.5, -1e9)],
}


@pytest.mark.parametrize(
    "words, call", [(words, call) for words, calls in WRONG.items() for call in calls]
)
def test_a_wrong_call_is_refused_in_words(words, call, plan):
    with pytest.raises(pw.PennyweightError, match=words.replace("?", r"\?")):
        call(plan)


def test_every_annotation_of_the_public_api_is_held():
    """A kind that `typechecked` does not know would refuse whatever is given for it."""
    taken = {"None", "Any", "Literal", "Units", *arguments.WANTED, *arguments.LISTS}
    calls = [pw.Plan, Options, *map(pw.__getattr__, pw.OPENING)]
    calls += [pw.plots.cash_flow, pw.plots.tornado]
    for kind in (pw.Plan, Season, Learned):
        calls += [call for name, call in vars(kind).items() if inspect.isfunction(call)]
    for call in calls:
        for parameter in inspect.signature(call).parameters.values():
            if isinstance(parameter.annotation, str) and hasattr(call, "__wrapped__"):
                outer = re.sub(r"\[.*\]", "", parameter.annotation)
                kinds = {kind.split(".")[-1] for kind in outer.split(" | ")}
                assert kinds <= taken, call


def test_series_of_one_index_are_taken_together():
    assert list(pw.fine_gold(*BULLION[0].align(BULLION[1]))) == [50, 180]
    assert list(pw.fine_gold(BULLION[0], BULLION[1].to_numpy())) == [90, 100]
    assert list(pw.fine_gold(BULLION[0], 900)) == list(pw.fine_gold((100, 200), 900))


def test_quantities_are_converted_and_exact_numbers_serve():
    tonnes, grade = Quantity(3000, "tonne"), Quantity(10, "gram/tonne")
    us, metric = (
        pw.Plan(units=units, ore_tons=tonnes, ore_grade=grade, wage=Decimal(30))
        for units in ("us", "metric")
    )
    assert metric.given == {"ore_tons": 3000, "ore_grade": 10, "wage": 30}
    assert us.given["ore_tons"] == pytest.approx(3000 / 0.90718474)
    assert us.given["ore_grade"] == pytest.approx(10 / (31.1034768 / 0.90718474))
    frame = us.grid(ore_tons=Quantity([3000, 4000], "tonne"))
    assert frame.index[0][0] == us.given["ore_tons"]
    assert pw.bond_energy(Fraction(14), 12_700, 150) == pw.bond_energy(14, 12_700, 150)


def test_every_unit_of_an_input_is_one_of_pints():
    registry = pint.UnitRegistry()
    registry.define("dollar = [money]")
    for entry in INPUTS.values():
        for units in ("us", "metric") if entry.numeric else ():
            registry.parse_units(pint_unit(entry.unit, units))


def test_a_message_stays_short():
    """Long numbers and long lists are cut."""
    for call in (
        lambda: pw.bond_energy(10**400, 12_700, 150),
        lambda: pw.bond_energy(["a"] * 5000, 12_700, 150),
        lambda: pw.Plan(gold_price=10**400),
        lambda: pw.example().text("wage", 3.0, digits=-(10**400)),
    ):
        with pytest.raises(pw.PennyweightError) as told:
            call()
        assert len(str(told.value)) < 200


def test_a_series_and_numpy_numbers_serve(plan, report):
    changed = plan.change(pd.Series({"wage": 31.0}))
    assert list(plan.grid(wage=[30], results="verdict")) == ["verdict"]
    assert plan.text("Gold price", None) == "n/a"
    assert changed.inputs["wage"] == 31
    assert report.risk.seed == 3 and report.risk.trials == 256


def test_unknown_names_are_those_of_a_mapping(plan):
    assert "foo" not in plan.results and plan.results.get("foo", 3) == 3
    assert plan.inputs.get("foo", 3) == 3
    assert plan.inputs["Gold price"] == plan.inputs["gold_price"]
    with pytest.raises(KeyError, match=r"^There is no result named foo"):
        plan.results["foo"]


def test_a_plan_does_not_change_under_its_results(plan):
    with pytest.raises(ValueError, match="read-only"):
        plan.results["cash_after_tax"][0] = 99
    for twin in (pickle.loads(pickle.dumps(plan)), copy.deepcopy(plan)):
        assert twin.inputs == plan.inputs
        assert twin.change(wage=31).inputs["wage"] == 31


def test_there_is_no_verdict_while_figures_are_missing(begun, report):
    told = begun.judge().verdict
    assert told.startswith("not yet")
    assert begun.results["verdict"] == begun.results["Verdict of the job"] == told
    assert told in begun._repr_html_()
    cases = begun.cases({"base": {}})
    assert cases["base"]["verdict"] == told
    (row,) = begun.grid(gold_price=[4200], results=["verdict"])["verdict"]
    assert row == told
    first, second, *_ = report.summary()
    assert first.startswith("Estimates stand in for what is missing: ")
    assert second.startswith("Probability that it pays")


def test_reprs_are_short(plan, report):
    season = plan.season(LOTS, start="2026-04-01")
    for shown in (plan, plan.results, plan.judge(), report, season):
        assert len(repr(shown)) < 100
    assert repr(plan.compare(plan.change(wage=31))) == "<Comparison: 1 inputs changed>"


def test_a_plan_without_a_workbook_has_no_sheet_to_fill(plan, report):
    with pytest.raises(pw.CallError, match="was not read from a workbook"):
        plan.enter_risk(report)


def test_plots_come_with_the_package():
    script = "import pennyweight as pw; print(pw.plots.cash_flow.__name__)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True)
    assert done.stdout.strip() == b"cash_flow", done.stderr


def test_an_interrupt_stops_its_own_run_alone():
    """Two runs at once, of which one is broken off."""
    ours, theirs = threading.Event(), threading.Event()
    begun = over_cores(lambda number: number, range(8), 2, stop=ours)
    next(begun)
    broken = over_cores(lambda number: 1 / number, range(8), 2, stop=theirs)
    with pytest.raises(ZeroDivisionError):
        list(broken)
    assert theirs.is_set() and not ours.is_set()
    assert list(begun) == list(range(1, 8))


@pytest.mark.thorough
def test_a_plain_script_may_start_processes_afresh(tmp_path):
    """Without numba, as on Windows: the script itself must not be started again."""
    script = tmp_path / "plain.py"
    script.write_text(
        "import multiprocessing, sys\n"
        "sys.modules['numba'] = None\n"
        "multiprocessing.set_start_method('spawn', force=True)\n"
        "from pennyweight.risk.analysis import risk\n"
        "from pennyweight.risk.study import make_study\n"
        "print(risk(make_study(), trials=256).method)\n",
        "utf-8",
    )
    done = subprocess.run([sys.executable, script], capture_output=True, text=True)
    assert done.stdout.split() == ["numpy"], done.stderr
