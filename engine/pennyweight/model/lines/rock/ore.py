"""Ore and gold, from ore in place to bullion, per ton milled."""

import numpy as np

from ....trade import scaling
from ...line import Section

rock = Section("Return per ton", "Mill feed")
gold = Section("Return per ton", "Gold per ton milled")


@rock.line("Mill feed over the plan", "ton")
def mill_tons(ore_tons, mining_recovery, dilution):
    """Dry tons of ore mined, with dilution."""
    return scaling.mined_tons(
        ore_tons, dilution=dilution, mining_recovery=mining_recovery
    )


@rock.line("Test lot grade, clean ore", "grade")
def lot_ore_grade(lot_head, lot_material, lot_dilution):
    """Calculated head, without the waste of a lot as mined."""
    return np.where(lot_material == "as mined", lot_head * (1 + lot_dilution), lot_head)


@rock.line("Ore grade used", "grade")
def planned_grade(grade_source, ore_grade, lot_ore_grade, sample_mean):
    """Before dilution: entered, test lot or samples, as chosen."""
    measured = np.where(grade_source == "test lot", lot_ore_grade, sample_mean)
    return np.where(grade_source == "entered", ore_grade, measured)


@rock.line("Head grade (mill feed)", "grade")
def feed_grade(planned_grade, dilution):
    """After dilution with barren rock."""
    return planned_grade / (1 + dilution)


@rock.line("Wet weight per dry ton", "ton/ton")
def wet_per_dry(moisture):
    """Basis of haulage."""
    return 1 / (1 - moisture)


@gold.line("Gold in mill feed per ton", "oz/ton")
def feed_gold(feed_grade, grade_per_ounce):
    """Troy ounces per dry ton."""
    return feed_grade / grade_per_ounce


@gold.line("Gold recovered by tables per ton", "oz/ton")
def caught_gold(feed_gold, planned_recovery):
    """In the first and second concentrates."""
    return feed_gold * planned_recovery


@gold.line("Owner's share of the bullion", "share")
def kept_share(own_mill, toll_share):
    """All of it, less the share of a hired mill."""
    return 1 - toll_share * (1 - own_mill)


@gold.line("Gold in bullion per ton", "oz/ton")
def bullion_gold(caught_gold, furnace_recovery):
    """Fine gold shipped to the refiner."""
    return caught_gold * furnace_recovery


@gold.line("Gold in middlings per ton", "oz/ton")
def middlings_gold(feed_gold, planned_middlings):
    """In the sulphides."""
    return feed_gold * planned_middlings


@gold.line("Gold lost in slag per ton", "oz/ton")
def slag_gold(caught_gold, bullion_gold):
    """Recovered by the tables, lost in smelting."""
    return caught_gold - bullion_gold


@gold.line("Gold in tailings per ton", "oz/ton")
def tailings_gold(feed_gold, caught_gold, middlings_gold):
    """Mill feed less concentrates and middlings."""
    return feed_gold - caught_gold - middlings_gold


@gold.line("Tailings grade", "grade")
def tailings_grade(tailings_gold, grade_per_ounce, tailings):
    """Expected assay."""
    return tailings_gold * grade_per_ounce / tailings


@gold.line("Bullion per ton", "oz/ton")
def bullion(bullion_gold, fine, bullion_fineness):
    """Troy ounces of gold, silver and base metal together."""
    return bullion_gold * fine / bullion_fineness
