"""Power draw of each unit, energy per ton, and the power bill."""

import numpy as np

from ...line import Section

drawn = Section("Plant", "Power")
bill = Section("Cost per ton", "Power bill")


@drawn.line("Crusher power draw", "kW")
def crusher_power(crusher_motor, crusher_load, kilowatts_per_power):
    """While the crusher runs."""
    return crusher_motor * crusher_load * kilowatts_per_power


@drawn.line("Belt power draw", "kW")
def belt_power(belt_motor, conveying_load, kilowatts_per_power):
    """While the crusher runs."""
    return belt_motor * conveying_load * kilowatts_per_power


@drawn.line("Feeder power draw", "kW")
def feeder_power(feeder_motor, conveying_load, kilowatts_per_power):
    """While the mill runs."""
    return feeder_motor * conveying_load * kilowatts_per_power


@drawn.line("Table power draw", "kW")
def table_power(table_count, table_motor, table_load, kilowatts_per_power):
    """All tables."""
    return table_count * table_motor * table_load * kilowatts_per_power


@drawn.line("Classifier and pump power draw", "kW")
def water_power(classifier_motor, pump_motor, water_load, kilowatts_per_power):
    """While the mill runs."""
    return (classifier_motor + pump_motor) * water_load * kilowatts_per_power


@drawn.line("Peak power demand", "kW")
def power_demand(
    crusher_power,
    belt_power,
    feeder_power,
    mill_power_drawn,
    table_power,
    water_power,
    other_load,
):
    """All units at once, crusher included."""
    return (
        crusher_power
        + belt_power
        + feeder_power
        + mill_power_drawn
        + table_power
        + water_power
        + other_load
    )


@drawn.line("Specific crushing energy", "kWh/ton")
def crushing_energy(crusher_power, crusher_rate):
    """At the crusher's own capacity for the mill's feed size."""
    return crusher_power / crusher_rate


@drawn.line("Melting energy per ton", "kWh/ton")
def melting_energy(furnace_energy, shipments_per_month, tons_per_month):
    """Full working month, per ton milled."""
    return furnace_energy * shipments_per_month / tons_per_month


@drawn.line("Energy per ton", "kWh/ton")
def energy_per_ton(
    crushing_energy,
    melting_energy,
    belt_power,
    crusher_rate,
    belt_capacity,
    feeder_power,
    mill_power_drawn,
    table_power,
    water_power,
    other_load,
    feed_rate,
):
    """Crusher, belts, mill, tables, water, lights and melting."""
    belts = belt_power / np.minimum(crusher_rate, belt_capacity)
    running = feeder_power + mill_power_drawn + table_power + water_power + other_load
    return crushing_energy + belts + melting_energy + running / feed_rate


@drawn.line("Generator load", "share")
def generator_load(power_source, power_demand, generator_rating):
    """Peak demand over rating; 0 with grid power or without a rating."""
    rated = np.logical_and(power_source == "generator", generator_rating > 0)
    return np.where(rated, power_demand / generator_rating, 0)


@drawn.line("Energy price", "$/kWh")
def energy_price(power_source, power_price, fuel_use, fuel_price):
    """Of the grid, or of the diesel for a kWh."""
    return np.where(power_source == "grid", power_price, fuel_use * fuel_price)


@drawn.line("Demand charge by the motors", "$/month")
def demand_by_motors(power_source, power_demand, demand_charge):
    """Grid power only."""
    return np.where(power_source == "grid", power_demand * demand_charge, 0)


@bill.line("Power or fuel by the motors", "$/month")
def power_by_motors(energy_per_ton, energy_price, tons_per_month, demand_by_motors):
    """Full working month at the planned hours."""
    return energy_per_ton * energy_price * tons_per_month + demand_by_motors


FITS, NO_BILL = "near the motors at the planned hours", "no bill is entered"


@bill.line("Power or fuel bill against the motors")
def bill_state(own_mill, energy_source, energy_bill, power_by_motors, bill_apart):
    """A bill stays when the hours grow: enter that of a month at the planned hours."""
    low = energy_bill * bill_apart < power_by_motors
    high = energy_bill > power_by_motors * bill_apart
    above = np.where(high, "high for the planned hours", FITS)
    found = np.where(low, "low for the planned hours", above)
    billed = np.logical_and(own_mill == 1, energy_source == "bill")
    return np.where(billed, found, NO_BILL)
