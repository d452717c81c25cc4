"""Season plans against brute force, published schedules and knapsacks."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from pennyweight.errors import WorkbookError
from pennyweight.season.beam import Beam
from pennyweight.season.lagrangian import Dual
from pennyweight.season.local_search import improved
from pennyweight.season.relaxation import Relaxation
from pennyweight.season.schedule import (
    Schedule,
    faults_of,
    per_hour,
    rules,
    timed,
)
from pennyweight.season.solver import solve_season
from tests.season.problems import (
    brute_force,
    large_problem,
    problem_of,
    random_problem,
    with_cash,
)
from tests.thorough import sampled

SEEDS = range(12)
"""A sample; `tests.season.many` takes any number."""


def solved(problem, **more):
    found = solve_season(problem, **more)
    assert not list(faults_of(problem, found.schedule))
    return found


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("cash", [False, True])
def test_equal_to_brute_force(seed, cash):
    problem = random_problem(seed)
    if cash:
        problem = with_cash(problem, seed)
    simple = rules(problem, np.arange(len(problem.modes)))
    found = solved(problem)
    best = brute_force(problem)
    assert found.schedule.money == pytest.approx(best, abs=1e-6)
    assert found.bound >= best - 1e-6
    assert max(plan.money for plan in simple.values()) <= best + 1e-9


@pytest.mark.parametrize("seed", SEEDS[:6])
def test_no_order_beats_the_plan_with_days_to_keep_and_lots_that_must_be_milled(seed):
    problem, rng = random_problem(seed), np.random.default_rng(seed)
    lots = range(len(problem.modes))
    planned = np.where(
        rng.random(len(lots)) < 0.7, rng.integers(0, 8, len(lots)), np.nan
    )
    frozen = {n for n in lots if np.isfinite(planned[n]) and rng.random() < 0.2}
    problem = replace(
        problem,
        planned=planned,
        bonus=15.0,
        frozen=frozenset(frozen),
        must=frozenset(rng.choice(lots, 1).tolist()),
    )
    needed, best = problem.must | frozen, -math.inf
    for size in range(len(needed), len(lots) + 1):
        for order in itertools.permutations(lots, size):
            for jobs in itertools.product(*(problem.modes[lot] for lot in order)):
                if needed <= set(order):
                    best = max(best, timed(problem, jobs).score)
    if math.isinf(best):
        with pytest.raises(WorkbookError, match="do not fit"):
            solve_season(problem)
    else:
        assert solve_season(problem).schedule.score == pytest.approx(best)


KNAPSACKS = (
    # source; values; hours; room; best; lots taken, from 1
    (
        "Burkardt 2009, knapsack_prb_output (jburkardt-f77)",
        (350, 400, 450, 20, 70, 8, 5, 5),
        (25, 35, 45, 5, 25, 3, 2, 2),
        *(104, 900, (1, 3, 4, 5, 7, 8)),
    ),
    (
        "R package adagio, help of knapsack",
        (15, 100, 90, 60, 40, 15, 10, 1),
        (2, 20, 20, 30, 40, 30, 60, 10),
        *(102, 280, (1, 2, 3, 4, 6)),
    ),
    (
        "Burkardt, data set P01 of knapsack_01 (from memory)",
        (92, 57, 49, 68, 60, 43, 67, 84, 87, 72),
        (23, 31, 29, 44, 53, 38, 63, 85, 89, 82),
        *(165, 309, (1, 2, 3, 4, 6)),
    ),
)


@pytest.mark.parametrize(
    ("source", "values", "hours", "room", "best", "taken"), KNAPSACKS
)
def test_published_knapsacks(source, values, hours, room, best, taken):
    found = solved(problem_of(hours, values, room)).schedule
    assert found.money == pytest.approx(best)
    assert sorted(job.lot + 1 for job in found.jobs) == list(taken)


def weighted_completion(hours, weights):
    """Total weighted completion time, and the order of the lots."""
    count = len(hours)
    problem = problem_of(
        hours,
        [1000.0] * count,
        sum(hours),
        due=np.zeros(count),
        late=np.asarray(weights, float),
    )
    found = solved(problem).schedule
    return 1000 * count - found.money, [job.lot for job in found.jobs]


def test_weighted_completion_by_smiths_rule():
    """Kleinberg and Tardos, Algorithm Design, exercise 4.13 (from memory)."""
    assert weighted_completion((1, 3), (10, 2)) == (pytest.approx(18), [0, 1])
    rng = np.random.default_rng(3)
    hours, weights = rng.integers(1, 9, 7), rng.integers(1, 9, 7)
    order = sorted(range(7), key=lambda n: -weights[n] / hours[n])
    ends = np.cumsum(hours[order])
    smith = float(np.sum(ends * weights[order]))
    assert weighted_completion(hours, weights)[0] == pytest.approx(smith)


@pytest.mark.parametrize(
    ("hours", "due", "late"),
    [
        # Moore and Hodgson: Pinedo, Scheduling (from memory), and exercise data
        ((7, 8, 4, 6, 6), (9, 17, 18, 19, 21), 2),
        (
            (19, 23, 5, 31, 17, 8, 32, 41, 26, 18),
            (48, 75, 170, 215, 205, 240, 85, 67, 100, 95),
            2,
        ),
    ],
)
def test_number_of_late_lots_by_moores_rule(hours, due, late):
    """Lots whose due day must be kept, each worth 1: those left out are late."""
    problem = problem_of(
        hours, [1.0] * len(hours), max(sum(hours), max(due)), due=np.array(due, float)
    )
    assert len(hours) - len(solved(problem).schedule.jobs) == late


def test_a_lot_that_must_be_milled_is_milled():
    problem = problem_of((5, 5), (100, -3), 10, must=frozenset({1}))
    assert solved(problem).schedule.money == pytest.approx(97)


def test_a_planned_lot_stays_unless_moving_brings_more_than_the_bonus():
    planned = np.array([5.0, math.nan, math.nan])
    more = {"planned": planned, "due": np.array([math.inf, 4.0, math.inf])}
    free = problem_of((5, 4, 3), (50, 40, 1), 10, **more)
    assert solved(free).schedule.money == pytest.approx(90)
    kept = problem_of((5, 4, 3), (50, 40, 1), 10, **more, bonus=20.0)
    plan = solved(kept).schedule
    assert plan.starts[[job.lot for job in plan.jobs].index(0)] >= 4
    frozen = problem_of((5, 4, 3), (50, 40, 1), 10, **more, frozen=frozenset({0}))
    plan = solved(frozen).schedule
    assert plan.starts[[job.lot for job in plan.jobs].index(0)] == pytest.approx(5)


def test_a_frozen_lot_moves_for_no_lot_that_brings_more():
    planned = np.array([0.0, math.nan])
    more = {"planned": planned, "due": np.array([math.inf, 5.0]), "day": 2.0}
    free = problem_of((5, 5), (10, 900), 10, **more)
    assert solved(free).schedule.jobs[0].lot == 1
    kept = problem_of((5, 5), (10, 900), 10, **more, frozen=frozenset({0}))
    plan = solved(kept).schedule
    assert [job.lot for job in plan.jobs] == [0]


def test_hours_that_are_not_whole_steps_stay_allowed():
    problem = problem_of((2.4, 2.4, 2.4, 2.4), (10, 11, 12, 13), 9.5)
    found = solve_season(problem)
    assert not list(faults_of(problem, found.schedule))
    assert found.schedule.money == pytest.approx(36)


def test_a_rule_tries_a_lot_again_once_another_has_brought_its_cash():
    problem = problem_of((5, 5), (90, 10), 30, cash=20.0, arrivals=([12.0] * 30,))
    paid = ((50.0, 140.0), (20.0, 60.0))
    modes = [
        [replace(job, spent=spent, receipts=(receipt,))]
        for (job,), (spent, receipt) in zip(problem.modes, paid, strict=True)
    ]
    problem = replace(problem, modes=modes)
    plan = rules(problem, [2, 1])["richest first"]
    assert [job.lot for job in plan.jobs] == [1, 0]
    assert plan.starts == [0, 12] and plan.money == pytest.approx(100)


def test_insertion_never_makes_a_plan_worse():
    for seed in SEEDS:
        problem = random_problem(seed)
        empty = timed(problem, [])
        assert improved(problem, empty).money >= 0


def test_the_relaxed_hour_is_worth_what_the_critical_lot_brings():
    """Dantzig 1957, Operations Research 5, 266: by $ per hour, the last in part."""
    _, values, hours, room, _, _ = KNAPSACKS[2]
    order = sorted(range(len(values)), key=lambda n: -values[n] / hours[n])
    filled = np.cumsum([hours[n] for n in order])
    critical = order[int(np.searchsorted(filled, room, "right"))]
    worth = Relaxation(problem_of(hours, values, room)).hour_worth()
    assert worth == pytest.approx(values[critical] / hours[critical])


def test_thirty_lots_of_three_grinds_are_proven_within_one_percent():
    problem = large_problem(30, seed=0)
    found = solve_season(problem, seconds=30, gap=0.01)
    assert not list(faults_of(problem, found.schedule))
    assert found.gap <= 0.01
    simple = rules(problem, np.arange(30))
    assert found.schedule.money > max(plan.money for plan in simple.values())


@pytest.mark.parametrize(("count", "days"), sampled([(8, 34), (12, 50)], 2))
def test_clean_up_between_owners_is_proven_and_what_must_be_milled_is(count, days):
    """Fewer lots than tests.season.many takes, in as little time."""
    problem = large_problem(count, seed=4, days=days, owners=4, change=4.0)
    poorest = min(range(count), key=lambda lot: per_hour(problem.modes[lot][0]))
    problem = replace(problem, must=frozenset({poorest}), change_cost=360.0)
    found = solved(problem, gap=0.01, seconds=20)
    assert found.gap <= 0.01
    assert poorest in {job.lot for job in found.schedule.jobs}


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_the_bound_by_prices_is_never_below_the_best_plan(seed):
    problem = with_cash(random_problem(seed), seed)
    dual = Dual(problem)
    dual.solve(0.2, 0.0, 0.0, lambda: False)
    assert dual.bound >= brute_force(problem) - 1e-6


@pytest.mark.parametrize("seed", [*SEEDS, 71, 133])
@pytest.mark.parametrize("cash", [False, True])
def test_the_relaxation_and_a_wide_beam_are_held_to_the_best_plan(seed, cash):
    """The beam starts without a plan, and still finds the best one."""
    problem = random_problem(seed)
    if cash:
        problem = with_cash(problem, seed)
    best = brute_force(problem)
    bound, _ = Relaxation(problem).solve(5.0, 0.0)
    assert bound >= best - 1e-6
    dual = Dual(problem)
    dual.solve(0.1, 0.0, 0.0, lambda: False)
    beam = Beam(problem, dual, 0.0, timed(problem, []))
    assert beam.search(10_000, 0.0, lambda: False) == pytest.approx(best)
    assert beam.plan.money == pytest.approx(best)


def test_the_bounds_bear_the_cost_of_clean_up():
    more = {"owners": np.array([0, 1]), "change": 1.0, "change_cost": 50.0}
    problem = problem_of((3, 3), (100, 100), 20, **more)
    dual = Dual(problem)
    dual.solve(1.0, 150.0, 150.0, lambda: False)
    bound, _ = Relaxation(problem).solve(5.0, 0.0)
    assert [dual.bound, bound] == pytest.approx([150, 150], rel=1e-3)


def test_the_present_owners_lots_need_no_further_clean_up():
    problem = problem_of((5, 5), (50, 50), 10, change=2.0, change_cost=30.0)
    dual = Dual(problem)
    dual.solve(0.1, 95.0, 95.0, lambda: False)
    beam = Beam(problem, dual, 0.0, Schedule([], score=95.0))
    assert beam.search(100, 0.0, lambda: False) == pytest.approx(100)


def test_an_owner_is_visited_again_only_if_that_pays_for_the_clean_up():
    owners = {"owners": np.array([0, 1, 0]), "due": np.array([3.0, 6.0, 9.0])}
    visited = problem_of((3, 3, 3), (90, 50, 90), 9, **owners)
    assert solved(visited).schedule.money == pytest.approx(230)
    dear = replace(visited, change_cost=30.0)
    found = solved(dear)
    assert found.schedule.money == pytest.approx(180)
    assert found.gap < 1e-6
    cheap = replace(visited, change_cost=20.0)
    assert solved(cheap).schedule.money == pytest.approx(190)


def test_lots_that_must_be_milled_and_do_not_fit_are_told():
    problem = problem_of((5, 6), (10, 10), 10, must=frozenset({0, 1}))
    with pytest.raises(WorkbookError, match="do not fit into the season"):
        solve_season(problem)
