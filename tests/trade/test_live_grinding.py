"""Size reduction functions as spreadsheet formulas, against NumPy."""

import warnings

import pytest

from pennyweight.errors import OutsideRange
from pennyweight.formulas import Reference, formula
from pennyweight.trade import (
    comminution,
    crushing,
    efficiency,
    mill_charge,
    mills,
    motors,
    sieves,
    size_reduction,
    sizes,
    units,
    wear,
)
from pennyweight.trade.function_contract import CATALOGUE
from pennyweight.trade.function_contract_terms import contract_of

MODULES = (
    *(mill_charge, comminution, crushing, efficiency, mills),
    *(motors, sieves, size_reduction, sizes, units, wear),
)
# Calls of every function that can be a live formula: two or more rows each.
ROWS = {
    "oz_per_ton_to_g_per_t": [(0.3,), (0,)],
    "g_per_t_to_oz_per_ton": [(10,), (0,)],
    "oz_per_long_ton_to_g_per_t": [(0.3,), (0,)],
    "troy_mass": [(2, 3, 4), (0, 0, 1)],
    "grams_to_ounces": [(31,), (0,)],
    "grams_to_pennyweights": [(31,), (0,)],
    "fineness_of_karat": [(18,), (0,)],
    "fine_gold": [(200, 850), (0, 1000)],
    "bead_grade": [(0.5, 29.1667), (0, 30)],
    "bond_energy": [(13, 10_000, 150), (9, 2000, 2000)],
    "operating_work_index": [(13, 10_000, 150), (9, 900, 45)],
    "corrected_bond_energy": [
        (13, 10_000, 150, 1.2, False, 0.8),
        (6, 10_000, 60, 4.5, True, 0.93),
        (20, 500, 200, 2.44, True, 0.5),
    ],
    "rittinger_energy": [(13, 50, 10, 75, 25), (2, 40, 10, 30, 30)],
    "kick_energy": [(13, 50, 10, 75, 25), (2, 40, 10, 30, 30)],
    "bond_test_work_index": [(74, 1, 2400, 60), (150, 2, 2500, 110)],
    "rod_test_work_index": [(1180, 8, 9500, 850), (600, 5, 9000, 450)],
    "rod_mill_power": [(1.2, 5.56, 0.35, 0.65), (2.4, 0, 0.4, 0.7)],
    "early_test_work_index": [(74, 1), (150, 2)],
    "dry_grinding_factor": [(True,), (False,)],
    "open_circuit_factor": [(0.3,), (0.75,), (0.98,), (0.99,)],
    "diameter_factor": [(1.2,), (5,)],
    "optimum_feed_size": [(13,), (7,)],
    "easiest_product_size": [(20, 20_000), (13, 9000), (6, 9000)],
    "oversized_feed_factor": [(13, 9000, 100), (6, 9000, 100), (13, 900, 100)],
    "fine_grind_factor": [(38,), (75,), (150,)],
    "low_reduction_factor": [(500, 100), (600, 100)],
    "inside_diameter": [(1.2, 0.05), (2.4, 0)],
    "mill_volume": [(1.2, 1.2), (2.4, 3)],
    "filling_from_height": [(0.7, 1.2), (0, 1.2), (1.2, 1.2)],
    "ball_charge_mass": [(1.2, 1.2, 0.4, 4.65), (2.4, 3, 0.3, 1.6)],
    "critical_speed": [(1.2, 0.05), (2, 0)],
    "speed_fraction": [(30, 1.2, 0.05), (20, 2, 0)],
    "power_per_tonne_of_balls": [
        (1.2, 0.4, 0.75, "overflow", False),
        (2, 0.3, 0.7, "grate", False),
        (2, 0.3, 0.7, "grate", True),
    ],
    "mill_power": [
        (1.2, 1.2, 0.4, 0.75, "overflow", False),
        (2, 3, 0.3, 0.7, "grate", False),
        (2, 3, 0.3, 0.7, "overflow", True),
    ],
    "torque_arm_power": [(1.2, 1.2, 0.4, 0.75, 5.3, 40), (2, 3, 0.3, 0.7, 5, 35)],
    "capacity_at_grind": [(1.5, 400, 14, 200, 16), (2, 150, 12, 300, 12)],
    "motor_power": [(20, 0.9, 1.2), (0, 1, 1)],
    "standard_motor": [(23.5,), (0,), (149,), (30 * 0.7456998715822702,)],
    "motor_load": [(20, 30, 0.9), (0, 1, 1)],
    "line_power": [(20, 0.9, 0.9), (0, 1, 1)],
    "driven_speed": [(1750, 150, 900, 0.02), (0, 17, 156, 0)],
    "power_from_current": [(35, 460, 0.82, 3), (10, 230, 0.8, 1)],
    "motor_current": [(12, 440, 0.85, 0.8, 3), (0, 230, 0.9, 0.8, 1)],
    "generator_fuel": [(20, 0.5), (64, 0.8), (5, 0.1), (200, 1.05)],
    "impact_work_index": [(13, 2.7), (10, 3)],
    "reduction_ratio": [(60_000, 10_000), (5000, 10_000)],
    "crushing_stages": [(60_000, 10_000, 6), (360_000, 10_000, 6), (5000, 10_000, 6)],
    "stage_ratio": [(60_000, 10_000, 1), (360_000, 10_000, 2)],
    "crusher_capacity_at_product": [(5, 10_000, 5000), (5, 10_000, 20_000)],
    "crusher_power": [(12, 5, 60_000, 10_000), (9, 2, 3e4, 5e3)],
    "ball_wear": [(0.2, False), (0.2, True)],
    "liner_wear": [(0.2, False), (0.2, True)],
    "crusher_liner_wear": [(0.2,), (0,)],
    "make_up": [(0.1, 10, 0.7), (0.05, 20, 1)],
    "inventory_life": [(2000, 1.0), (500, 0.2)],
    "part_cost": [(800, 100), (0, 50)],
    "ball_top_size": [
        (5000, 14, 2.7, 0.75, 1.2, "wet overflow"),
        (900, 9, 4, 0.7, 3, "wet grate"),
        (900, 9, 4, 0.7, 3, "dry"),
    ],
    "equilibrium_passing": [(40, 50, 3.84), (60, 50, 4)],
    "gaudin_schuhmann_passing": [(75, 300, 0.7), (900, 100, 1.3), (0, 50, 2)],
    "gaudin_schuhmann_size": [(0.8, 300, 0.7), (0, 100, 1.3)],
    "gaudin_schuhmann_modulus": [(218.11, 0.7), (75, 1.3)],
    "rosin_rammler_passing": [(75, 300, 0.7), (0, 100, 1.3)],
    "rosin_rammler_size": [(0.8, 300, 0.7), (0, 100, 1.3)],
}
KINDS = {bool: "truth", str: "text"}
LONGEST = 8192  # characters that one cell takes


def _functions():
    return {
        name: function
        for module in MODULES
        for name, function in vars(module).items()
        if CATALOGUE.get(name) is function and function.__module__ == module.__name__
    }


def _live(function):
    mapping = contract_of(function).result == "mapping"
    said = " ".join(function.__doc__.split())
    return not mapping and "Not a live formula." not in said


def test_every_function_says_whether_it_can_be_live():
    live = {name for name, function in _functions().items() if _live(function)}
    assert live == set(ROWS)


def _traced(function, row, place):
    references = [
        Reference(f"{chr(65 + column)}{place}", kind=KINDS.get(type(value), "number"))
        for column, value in enumerate(row)
    ]
    return formula(function(*references))


@pytest.mark.parametrize("oracle", ["iron", "libreoffice", "gnumeric"])
def test_formulas_agree_with_the_functions(oracle, request):
    program = request.getfixturevalue(oracle)
    formulas, cells, expected, names = [], {}, [], []
    for name, rows in ROWS.items():
        function = _functions()[name]
        for row in rows:
            place = len(formulas) + 1
            formulas.append(_traced(function, row, place))
            cells |= {f"{chr(65 + i)}{place}": value for i, value in enumerate(row)}
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", OutsideRange)
                expected.append(function(*row))
            names.append(name)
    assert max(map(len, formulas)) < LONGEST
    found = program.evaluate(formulas, cells)
    for name, value, answer in zip(names, found, expected, strict=True):
        assert value == pytest.approx(answer, rel=1e-9, abs=1e-12), name


def test_mill_power_is_compact():
    diameter, length, filling, speed = map(Reference, ("D_", "L_", "V_", "f_"))
    written = formula(mills.mill_power(diameter, length, filling, speed))
    assert written == (
        "=0.7853981633974483*D_^2*L_*V_*4.65*"
        "(4.879*D_^0.3*(3.2-3*V_)*f_*(1-0.1/2^(9-10*f_)))"
    )


def test_factors_of_references_stay_all():
    names = ("Wi", "F80", "P80", "D_")
    found = efficiency.efficiency_factors(*map(Reference, names))
    # Wet and closed for sure, so these two are left out; the others may apply.
    assert list(found) == ["diameter", "oversized_feed", "fine_grind", "low_reduction"]
