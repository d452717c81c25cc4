"""The plant, unit by unit: capacity, bottleneck, mill power."""

import numpy as np

from ....formulas import lookup
from ....trade import comminution, efficiency, gravity, mill_charge, mills, wear
from ...axes import Axis
from ...line import Section

crusher = Section("Plant", "Jaw crusher")
conveying = Section("Plant", "Ore bin, feeder and belts")
grinding = Section("Plant", "Ball mill: grinding energy")
ball_mill = Section("Plant", "Ball mill: power and ball charge")
mill = Section("Plant", "Grinding mill")
tables = Section("Plant", "Shaking tables")
water = Section("Plant", "Classifier and water")
furnace = Section("Plant", "Furnace")
pace = Section("Plant", "Plant throughput")

STAGES = (
    *("jaw crusher", "belts", "feeder", "mill", "shaking tables", "classifier"),
    "water",
)
STAGE = Axis("stage", "Stage", "-", STAGES, down=True)


@crusher.line("Crusher capacity per day", "ton/day")
def crusher_daily(crusher_capacity, crusher_hours):
    """Working day without stops."""
    return crusher_capacity * crusher_hours


@conveying.line("Belt capacity per day", "ton/day")
def belt_daily(belt_capacity, crusher_hours):
    """The belts run with the crusher."""
    return belt_capacity * crusher_hours


@conveying.line("Feeder capacity per day", "ton/day")
def feeder_daily(feeder_capacity, hours_per_day):
    """The feeder runs with the mill."""
    return feeder_capacity * hours_per_day


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
def inside_diameter(diameter_basis, mill_diameter, liner_thickness, metres_per_length):
    """Basis of speed, power and ball charge."""
    lined = mill_charge.inside_diameter(
        mill_diameter * metres_per_length, liner_thickness * metres_per_length
    )
    shell = diameter_basis == "inside shell"
    return np.where(shell, lined / metres_per_length, mill_diameter)


@grinding.line("Mill diameter factor")
def mill_diameter_factor(inside_diameter, metres_per_length):
    """Above 1 for mills smaller than 2.44 m."""
    return efficiency.diameter_factor(inside_diameter * metres_per_length)


@grinding.line("Oversized feed factor")
def coarse_feed_factor(short_ton_work_index, feed_f80, product_p80):
    """Above 1 if the feed is coarser than the optimum."""
    return efficiency.oversized_feed_factor(short_ton_work_index, feed_f80, product_p80)


@grinding.line("Fine grinding factor")
def fine_factor(product_p80):
    """Above 1 for products finer than 75 µm."""
    return efficiency.fine_grind_factor(product_p80)


@grinding.line("Low-reduction-ratio factor")
def reduction_factor(feed_f80, product_p80):
    """Above 1 for a reduction ratio below 6."""
    return efficiency.low_reduction_factor(feed_f80, product_p80)


@grinding.line("Specific grinding energy", "kWh/ton")
def grinding_energy(
    bond_grinding_energy,
    dry_factor,
    circuit_factor,
    mill_diameter_factor,
    coarse_feed_factor,
    fine_factor,
    reduction_factor,
):
    """At the pinion, all efficiency factors included."""
    return (
        bond_grinding_energy
        * dry_factor
        * circuit_factor
        * mill_diameter_factor
        * coarse_feed_factor
        * fine_factor
        * reduction_factor
    )


@ball_mill.line("Critical speed", "1/minute")
def critical_mill_speed(inside_diameter, metres_per_length):
    """Without ball size, as in the power equation."""
    return mills.critical_speed(inside_diameter * metres_per_length)


@ball_mill.line("Mill speed, % of critical", "share")
def speed_share(mill_speed, critical_mill_speed):
    """65 to 79% is usual; the power equation ends at 90%."""
    return mill_speed / critical_mill_speed


@ball_mill.line("Ball charge", "mass")
def ball_charge(
    inside_diameter,
    mill_length,
    ball_filling,
    metres_per_length,
    tonnes_per_ton,
    mass_per_ton,
):
    """Mass of steel at the planned charge."""
    return (
        mill_charge.ball_charge_mass(
            inside_diameter * metres_per_length,
            mill_length * metres_per_length,
            ball_filling,
        )
        / tonnes_per_ton
        * mass_per_ton
    )


@ball_mill.line("Ball mill power at the pinion", "kW")
def ball_mill_power(
    inside_diameter,
    mill_length,
    ball_filling,
    speed_share,
    grinding,
    metres_per_length,
):
    """Drawn with or without feed."""
    return mills.mill_power(
        inside_diameter * metres_per_length,
        mill_length * metres_per_length,
        ball_filling,
        speed_share,
        dry=grinding == "dry",
    )


@ball_mill.line("Ball top size by Bond's equation", "length")
def bond_ball_size(
    feed_f80,
    short_ton_work_index,
    rock_density,
    speed_share,
    inside_diameter,
    metres_per_length,
    metres_per_millimetre,
):
    """Take the next larger ball on the market."""
    found = wear.ball_top_size(
        feed_f80,
        short_ton_work_index,
        rock_density,
        speed_share,
        inside_diameter * metres_per_length,
    )
    return found * metres_per_millimetre / metres_per_length


@ball_mill.line("Ball top size used", "length")
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


@ball_mill.line("Ball consumption", "mass/ton")
def ball_make_up(
    abrasion_index, grinding, grinding_energy, media_wear_factor, kilograms_per_mass
):
    """Wear by grinding energy; equals make-up at steady state."""
    worn = wear.ball_wear(abrasion_index, dry=grinding == "dry")
    return wear.make_up(worn, grinding_energy, media_wear_factor) / kilograms_per_mass


@ball_mill.line("Liner consumption", "mass/ton")
def liner_make_up(
    abrasion_index, grinding, grinding_energy, media_wear_factor, kilograms_per_mass
):
    """Wear by grinding energy."""
    worn = wear.liner_wear(abrasion_index, dry=grinding == "dry")
    return wear.make_up(worn, grinding_energy, media_wear_factor) / kilograms_per_mass


@ball_mill.line("Ball charge life", "ton")
def ball_life(ball_charge, ball_make_up):
    """Tons milled until wear equals the mass of the charge."""
    return wear.inventory_life(ball_charge, ball_make_up)


@mill.line("Mill motor rating in kW", "kW")
def mill_motor_rating(mill_motor, kilowatts_per_power):
    """Rated power."""
    return mill_motor * kilowatts_per_power


@mill.line("Mill power at the motor shaft", "kW")
def mill_shaft_power(
    mill_kind, ball_mill_power, drive_efficiency, mill_motor_rating, hammer_load
):
    """Pinion over drive; hammer: rating times load."""
    return np.where(
        mill_kind == "ball mill",
        ball_mill_power / drive_efficiency,
        mill_motor_rating * hammer_load,
    )


@mill.line("Mill power draw", "kW")
def mill_power_drawn(mill_shaft_power, motor_efficiency):
    """From the line, motor losses included."""
    return mill_shaft_power / motor_efficiency


@mill.line("Mill motor load", "share")
def mill_motor_load(mill_shaft_power, mill_motor_rating):
    """Shaft power over rating; above 100% the motor is too small."""
    return mill_shaft_power / mill_motor_rating


@mill.line("Hammer mill capacity at the planned grind", "ton/hour")
def hammer_rate(
    hammer_capacity, measured_p80, hammer_work_index, product_p80, work_index
):
    """From the timed run, by rock and product size."""
    return mills.capacity_at_grind(
        hammer_capacity, measured_p80, hammer_work_index, product_p80, work_index
    )


@mill.line("Mill capacity", "ton/hour")
def mill_capacity(mill_kind, ball_mill_power, grinding_energy, hammer_rate):
    """Ball mill: power at the pinion over specific grinding energy."""
    return np.where(
        mill_kind == "ball mill", ball_mill_power / grinding_energy, hammer_rate
    )


@mill.line("Mill capacity per day", "ton/day")
def mill_daily(mill_capacity, hours_per_day, regrind_recovery, middlings_pull):
    """Working day; reground middlings included."""
    again = np.where(regrind_recovery > 0, 1 + middlings_pull, 1)
    return mill_capacity * hours_per_day / again


@tables.line("Table capacity at the planned grind, each", "ton/hour")
def table_rate(table_capacity, measured_p80, product_p80):
    """Lower for finer feed."""
    return gravity.table_capacity_at_grind(table_capacity, measured_p80, product_p80)


@tables.line("Table capacity per day", "ton/day")
def table_daily(table_count, table_rate, hours_per_day):
    """Working day without stops, all tables."""
    return table_count * table_rate * hours_per_day


@water.line("Classifier capacity per day", "ton/day")
def classifier_daily(classifier_capacity, hours_per_day):
    """Tailings dewatered on a working day without stops."""
    return classifier_capacity * hours_per_day


@water.line("Water capacity per day", "ton/day")
def water_daily(water_supply, make_up_water, crusher_daily):
    """By make-up water; the crusher's capacity if water is not the limit."""
    limits = np.logical_and(water_supply > 0, make_up_water > 0)
    return np.where(limits, water_supply / make_up_water, crusher_daily)


pace.gather(
    "stage_daily",
    "Stage capacity per day",
    "ton/day",
    "stage",
    (
        "crusher_daily",
        "belt_daily",
        "feeder_daily",
        "mill_daily",
        "table_daily",
        "classifier_daily",
        "water_daily",
    ),
    note="Working day without stops.",
)


@pace.line("Plant capacity per day", "ton/day")
def plant_daily(
    crusher_daily,
    belt_daily,
    feeder_daily,
    mill_daily,
    table_daily,
    classifier_daily,
    water_daily,
):
    """Capacity of the slowest stage."""
    before = np.minimum(np.minimum(crusher_daily, belt_daily), feeder_daily)
    tables = np.minimum(np.minimum(before, mill_daily), table_daily)
    return np.minimum(np.minimum(tables, classifier_daily), water_daily)


@pace.line("Bottleneck")
def bottleneck(plant_daily, stage_daily, stage):
    """Stage with the lowest capacity per day."""
    return lookup(plant_daily, stage_daily, stage)


@pace.line("Stage utilisation", "share", over="stage")
def stage_load(plant_daily, stage_daily):
    """Plant capacity over stage capacity."""
    return plant_daily / stage_daily


@pace.line("Calculated feed rate", "ton/hour")
def calculated_feed_rate(plant_daily, hours_per_day):
    """Plant capacity per day over staffed hours."""
    return plant_daily / hours_per_day


@pace.line("Measured throughput at the planned grind", "ton/hour")
def measured_at_grind(
    measured_pace, measured_p80, hammer_work_index, product_p80, work_index
):
    """From the timed run, by rock and product size."""
    return mills.capacity_at_grind(
        measured_pace, measured_p80, hammer_work_index, product_p80, work_index
    )


@pace.line("Feed rate that the other units take", "ton/hour")
def others_rate(
    crusher_daily,
    belt_daily,
    feeder_daily,
    table_daily,
    classifier_daily,
    hours_per_day,
    measured_pace,
    measured_p80,
    product_p80,
):
    """Without the mill; at least what they took in the timed run."""
    before = np.minimum(np.minimum(crusher_daily, belt_daily), feeder_daily)
    slowest = np.minimum(np.minimum(before, table_daily), classifier_daily)
    taken = gravity.table_capacity_at_grind(measured_pace, measured_p80, product_p80)
    return np.maximum(slowest / hours_per_day, taken)


@pace.line("Measured over calculated feed rate", "share")
def pace_factor(
    pace_source,
    measured_at_grind,
    others_rate,
    water_supply,
    water_daily,
    hours_per_day,
    calculated_feed_rate,
):
    """1 if the plan uses the calculated feed rate."""
    taken = np.minimum(measured_at_grind, others_rate)
    wet = np.where(
        water_supply > 0, np.minimum(taken, water_daily / hours_per_day), taken
    )
    return np.where(pace_source == "measured", wet / calculated_feed_rate, 1)


@pace.line("Feed rate", "ton/hour")
def feed_rate(calculated_feed_rate, pace_factor):
    """While the mill runs."""
    return calculated_feed_rate * pace_factor


@pace.line("Running hours", "hour/month")
def hours_per_month(hours_per_day, days_per_month, availability):
    """Full working month, with feed."""
    return hours_per_day * days_per_month * availability


@pace.line("Throughput per month", "ton/month")
def tons_per_month(feed_rate, hours_per_month):
    """Full working month."""
    return feed_rate * hours_per_month


@pace.line("Throughput per year", "ton/year")
def tons_per_year(tons_per_month, season_months):
    """Full output over the working season."""
    return tons_per_month * season_months


@pace.line("Operators required, all units", "count")
def attention_needed(
    crusher_attention,
    conveying_attention,
    mill_attention,
    table_attention,
    water_attention,
):
    """Average number of people, while the units run."""
    return (
        crusher_attention
        + conveying_attention
        + mill_attention
        + table_attention
        + water_attention
    )


@pace.line("Bin capacity required", "ton/day")
def bin_needed(feed_rate, hours_per_day, crusher_hours):
    """Mill feed while the crusher is idle."""
    return feed_rate * np.maximum(hours_per_day - crusher_hours, 0)


@tables.line("First concentrate per ton", "mass/ton")
def first_concentrate(first_pull, mass_per_ton):
    """Mass pull of the first concentrate."""
    return first_pull * mass_per_ton


@tables.line("First concentrate grade", "grade")
def first_grade(caught_gold, first_share, first_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * first_share / first_pull * grade_per_ounce


@tables.line("Second concentrate per ton", "mass/ton")
def second_concentrate(second_pull, mass_per_ton):
    """Mass pull of the second concentrate."""
    return second_pull * mass_per_ton


@tables.line("Second concentrate grade", "grade")
def second_grade(caught_gold, first_share, second_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * (1 - first_share) / second_pull * grade_per_ounce


@tables.line("Middlings per ton", "mass/ton")
def middlings(middlings_pull, mass_per_ton):
    """Sulphides with locked gold."""
    return middlings_pull * mass_per_ton


@tables.line("Middlings grade", "grade")
def middlings_grade(middlings_gold, middlings_pull, grade_per_ounce):
    """Gold over mass."""
    return middlings_gold / middlings_pull * grade_per_ounce


@tables.line("Tailings per ton", "ton/ton")
def tailings(first_pull, second_pull, middlings_pull):
    """Mill feed less concentrates and middlings."""
    return 1 - first_pull - second_pull - middlings_pull


@water.line("Make-up water per ton", "volume/ton")
def make_up_water(water_per_ton, water_recovered):
    """Circulating water less water recycled."""
    return water_per_ton * (1 - water_recovered)


@water.line("Circulating water flow", "volume/hour")
def water_flow(water_per_ton, feed_rate):
    """While the mill runs."""
    return water_per_ton * feed_rate


@furnace.line("Concentrate melted per month", "mass/month")
def melted_mass(first_concentrate, second_concentrate, dressing_ratio, tons_per_month):
    """Full working month, after dressing."""
    return (first_concentrate + second_concentrate) * dressing_ratio * tons_per_month


@furnace.line("Concentrate per melt", "mass")
def melt_size(melted_mass, shipments_per_month):
    """After dressing; at most the furnace charge capacity."""
    return melted_mass / np.maximum(shipments_per_month, 1)
