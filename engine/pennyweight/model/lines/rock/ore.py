"""From the rock in the ground to the gold in the bullion, per ton milled."""

import numpy as np

from ....trade import scaling
from ...line import Section

rock = Section("Return per ton", "Rock")
gold = Section("Return per ton", "Gold in a ton milled")


@rock.line("Ore to mill", "ton")
def mill_tons(ore_tons, mining_recovery, dilution):
    """Dry tons that pass the mill: ore won and the waste that comes with it."""
    return scaling.mined_tons(
        ore_tons, dilution=dilution, mining_recovery=mining_recovery
    )


@rock.line("Grade planned", "grade")
def planned_grade(grade_source, head_grade, lot_head, sample_mean):
    """Entered, or from the test lot or the samples, as chosen on the sheet Inputs."""
    measured = np.where(grade_source == "test lot", lot_head, sample_mean)
    return np.where(grade_source == "entered", head_grade, measured)


@rock.line("Recovery planned", "share")
def planned_recovery(recovery_source, gravity_recovery, lot_recovery):
    """Entered, or from the test lot, as chosen on the sheet Inputs."""
    return np.where(recovery_source == "entered", gravity_recovery, lot_recovery)


@rock.line("Grade of the mill feed", "grade")
def feed_grade(planned_grade, dilution):
    """Ore grade thinned by barren waste."""
    return planned_grade / (1 + dilution)


@rock.line("Wet weight of a dry ton", "ton/ton")
def wet_per_dry(moisture):
    """What is hauled for each dry ton."""
    return 1 / (1 - moisture)


@gold.line("Gold in the mill feed", "oz/ton")
def feed_gold(feed_grade, grade_per_ounce):
    """Troy ounces in a ton of this book."""
    return feed_grade / grade_per_ounce


@gold.line("Gold caught by the tables", "oz/ton")
def caught_gold(feed_gold, planned_recovery):
    """In the first and second concentrates."""
    return feed_gold * planned_recovery


@gold.line("Gold in the bullion", "oz/ton")
def bullion_gold(caught_gold, furnace_recovery):
    """Fine gold that goes to the refiner."""
    return caught_gold * furnace_recovery


@gold.line("Gold in the middlings", "oz/ton")
def middlings_gold(feed_gold, middlings_share):
    """Held in the sulphides."""
    return feed_gold * middlings_share


@gold.line("Gold lost in the slag", "oz/ton")
def slag_gold(caught_gold, bullion_gold):
    """Caught, but not in the button."""
    return caught_gold - bullion_gold


@gold.line("Gold in the tailings", "oz/ton")
def tailings_gold(feed_gold, caught_gold, middlings_gold):
    """What no product holds."""
    return feed_gold - caught_gold - middlings_gold


@gold.line("Grade of the tailings", "grade")
def tailings_grade(tailings_gold, grade_per_ounce, tailings):
    """Assay to be expected of the tailings."""
    return tailings_gold * grade_per_ounce / tailings


@gold.line("Bullion", "oz/ton")
def bullion(bullion_gold, fine, bullion_fineness):
    """Troy ounces of gold, silver and base metal together."""
    return bullion_gold * fine / bullion_fineness
