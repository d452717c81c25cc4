"""Break-even grades and prices in print."""

# Course glossary MINE 2504, sites.google.com/view/mine-2504-glossary, read:
# $50/t, 95 %, $32 a gram; 1.65 g/t printed.
GLOSSARY = {"cost": 50.0, "recovery": 0.95, "price_of_gram": 32.0, "grade": 1.65}
GLOSSARY_SOURCE = "MINE 2504 course glossary, cut-off grade"

# Exercise, transtutors.com 13973279: inputs read; its answer is not shown.
EXERCISE = {"cost": 100.0, "recovery": 0.91, "price": 1886.0, "ounces": 0.05827}
EXERCISE_SOURCE = "exercise transtutors.com 13973279 (inputs only)"

# Tungsten: $40 a unit of WO3, 0.8 units a ton, 85 %; worth $27.20/t. Wellmer-type
# text on economic evaluations in exploration, read.
TUNGSTEN = {"price": 40.0, "units": 0.8, "recovery": 0.85, "worth": 27.20}
TUNGSTEN_SOURCE = "economic evaluation text after Wellmer, tungsten example"

# Two mines compared in a message of 1998, si.frajer.net 989 on subject 7597, read:
# 12.83 g/t at $269/oz is $111 a tonne; 19.97 g/t at $111 a tonne is $173/oz.
MINES = {"grade": 12.83, "price": 269.0, "cost": 111.0}
SECOND_MINE = {"grade": 19.97, "cost": 111.0, "price": 173.0}
MINES_SOURCE = "comparison of two Yellowknife mines, message 989, subject 7597"

# undervaluedequity.com, "How to calculate the cut-off grade", read: $150/t and
# $1500/oz are 0.10 oz/t, printed as 2.835 g/t with the avoirdupois ounce of 28.35 g.
# Gold is sold by the troy ounce: 3.110 g/t.
MISTAKEN = {"cost": 150.0, "price": 1500.0, "ounces": 0.10, "printed": 2.835}
MISTAKEN_SOURCE = "undervaluedequity.com, cut-off grade (ounces; its grams are wrong)"

# Lane's example as Hustrulid & Kuchta, Open Pit Mine Planning and Design, retell it;
# recalled. Price, selling cost, yield, milling, fixed, mill capacity, market capacity.
LANE = {
    "price": 25.0,
    "selling": 5.0,
    "milling": 2.0,
    "fixed": 300.0,
    "mill": 50.0,
    "market": 40.0,
    "cutoffs": (0.10, 0.40, 0.16),  # mine, mill, market
}
LANE_SOURCE = "Hustrulid & Kuchta, Open Pit Mine Planning and Design, Lane's example"

# Our own: $2400/oz, 98 % payable, $6/oz refining, 70 % recovery; cost, g/t.
BUILT = [(60, 1.136), (150, 2.841), (270, 5.114)]
