"""Shapley values of changes: they add up, are symmetric, and match hand counting."""

from itertools import permutations
from math import factorial

import numpy as np
import pytest

from pennyweight.model import shapley as module
from pennyweight.model.allowed import complete
from pennyweight.model.coupled_changes import coupled_groups
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.model.shapley import exact_values, sampled_values, shapley_values

RESULTS = ("net_present_value", "margin_per_ton")
BEFORE = complete({}, "us")


def after(**changes):
    return {**BEFORE, **changes}


def by_hand(changes, result):
    """Average over every order of making the changes, one run each."""
    gains = dict.fromkeys(changes, 0.0)
    orders = list(permutations(changes))
    for order in orders:
        made, worth = {}, float(run(wanted=[result])[result])
        for name in order:
            made = {**made, name: changes[name]}
            now = float(run(made, wanted=[result])[result])
            gains[name] += (now - worth) / len(orders)
            worth = now
    return gains


def test_shares_equal_the_average_over_all_orders():
    changes = {"gold_price": 3000.0, "crew": 2.0, "gravity_recovery": 0.7}
    found = shapley_values(BEFORE, after(**changes), RESULTS)
    expected = by_hand(changes, "net_present_value")
    for name, row in zip(found.names, found.shapley, strict=True):
        assert row[0] == pytest.approx(expected[name], rel=1e-9)


def test_shares_add_up_to_the_total():
    changes = {"gold_price": 2900.0, "ore_grade": 0.31, "wage": 35.0, "crew": 4.0}
    found = shapley_values(BEFORE, after(**changes, power_source="grid"), RESULTS)
    assert found.exact
    assert found.shapley.sum(axis=0) == pytest.approx(found.total, rel=1e-9)


def test_a_change_without_effect_has_no_share():
    found = shapley_values(BEFORE, after(hammer_load=0.8, gold_price=3000.0), RESULTS)
    place = found.names.index("hammer_load")
    assert np.all(found.shapley[place] == 0) and np.all(found.alone[place] == 0)


def test_changes_that_do_the_same_share_alike():
    found = shapley_values(
        BEFORE, after(insurance_cost=2100.0, permit_cost=1650.0), RESULTS
    )
    assert found.shapley[0] == pytest.approx(found.shapley[1], rel=1e-9)


def test_one_change_has_all_of_it():
    found = shapley_values(BEFORE, after(gold_price=3000.0), RESULTS)
    assert found.shapley[0] == pytest.approx(found.total, rel=1e-12)
    assert found.alone[0] == pytest.approx(found.total, rel=1e-12)


def test_nothing_changed():
    assert shapley_values(BEFORE, BEFORE, RESULTS).names == ()


def test_drawn_shares_come_near_the_exact_ones(monkeypatch):
    changes = {"gold_price": 3000.0, "crew": 2.0, "gravity_recovery": 0.7}
    exact = shapley_values(BEFORE, after(**changes), RESULTS)
    monkeypatch.setattr(module, "EXACT", 2)
    monkeypatch.setattr(module, "ORDERS", 60)
    drawn = shapley_values(BEFORE, after(**changes), RESULTS)
    assert np.all(np.abs(drawn.shapley - exact.shapley) <= 4 * drawn.errors + 1e-6)
    assert drawn.shapley.sum(axis=0) == pytest.approx(exact.total, rel=1e-9)


def test_a_dozen_changes_at_once():
    names = [name for name, entry in INPUTS.items() if entry.unit == "$/month"]
    names += ["gold_price", "ore_grade", "gravity_recovery", "crew", "wage"]
    names += ["mining_cost"]
    changes = {name: BEFORE[name] * 1.05 for name in names if BEFORE[name]}
    found = shapley_values(BEFORE, after(**changes), RESULTS)
    assert len(found.names) == len(changes) >= 12 and found.exact
    assert found.shapley.sum(axis=0) == pytest.approx(found.total, rel=1e-9)


def shares_of(game, count):
    """Fair shares in a game given as a function of the set of its players."""

    def worth(made):
        return np.array([[game(frozenset(np.flatnonzero(row)))] for row in made], float)

    return exact_values(count, worth)[1].ravel()


def test_gloves():
    """Two left gloves, one right: a pair is worth 1. By hand 1/6, 1/6, 2/3.

    A textbook's first example, from memory; worked here by listing the six orders.
    """
    found = shares_of(lambda made: float(2 in made and len(made) > 1), 3)
    assert found == pytest.approx([1 / 6, 1 / 6, 2 / 3], rel=1e-14)


def test_the_security_council():
    """Five permanent members and ten others; nine votes, no veto.

    After Shapley and Shubik 1954, American Political Science Review 48, 787-792, who
    counted the council of eleven (from memory). For fifteen the count is done here: an
    other member turns the vote as ninth, with all five and three of
    the nine others before it.
    """
    found = shares_of(
        lambda made: float(len(made) >= 9 and {0, 1, 2, 3, 4} <= made), 15
    )
    ways = factorial(9) // (factorial(3) * factorial(6))
    other = ways * factorial(8) * factorial(6) / factorial(15)
    assert found[5:] == pytest.approx([other] * 10, rel=1e-12)
    assert found[:5] == pytest.approx([(1 - 10 * other) / 5] * 5, rel=1e-12)
    assert other == pytest.approx(0.00186, abs=1e-5)


def test_an_airstrip():
    """Cost of the longest strip needed: each part is shared by those who need it.

    The rule of Littlechild and Owen 1973, Management Science 20, 370-372, from memory.
    """
    costs = [1.0, 3.0, 3.0, 7.0]
    found = shares_of(lambda made: max((costs[i] for i in made), default=0.0), 4)
    expected = [1 / 4, 1 / 4 + 2 / 3, 1 / 4 + 2 / 3, 1 / 4 + 2 / 3 + 4]
    assert found == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("seed", range(5))
def test_random_games_keep_the_four_rules(seed):
    """They add up, are symmetric, give nothing to idlers, and add over games."""
    generator = np.random.default_rng(seed)
    values = generator.normal(size=(64, 2)) * 1e6
    values[0] = 0
    masks = np.arange(64)
    # Player 5 does nothing; players 0 and 1 are exchangeable.
    values = values[masks & 31]
    swapped = (masks & ~3) | (masks & 1) << 1 | (masks & 2) >> 1
    values = (values + values[swapped]) / 2

    def worth(made):
        return values[made @ (1 << np.arange(6))]

    fair = exact_values(6, worth)[1]
    assert fair.sum(axis=0) == pytest.approx(values[63] - values[0], rel=1e-9)
    assert fair[0] == pytest.approx(fair[1], rel=1e-9)
    assert np.all(np.abs(fair[5]) <= 1e-9)
    both = exact_values(6, lambda made: worth(made).sum(axis=1, keepdims=True))[1]
    assert both.ravel() == pytest.approx(fair.sum(axis=1), rel=1e-9)


def test_standard_errors_are_of_the_right_size(monkeypatch):
    """Over many seeds the drawn shares scatter as their standard errors say."""
    monkeypatch.setattr(module, "ORDERS", 300)
    generator = np.random.default_rng(3)
    values = generator.normal(size=256)

    def worth(made):
        return values[made @ (1 << np.arange(8)), None]

    exact = exact_values(8, worth)[1]
    scores = []
    for seed in range(60):
        _, fair, errors = sampled_values(8, worth, seed)
        scores.append((fair - exact) / errors)
    scores = np.array(scores)
    assert 0.8 < scores.std() < 1.2 and abs(scores.mean()) < 0.2
    assert np.mean(np.abs(scores) < 1.96) > 0.9


def test_inputs_that_only_go_together_count_as_one_change():
    """A feed finer than the product of before, and a product finer still."""
    changes = {"feed_f80": 300.0, "product_p80": 90.0, "gold_price": 3000.0}
    assert coupled_groups(BEFORE, after(**changes), tuple(changes), "us") == [
        ("feed_f80", "product_p80"),
        ("gold_price",),
    ]
    found = shapley_values(BEFORE, after(**changes), RESULTS)
    assert set(found.names) == {"feed_f80", "gold_price"}
    assert found.together == {"feed_f80": ("product_p80",)}
    assert found.shapley.sum(axis=0) == pytest.approx(found.total, rel=1e-9)


def test_three_inputs_of_one_rule():
    """Each concentrate may grow only when another shrinks."""
    before = after(first_pull=0.09, second_pull=0.19, middlings_pull=0.5)
    later = {**before, "gravity_recovery": 0.7, "middlings_share": 0.25}
    groups = coupled_groups(
        {**before, "gravity_recovery": 0.2, "middlings_share": 0.75},
        later,
        ("gravity_recovery", "middlings_share"),
        "us",
    )
    assert groups == [("gravity_recovery", "middlings_share")]


def test_a_result_without_an_answer_somewhere_has_no_shares():
    """At 300 $ an ounce the plan has no rate of return, alone or together."""
    changes = {"gold_price": 300.0, "crew": 2.0}
    results = ("internal_rate", "net_present_value")
    found = shapley_values(BEFORE, after(**changes), results)
    price, crew = found.names.index("gold_price"), found.names.index("crew")
    assert np.isnan(found.shapley[:, 0]).all() and np.isnan(found.alone[price, 0])
    assert np.isfinite(found.alone[crew, 0]) and 0 < found.missing[0] < 1
    assert np.isfinite(found.shapley[:, 1]).all() and found.missing[1] == 0


def test_the_verdict_is_shared_too():
    """Either of two changes turns it alone: half the turn is each one's."""
    changes = {"gold_price": 1500.0, "ore_grade": 0.12}
    found = shapley_values(BEFORE, after(**changes), ("verdict",))
    assert found.total.tolist() == [1.0]
    assert found.alone.ravel().tolist() == [1.0, 1.0]
    assert found.shapley.ravel() == pytest.approx([0.5, 0.5])


def test_the_same_seed_draws_the_same(monkeypatch):
    monkeypatch.setattr(module, "EXACT", 1)
    monkeypatch.setattr(module, "ORDERS", 10)
    changes = {"gold_price": 3000.0, "crew": 2.0}
    one, two, other = (
        shapley_values(BEFORE, after(**changes), RESULTS, seed=seed).shapley
        for seed in (1, 1, 2)
    )
    assert np.array_equal(one, two) and one.shape == other.shape


def test_memory_does_not_grow_with_the_number_of_changes():
    """Combinations are worked out in blocks; only results are kept."""
    sizes = []

    class Spy:
        def __call__(self, made):
            sizes.append(len(made))
            return made.sum(axis=1, keepdims=True).astype(float)

    assert exact_values(10, Spy())[1].ravel() == pytest.approx(np.ones(10))
    worth = module._Game(BEFORE, BEFORE, [("crew",)] * 1, RESULTS, "us", None)
    blocks = []
    worth._block = lambda made: blocks.append(len(made)) or np.zeros((len(made), 2))
    worth(np.zeros((5000, 1), bool))
    assert max(blocks) <= module.BLOCK and sum(blocks) == 5000
