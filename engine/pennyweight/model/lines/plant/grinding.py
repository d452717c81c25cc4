"""The mill: grinding energy, power, balls, liners and capacity."""

import numpy as np

from ....trade import comminution, efficiency, mill_charge, mills, wear
from ...line import Section

grinding = Section("Plant", "Ball mill: grinding energy")
ball_mill = Section("Plant", "Ball mill: power and ball charge")
sizing = Section("Plant", "Throughput required")

LARGE_ENOUGH = "mill and motor are large enough"
TOO_SMALL = "the mill is too small"
WEAK_MOTOR = "the motor is too small"
BEYOND = "outside the power equation"
mill = Section("Plant", "Grinding mill")


def of_ball_mill(mill_kind, value):
    """A figure that only a ball mill has."""
    return np.where(mill_kind == "ball mill", value, np.nan)


@grinding.line("Work index per short ton", "kWh/short_ton")
def short_ton_work_index(work_index, short_tons_per_ton):
    """Unit of Bond's efficiency factors."""
    return work_index / short_tons_per_ton


@grinding.line("Bond grinding energy", "kWh/ton")
def bond_grinding_energy(work_index, feed_f80, product_p80):
    """Wet, closed-circuit mill of 2.44 m diameter."""
    return comminution.bond_energy(work_index, feed_f80, product_p80)


@grinding.line("Dry grinding factor")
def dry_factor(grinding):
    """1 for wet grinding."""
    return efficiency.dry_grinding_factor(grinding == "dry")


@grinding.line("Open-circuit factor")
def circuit_factor(circuit, control_passing):
    """1 for a closed circuit."""
    factor = efficiency.open_circuit_factor(control_passing)
    return np.where(circuit == "open", factor, 1)


@grinding.line("Mill diameter inside liners", "length")
def inside_diameter(
    diameter_basis,
    mill_diameter,
    liner_thickness,
    metres_per_length,
    millimetres_per_size,
    metres_per_millimetre,
):
    """Basis of speed, power and ball charge."""
    lined = mill_charge.inside_diameter(
        mill_diameter * metres_per_length,
        liner_thickness * millimetres_per_size * metres_per_millimetre,
    )
    shell = diameter_basis == "inside shell"
    return np.where(shell, lined / metres_per_length, mill_diameter)


@grinding.line("Mill diameter factor")
def mill_diameter_factor(mill_kind, inside_diameter, metres_per_length):
    """Above 1 for mills smaller than 2.44 m."""
    factor = efficiency.diameter_factor(inside_diameter * metres_per_length)
    return of_ball_mill(mill_kind, factor)


@grinding.line("Product size of least energy, oversized feed", "um")
def easiest_product(short_ton_work_index, feed_f80):
    """Feed size if each coarser product takes less energy."""
    return efficiency.easiest_product_size(short_ton_work_index, feed_f80)


@grinding.line("Oversized feed factor at the product size")
def oversized_feed_factor(short_ton_work_index, feed_f80, product_p80):
    """Bond's factor for feed coarser than the optimum."""
    return efficiency.oversized_feed_factor(short_ton_work_index, feed_f80, product_p80)


@grinding.line("Oversized feed factor")
def coarse_feed_factor(
    oversized_feed_factor,
    short_ton_work_index,
    feed_f80,
    product_p80,
    easiest_product,
    work_index,
    bond_grinding_energy,
):
    """Above 1 if the feed is coarser than the optimum."""
    easiest = efficiency.oversized_feed_factor(
        short_ton_work_index, feed_f80, easiest_product
    )
    # Beyond its minimum, the equation gives more energy for coarser products.
    least = easiest * comminution.bond_energy(work_index, feed_f80, easiest_product)
    held = np.minimum(oversized_feed_factor, least / bond_grinding_energy)
    return np.where(product_p80 > easiest_product, held, oversized_feed_factor)


@grinding.line("Fine grinding factor")
def fine_factor(product_p80):
    """Above 1 for products finer than 75 µm."""
    return efficiency.fine_grind_factor(product_p80)


@grinding.line("Low-reduction-ratio factor")
def reduction_factor(feed_f80, product_p80, low_reduction):
    """Above 1 for a reduction ratio below 6."""
    factor = efficiency.low_reduction_factor(feed_f80, product_p80)
    # As published the factor jumps at the low ratio. By Bond, no feed takes more energy
    # than one six times as coarse as the product.
    most = (1 - np.sqrt(1 / low_reduction)) / (1 - np.sqrt(product_p80 / feed_f80))
    low = feed_f80 < low_reduction * product_p80
    return np.where(low, np.minimum(factor, most), factor)


@grinding.line("Specific grinding energy", "kWh/ton")
def grinding_energy(
    mill_kind,
    bond_grinding_energy,
    dry_factor,
    circuit_factor,
    mill_diameter_factor,
    coarse_feed_factor,
    fine_factor,
    reduction_factor,
):
    """At the pinion, all efficiency factors included."""
    energy = (
        bond_grinding_energy
        * dry_factor
        * circuit_factor
        * mill_diameter_factor
        * coarse_feed_factor
        * fine_factor
        * reduction_factor
    )
    return of_ball_mill(mill_kind, energy)


@ball_mill.line("Critical speed", "1/minute")
def critical_mill_speed(inside_diameter, metres_per_length):
    """Without ball size, as in the power equation."""
    return mills.critical_speed(inside_diameter * metres_per_length)


@ball_mill.line("Mill speed, % of critical", "share")
def speed_share(mill_kind, mill_speed, critical_mill_speed, highest_speed):
    """65 to 79% is usual; the power equation ends at 90%."""
    share = mill_speed / critical_mill_speed
    # A hammer mill does not use it: the figures of a ball mill must not refuse it.
    return np.where(mill_kind == "ball mill", share, np.minimum(share, highest_speed))


@ball_mill.line("Ball charge", "mass")
def ball_charge(
    mill_kind,
    inside_diameter,
    mill_length,
    ball_filling,
    metres_per_length,
    tonnes_per_ton,
    mass_per_ton,
):
    """Mass of steel in one mill at the planned charge."""
    tonnes = mill_charge.ball_charge_mass(
        inside_diameter * metres_per_length,
        mill_length * metres_per_length,
        ball_filling,
    )
    return of_ball_mill(mill_kind, tonnes / tonnes_per_ton * mass_per_ton)


@ball_mill.line("Ball mill power at the pinion", "kW")
def ball_mill_power(
    mill_kind,
    inside_diameter,
    mill_length,
    ball_filling,
    speed_share,
    mill_discharge,
    grinding,
    metres_per_length,
):
    """Drawn with or without feed."""
    power = mills.mill_power(
        inside_diameter * metres_per_length,
        mill_length * metres_per_length,
        ball_filling,
        speed_share,
        mill_discharge,
        dry=grinding == "dry",
    )
    return of_ball_mill(mill_kind, power)


@ball_mill.line("Ball mill type of Bond's ball size")
def ball_mill_type(grinding, mill_discharge):
    """Wet overflow, wet grate, or dry."""
    wet = np.where(mill_discharge == "grate", "wet grate", "wet overflow")
    return np.where(grinding == "dry", "dry", wet)


@ball_mill.line("Ball top size by Bond's equation", "size")
def bond_ball_size(
    mill_kind,
    ball_mill_type,
    feed_f80,
    short_ton_work_index,
    rock_density,
    speed_share,
    inside_diameter,
    metres_per_length,
    millimetres_per_size,
):
    """Take the next larger ball on the market."""
    found = wear.ball_top_size(
        feed_f80,
        short_ton_work_index,
        rock_density,
        speed_share,
        inside_diameter * metres_per_length,
        ball_mill_type,
    )
    return of_ball_mill(mill_kind, found / millimetres_per_size)


@ball_mill.line("Ball top size used", "size")
def ball_size(ball_diameter, bond_ball_size):
    """Entered, or by Bond's equation."""
    return np.where(ball_diameter > 0, ball_diameter, bond_ball_size)


@ball_mill.line("Ball mill diameter short of 0.8 m", "m")
def diameter_shortfall(
    mill_kind, inside_diameter, metres_per_length, smallest_ball_mill
):
    """Such mills draw far less power: measure one."""
    short = np.maximum(smallest_ball_mill - inside_diameter * metres_per_length, 0)
    return np.where(mill_kind == "ball mill", short, 0)


@ball_mill.line("Pinion power drawn", "kW")
def drawn_power(mill_kind, ball_mill_power, mill_count):
    """All ball mills."""
    return np.where(mill_kind == "ball mill", ball_mill_power * mill_count, 0)


@ball_mill.line("Ball wear per running hour", "mass/hour")
def ball_wear_rate(
    mill_kind,
    abrasion_index,
    grinding,
    drawn_power,
    media_wear_factor,
    kilograms_per_mass,
):
    """All mills, by the power drawn, with or without feed."""
    worn = wear.ball_wear(abrasion_index, dry=grinding == "dry")
    steel = wear.make_up(worn, drawn_power, media_wear_factor)
    return of_ball_mill(mill_kind, steel / kilograms_per_mass)


@ball_mill.line("Liner wear per running hour", "mass/hour")
def liner_wear_rate(
    mill_kind,
    abrasion_index,
    grinding,
    drawn_power,
    media_wear_factor,
    kilograms_per_mass,
):
    """All mills, by the power drawn, with or without feed."""
    worn = wear.liner_wear(abrasion_index, dry=grinding == "dry")
    steel = wear.make_up(worn, drawn_power, media_wear_factor)
    return of_ball_mill(mill_kind, steel / kilograms_per_mass)


@ball_mill.line("Ball charge life in running hours", "hour")
def ball_charge_hours(mill_kind, ball_charge, mill_count, ball_wear_rate):
    """Until wear equals the mass of the charge."""
    return of_ball_mill(mill_kind, ball_charge * mill_count / ball_wear_rate)


@ball_mill.line("Ball consumption", "mass/ton")
def ball_make_up(mill_kind, ball_wear_rate, feed_rate):
    """Equals make-up at steady state."""
    return of_ball_mill(mill_kind, ball_wear_rate / feed_rate)


@ball_mill.line("Liner consumption", "mass/ton")
def liner_make_up(mill_kind, liner_wear_rate, feed_rate):
    """Wear over the tons milled."""
    return of_ball_mill(mill_kind, liner_wear_rate / feed_rate)


@ball_mill.line("Ball charge life", "ton")
def ball_life(mill_kind, ball_charge_hours, feed_rate):
    """Tons milled until wear equals the mass of the charge, all mills."""
    return of_ball_mill(mill_kind, ball_charge_hours * feed_rate)


@mill.line("Mill motor rating in kW", "kW")
def mill_motor_rating(mill_motor, kilowatts_per_power):
    """Rated power."""
    return mill_motor * kilowatts_per_power


@mill.line("Mill power at the motor shaft", "kW")
def mill_shaft_power(
    mill_kind, ball_mill_power, drive_efficiency, mill_motor_rating, hammer_load
):
    """One mill. Pinion over drive; hammer: rating times load."""
    return np.where(
        mill_kind == "ball mill",
        ball_mill_power / drive_efficiency,
        mill_motor_rating * hammer_load,
    )


@mill.line("Mill power draw", "kW")
def mill_power_drawn(mill_shaft_power, mill_count, motor_efficiency):
    """From the line, all mills, motor losses included."""
    return mill_shaft_power * mill_count / motor_efficiency


@mill.line("Mill motor load", "share")
def mill_motor_load(mill_shaft_power, mill_motor_rating):
    """Shaft power over rating; above 100% the motor is too small."""
    return mill_shaft_power / mill_motor_rating


@mill.line("Work index of the timed run, used", "kWh/ton")
def timed_work_index(hammer_work_index, work_index):
    """The planned ore's, unless the run was of another rock."""
    return np.where(hammer_work_index > 0, hammer_work_index, work_index)


@mill.line("Hammer mill capacity at the planned grind", "ton/hour")
def hammer_rate(
    hammer_capacity, measured_p80, timed_work_index, product_p80, work_index
):
    """From the timed run, by rock and product size."""
    return mills.capacity_at_grind(
        hammer_capacity, measured_p80, timed_work_index, product_p80, work_index
    )


@mill.line("Hammer set life at the planned grind", "ton")
def hammer_life(
    hammer_set_life,
    hammer_rate,
    hammer_capacity,
    hammer_abrasion_index,
    abrasion_index,
):
    """Hammers wear by energy and by the abrasion index of the rock."""
    energy, rock = hammer_capacity / hammer_rate, abrasion_index / hammer_abrasion_index
    return hammer_set_life / (energy * rock)


@mill.line("Mill capacity", "ton/hour")
def mill_capacity(mill_kind, ball_mill_power, grinding_energy, hammer_rate):
    """One mill. Ball mill: pinion power over grinding energy."""
    return np.where(
        mill_kind == "ball mill", ball_mill_power / grinding_energy, hammer_rate
    )


@mill.line("Mill and table feed per ton milled", "ton/ton")
def passes(regrind_recovery, planned_middlings_pull):
    """Above 1 if middlings are reground."""
    return np.where(regrind_recovery > 0, 1 + planned_middlings_pull, 1)


@mill.line("Mill capacity per day", "ton/day")
def mill_daily(mill_capacity, mill_count, running_hours_per_day, passes):
    """All mills in the running hours; reground middlings included."""
    return mill_capacity * mill_count * running_hours_per_day / passes


@sizing.line("Coarsest product of the mill feed, P80", "um")
def coarsest_product(feed_f80, smallest_reduction):
    """The energy equation ends there."""
    return feed_f80 / smallest_reduction


@sizing.line("Throughput required of each mill", "ton/hour")
def required_rate(required_daily, running_hours_per_day, mill_count, mill_reserve):
    """While it runs, with the reserve."""
    return required_daily * (1 + mill_reserve) / (running_hours_per_day * mill_count)


@sizing.line("Verdict of the mill")
def mill_verdict(
    mill_capacity,
    required_rate,
    mill_motor_load,
    mill_reserve,
    speed_share,
    highest_speed,
    diameter_shortfall,
):
    """By speed and diameter, then by capacity, then by motor, each with the reserve."""
    loaded = mill_motor_load * (1 + mill_reserve)
    driven = np.where(loaded <= 1, LARGE_ENOUGH, WEAK_MOTOR)
    told = np.where(mill_capacity >= required_rate, driven, TOO_SMALL)
    within = np.logical_and(speed_share <= highest_speed, diameter_shortfall <= 0)
    return np.where(within, told, BEYOND)
