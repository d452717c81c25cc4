"""The test lot's balance, calculated by hand in grams."""

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import BadValue
from pennyweight.model.inputs import INPUTS, families
from pennyweight.model.run import run
from tests.model.drawing import converted

TONNES_PER_POUND = 0.45359237e-3
GRAMS_PER_TONNE = 240 / 7  # in an ounce a short ton


def entry(name):
    return INPUTS[name].example


@pytest.fixture(scope="module")
def values():
    return run()


def by_hand():
    """Dry tonnes and gold in grams of the example lot."""
    tonnes = entry("lot_wet_mass") * (1 - entry("lot_moisture")) * TONNES_PER_POUND
    middlings = entry("lot_middlings_mass") * TONNES_PER_POUND
    products = (entry("lot_first_mass") + entry("lot_second_mass")) * TONNES_PER_POUND
    tailings = tonnes - middlings - products
    shares = [entry(f"screen_tails_share_{n:02d}") for n in range(1, 7)]
    grades = [entry(f"screen_tails_grade_{n:02d}") for n in range(1, 7)]
    mean = sum(s * g for s, g in zip(shares, grades, strict=True)) / sum(shares)
    caught = entry("lot_button_mass") * entry("lot_button_fineness") / 1000
    caught += entry("lot_slag_gold") + entry("lot_hold_up")
    lost = tailings * mean * GRAMS_PER_TONNE
    held = middlings * entry("lot_middlings_grade") * GRAMS_PER_TONNE
    return tonnes, caught, held, lost


def test_calculated_head_is_all_gold_over_all_rock(values):
    tonnes, caught, held, lost = by_hand()
    head = (caught + held + lost) / tonnes / GRAMS_PER_TONNE
    assert values["lot_head"] == pytest.approx(head, rel=1e-12)
    assert values["lot_call_factor"] == pytest.approx(
        head / entry("lot_assay_head"), rel=1e-12
    )
    assert values["lot_assay_factor"] * values["lot_call_factor"] == pytest.approx(1)


def test_balance_of_the_lot_closes(values):
    _, caught, held, lost = by_hand()
    assert values["lot_gold"] == pytest.approx(caught + held + lost, rel=1e-12)
    assert values["lot_recovery"] == pytest.approx(
        caught / (caught + held + lost), rel=1e-12
    )


def test_the_range_of_head_and_recovery_follows_the_scatter_of_the_assays(values):
    """First order by hand, JCGM 100:2008 equation 10; then by 20,000 drawn assays."""
    tonnes, caught, held, _ = by_hand()
    shares = np.array([entry(f"screen_tails_share_{n:02d}") for n in range(1, 7)])
    grades = np.array([entry(f"screen_tails_grade_{n:02d}") for n in range(1, 7)])
    products = ("lot_first_mass", "lot_second_mass", "lot_middlings_mass")
    tailings = tonnes - sum(map(entry, products)) * TONNES_PER_POUND
    lost = tailings * GRAMS_PER_TONNE * shares / shares.sum() * grades
    scatter, score = entry("lot_assay_deviation"), 1.6449  # of 90%, two-sided
    error = scatter * np.sqrt(held**2 + (lost**2).sum())
    head = score * error / tonnes / GRAMS_PER_TONNE
    assert values["lot_head_margin"] == pytest.approx(head, rel=1e-4)
    drawn = 1 + scatter * np.random.default_rng(1).standard_normal((20_000, 7))
    gold = caught + drawn @ [held, *lost]
    heads, recoveries = gold / tonnes / GRAMS_PER_TONNE, caught / gold
    for name, found in (("head", heads), ("recovery", recoveries)):
        half = np.diff(np.quantile(found, (0.05, 0.95))).item() / 2
        assert values[f"lot_{name}_margin"] == pytest.approx(half, rel=0.03)


def test_recovery_by_size_weighs_by_gold(values):
    gold, kept = values["screen_gold"], values["screen_caught_gold"]
    assert values["lot_recovery_by_size"] == pytest.approx(
        kept.sum() / gold.sum(), rel=1e-12
    )


def test_shares_of_the_tailings_make_one():
    total = sum(entry(f"screen_tails_share_{n:02d}") for n in range(1, 7))
    assert total == pytest.approx(1)


def test_shares_that_do_not_make_one_count_by_their_proportion(values):
    halves = {name: entry(name) / 2 for name in families()["screen_tails_share"]}
    found = run(halves)
    for name in ("lot_head", "lot_recovery_by_size", "screen_recovery"):
        assert found[name] == pytest.approx(values[name], rel=1e-12)
    assert found["lot_tails_shares"] == pytest.approx(0.5)


def without(*tables, **others):
    """Inputs with nothing in some tables."""
    return {n: 0.0 for table in tables for n in families()[table]} | others


CAUGHT = {"lot_button_mass": 0.0, "lot_slag_gold": 0.0, "lot_hold_up": 0.0}
NO_LOSS = {"lot_middlings_grade": 0.0}


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        (
            without("screen_tails_share", recovery_source="test lot"),
            "screen_tails_share_01.*share of their mass",
        ),
        (
            without(
                "screen_tails_grade", "screen_caught_gold", grind_model="size data"
            ),
            "no screen fraction",
        ),
        (
            without("screen_tails_grade", **CAUGHT, **NO_LOSS, grade_source="test lot"),
            "no gold anywhere",
        ),
        ({**CAUGHT, "recovery_source": "test lot"}, "lot_button_mass.*caught no gold"),
        (
            without("sample_weight", grade_source="samples"),
            r"no assay above zero has a weight \(true width",
        ),
        (
            without("sample_grade", grade_source="samples"),
            r"no assay above zero has a weight \(true width",
        ),
    ],
)
def test_measurements_on_which_nothing_can_rest_are_refused(inputs, words):
    with pytest.raises(BadValue, match=words):
        run(inputs)


def test_a_lot_that_caught_nothing_is_no_fault_where_the_plan_reads_another():
    found = run({**CAUGHT, "grade_source": "test lot"})
    assert found["lot_recovery"] == 0 and np.isnan(found["lot_screen_gap"])


def test_a_lot_that_the_plan_does_not_use_may_be_left_empty(values):
    tables = ("screen_tails_share", "screen_tails_grade", "screen_caught_gold")
    found = run(without(*tables, **CAUGHT, **NO_LOSS))
    assert found["net_present_value"] == values["net_present_value"]
    for name in ("lot_head", "lot_recovery", "lot_tailings_grade"):
        assert np.all(found[name] == 0), name
    for name in ("lot_assay_factor", "lot_recovery_by_size", "lot_screen_gap"):
        assert np.isnan(found[name]), name
    assert np.all(np.isnan(found["screen_recovery"]))


def test_planned_recovery_follows_the_choice(values):
    chosen = run({"recovery_source": "test lot"})
    assert chosen["measured_recovery"] == chosen["lot_recovery"]
    assert values["measured_recovery"] == entry("gravity_recovery")


def test_more_gold_out_than_in_is_refused_in_words():
    with pytest.raises(BadValue, match="more gold out than in"):
        run({"lot_button_mass": 60.0})


def test_products_heavier_than_the_lot_are_refused():
    with pytest.raises(BadValue, match="more than half"):
        run({"lot_middlings_mass": 4000.0})


def test_metric_lot_gives_the_same_head(values):
    metric = run(converted(pw.example().inputs, "us", "metric"), "metric")
    assert metric["lot_head"] / GRAMS_PER_TONNE == pytest.approx(
        float(values["lot_head"]), rel=1e-12
    )


LOT = {"grade_source": "test lot", "recovery_source": "test lot"}


def test_a_lot_as_mined_is_not_diluted_again():
    clean, mined = (run(LOT | {"lot_material": m}) for m in ("clean ore", "as mined"))
    assert mined["feed_grade"] == pytest.approx(float(mined["lot_head"]), rel=1e-14)
    assert clean["planned_grade"] == clean["lot_head"]
    assert mined["feed_grade"] > clean["feed_grade"]


@pytest.mark.parametrize(
    ("wrong", "state"),
    [
        ({"screen_tails_share_01": 0.5}, "tailings fractions incomplete"),
        ({"lot_assay_head": 0.15}, "more gold found than fed"),
        ({"lot_first_mass": 0.001, "lot_second_mass": 0.001}, "richer than metal"),
        ({"lot_assay_head": 1.5}, "less gold found than fed"),
        ({"lot_button_mass": 0.88}, "screens and button differ"),
        ({"screen_tails_grade_04": 0.0}, "a tailings assay is missing"),
        ({"screen_caught_gold_01": 20.0}, "screens and button differ"),
        ({"screen_opening_02": 5000.0}, "screens not from coarse to fine"),
        ({"screen_opening_05": 30.0}, "screens not from coarse to fine"),
    ],
)
def test_a_lot_that_contradicts_itself_gives_no_verdict(wrong, state):
    found = run(LOT | wrong)
    assert state in str(found["lot_state"])
    flag = str(found["checks_flag"])
    assert flag.startswith(("Test lot in use: ", "Gold on screens ", "Screens in use "))
    assert str(found["verdict"]).startswith("not yet")
    assert run(wrong)["verdict"] == "pays"  # the plan does not use the lot


def test_screens_out_of_order_are_named():
    wrong = {"screen_opening_03": 700.0}
    plan = pw.example().change(job="test", **wrong)
    assert (
        "Passing size, screen 3, 700 µm, is not finer than the screen before, 600 µm. "
        "Enter the screens from coarse to fine."
    ) in plan.judge().reasons
    order = plan.values["screen_order"].tolist()
    assert order == ["in order", "next screen is not finer", *["in order"] * 4]


def test_screens_without_tailings_may_stand_in_any_order():
    """Unused rows keep the sizes that they came with."""
    last = {f"screen_{kind}_06": 0.0 for kind in ("tails_share", "caught_gold")}
    more = {"screen_opening_05": 40.0, "screen_tails_share_05": 0.29, **last}
    assert run(LOT | more)["lot_screens_rising"] == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"first_pull": 1e-6, "ore_grade": 2.0},
        {"hold_up": 5000.0},
    ],
)
def test_a_plan_with_more_gold_than_there_can_be_gives_no_verdict(wrong):
    assert str(run(wrong)["verdict"]).startswith("not yet")


def test_a_lot_without_a_head_assay_has_no_call_factor():
    found = run(LOT | {"lot_assay_head": 0.0})
    assert np.isnan(found["lot_call_factor"]) and found["verdict"] == "pays"
