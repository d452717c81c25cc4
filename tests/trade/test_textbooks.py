"""Functions of several topics, against worked examples of textbooks."""

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.trade import (
    balance,
    bullion,
    crushing,
    head,
    mills,
    money,
    motors,
    pulp,
    recovery,
    samples,
    scaling,
    units,
)
from pennyweight.trade.exact_units import (
    GRAMS_PER_OUNCE,
    KILOGRAMS_PER_POUND,
    KILOWATTS_PER_HORSEPOWER,
    MICROMETRES_PER_MILLIMETRE,
    MILLIMETRES_PER_INCH,
    STANDARD_GRAVITY,
)

from ..evidence import evidence
from ..published import depreciation_cases as yearly
from ..published import textbooks as known

MICROMETRES_PER_INCH = MILLIMETRES_PER_INCH * MICROMETRES_PER_MILLIMETRE


@evidence("critical_speed", "read", known.COULSON_MILL_SOURCE)
def test_critical_speed_of_a_mill():
    case = known.COULSON_MILL
    found = mills.critical_speed(case["diameter"]) / 60
    assert found == pytest.approx(case["a_second"], abs=5e-4)
    assert 2 * np.pi * found == pytest.approx(case["radians"], abs=5e-3)


@evidence("recovery_by_size", "read", known.COULSON_SIZES_SOURCE)
@pytest.mark.parametrize(("shares", "caught", "of_all"), known.COULSON_SIZES)
def test_caught_of_several_sizes(shares, caught, of_all):
    found = recovery.recovery_by_size(shares, np.array(caught) / 100)
    assert 100 * found == pytest.approx(of_all, abs=0.05)


@evidence("crusher_power", "read", known.GEANKOPLIS_CRUSHER_SOURCE)
def test_power_to_crush_iron_ore():
    case = known.GEANKOPLIS_CRUSHER
    feed, product = np.array(case["inches"]) * MICROMETRES_PER_INCH
    power = crushing.crusher_power(case["work_index"], case["rate"], feed, product)
    # The book's constant, 1.46, has three figures.
    found = power / KILOWATTS_PER_HORSEPOWER
    assert found == pytest.approx(case["horsepower"], abs=0.05 + 24.1 * 0.005 / 1.46)


@evidence("scaled_cost", "read", known.TURTON_PLANT_SOURCE)
def test_cost_of_a_larger_plant_in_a_later_year():
    case = known.TURTON_PLANT
    assert scaling.scaled_cost(1.0, *case["sizes"]) == pytest.approx(
        case["size_factor"], abs=5e-4
    )
    found = scaling.scaled_cost(
        case["cost"], *case["sizes"], index_ratio=case["index_ratio"]
    )
    # Both factors are printed to three decimals, and the cost to the thousand.
    assert found == pytest.approx(case["new_cost"], rel=8e-4)


@evidence("product_recovery", "read", known.CONCENTRATION_SOURCE)
def test_recovery_by_weights():
    case = known.CONCENTRATION
    found = balance.product_recovery(case["pull"], case["product"], case["feed"])
    assert found == pytest.approx(case["recovery"], rel=1e-14)


@evidence("mass_pull", "read", known.COPPER_SOURCE)
@evidence("two_product_recovery", "read", known.COPPER_SOURCE)
def test_a_copper_circuit():
    case = known.COPPER
    assert balance.mass_pull(*case["assays"]) == pytest.approx(case["pull"], abs=5e-6)
    found = balance.two_product_recovery(*case["assays"])
    assert found == pytest.approx(case["recovery"], abs=5e-5)


@evidence("concentration_ratio", "read", known.COPPER_SOURCE)
def test_tons_into_one():
    found = balance.concentration_ratio(*known.COPPER["assays"])
    assert found == pytest.approx(known.COPPER_RATIO, abs=5e-3)
    with pytest.raises(BadValue, match="poorer than the feed"):
        balance.concentration_ratio(1.0, 10.0, 1.0)


@evidence("loan_payment", "read", known.TYRES_SOURCE)
@pytest.mark.parametrize(("months", "price", "each"), known.TYRES)
def test_level_cost_of_tyres(months, price, each):
    found = money.loan_payment(price, 0.12 / 12, months)
    assert found == pytest.approx(each, abs=5e-4)


@evidence("loan_payment", "read", known.ALTERNATIVES_SOURCE)
@pytest.mark.parametrize(("first", "yearly", "cost"), known.ALTERNATIVES)
def test_cost_of_a_year_of_three_machines(first, yearly, cost):
    found = money.loan_payment(first, 0.20, 15) + yearly
    assert found == pytest.approx(cost, abs=5e-3)


@evidence("internal_rate", "read", known.RATES_SOURCE)
@pytest.mark.parametrize(("flows", "printed"), known.RATES)
def test_rates_by_interpolation(flows, printed):
    """A chord lies above a value that curves: the printed rate is a little high."""
    found = money.internal_rate(flows)
    assert found < printed
    assert found == pytest.approx(printed, abs=4e-4)


@evidence("payback", "read", known.PAYBACKS_SOURCE)
@pytest.mark.parametrize(("flows", "years"), known.PAYBACKS)
def test_paybacks(flows, years):
    assert money.payback(flows) == pytest.approx(years, rel=1e-12)


@evidence("modified_internal_rate", "read", yearly.MIRR_SOURCE)
@pytest.mark.parametrize(
    ("flows", "finance", "reinvestment", "printed", "within"), yearly.MIRR
)
def test_modified_rates(flows, finance, reinvestment, printed, within):
    found = money.modified_internal_rate(flows, finance, reinvestment)
    assert found == pytest.approx(printed, abs=within)


def test_modified_rates_that_do_not_exist():
    assert np.isnan(money.modified_internal_rate([100.0, 20.0], 0.1, 0.1))
    assert np.isnan(money.modified_internal_rate([-100.0], 0.1, 0.1))
    assert money.modified_internal_rate([-100.0, -20.0], 0.1, 0.1) == -1


@evidence("equivalent_annual_worth", "read", yearly.WORTHS_SOURCE)
@pytest.mark.parametrize(
    ("first", "each", "salvage", "rate", "years", "worth"), yearly.WORTHS
)
def test_worth_of_a_year(first, each, salvage, rate, years, worth):
    flows = np.array([first, *[each] * years], dtype=float)
    flows[-1] += salvage
    found = money.equivalent_annual_worth(rate, flows)
    assert found == pytest.approx(worth, abs=5e-3)


@evidence("equivalent_annual_worth", "read", yearly.LIFE_SOURCE)
def test_economic_life_of_a_machine():
    """The year in which replacement costs least a year: 6 without interest, 7 with."""
    for rate, printed, within, best in [
        (0.0, yearly.YEARLY_WITHOUT, 5e-3, 6),
        # Factors of four decimals, on 4,000 to 8,000.
        (0.12, yearly.YEARLY, 0.6, 7),
    ]:
        costs = [
            -money.equivalent_annual_worth(
                rate, [-yearly.MACHINE, *(-np.array(yearly.UPKEEP[:years]))]
            )
            for years in range(1, len(printed) + 1)
        ]
        assert costs == pytest.approx(printed, abs=within)
        assert 1 + int(np.argmin(costs)) == best


@evidence("motor_current", "read", yearly.MOTOR_SOURCE)
@evidence("power_from_current", "read", yearly.MOTOR_SOURCE)
def test_current_of_a_motor():
    found = motors.motor_current(*yearly.MOTOR.values())
    star = 45 * 440 / 220 / np.sqrt(3)
    assert star / found == pytest.approx(yearly.MOTOR_RATIO, abs=5e-4)
    drawn = motors.power_from_current(found, 440, 0.8)
    assert drawn == pytest.approx(12.0 / 0.85, rel=1e-14)


def test_a_motor_of_one_phase():
    assert motors.power_from_current(10, 230, 0.8, phases=1) == pytest.approx(1.84)
    for function in (motors.power_from_current, motors.motor_current):
        told = f"{function.__name__}: A motor has one phase or three"
        with pytest.raises(BadValue, match=told):
            function(10, 230, 0.8, phases=2)


@evidence("hoskold_value", "read", known.HOOVER_SOURCE)
def test_value_of_a_mine_by_two_rates():
    years, rate, times = known.HOOVER_WORTH
    found = money.hoskold_value(1.0, years, rate, known.HOOVER_SAFE_RATE)
    assert found == pytest.approx(times, abs=5e-3)
    for income, rate, years, read in known.HOOVER_LIVES:
        low, high = money.hoskold_value(
            income, [years - read, years + read], rate, known.HOOVER_SAFE_RATE
        )
        assert low < 1 < high


@evidence("hoskold_value", "derived", "at one rate, the price of an annuity")
def test_value_at_one_rate():
    found = money.hoskold_value(1.0, 7, 0.09, 0.09)
    assert found == pytest.approx(1 / money.loan_payment(1.0, 0.09, 7), rel=1e-14)


@evidence("dore_payment", "read", known.BARS_SOURCE)
def test_value_of_a_bar_on_counter_scales():
    case = known.BARS
    grams = case["ounces"] * KILOGRAMS_PER_POUND * 1000 / 16
    price = case["ounce"] * 16 * GRAMS_PER_OUNCE / (KILOGRAMS_PER_POUND * 1000)
    found = bullion.dore_payment(grams, case["fineness"], 1.0, price)
    # The book rounds the value of an ounce of the bar to the cent.
    assert found == pytest.approx(case["value"], abs=0.005 * case["ounces"])


@evidence("melt_loss", "read", known.CUPEL_SOURCE)
@pytest.mark.parametrize(("silver", "button", "loss"), known.CUPEL)
def test_losses_of_a_cupel(silver, button, loss):
    assert bullion.melt_loss(silver, button) == pytest.approx(loss, rel=1e-9)


@evidence("driven_speed", "read", known.PULLEYS_SOURCE)
def test_speed_behind_two_belts():
    case = known.PULLEYS
    for slip, printed in known.PULLEYS_SPEEDS.items():
        speed = case["speed"]
        for driver, driven in case["stages"]:
            speed = motors.driven_speed(speed, driver, driven, slip)
        assert speed == pytest.approx(printed, abs=1)


@evidence("pump_power", "read", known.PUMP_SOURCE)
def test_power_of_a_pump():
    case = known.PUMP
    bore, flow = case["diameter"], case["litres_a_second"] / 1000
    velocity = flow / (np.pi / 4 * bore**2)
    length = case["pipe"] + case["lift"] + case["fittings"] * bore
    lost = 4 * case["friction"] * length / bore * velocity**2 / STANDARD_GRAVITY
    head = case["lift"] + case["exchanger"] + lost
    found = pulp.pump_power(3600 * flow, head, efficiency=case["efficiency"])
    # The companion has 9.81 for gravity.
    assert 1000 * found == pytest.approx(known.PUMP_WATTS, rel=5e-4)


@evidence("gold_in_specimen", "read", known.SPECIMEN_SOURCE)
def test_gold_in_quartz():
    wet, dry = known.SPECIMEN_FACTORS
    for mass, under_water in [(96.0, 74.5), (10.0, 7.0)]:
        found = head.gold_in_specimen(mass, under_water)
        error = 0.005 * (mass + under_water)  # of factors with two decimals
        assert found == pytest.approx(wet * under_water - dry * mass, abs=error)
    for gravity, rock, share, within in known.SPECIMENS:
        found = head.gold_in_specimen(1.0, 1 - 1 / gravity, rock_gravity=rock)
        assert found == pytest.approx(share, abs=within)


@evidence("gold_in_specimen", "derived", "pure rock holds none, pure gold is all gold")
def test_ends_of_a_specimen():
    assert head.gold_in_specimen(10, 10 * (1 - 1 / 2.65)) == pytest.approx(0, abs=1e-12)
    assert head.gold_in_specimen(10, 9.48) == pytest.approx(10, rel=2e-3)
    with pytest.raises(BadValue, match="lighter than its rock"):
        head.gold_in_specimen(10, 6)
    with pytest.raises(BadValue, match="heavier than gold"):
        head.gold_in_specimen(10, 9.6)


@evidence("fineness_of_karat", "read", known.CARATS_SOURCE)
@pytest.mark.parametrize(("carats", "thousandths"), known.CARATS)
def test_carats(carats, thousandths):
    # The handbook drops what is beyond the thousandth.
    assert int(units.fineness_of_karat(carats)) == thousandths


@evidence("arithmetic_interval", "read", known.WEIGHINGS_SOURCE)
def test_interval_of_a_mean():
    case = known.WEIGHINGS
    # Any weighings of that mean and deviation have that interval.
    away = case["deviation"] * np.sqrt(1 - 1 / case["count"])
    weighings = case["mean"] + away * np.tile([-1.0, 1.0], case["count"] // 2)
    for confidence, printed in known.WEIGHINGS_INTERVALS.items():
        found = samples.arithmetic_interval(weighings, confidence)
        assert found == pytest.approx(printed, abs=5e-3)
