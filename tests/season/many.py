"""Random seasons against brute force and dispatching rules, and large seasons.

``python -m tests.season.many 500 1000``
"""

import sys

import numpy as np

from pennyweight.season.schedule import faults_of, rules
from pennyweight.season.solver import solve_season
from tests.season.problems import (
    brute_force,
    large_problem,
    random_problem,
    with_cash,
)


def against_brute_force(count):
    """Number of seasons whose plan is not the optimum by brute force."""
    wrong = 0
    for seed in range(count):
        problem = random_problem(seed)
        if seed % 2:
            problem = with_cash(problem, seed)
        found = solve_season(problem)
        same = abs(found.schedule.money - brute_force(problem)) < 1e-6
        wrong += not same or bool(list(faults_of(problem, found.schedule)))
    return wrong


def against_rules(count):
    """For each rule: number of seasons in which it beats the plan, and mean loss."""
    worse, losses = {}, {}
    for seed in range(10_000, 10_000 + count):
        problem = random_problem(seed)
        simple = rules(problem, np.arange(len(problem.modes)))
        best = solve_season(problem).schedule.money
        for name, plan in simple.items():
            worse[name] = worse.get(name, 0) + (plan.money > best + 1e-6)
            if best > 0:
                losses.setdefault(name, []).append(1 - plan.money / best)
    return worse, {name: float(np.mean(found)) for name, found in losses.items()}


def large():
    """Size, proven gap and time of large seasons."""
    for count, owners, change in ((30, 1, 0), (30, 8, 4), (100, 1, 0), (100, 20, 4)):
        for seed in range(2):
            problem = large_problem(count, seed, owners=owners, change=float(change))
            found = solve_season(problem, 30 if count == 30 else 60, 0.005)
            wrong = list(faults_of(problem, found.schedule))
            print(count, owners, f"{found.gap:.2%}, {found.seconds:.0f} s", *wrong)


if __name__ == "__main__":
    first, second = map(int, sys.argv[1:3])
    print(f"{against_brute_force(first)} of {first} seasons differ from brute force")
    worse, losses = against_rules(second)
    for name, loss in losses.items():
        print(f"{name}: better in {worse[name]}, loses {loss:.1%} on average")
    large()
