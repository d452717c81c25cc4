"""A mill sized for a customer: twenty tons in 24 hours of hard quartz."""

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import OutsideRange
from pennyweight.model.inputs import INPUTS
from pennyweight.model.jobs import MILL, rests_on
from pennyweight.risk.mill_notes import mill_notes
from pennyweight.workbook.layout import must_haves
from tests.oracles.package import defined_names, stored_cells

ASKED = {
    "required_daily": 20,
    "hours_per_day": 24,
    "work_index": 17,
    "feed_f80": 10_000,
    "product_p80": 212,
    "mill_diameter": 3,
    "mill_length": 5,
    "mill_speed": 34,
    "mill_motor": 25,
}
"""The must-haves, in US customary units."""
DRUM = {"mill_diameter", "mill_length", "mill_speed"}
TIMED = {"hammer_capacity": 1.4, "measured_p80": 212}
"""What a hammer mill needs instead: its timed run."""
MORE = {
    "availability": 0.9,
    "circuit": "open",
    "control_passing": 0.8,
    "ball_filling": 0.4,
    "drive_efficiency": 0.93,
}


@pytest.fixture
def plan():
    return pw.Plan({**ASKED, **MORE}, job=MILL)


def test_it_asks_for_the_rock_the_grind_and_the_mill():
    """And for nothing of ore in the ground, gold, crew or money."""
    assert must_haves(MILL) == ASKED.keys()
    inputs = rests_on(MILL)[1]
    assert {"choice_diameter_01", "circuit", "hammer_capacity"} <= inputs
    assert not [name for name in inputs if INPUTS[name].unit.startswith("$")]
    assert inputs.isdisjoint({"ore_grade", "gravity_recovery", "crew", "tax_rate"})


def test_a_mill_too_small_is_told_so(plan):
    """Worked out by hand from Bond's law, Rowland's factors and the power equation."""
    energy = 10 * 17 * (212**-0.5 - 10_000**-0.5)
    energy *= 1.20 * (8 / 3) ** 0.2 * 1.394  # open circuit, diameter, coarse feed
    assert energy == pytest.approx(20.31, rel=1e-3)
    found, power = plan.results, 13.04  # kW at the pinion
    assert found["grinding_energy"] == pytest.approx(energy, rel=1e-3)
    assert found["mill_capacity"] == pytest.approx(power / energy, rel=1e-3)
    assert found["required_rate"] == pytest.approx(1.15 * 20 / 24 / 0.9, rel=1e-12)
    judged = plan.judge()
    assert judged.verdict == "the mill is too small"
    assert judged.reasons[0].startswith("The mill grinds 0.64 tons/hour")
    hours = (
        "20.00 tons/day with 15% in reserve, in 21.6 running hours a day: "
        "90% of 24 staffed hours."
    )
    assert judged.reasons[0].endswith(hours)
    guess = pw.Plan(ASKED, job=MILL).judge().reasons[0]
    assert "70% of 24 staffed hours, an estimate, on Inputs: Running time" in guess


def test_a_mill_of_another_size_has_no_bottleneck(plan):
    """A workbook for a mill asks for no crusher and no table."""
    notes = mill_notes(plan.inputs, "us", "mill_diameter", [3.2])
    assert len(notes) == 1 and "bottleneck" not in notes[0]


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"mill_diameter": 3.9, "mill_speed": 29.8}, "the motor is too small"),
        ({"mill_count": 2}, "mill and motor are large enough"),
        ({"mill_count": 2, "mill_motor": 15}, "the motor is too small"),
        ({"required_daily": 13}, "the mill is too small"),
        ({"required_daily": 13, "mill_reserve": 0}, "mill and motor are large enough"),
        ({"required_daily": 12}, "mill and motor are large enough"),
        ({"required_daily": 12, "mill_motor": 20}, "the motor is too small"),
        ({"mill_kind": "hammer mill", **TIMED}, "mill and motor"),
        ({"mill_speed": 43}, "outside the power equation"),
        ({"mill_diameter": 2.4}, "outside the power equation"),
    ],
)
def test_what_makes_it_large_enough(plan, changes, verdict):
    assert plan.change(changes).judge().verdict.startswith(verdict)


def test_a_hammer_mill_needs_its_timed_run_and_no_drum():
    given = {n: v for n, v in ASKED.items() if n not in DRUM}
    plan = pw.Plan(given, job=MILL, mill_kind="hammer mill")
    assert {*plan.must_haves()} == TIMED.keys()
    claims = [pw.Plan(mill_kind=kind) for kind in ("hammer mill", "ball mill")]
    hammers, balls = ({*claim.must_haves()} for claim in claims)
    assert hammers - balls == TIMED.keys()
    assert plan.change(TIMED).judge().verdict == "mill and motor are large enough"


def test_break_even_of_a_mill_is_where_it_grinds_what_is_required(plan):
    """At the same share of critical speed power is as D^2.3 and energy as D^-0.2."""
    required = 1.15 * 20 / 24 / 0.9
    found, ratio = plan.break_even("mill_diameter"), required / (13.04 / 20.31)
    assert found.target == pytest.approx(required)
    assert found.values == pytest.approx([3 * ratio**0.4], rel=0.02)


def test_the_judgement_is_silent_on_the_mills_compared(plan):
    fast = plan.change(choice_speed_02=36.0, choice_diameter_02=4.0)
    assert fast.judge().warnings == []
    with pytest.warns(OutsideRange):
        told = fast.results["choice_mill_verdict"]
    assert told[1] == "outside the power equation"


def test_a_feed_hardly_coarser_than_the_product_fails_a_check(
    plan, tmp_path, libreoffice
):
    """A partner may enter it in a spreadsheet, where nothing refuses it."""
    path = plan.write(tmp_path / "mill.xlsx")
    typed = [{"Feed_f80_entered": 300.0}]
    (fine,) = libreoffice.scenarios(path, typed, ["Checks_flag"])
    assert "1.5 times as coarse" in str(fine["Checks_flag"])


def test_the_ball_charge_wears_away_by_bond(plan):
    """Bond 1963: 0.35 (Ai - 0.015)^(1/3) lb of balls a kWh; 0.65 of it today."""
    found = plan.change(abrasion_index=0.4).results
    worn = 0.35 * 0.385 ** (1 / 3) * 0.65 * 13.04  # lb an hour, at the pinion's power
    assert found["ball_wear_rate"] == pytest.approx(worn, rel=1e-3)
    lasts = found["ball_charge"] / worn
    assert found["ball_charge_hours"] == pytest.approx(lasts, rel=1e-3)


def test_a_hammer_mill_that_takes_less_than_half_of_bonds_energy_fails_a_check(plan):
    """A motor of 5 hp grinds 20 tons an hour of quartz in nobody's mill."""
    timed = {"mill_kind": "hammer mill", "hammer_capacity": 20, "measured_p80": 212}
    small = plan.change(timed, mill_motor=5)
    assert small.results["shaft_energy"] == pytest.approx(5 * 0.7457 * 0.75 / 20, 1e-4)
    (failure,) = small.judge().checks["failures"]
    assert "half of Bond's energy" in failure
    assert not plan.change(timed, hammer_capacity=1).judge().checks["failures"]


@pytest.mark.thorough
def test_a_spreadsheet_program_agrees(plan, tmp_path, libreoffice):
    path = plan.write(tmp_path / "mill.xlsx")
    wanted = ["Job_verdict", "Mill_capacity", "Required_rate"]
    changes = [{}, {"Mill_count_entered": 2.0}]
    small, enough = libreoffice.scenarios(path, changes, wanted)
    assert small["Job_verdict"] == "the mill is too small"
    assert enough["Job_verdict"] == "mill and motor are large enough"
    for name in wanted[1:]:
        assert small[name] == pytest.approx(plan.results[name.lower()], rel=1e-9)


def test_a_fresh_workbook_says_what_is_missing(tmp_path):
    path = pw.Plan(job=MILL).write(tmp_path / "mill.xlsx")
    answer = defined_names(path).read(stored_cells(path), "Answer")
    assert answer == "not yet: 9 figures are missing"


def test_a_grate_mill_draws_more_and_takes_larger_balls(plan):
    """Bond 1961: 1.16 times the power; Bond 1958: K is 330, not 350; none of it dry."""
    grate = plan.change(mill_discharge="grate")
    power, balls = "ball_mill_power", "bond_ball_size"
    assert grate.results[power] == pytest.approx(1.16 * plan.results[power])
    larger = (350 / 330) ** 0.5
    assert grate.results[balls] == pytest.approx(larger * plan.results[balls])
    dry, dry_grate = (mill.change(grinding="dry") for mill in (plan, grate))
    assert dry_grate.results[power] == dry.results[power]


def test_each_mill_compared_is_told_large_enough_or_too_small(plan):
    """And what only a ball mill has is n/a for a hammer mill."""
    found = plan.change(choice_kind_03="hammer mill", required_daily=12).values
    large = found["choice_mill_capacity"] >= found["choice_required_rate"]
    assert large.any() and not large.all()
    assert np.array_equal(
        found["choice_mill_verdict"] != "the mill is too small", large
    )
    hammers = found["choice_kind"] == "hammer mill"
    for name in ("mill_diameter_factor", "grinding_energy", "ball_mill_power"):
        assert np.array_equal(np.isnan(found[f"choice_{name}"]), hammers)
