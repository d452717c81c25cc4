"""Worked examples of textbooks, inputs and answers as printed.

Those marked "companion" were read in the FOSSEE textbook companions, where volunteers
work the examples of a book again, each with its page, and print the answers.
"""

# Coulson & Richardson, Chemical Engineering vol. 2, 5th ed., companion.
COULSON_MILL_SOURCE = "Coulson & Richardson vol. 2, example 2.3, p. 129 (companion)"
COULSON_MILL = {"diameter": 1.2, "a_second": 0.643, "radians": 4.04}
COULSON_SIZES_SOURCE = (
    "Coulson & Richardson vol. 2, examples 1.5 and 1.6, p. 71 (companion)"
)
COULSON_SIZES = [
    # shares of the feed and of each caught, per cent; caught of all, per cent
    ([50, 30, 20], [45, 80, 96], 65.7),
    ([10, 15, 35, 20, 10, 10], [20, 40, 80, 90, 95, 100], 73.5),
]

# Geankoplis, Transport Processes and Unit Operations, example 14.5-1, p. 842,
# companion: iron ore, 10 short tons an hour, 3 inches to 1/8 inch.
GEANKOPLIS_CRUSHER_SOURCE = "Geankoplis, example 14.5-1, p. 842 (companion)"
GEANKOPLIS_CRUSHER = {
    "work_index": 12.68,
    "rate": 10.0,
    "inches": (3.0, 0.125),
    "horsepower": 24.1,
}

# Turton et al., Analysis, Synthesis, and Design of Chemical Processes, 3rd ed., p. 195
# of the copy: the factors of size and of the index, and the cost. The plant's sizes are
# recalled: 30,000 and 50,000 t a year.
TURTON_PLANT_SOURCE = "Turton et al., 3rd ed., p. 195 of the copy"
TURTON_PLANT = {
    "cost": 23e6,
    "sizes": (30_000, 50_000),
    "size_factor": 1.359,
    "index_ratio": 1.397,
    "new_cost": 43_644_000,
}

# "Metallurgical efficiency", sinonine.blogspot.com 2020/11: of 100 t/h of 1%, 4.5 t/h
# of 20%.
CONCENTRATION_SOURCE = "sinonine.blogspot.com, metallurgical efficiency, 2020"
CONCENTRATION = {"pull": 0.045, "product": 20.0, "feed": 1.0, "recovery": 0.90}
# processconvert.com, two product formula: recovery and yield, per cent.
COPPER_SOURCE = "processconvert.com, two product formula, worked example"
COPPER = {"assays": (1.0, 10.0, 0.2), "pull": 0.08163, "recovery": 0.8163}
COPPER_RATIO = 12.25

# Panneerselvam, Engineering Economics, ch. 6, companion: level payments that equal a
# first cost less the salvage at the end.
TYRES_SOURCE = "Panneerselvam, Engineering Economics, example 6.10, p. 85 (companion)"
TYRES = [
    # months, price, each month at 12% a year by the month
    *[(12, 1200, 106.619), (24, 1800, 84.732), (36, 2100, 69.75), (48, 2700, 71.101)]
]
ALTERNATIVES_SOURCE = "Panneerselvam, example 6.2, p. 71 (companion)"
ALTERNATIVES = [
    # first cost, each year, cost of a year at 20% over 15 years
    (500_000, 200_000, 306_941.06),
    (400_000, 300_000, 385_552.848),
    (600_000, 150_000, 278_329.272),
]
RATES_SOURCE = "Panneerselvam, examples 7.2 to 7.5, pp. 90-95 (companion)"
RATES = [
    # flows; rate by interpolation between two tables, not farther apart than 3%
    ([-2_000_000, *[350_000] * 10], 0.11741),
    ([-150_000, *[45_570] * 5], 0.15807),
    ([-255_000, *[69_000] * 5], 0.11003),
    ([-500_000, *[170_000] * 5], 0.20779),
    ([-800_000, *[270_000] * 5], 0.20436),
]

# Agarwal, Engineering Economics, examples 4.2 and 4.4, companion.
PAYBACKS_SOURCE = "Agarwal, Engineering Economics, examples 4.2 and 4.4 (companion)"
PAYBACKS = [
    ([-100_000, 20_000, 30_000, 40_000, 50_000], 3.2),
    ([-100_000, *[30_000] * 5], 3 + 1 / 3),
    ([-100_000, 30_000, 40_000, 20_000, 10_000, 5_000], 4.0),
    ([-100_000, 40_000, 20_000, 30_000, 40_000, 10_000], 3.25),
]

# Hoover, Principles of Mining (1909), chapters on redemption of capital and on mine
# valuation (free-books.at book_3392, offsets 107500 and 115000): six years of 450,000
# at 7% are worth 4.53 times as much; the table's years that give the price back, by
# income over price and the rate, with 4% on what is put aside.
HOOVER_SOURCE = "Hoover 1909, Principles of Mining, valuation by tables at 4%"
HOOVER_WORTH = (6, 0.07, 4.53)
HOOVER_LIVES = [(0.20, 0.07, 6.8, 0.05), (0.14, 0.08, 13, 0.5)]  # and how far read
HOOVER_SAFE_RATE = 0.04

# Leaching Gold and Silver Ores (chestofbooks.com), article 202, "Value of bars": an
# avoirdupois ounce of fine gold is $18.84; a bar of 125 1/2 such ounces, .969 fine.
BARS_SOURCE = "Leaching Gold and Silver Ores, article 202, value of bars"
BARS = {"ounces": 125.5, "fineness": 969, "ounce": 18.84, "value": 2_291.63}
# Beringer, Text-book of Assaying (bitlit.ru, page 12): silver cupelled, button, loss.
CUPEL_SOURCE = "Beringer, Text-book of Assaying, losses in cupelling silver"
CUPEL = [(0.5, 0.495, 0.01), (0.1, 0.098, 0.02)]

# Khurmi & Gupta, Theory of Machines, example 11.1, p. 333, companion: pulleys in mm,
# engine at 150 rpm, dynamo without slip and with 2% at each belt.
PULLEYS_SOURCE = "Khurmi & Gupta, Theory of Machines, example 11.1 (companion)"
PULLEYS = {"speed": 150, "stages": [(750, 450), (900, 150)]}
PULLEYS_SPEEDS = {0.0: 1500, 0.02: 1440}

# Coulson & Richardson, Chemical Engineering vol. 1, example 8.7, p. 369, companion:
# 600 cm3/s of water through 150 m of pipe of 40 mm and 10 m up, 2 m lost in an
# exchanger, 260 diameters of fittings, friction factor 0.004; efficiency 0.6.
PUMP_SOURCE = "Coulson & Richardson vol. 1, example 8.7, p. 369 (companion)"
PUMP = {"litres_a_second": 0.6, "diameter": 0.04, "pipe": 150.0, "lift": 10.0}
PUMP |= {"exchanger": 2.0, "fittings": 260, "friction": 0.004, "efficiency": 0.6}
PUMP_WATTS = 133.26

# Gold in quartz by weighing under water: the factors of 19.3 and 2.65
# (firstclassminers.org); per cent of gold by the specimen's gravity with quartz of 2.66
# (ganoksin.com 9579), and with 2.65 from the nearest row of a table
# (prospectingaustralia.com 23344: 6.16 g that displace 1.68 g). golddredger.com 2085
# takes 3.1 and 1.9 for the factors, and finds 48.55 g in 96 g for 45.2.
SPECIMEN_SOURCE = "firstclassminers.org; ganoksin.com 9579; prospectingaustralia 23344"
SPECIMEN_FACTORS = (3.07, 1.91)
SPECIMENS = [
    # specific gravity, rock's, share of gold, to
    (12.3, 2.66, 0.9092, 3e-4),
    (6.16 / 1.68, 2.65, 0.3206, 2e-3),
]

# "English assays", a handbook on bullion (books.google KJmdzowxfGsC, p. 270): standard
# gold of 22 carats is 916 in thousandths, pure gold has 24.
CARATS_SOURCE = "handbook on bullion, English assays, p. 270"
CARATS = [(22, 916), (24, 1000)]

# Johnson, Miller & Freund's Probability and Statistics for Engineers, pp. 211 and 236,
# companion: 16 weighings, mean 3.42 g, standard deviation 0.68 g; interval of the mean.
WEIGHINGS_SOURCE = "Miller & Freund, Statistics for Engineers, pp. 211, 236"
WEIGHINGS = {"count": 16, "mean": 3.42, "deviation": 0.68}
WEIGHINGS_INTERVALS = {0.99: (2.92, 3.92), 0.95: (3.06, 3.78)}
