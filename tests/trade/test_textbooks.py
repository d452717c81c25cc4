"""Functions of several topics, against worked examples of textbooks."""

import numpy as np
import pytest

from pennyweight.trade import (
    balance,
    crushing,
    mills,
    money,
    recovery,
    scaling,
)
from pennyweight.trade.exact_units import (
    KILOWATTS_PER_HORSEPOWER,
    MICROMETRES_PER_MILLIMETRE,
    MILLIMETRES_PER_INCH,
)

from ..evidence import evidence
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
