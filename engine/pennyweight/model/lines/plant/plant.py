"""The plant, unit by unit: capacity, what holds it back, power at the mill."""

import numpy as np

from ....formulas import lookup
from ....trade import comminution, efficiency, mill_charge, mills, wear
from ...axes import Axis
from ...line import Section

crusher = Section("Plant", "Jaw crusher")
conveying = Section("Plant", "Bin, feeder and belts")
grinding = Section("Plant", "Ball mill: energy of the grind")
ball_mill = Section("Plant", "Ball mill: power and charge")
mill = Section("Plant", "Mill")
tables = Section("Plant", "Shaking tables")
water = Section("Plant", "Classifier and water")
furnace = Section("Plant", "Furnace")
pace = Section("Plant", "Pace of the plant")

STAGES = ("jaw crusher", "belts", "feeder", "mill", "shaking tables", "classifier")
STAGE = Axis("stage", "Stage", "-", STAGES, down=True)


@crusher.line("Crusher, a day", "ton/day")
def crusher_daily(crusher_capacity, crusher_hours):
    """Tons that the crusher passes on a working day without stops."""
    return crusher_capacity * crusher_hours


@conveying.line("Belts, a day", "ton/day")
def belt_daily(belt_capacity, crusher_hours):
    """The belts run with the crusher."""
    return belt_capacity * crusher_hours


@conveying.line("Feeder, a day", "ton/day")
def feeder_daily(feeder_capacity, hours_per_day):
    """The feeder runs with the mill."""
    return feeder_capacity * hours_per_day


@grinding.line("Work index, short ton", "kWh/short_ton")
def short_ton_work_index(work_index, short_tons_per_ton):
    """As Bond's factors want it."""
    return work_index / short_tons_per_ton


@grinding.line("Energy by Bond's equation", "kWh/ton")
def bond_grinding_energy(work_index, feed_f80, product_p80):
    """For a wet, closed-circuit mill of 2.44 m."""
    return comminution.bond_energy(work_index, feed_f80, product_p80)


@grinding.line("Factor: dry grinding")
def dry_factor(grinding):
    """1 for wet grinding."""
    return efficiency.dry_grinding_factor(grinding == "dry")


@grinding.line("Factor: open circuit")
def circuit_factor(circuit, control_passing):
    """1 for a closed circuit."""
    factor = efficiency.open_circuit_factor(control_passing)
    return np.where(circuit == "open", factor, 1)


@grinding.line("Factor: diameter of the mill")
def mill_diameter_factor(mill_diameter, metres_per_length):
    """Small mills use energy less well."""
    return efficiency.diameter_factor(mill_diameter * metres_per_length)


@grinding.line("Factor: coarse feed")
def coarse_feed_factor(short_ton_work_index, feed_f80, product_p80):
    """Above 1 when the crusher leaves the feed too coarse for balls."""
    return efficiency.oversized_feed_factor(short_ton_work_index, feed_f80, product_p80)


@grinding.line("Factor: fine grind")
def fine_factor(product_p80):
    """Above 1 for products finer than 75 um."""
    return efficiency.fine_grind_factor(product_p80)


@grinding.line("Factor: small reduction")
def reduction_factor(feed_f80, product_p80):
    """Above 1 when feed and product are nearly alike."""
    return efficiency.low_reduction_factor(feed_f80, product_p80)


@grinding.line("Grinding energy", "kWh/ton")
def grinding_energy(
    bond_grinding_energy,
    dry_factor,
    circuit_factor,
    mill_diameter_factor,
    coarse_feed_factor,
    fine_factor,
    reduction_factor,
):
    """At the pinion, with every factor that applies."""
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
def critical_mill_speed(mill_diameter, ball_diameter, metres_per_length):
    """Where the balls would cling to the shell."""
    return mills.critical_speed(
        mill_diameter * metres_per_length, ball_diameter * metres_per_length
    )


@ball_mill.line("Speed as a share of the critical", "share")
def speed_share(mill_speed, critical_mill_speed):
    """65 to 79 % is usual."""
    return mill_speed / critical_mill_speed


@ball_mill.line("Ball charge", "mass")
def ball_charge(
    mill_diameter,
    mill_length,
    ball_filling,
    metres_per_length,
    tonnes_per_ton,
    mass_per_ton,
):
    """Steel in the mill when it is filled as planned."""
    return (
        mill_charge.ball_charge_mass(
            mill_diameter * metres_per_length,
            mill_length * metres_per_length,
            ball_filling,
        )
        / tonnes_per_ton
        * mass_per_ton
    )


@ball_mill.line("Power of the ball mill at the pinion", "kW")
def ball_mill_power(
    mill_diameter,
    mill_length,
    ball_filling,
    speed_share,
    grinding,
    metres_per_length,
):
    """Drawn whether rock goes through or not."""
    return mills.mill_power(
        mill_diameter * metres_per_length,
        mill_length * metres_per_length,
        ball_filling,
        speed_share,
        dry=grinding == "dry",
    )


@ball_mill.line("Balls to add", "mass/ton")
def ball_make_up(
    abrasion_index, grinding, grinding_energy, media_wear_factor, kilograms_per_mass
):
    """Worn off by the energy of the grind; at steady state the make-up."""
    worn = wear.ball_wear(abrasion_index, dry=grinding == "dry")
    return wear.make_up(worn, grinding_energy, media_wear_factor) / kilograms_per_mass


@ball_mill.line("Liners worn", "mass/ton")
def liner_make_up(
    abrasion_index, grinding, grinding_energy, media_wear_factor, kilograms_per_mass
):
    """Worn off by the energy of the grind."""
    worn = wear.liner_wear(abrasion_index, dry=grinding == "dry")
    return wear.make_up(worn, grinding_energy, media_wear_factor) / kilograms_per_mass


@ball_mill.line("Tons until a charge's weight is worn off", "ton")
def ball_life(ball_charge, ball_make_up):
    """Life of the inventory of balls."""
    return wear.inventory_life(ball_charge, ball_make_up)


@mill.line("Power of the motor", "kW")
def mill_motor_rating(mill_motor, kilowatts_per_power):
    """Rated."""
    return mill_motor * kilowatts_per_power


@mill.line("Power taken by the mill", "kW")
def mill_power_drawn(
    mill_kind, ball_mill_power, drive_efficiency, mill_motor_rating, hammer_load
):
    """From the line, drive losses included."""
    return np.where(
        mill_kind == "ball mill",
        ball_mill_power / drive_efficiency,
        mill_motor_rating * hammer_load,
    )


@mill.line("Load of the motor", "share")
def mill_motor_load(mill_power_drawn, mill_motor_rating):
    """Share of the rating taken; above 100 % the motor is too small."""
    return mill_power_drawn / mill_motor_rating


@mill.line("Capacity of the mill", "ton/hour")
def mill_capacity(mill_kind, ball_mill_power, grinding_energy, hammer_capacity):
    """A ball mill's power at the pinion over the energy of the grind."""
    return np.where(
        mill_kind == "ball mill", ball_mill_power / grinding_energy, hammer_capacity
    )


@mill.line("Mill, a day", "ton/day")
def mill_daily(mill_capacity, hours_per_day):
    """Tons that the mill grinds on a working day without stops."""
    return mill_capacity * hours_per_day


@tables.line("Tables, a day", "ton/day")
def table_daily(table_count, table_capacity, hours_per_day):
    """Tons that the tables take on a working day without stops."""
    return table_count * table_capacity * hours_per_day


@water.line("Classifier, a day", "ton/day")
def classifier_daily(classifier_capacity, hours_per_day):
    """Tons of tailings that the spiral dewaters without stops."""
    return classifier_capacity * hours_per_day


pace.gather(
    "stage_daily",
    "Capacity of each stage, a day",
    "ton/day",
    "stage",
    (
        "crusher_daily",
        "belt_daily",
        "feeder_daily",
        "mill_daily",
        "table_daily",
        "classifier_daily",
    ),
    note="Without stops.",
)


@pace.line("Slowest stage, a day", "ton/day")
def plant_daily(
    crusher_daily,
    belt_daily,
    feeder_daily,
    mill_daily,
    table_daily,
    classifier_daily,
):
    """The stage that holds the plant back sets the pace."""
    before = np.minimum(np.minimum(crusher_daily, belt_daily), feeder_daily)
    return np.minimum(
        np.minimum(np.minimum(before, mill_daily), table_daily), classifier_daily
    )


@pace.line("Held back by")
def bottleneck(plant_daily, stage_daily, stage):
    """The slowest stage."""
    return lookup(plant_daily, stage_daily, stage)


@pace.line("Load of each stage", "share", over="stage")
def stage_load(plant_daily, stage_daily):
    """Pace of the plant as a share of what the stage could take."""
    return plant_daily / stage_daily


@pace.line("Calculated throughput", "ton/hour")
def calculated_feed_rate(plant_daily, hours_per_day):
    """By the bottleneck, while the mill runs."""
    return plant_daily / hours_per_day


@pace.line("Measured over calculated throughput", "share")
def pace_factor(pace_source, measured_pace, calculated_feed_rate):
    """1 where the plan uses the calculated throughput."""
    measured = measured_pace / calculated_feed_rate
    return np.where(pace_source == "measured", measured, 1)


@pace.line("Feed rate", "ton/hour")
def feed_rate(calculated_feed_rate, pace_factor):
    """Through the mill while it runs."""
    return calculated_feed_rate * pace_factor


@pace.line("Running hours", "hour/month")
def hours_per_month(hours_per_day, days_per_month, availability):
    """Hours with rock going through, in a full working month."""
    return hours_per_day * days_per_month * availability


@pace.line("Full output", "ton/month")
def tons_per_month(feed_rate, hours_per_month):
    """In a working month."""
    return feed_rate * hours_per_month


@pace.line("Output of a full year", "ton/year")
def tons_per_year(tons_per_month, season_months):
    """Over the working season."""
    return tons_per_month * season_months


@pace.line("People needed", "count")
def attention_needed(
    crusher_attention,
    conveying_attention,
    mill_attention,
    table_attention,
    water_attention,
):
    """Kept busy by the units while they run."""
    return (
        crusher_attention
        + conveying_attention
        + mill_attention
        + table_attention
        + water_attention
    )


@pace.line("Bin needed", "ton/day")
def bin_needed(feed_rate, hours_per_day, crusher_hours):
    """To feed the mill while the crusher rests."""
    return feed_rate * np.maximum(hours_per_day - crusher_hours, 0)


@tables.line("First concentrate", "mass/ton")
def first_concentrate(first_pull, mass_per_ton):
    """The rich band."""
    return first_pull * mass_per_ton


@tables.line("Grade of the first concentrate", "grade")
def first_grade(caught_gold, first_share, first_pull, grade_per_ounce):
    """Gold in the first concentrate over its mass."""
    return caught_gold * first_share / first_pull * grade_per_ounce


@tables.line("Second concentrate", "mass/ton")
def second_concentrate(second_pull, mass_per_ton):
    """The band beside it."""
    return second_pull * mass_per_ton


@tables.line("Grade of the second concentrate", "grade")
def second_grade(caught_gold, first_share, second_pull, grade_per_ounce):
    """Gold in the second concentrate over its mass."""
    return caught_gold * (1 - first_share) / second_pull * grade_per_ounce


@tables.line("Middlings", "mass/ton")
def middlings(middlings_pull, mass_per_ton):
    """Sulphides with gold locked in them."""
    return middlings_pull * mass_per_ton


@tables.line("Grade of the middlings", "grade")
def middlings_grade(middlings_gold, middlings_pull, grade_per_ounce):
    """Gold in the middlings over their mass."""
    return middlings_gold / middlings_pull * grade_per_ounce


@tables.line("Tailings", "ton/ton")
def tailings(first_pull, second_pull, middlings_pull):
    """Tons of tailings from a ton milled."""
    return 1 - first_pull - second_pull - middlings_pull


@water.line("Make-up water", "volume/ton")
def make_up_water(water_per_ton, water_recovered):
    """Water that does not come back."""
    return water_per_ton * (1 - water_recovered)


@water.line("Water circulated", "volume/hour")
def water_flow(water_per_ton, feed_rate):
    """What the pumps move while the mill runs."""
    return water_per_ton * feed_rate


@furnace.line("Concentrate to melt", "mass/month")
def melted_mass(first_concentrate, second_concentrate, dressing_ratio, tons_per_month):
    """In a full working month, after dressing."""
    return (first_concentrate + second_concentrate) * dressing_ratio * tons_per_month


@furnace.line("Concentrate in one melt", "mass")
def melt_size(melted_mass, shipments_per_month):
    """Must fit the crucible."""
    return melted_mass / np.maximum(shipments_per_month, 1)
