"""Functions of several topics, against worked examples of textbooks."""

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.trade import (
    balance,
    crushing,
    mills,
    money,
    motors,
    recovery,
    scaling,
)
from pennyweight.trade.exact_units import (
    KILOWATTS_PER_HORSEPOWER,
    MICROMETRES_PER_MILLIMETRE,
    MILLIMETRES_PER_INCH,
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
    with pytest.raises(BadValue, match="one phase or three"):
        motors.power_from_current(10, 230, 0.8, phases=2)
