"""Many random seasons: against brute force, and against the simple rules.

``python -m tests.season.many 500 1000``
"""

import sys

import numpy as np

from pennyweight.season.schedule import faults_of, rules
from pennyweight.season.solver import solve_season
from tests.season.problems import brute_force, random_problem


def against_brute_force(count):
    """Number of seasons whose plan differs from the best of all plans."""
    wrong = 0
    for seed in range(count):
        problem = random_problem(seed)
        found = solve_season(problem, step=1.0)
        same = abs(found.schedule.money - brute_force(problem)) < 1e-6
        wrong += not same or bool(list(faults_of(problem, found.schedule)))
    return wrong


def against_rules(count):
    """For each rule: in how many seasons it beats the plan, and the mean loss."""
    worse, losses = {}, {}
    for seed in range(10_000, 10_000 + count):
        problem = random_problem(seed)
        simple = rules(problem, np.arange(len(problem.modes)))
        best = solve_season(problem, step=1.0).schedule.money
        for name, plan in simple.items():
            worse[name] = worse.get(name, 0) + (plan.money > best + 1e-6)
            if best > 0:
                losses.setdefault(name, []).append(1 - plan.money / best)
    return worse, {name: float(np.mean(found)) for name, found in losses.items()}


if __name__ == "__main__":
    first, second = map(int, sys.argv[1:3])
    print(f"{against_brute_force(first)} of {first} seasons differ from brute force")
    worse, losses = against_rules(second)
    for name, loss in losses.items():
        print(f"{name}: better in {worse[name]}, loses {loss:.1%} on average")
