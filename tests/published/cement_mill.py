"""A cement mill's power by the torque of its charge, inputs and answer as printed.

"Ball mill performance & efficiency", items 1 and 2 of the table of formulas and
examples, cementequipment.org, read: net power 0.514 F u n D a.
"""

import numpy as np

SOURCE = "cementequipment.org, table of ball-mill formulas, items 1 and 2"
CHARGE = 175  # t of balls
TORQUE_FACTOR = 0.73  # sine of the tilt
SPEED = 16  # rpm
DIAMETER = 4.18  # m, effective
HEIGHT_RATIO = 0.139  # mill centre down to the charge, over the diameter
ARM = 0.578  # of gravity
NET_POWER = 2538  # kW


def bond_arguments():
    """Filling, fraction of critical speed, and the length that holds the charge."""
    from pennyweight.trade import mills

    filling = (
        np.arccos(2 * HEIGHT_RATIO)
        - 2 * HEIGHT_RATIO * np.sqrt(1 - 4 * HEIGHT_RATIO**2)
    ) / np.pi
    fraction = SPEED / (42.29 / np.sqrt(DIAMETER))
    length = CHARGE / mills.ball_charge_mass(DIAMETER, 1, filling)
    return filling, fraction, length
