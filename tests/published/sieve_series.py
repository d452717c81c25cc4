"""Sieve openings."""

# ASTM E11, recalled from handbooks; the package fluids agrees: mesh, um.
US = [
    *((4, 4750), (6, 3350), (8, 2360), (10, 2000), (12, 1700), (14, 1400)),
    *((16, 1180), (18, 1000), (20, 850), (25, 710), (30, 600), (35, 500)),
    *((40, 425), (45, 355), (50, 300), (60, 250), (70, 212), (80, 180)),
    *((100, 150), (120, 125), (140, 106), (170, 90), (200, 75), (230, 63)),
    *((270, 53), (325, 45), (400, 38), (450, 32), (500, 25), (635, 20)),
]

# conductscience.com, "Mesh to micron converter", read.
TYLER_FINE = [(200, 74), (270, 53), (325, 43), (400, 38)]
# reference.com, "How do you find sieve mesh sizes", read: mm, modern equivalents.
TYLER_COARSE = [(2.5, 8.0), (3, 6.73), (3.5, 5.66)]
# screenerking.com, mesh chart, market grade (Tyler's wires), read: um.
TYLER_MARKET_GRADE = [(8, 2362), (10, 1651), (14, 1168)]
# Wikipedia, "Mesh (scale)", an older state, read: Tyler, about the same US sieve.
TYLER_BESIDE_US = [
    *((6, 6), (10, 12), (12, 14), (14, 16), (16, 18), (20, 20), (24, 25), (28, 30)),
    *((32, 35), (35, 40), (60, 60), (65, 70), (80, 80), (100, 100), (115, 120)),
]
