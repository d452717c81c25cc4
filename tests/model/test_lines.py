"""Properties of every line: words, order, scenarios, both unit systems."""

import dataclasses
import functools
import os
import subprocess
import sys
from collections import ChainMap

import numpy as np
import pytest

from pennyweight.errors import BadValue, CallError, ModelError, OutsideRange
from pennyweight.model import run as model_run
from pennyweight.model.inputs import INPUTS
from pennyweight.model.line import Section
from pennyweight.model.mill_model import MODEL
from pennyweight.model.model import Model
from pennyweight.model.run import run
from pennyweight.model.units import CONSTANTS, convert, shown
from tests.groups import grouped, sheet
from tests.thorough import sampled

from .drawing import STEPS, converted, stacked, unusual, usual, usual_sets

SETS = 50
EXAMPLE = run()
NUMBERS = [
    name
    for name, line in MODEL.lines.items()
    if EXAMPLE[name].dtype.kind in "fiu" and line.unit != "mixed"
]
WORDS = [name for name in MODEL.lines if EXAMPLE[name].dtype.kind == "U"]
PENALIZED = ("clay", "sulphides")
SHORT_TONS = ("short_ton_work_index",)
BRACKETS = [
    f"closing_{end}{tried}" for end in ("low", "high") for tried in ("", "_before_tax")
]
"""Ends of a bracket that halving narrows: rounding decides its last halvings."""

TRIALS = [name for name in MODEL.lines if name.startswith("middle_value")]
"""Net present values at trial rates: near -100% differences of far larger sums. The
rates that they lead to are compared."""

LOGARITHMS = ("sample_log", "sample_log_mean", "sample_sortable", "cox_middle")
"""Of grades in units of the book: another system moves them by one step for all."""

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")


@pytest.mark.parametrize("names", grouped(MODEL.lines, sheet))
def test_every_line_has_its_words(names):
    for name in names:
        line = MODEL.lines[name]
        for words in (line.label, line.unit, line.sheet, line.section):
            assert words and words == words.strip()
        assert line.note.endswith(".") or name == "verdict"
        assert "\n" not in line.note


def test_every_line_reads_what_there_is():
    MODEL.check_names()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"parameters": ("gold_prize",)}, "Did you mean gold_price"),
        ({"parameters": ("opening_gold",)}, "reads closing_gold"),
        ({"name": "gold_price"}, "Names used for two things"),
    ],
)
def test_a_line_that_reads_an_unknown_name_is_refused(change, words):
    wrong = dataclasses.replace(MODEL.lines["feed_gold"], **{"name": "wrong", **change})
    with pytest.raises(ModelError, match=words):
        _with(wrong).check_names()


def test_lines_that_read_each_other_are_refused():
    circle = dataclasses.replace(MODEL.lines["feed_gold"], parameters=("caught_gold",))
    with pytest.raises(ModelError, match="read each other"):
        _ = _with(circle).groups


def _with(line):
    """The model with one more line, or with another one of that name."""
    section = Section("Tests", "Tests")
    section.lines.extend({**MODEL.lines, line.name: line}.values())
    return Model([section], MODEL.axes.values())


def test_each_line_is_worked_out_after_what_it_reads():
    seen = set()
    for group in MODEL.groups:
        for name in group:
            reads = set(MODEL.precedents(MODEL.lines[name]))
            assert reads <= seen | set(group), name
        seen |= set(group)
    assert seen == set(MODEL.lines)


@functools.cache
def drawn(draw):
    """Give the same sets to every test."""
    if draw is usual:
        return usual_sets()[:SETS]
    rng = np.random.default_rng(11)
    return [draw(rng) for _ in range(SETS)]


@pytest.mark.parametrize(
    ("draw", "step"), sampled([(usual, 10), (usual, 1), (unusual, 1)], 3)
)
def test_many_sets_at_once_are_each_set_alone(draw, step):
    together = every_set(run(stacked(drawn(draw))))
    together = {name: row[..., ::step] for name, row in together.items()}
    each = [run(inputs) for inputs in drawn(draw)[::step]]
    alone = {name: np.stack([one[name] for one in each], -1) for name in MODEL.lines}
    assert not differing(alone, together, 1e-12)


@pytest.mark.parametrize("draw", sampled([unusual, usual], 2))
def test_every_line_is_the_same_in_a_metric_book(draw, monkeypatch):
    # Each system rounds settlement assays, and cost-plus rates per ton, to its own
    # step; here to the same one.
    for name in ("assay_steps", "one_ton"):
        *words, unit, us = CONSTANTS[name][:3]
        step = (*words, unit, us, convert(us, unit, "us", "metric"))
        monkeypatch.setitem(CONSTANTS, name, step)
    sets = drawn(draw)
    us = every_set(run(stacked(sets), "us"))
    metric = every_set(
        run(stacked([converted(one, "us", "metric") for one in sets]), "metric")
    )
    there = {
        name: convert(us[name], MODEL.lines[name].unit, "us", "metric")
        if name in NUMBERS
        else us[name]
        for name in MODEL.lines
    }
    plain = [name for name in NUMBERS if name not in (*LOGARITHMS, *SHORT_TONS)]
    assert not differing(metric, there, 1e-9, plain)
    step = np.log(convert(1.0, "grade", "us", "metric"))
    moved = metric["sample_log_mean"] - us["sample_log_mean"]
    assert moved == pytest.approx(step, rel=1e-9)


def test_short_tons_are_short_tons_in_every_book():
    assert shown("kWh/short_ton", "metric") == "kWh/short ton"
    assert convert(14.0, "kWh/short_ton", "us", "metric") == 14.0


@pytest.mark.parametrize("draw", [usual, unusual])
def test_nothing_is_left_at_the_rate_of_return(draw):
    values = every_set(run(stacked(drawn(draw))))
    inflows, outflows = values["inflows_at_rate"], values["outflows_at_rate"]
    assert inflows == pytest.approx(outflows, rel=2e-9)
    assert np.count_nonzero(values["crossings"] == 1) > SETS / 4


@pytest.mark.thorough
def test_every_balance_closes_in_usual_plans():
    """`test_everything_closes_in_every_plan` sees other sets in every run."""
    rng = np.random.default_rng(5)
    values = run(stacked([usual(rng) for _ in range(200)]))
    assert np.all(values["balances_failed"] == 0)


def test_a_rich_test_lot_sells_no_gold_twice_whatever_the_middlings_were_said_to_hold():
    values = run(
        {
            "recovery_source": "test lot",
            "middlings_share": 0.375,
            "middlings_payable": 1,
        }
    )
    place = MODEL.axes["limit"].values.index(
        "Table recovery is at most what the middlings leave"
    )
    assert values["limit_holds"][place] == 1
    assert values["planned_middlings"] < 0.375
    assert values["paid_share"] <= 1


def every_set(values):
    """Lines with the sets as their last axis, also those that no input moves."""
    return {
        name: np.broadcast_to(
            values[name].reshape(*values[name].shape[: len(line.over)], -1),
            (*values[name].shape[: len(line.over)], SETS),
        )
        for name, line in MODEL.lines.items()
    }


LEAST_OF = {"lowest_cover": "debt_cover"}
"""Lines that pick the least figure of a row."""


def differing(one, other, tolerance, names=NUMBERS):
    """Lines that differ by more than rounding, measured by the largest of the row.

    Money that is a difference of sums is measured by the money that goes into it, and
    the least of a row by that row.
    """
    found = [name for name in WORDS if not np.array_equal(one[name], other[name])]
    for name in set(names).difference(BRACKETS, TRIALS):
        axes = tuple(range(one[name].ndim - 1))
        with np.errstate(all="ignore"):
            size = np.nanmax(np.abs(one[name]), axes, initial=0)
        size = np.maximum(size, poured_in(one, MODEL.lines[name].unit))
        if name.startswith("lowest_value"):
            size = np.maximum(size, gross_value(one, MODEL.lines[name]))
        if name in LEAST_OF:
            row = np.abs(one[LEAST_OF[name]])
            size = np.maximum(size, np.max(row, 0, initial=0, where=np.isfinite(row)))
        close = np.abs(one[name] - other[name]) <= tolerance * size
        both = np.isnan(one[name]) & np.isnan(other[name])
        place = np.argwhere(~(close | both | (one[name] == other[name])))
        if len(place):
            where = tuple(place[0])
            found.append((name, where, one[name][where], other[name][where]))
    return found


def gross_value(values, line):
    """A present value of the flows in and out, both counted as in."""
    flows = (p.startswith("real_cash") for p in line.parameters)
    reads = (values[name] for name in line.parameters)
    gross = [abs(v) if flow else v for v, flow in zip(reads, flows, strict=True)]
    return line.function(*gross)


def poured_in(values, unit):
    """What a difference in a unit is measured by: all that goes into it."""
    if unit == "$":
        turned_over = np.abs(values["cash_before_tax"]).sum(axis=0)
        return np.abs(values["capital"]) + turned_over
    if unit == "$/ton":
        return np.abs(values["cost_per_ton"])
    if unit == "$/hour":
        return np.abs(values["cost_per_hour"])
    if unit == "1/year":
        return 1.0  # what a rate is added to
    return values["mill_tons"] if unit == "ton" else 0


@pytest.mark.parametrize("names", grouped(MODEL.lines, sheet))
def test_every_unit_can_be_shown_in_both_systems(names):
    for name in names:
        unit = MODEL.lines[name].unit
        for system in ("us", "metric"):
            words = shown(unit, system)
            assert (
                "grade" not in words and "mass" not in words and "volume" not in words
            )
        assert shown(unit, "us") == "" or unit not in ("-", "share", "count")


OTHERWISE = {
    "mill_kind": "hammer mill",
    "power_source": "grid",
    "depreciation_method": "straight line",
    "grade_source": "test lot",
    "recovery_source": "test lot",
    "grind_model": "size data",
    "feed_f80": 40_000.0,
    "sample_mean_method": "lognormal",
    "circuit": "closed",
    "escalation_share": 0.3,
    "settle_index": 110.0,
    "settle_owner_assay": 0.4415,  # a little less than the splitting limit away
}
BILLED = {
    "energy_source": "bill",
    "consumables_source": "bought",
    "fixed_cost_source": "one figure",
    "capital_source": "one figure",
    "overtime_multiple": 1.5,
    "diameter_basis": "inside shell",
    "lot_material": "as mined",
    "contract_kind": "by the hour",
    "settle_owner_assay": 0.5,
    "settle_umpire_assay": 0.42,
    "gap_band": 0.0,
    "crusher_p80": 19_000.0,  # coarser than the mill's feed
    "crusher_f80": 57_100.0,  # a little more than six times the mill's feed
    "purchase_least_deduction": 0.2,
    **{f"{of}_{what}": 0.1 for of in ("custom", "settle") for what in PENALIZED},
}
SMALL_LOT = {
    "custom_wet_tons": 8.0,
    "custom_moisture": 0.12,
    "least_lot_charge": 90_000.0,
    "contract_kind": "cost plus",
    "signed_hour_rate": 200.0,
    "settle_cleanup": 2.0,  # more than the mill keeps
    "settle_owner_assay": 0.4422,  # a little more
}
"""Plans in which the inputs count that the example has no use for."""


def test_every_input_moves_some_answer_where_it_is_used():
    idle = {
        name
        for name, entry in INPUTS.items()
        if entry.numeric and not (entry.family and entry.example == 0)
    }
    for plan in ({}, OTHERWISE, BILLED, SMALL_LOT, {"ore_milled_by": "hired mill"}):
        idle -= moving(plan, idle)
    assert idle == {"exchange_rate"}  # 1 in US dollars; test_currency moves it


def moving(plan, names):
    """Inputs of which one alone, at another usual value, changes some line."""
    base = run(plan)
    changes = [pair for pair in others(base).items() if pair[0] in names]
    sets = {
        name: np.array(
            [*(v if n == name else base[name] for n, v in changes), base[name]]
        )
        for name, _ in changes
    }
    values = run({**plan, **sets}, wanted=list(MODEL.lines))
    moved = np.zeros(len(changes), bool)
    for name, line in MODEL.lines.items():
        row = values[name]
        if row.ndim > len(line.over):
            changed = differs(row[..., :-1], row[..., -1:])
            moved |= changed.any(axis=tuple(range(len(line.over))))
    return {name for (name, _), hit in zip(changes, moved, strict=True) if hit}


def differs(row, before):
    """Where figures of a line are others than in the last set, which has no change."""
    if row.dtype.kind != "f":
        return row != before
    rounding = 1e-9 * np.max(np.abs(before), initial=0, where=np.isfinite(before))
    return ~np.isclose(row, before, rtol=0, atol=rounding, equal_nan=True)


def others(base):
    """Another value of every input, at which it contradicts no other."""
    found = {}
    for name, value in usual(np.random.default_rng(3)).items():
        entry = INPUTS[name]
        if entry.numeric and value == base[name]:
            step = 1 if entry.kind == "whole" else 0.01 * entry.maximum
            value += step if value + step <= entry.maximum else -step
        if entry.numeric and entry.family not in STEPS:
            found[name] = value
    return found


def test_scenarios_of_different_length_are_refused():
    with pytest.raises(BadValue, match=r"Gold price has 3|Hourly wage has 2"):
        run({"gold_price": [3000.0, 3100.0, 3200.0], "wage": [20.0, 21.0]})


def test_a_table_of_scenarios_is_refused():
    with pytest.raises(BadValue, match=r"\(2, 2\)"):
        run({"gold_price": [[3000.0, 3100.0], [3200.0, 3300.0]]})


@pytest.mark.parametrize(
    ("monthly", "words"),
    [
        ({"gold_price": np.full(12, 3000.0)}, "Give 120 values"),
        ({"gold_price": np.r_[np.full(119, 3000.0), 1.0]}, "out of range"),
        ({"wage": np.full(120, 30.0)}, "cannot differ from month to month"),
        ({"gold_prize": np.full(120, 30.0)}, "Did you mean gold_price"),
    ],
)
def test_monthly_rows_are_held_to_the_table(monthly, words):
    with pytest.raises((BadValue, CallError), match=words):
        run(monthly=monthly)


@pytest.mark.parametrize("number", [2, 120])
def test_a_row_over_the_months_is_that_of_every_scenario(number):
    row = {"gold_price": np.linspace(2000, 4000, 120)}
    tons = np.linspace(500, 900, number)
    asked = ["net_present_value", "royalty"]
    together = run({"ore_tons": tons}, wanted=asked, monthly=row)
    for at in (0, -1):
        alone = run({"ore_tons": tons[at]}, wanted=asked, monthly=row)
        for name in asked:
            assert together[name][..., at] == pytest.approx(alone[name], rel=1e-12)


MOVED = {
    "a price by month": ({}, {"gold_price": np.linspace(2000, 4000, 120)}),
    "a text": ({"contract_kind": "by the hour"}, {}),
    "three grades": ({"ore_grade": np.array([0.2, 0.3, 0.4])}, {}),
    "the crew": ({"wage": 31.0, "crew": 4.0}, {}),
    "samples": ({"sample_grade_01": 0.9, "sample_weight_01": 5.0}, {}),
}


@pytest.mark.parametrize("moved", MOVED.values(), ids=MOVED)
def test_lines_of_a_base_case_are_taken_over_exactly(moved):
    changed, monthly = moved
    alone = afresh(changed, monthly=monthly)
    assert_the_same(run(changed, monthly=monthly, base=EXAMPLE), alone)
    depend = MODEL.lines.keys() & MODEL.dependents(frozenset({*changed, *monthly}))
    assert 0 < len(depend) < len(MODEL.lines)


def afresh(*inputs, **more):
    """A run that takes over nothing from the runs before."""
    model_run._last.clear()
    model_run._single_run.cache_clear()
    return run(*inputs, **more)


def assert_the_same(found, alone):
    """To the last bit."""
    assert found.keys() == alone.keys()
    for name, values in alone.items():
        assert found[name].shape == values.shape
        assert found[name].tobytes() == values.tobytes(), name


def test_a_run_takes_over_what_the_run_before_it_has_in_common():
    """The example, then one change more at a time."""
    changes = [change for change, _ in MOVED.values() if "ore_grade" not in change]
    changes += [
        {"gold_price": 3000.0},
        {"settle_price": 3100.0},
        {"gold_price": 3440.0},
    ]
    sets = [dict(ChainMap(*changes[at::-1])) for at in range(len(changes))]
    alone = [afresh(one) for one in sets]
    model_run._single_run.cache_clear()
    found = [run(one) for one in sets]
    for one, wanted in zip(found, alone, strict=True):
        assert_the_same(one, wanted)
    dates = [one["month_date"] for one in found]
    assert all(np.shares_memory(dates[0], later) for later in dates[1:])


def test_a_warning_is_told_by_every_run():
    for wage in (30.0, 31.0):
        with pytest.warns(OutsideRange, match="smaller mills draw far less"):
            run({"wage": wage, "mill_diameter": 2.5, "mill_speed": 38.0})


def test_an_unknown_result_is_refused():
    with pytest.raises(CallError, match="Did you mean net_present_value"):
        run(wanted=["net_present_valu"])


def test_the_order_of_calculation_is_the_same_in_every_process():
    """A compiled kernel is found again by its source, which has that order."""
    code = "from pennyweight.model.mill_model import MODEL; print(MODEL.groups)"
    orders = {
        subprocess.run(
            [sys.executable, "-c", code],
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert orders == {f"{MODEL.groups}\n".encode()}
