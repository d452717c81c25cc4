"""Worked cases as printed, read in stored copies. Where the engine disagrees with what
is printed, the case says so.
"""

# C. & J. J. Beringer, A Text-book of Assaying, 9th ed. 1904 (Project Gutenberg 18751;
# superbook.org.ua 2610971, part 201): silver ore with metallics. Long tons.
METALLICS_SOURCE = "Beringer 1904, Text-book of Assaying, silver ore with metallics"
METALLICS = {
    "grams": (1.0, 399.0),  # metallics, sifted portion
    "percent": (84.2, 0.525),
    "produce": 0.7342,  # %
    "ounces": 239.84,  # oz per long ton
    # The rougher method of the same page takes the 20 g of the sifted portion for a
    # twentieth of the whole sample: 0.2% too much.
    "rough_ounces": 240.25,
}
BEADS = [(0.1, 163.33), (0.04, 65.33), (0.007, 11.43)]  # g of 20 g; oz per long ton
# The same, e-text page 16 of 691: one part in 100,000.
PART_SOURCE = "Beringer 1904, Text-book of Assaying, statement of results"
PART = {"ounces": 0.327, "pennyweights": 6.53}  # per long ton
# T. K. Rose, The Metallurgy of Gold, p. 496: assay-tons, and a bead of 50 g of ore.
ROSE_SOURCE = "Rose, The Metallurgy of Gold, p. 496"
ASSAY_TONS = {"long": 32.666, "short": 29.166}  # g
BEAD_OF_50 = {"milligrams": 1.75, "ounce": 1, "pennyweights": 2, "grains": 20.8}

# Moon & Whateley, Introduction to Mineral Exploration, 2nd ed., table 5.2, p. 76: a
# lead-zinc vein, widths (m) and zinc (%).
VEIN_SOURCE = "Moon & Whateley, Introduction to Mineral Exploration, p. 76"
VEIN = [
    *[(0.30, 0.01), (0.30, 0.05), (0.30, 0.13), (0.20, 0.17), (0.20, 0.25)],
    *[(0.20, 0.64), (0.20, 0.92), (0.20, 1.10), (0.20, 2.30), (0.20, 1.20)],
    *[(0.20, 2.10), (0.20, 5.30), (0.23, 1.40), (0.15, 2.00), (0.20, 1.90)],
    *[(0.20, 1.80), (0.20, 1.30), (0.20, 2.60), (0.12, 3.50)],
]
VEIN_MEANS = [(0, 4.00, 1.35), (2, 3.40, 1.59), (8, 2.10, 2.26)]  # from row, m, %
VEIN_CUT_OFF = 1.5  # %: one more sample would bring 3.40 m below it
# The same, table 10.4, p. 206: length (m), lead and zinc (%), specific gravity.
CORE_SOURCE = "Moon & Whateley, Introduction to Mineral Exploration, p. 206"
CORE = [
    *[(1.5, 8.7, 3.03), (2.0, 15.3, 3.27), (1.5, 18.1, 3.37), (1.0, 7.6, 2.99)],
    *[(1.0, 5.1, 2.91), (2.0, 14.9, 3.26), (1.5, 8.2, 3.01), (1.0, 12.3, 3.16)],
]
CORE_MEANS = {"by volume": 12.0, "by weight": 12.2}

# Lecture 8, size reduction, example 2 (scribd 541441568): 21 kJ/kg from 45 to a mean
# of 7.8 mm; asked: 25 to 1 mm, by Kick.
KICK_SOURCE = "lecture 8, size reduction, example 2 (scribd 541441568)"
KICK = ((21.0, 45.0, 7.8, 25.0, 1.0), 38.6)
# A laboratory mill of 72 mm with balls of 10.41 mm (saymore.in, mechanical ball mill):
# 2.84 revolutions a second. The page goes on to 176.4 a minute, for 170.4.
LABORATORY_MILL_SOURCE = "laboratory ball mill, saymore.in"
LABORATORY_MILL = {"metres": (0.072, 0.01041), "a_second": 2.84, "misprint": 176.4}

# G. P. Bottlik, ISE 460 session 16, 2015, practice problem: cost, net revenue of ten
# years, printed rate.
DESIGNS_SOURCE = "Bottlik, ISE 460 session 16 (2015), practice problem"
DESIGNS = [
    *[(150, 45, 0.2732), (220, 60, 0.2413), (300, 100, 0.3111), (340, 105, 0.2833)]
]
# Park, Fundamentals of Engineering Economics, 3rd ed., solutions of chapter 7
# (scribd 352591764), and the same chapter of another issue (scribd 686554355).
PARK_SOURCE = "Park, Fundamentals of Engineering Economics, 3rd ed., ch. 7 solutions"
PARK = [
    # problem, flows, printed rate
    ("7.1", [-2000, 0, 0, 0, 0, 4000], 0.1486),
    ("7.2", [-450_000, *[0] * 5, 650_000], 0.0632),
    ("7.9", [-15_000, 0, 8_200, 9_500], 0.067648),
    ("7.10", [-6_500, -4_500, 13_000], 0.109807),
    ("7.11 A", [-25_000, 12_000, 23_000, 34_000], 0.593224),
    ("7.11 C", [43_233, -18_000, -18_000, -18_000], 0.12),
    ("7.1, other issue", [-1, 0, 0, 0, 2], 0.1892),  # beside it is printed 18.29%
    ("7.2, other issue", [-360_000, 0, 0, 0, 0, 450_000], 0.04564),
    ("7.4, other issue", [-22_000, *[547.47] * 48], 0.0075),
]
# Printed rates at which the flows have a value: extrapolated far beyond the two trials,
# or from a trial with a slip (-8,758 for -87,528).
PARK_WRONG = [
    ("7.4", [-23_000, *[1540] * 60], 0.0395),
    ("7.8", [-550_000, 135_000, 152_000, 285_000], 0.0963),
]
# One of two rates; the solution prints this one.
PARK_TWO_RATES = ([-23_000, 32_000, 32_000, -25_000], 0.8272)

# Sullivan, Wicks & Koelling, Engineering Economy, 14th ed., solutions 5-2 and 5-3,
# p. 279: factors of four decimals.
SULLIVAN_SOURCE = "Sullivan, Wicks & Koelling, Engineering Economy, 14th ed., p. 279"
SULLIVAN = {
    "rate": 0.12,
    "flows": [-640_000, *[138_000] * 8],
    "gradient": (4_000, 3, 8),  # a year, from this year (0) to that one
    "salvage": 20_000,
    "value": 82_082.78,
}
BONUS = (0.20, [0, *[12_500.0] * 3], 26_331)
# edurev.in 516595, present worth. The first answer slips: its own factor, 8.3838, gives
# 178,785.
WORTH_SOURCE = "edurev.in 516595, practice problems on present worth"
WATER_MAIN = (0.06, [-450_000, *[75_000] * 12], 178_785, 178_965)
BACK_UP_POWER = (0.08, [-125_000, *[22_000] * 10], 22_621)
# Engineering Economics, BE Civil IOE, 2076, question 1 (kekkei.com): cost of two pumps.
PUMPS_SOURCE = "BE Civil IOE, Engineering Economics 2076, question 1"
PUMPS = [
    # first cost, each year, overhaul in year 6, salvage in year 12, present worth
    (1_800_000, 320_000, 250_000, 200_000, 4_057_773),
    (2_600_000, 210_000, 150_000, 400_000, 3_988_094),
]
