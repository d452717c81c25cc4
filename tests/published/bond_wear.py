"""Bond's wear equations as a testing laboratory prints them, lb/kWh.

SGS, "Mining abrasion test", sgs.fi, read; there after Bond, F. C.
1963, "Metal wear in crushing and grinding", 54th annual meeting of AIChE, Houston.
"""

WET_BALLS = (0.35, 0.015, 0.33)  # factor, offset, exponent; 0.33 stands for 1/3
WET_LINERS = (0.026, 0.015, 0.3)
DRY_BALLS = (0.05, 0.0, 0.5)
DRY_LINERS = (0.005, 0.0, 0.5)
CRUSHER_LINERS = (1 / 11, -0.22, 1.0)

SOURCE = "SGS, Mining abrasion test, after Bond 1963 (AIChE)"


def pounds_per_kilowatt_hour(terms, abrasion_index):
    """One printed equation."""
    factor, offset, exponent = terms
    return factor * (abrasion_index - offset) ** exponent


# Ai; wet balls and wet liners, kg/kWh, recomputed from the equations with 1/3.
WET_POINTS = [
    (0.10, 0.0698, 0.00563),
    (0.20, 0.0905, 0.00711),
    (0.30, 0.1045, 0.00809),
    (0.50, 0.1247, 0.00949),
]
