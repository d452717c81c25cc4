"""Power drawn by every unit, and energy for a ton."""

import numpy as np

from ...line import Section

drawn = Section("Plant", "Power")


@drawn.line("Crusher", "kW")
def crusher_power(crusher_motor, crusher_load, kilowatts_per_power):
    """While it crushes."""
    return crusher_motor * crusher_load * kilowatts_per_power


@drawn.line("Feeder and belts", "kW")
def conveying_power(feeder_motor, belt_motor, conveying_load, kilowatts_per_power):
    """Both groups at the same load."""
    return (feeder_motor + belt_motor) * conveying_load * kilowatts_per_power


@drawn.line("Tables", "kW")
def table_power(table_count, table_motor, table_load, kilowatts_per_power):
    """All tables."""
    return table_count * table_motor * table_load * kilowatts_per_power


@drawn.line("Classifier and pumps", "kW")
def water_power(classifier_motor, pump_motor, water_load, kilowatts_per_power):
    """While the mill runs."""
    return (classifier_motor + pump_motor) * water_load * kilowatts_per_power


@drawn.line("Highest demand", "kW")
def power_demand(
    crusher_power,
    conveying_power,
    mill_power_drawn,
    table_power,
    water_power,
    other_load,
):
    """Everything at once, as in the hours when the crusher runs too."""
    return (
        crusher_power
        + conveying_power
        + mill_power_drawn
        + table_power
        + water_power
        + other_load
    )


@drawn.line("Crushing energy", "kWh/ton")
def crushing_energy(crusher_power, crusher_capacity):
    """The crusher at its own rate."""
    return crusher_power / crusher_capacity


@drawn.line("Energy of a melt, per ton milled", "kWh/ton")
def melting_energy(furnace_energy, shipments_per_month, tons_per_month):
    """In a full working month."""
    return furnace_energy * shipments_per_month / tons_per_month


@drawn.line("Energy for a ton", "kWh/ton")
def energy_per_ton(
    crushing_energy,
    melting_energy,
    conveying_power,
    mill_power_drawn,
    table_power,
    water_power,
    other_load,
    feed_rate,
):
    """Crusher, mill, tables, water, lights and melting."""
    running = (
        conveying_power + mill_power_drawn + table_power + water_power + other_load
    )
    return crushing_energy + melting_energy + running / feed_rate


@drawn.line("Load of the generator", "share")
def generator_load(power_source, power_demand, generator_rating):
    """Highest demand as a share of the rating; 0 with grid power."""
    return np.where(power_source == "generator", power_demand / generator_rating, 0)
