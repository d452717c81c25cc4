"""Reasons of a judgement on figures that the plan changes or does not use."""

import pytest

import pennyweight as pw
from tests.oracles.package import stored_cells
from tests.thorough import sampled


def reasons(**changes):
    return pw.example().change(changes).judge().reasons


def test_a_timed_throughput_is_told_as_the_plan_uses_it():
    """At a finer grind and in a harder rock, by the law of Bond."""
    timed = {"pace_source": "measured", "measured_pace": 1.2, "hammer_work_index": 12.0}
    plan = pw.example().change(timed | {"measured_p80": 200.0, "product_p80": 120.0})
    (told,) = [r for r in plan.judge().reasons if "timed at a P80" in r]
    used = 1.2 * (120 / 200) ** 0.5 * 12 / plan.inputs["work_index"]
    assert f"becomes {used:.3g} ton/hour" in told and "estimate" not in told
    given = {n: v for n, v in plan.given.items() if n != "measured_p80"}
    told = " ".join(pw.Plan(given).judge().reasons)
    assert "An estimate, on Inputs: Measured grind, P80." in told


def test_a_throughput_timed_at_the_planned_grind_needs_no_word():
    plan = pw.example()
    same = {
        "pace_source": "measured",
        "measured_p80": plan.inputs["product_p80"],
        "hammer_work_index": plan.inputs["work_index"],
    }
    assert "timed at a P80" not in " ".join(plan.change(same).judge().reasons)


def test_what_limits_the_plant_is_named():
    measured = {"pace_source": "measured", "measured_pace": 0.6}
    assert any(
        r.startswith("The measured throughput limits") for r in reasons(**measured)
    )
    tables = reasons(table_capacity=0.1)
    assert any(r.startswith("The shaking tables limit the plant, at ") for r in tables)
    assert any(r == "The mill limits the plant, at 1.77 tons/hour." for r in reasons())


@pytest.mark.parametrize(("pace", "index"), [(0.0, 19.0), (0.0, 14.0), (0.9, 19.0)])
def test_the_feed_rate_of_another_ore_is_told(pace, index):
    plan = pw.example().change(job="contract", custom_pace=pace)
    plan = plan.change(custom_work_index=index)
    rate, planned = (plan.results[n] for n in ("custom_feed_rate", "feed_rate"))
    said = " ".join(plan.judge().reasons)
    words = f"a work index of 19 kWh/ton, is milled at {rate:.3g} ton/hour; "
    words += f"the plan's ore, with 14 kWh/ton, at {planned:.3g} ton/hour."
    assert (words in said) == (pace == 0 and index == 19)


BILL = {"energy_source": "bill", "energy_bill": 2200.0}


def test_a_power_bill_that_stays_when_the_hours_grow_is_told():
    """A second shift: the bill entered is that of the first one."""
    assert not any("Power or fuel bill" in told for told in reasons(**BILL))
    (told,) = [r for r in reasons(**BILL, hours_per_day=16.0) if "fuel bill" in r]
    assert told.startswith("Power or fuel bill, $2,200 per month: low for the planned")
    assert told.endswith("enter that of a month at the new hours.")


@pytest.mark.parametrize("source", ["grid", "generator"])
def test_energy_by_the_motors_is_what_the_plan_pays_without_a_bill(source):
    found = pw.example().change(power_source=source).values
    tons = found["tons_per_month"]
    paid = found["cost_of_energy"] * tons + found["cost_of_demand"]
    assert found["power_by_motors"] == pytest.approx(paid, rel=1e-12)


@pytest.mark.thorough
@pytest.mark.parametrize("job", sampled(["contract", "claim"], 2))
def test_a_workbook_says_so_beside_the_bill(job, tmp_path, libreoffice):
    path, back = tmp_path / "bill.xlsx", tmp_path / "back.xlsx"
    pw.example().change(BILL, job=job).write(path)
    libreoffice.save_changed(path, back, {"hours_per_day": 16.0})
    cells = stored_cells(back)["Start"].values()
    (told,) = [text for text in cells if "It stays when the hours" in str(text)]
    assert told.startswith("Power or fuel bill: low for the planned hours.")


def test_the_stage_that_limits_the_plant_is_told_in_its_number():
    """Before, "The shaking tables limits the plant"."""
    tables = " ".join(reasons(table_count=1))
    assert "The shaking tables limit the plant" in tables
    assert "The mill limits the plant" in " ".join(reasons())
