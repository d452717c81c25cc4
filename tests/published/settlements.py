"""Refiners' settlements as their receivers or makers published them."""

# Settlement report of a Hong Kong refinery, goldrefiningforum.com thread 25650, read.
HONG_KONG = {
    "mass_before": 16_003.40,  # g
    "mass_after": 16_000.20,
    "fineness": 921.0,
    "fine_content": 14_736.180,  # g; 14 736.1842 in full, cut off after two figures
    "payable": 0.98,
    "net_content": 14_441.45,  # g; 14 441.4605 in full
}
HONG_KONG_SOURCE = "settlement of a Hong Kong refinery, goldrefiningforum.com 25650"

# "The gold refinery settlement process", kaizengold.com, read.
WORKED = {
    "mass": 24_960.0,  # g
    "fineness": 913.0,
    "fine_ounces": 732.7,
    "payable": 0.99,
    "payable_ounces": 725.4,  # 725.34 in full; the page multiplies the rounded 732.7
}
WORKED_SOURCE = "worked settlement, kaizengold.com, gold refinery settlement process"

# South African one-ounce coin of 22 karat: an ounce of fine gold in 33.93 g.
COIN_OUNCES, COIN_FINENESS, COIN_MASS = 1.0, 1000 * 22 / 24, 33.93
COIN_SOURCE = "Krugerrand, published weight 33.93 g, recalled"

# A buyer of placer gold, sellplacergold.com, "How to calculate what I get paid", read.
PLACER = {
    "mass": 20.0,  # g; paid as if fine
    "price": 1200.0,  # $/oz
    "payable": 0.85,
    "fee": 20.0,
    "paid": 635.80,  # 31.1 g to the ounce, and cents per gram cut off
}
PLACER_SOURCE = "buyer's worked example, sellplacergold.com, how to calculate"

# Gold dust of Idaho at the San Francisco mint, 1863-64, from the mint's records as
# quoted on goldrefiningforum.com thread 35376, read.
MINT_1864 = {
    "before": 435.87,  # oz
    "after": 419.37,
    "lost": 0.038,
    "paid": 7388.55,  # $
    "per_ounce": 17.62,
    "share": 0.852,  # of $20.67, the price of fine gold
}
MINT_1864_SOURCE = "mint records of 1863-64, goldrefiningforum.com 35376"

# Interest of the US Treasury on late payments, 5 CFR 1315.17 (b) and (c), read.
LATE = {"amount": 1500.0, "rate": 0.065, "days": 10, "interest": 2.71}
LATE_COMPOUND = {
    "amount": 1500.0,
    "rate": 0.06,
    "months": 2,
    "days": 15,
    "interest": 18.83,
}
LATE_SOURCE = "5 CFR 1315.17, simple daily interest, 360 days"

# Concentrate contract, lawinsider.com, clause Refining Charges: terms read.
ARSENIC = {
    "found": 0.0065,
    "allowed": 0.004,
    "rate": 3.0,  # $/dmt for each 0.1 %
    "penalty": 7.50,  # $/dmt, computed
}
ARSENIC_SOURCE = "concentrate contract, lawinsider.com, Refining Charges; computed"

# Ores of Sierra County, New Mexico School of Mines Bulletin 10, p. 57, terms read.
SIERRA = {
    "payable": 0.95,
    "price": 20.0,  # $/oz
    "treatment": 5.0,  # $/ton, the highest
    "grade": 0.5,  # oz/ton, ours
    "value": 4.50,  # $/ton, computed
    "zinc_allowed": 0.05,
    "zinc_rate": 0.30,  # $ for each unit of 1 %
    "zinc_found": 0.08,  # ours
    "zinc_penalty": 0.90,  # $/ton, computed
}
SIERRA_SOURCE = "New Mexico Bulletin 10, p. 57, typical smelter terms; computed"

# Ore purchase, trove.nla.gov.au 204880257: the mean of the two nearest of three
# assays; terms read, the case is ours.
NEAREST = {"mill": 52.0, "owner": 53.2, "umpire": 52.9, "mean": 53.05, "middle": 52.9}
NEAREST_SOURCE = "ore purchase, trove.nla.gov.au 204880257, mean of the two nearest"

# Splitting limit of a refinery for gold, ophirrefinery.com, Assaying, read: in points.
SPLIT = {"limit": 0.05, "first": 91.30, "near": 91.34, "far": 91.36, "mean": 91.32}
SPLIT_SOURCE = "refinery's terms, ophirrefinery.com, Assaying; computed"

# Gold concentrate, SEC filing 1493893, exhibit 10.13, article 5.2, read: paid share by
# steps of the grade, g/t; each goes to a hundredth below the next.
STEPS = {20: 0.91, 30: 0.92, 40: 0.93, 60: 0.94, 70: 0.95, 80: 0.96}
STEPS_SOURCE = "gold concentrate contract, SEC 1493893, exhibit 10.13, article 5.2"

# Mines of New Zealand, Appendix to the Journals of the House of Representatives, 1893,
# session I, C.-3, p. 65, read: a year's bullion and what was deducted from it.
NEW_ZEALAND = {
    "bullion": (4720, 7, 8),  # pounds, shillings, pence
    "deducted": ((3928, 15, 1), (162, 8, 7), (750, 3, 11), (231, 6, 7)),
    "total": (5072, 14, 2),
    "loss": (352, 6, 6),
    "tons": 384,
    "crushing": (484, 2, 11),
    "crushing_per_ton": (1, 5, 3),
    "treatment": (1253, 13, 1),
    "treatment_per_ton": (3, 5, 3),
}
NEW_ZEALAND_SOURCE = (
    "Appendix to the Journals of the House of Representatives, New Zealand, 1893, "
    "C.-3, p. 65"
)

# A custom mill of Nevada: 202 tons at $6, 34 Nev. 455 (1912), p. 458, read. The tons
# have a fraction in the scan that the amount does not bear out.
CUSTOM_MILL = {"tons": 202.0, "charge": 6.0, "paid": 1212.0}
CUSTOM_MILL_SOURCE = "custom mill's charge, 34 Nev. 455 (1912), p. 458"

# Late payment by a year of 365 days, worked examples of two calculators, read:
# calculatorlib.com, interest on late payment; tools.gera.services, late payment.
LATE_365 = (
    {"amount": 1000.0, "rate": 0.08, "days": 30, "interest": 6.58, "places": 2},
    {"amount": 12_000.0, "rate": 0.13, "days": 1, "interest": 4.27, "places": 2},
)
LATE_365_SOURCE = "worked examples, calculatorlib.com and tools.gera.services"

# Clause For Gold Bullion, lawinsider.com, read: the sum of the prices reported, divided
# by the number of days for which prices were reported. The prices are ours.
PERIOD = {
    "prices": (("2026-07-01", 3400.0), ("2026-07-02", 3410.0), ("2026-07-06", 3450.0)),
    "period": "2026-07-01:2026-07-07",
    "average": 3420.0,
}

# Gold concentrate contract, SEC filing 319671, exhibit 10.3 of July 2013, sections
# 6.A.1 and 6.A.2, read: a share of the content, subject to a minimum deduction per dry
# tonne. The contents are ours.
MINIMUM_DEDUCTION = (
    # g/t: found, share, minimum deduction, paid for
    (4.0, 0.8, 1.0, 3.0),  # gold
    (5.0, 0.8, 1.0, 4.0),
    (10.0, 0.8, 1.0, 8.0),
    (0.6, 0.8, 1.0, 0.0),
    (100.0, 0.8, 30.0, 70.0),  # silver
    (200.0, 0.8, 30.0, 160.0),
)
MINIMUM_DEDUCTION_SOURCE = (
    "SEC 319671, exhibit 10.3, sections 6.A.1 and 6.A.2; computed"
)

# Price list of a refiner, jrginc.com, Pricing, read: a rate for each troy ounce or
# pound received, and a minimum. The quantities are ours.
LOT_MINIMUM = (
    # item of the list, rate, minimum, received, charge
    ("Au/Ag Meltables", 1.25, 75.0, 40.0, 75.0),
    ("Au/Ag Meltables", 1.25, 75.0, 100.0, 125.0),
    ("Stone Removal", 3.50, 275.0, 60.0, 275.0),
    ("High Grade Sweeps", 3.00, 250.0, 120.0, 360.0),
)
LOT_MINIMUM_SOURCE = "price list, jrginc.com, Pricing; computed"

# Raymond, Statistics of Mines and Mining (the title is inferred; Google Books
# Sx9DAAAAIAAJ), p. 350, read: two lots of ore sold at Swansea, and the scale of a works
# at Reno: charge for treatment by the assay value, $ a ton.
SWANSEA = (
    # assay value, charge, paid; the second charge is printed as $47
    (138.0, 43.0, 95.0),
    (170.0, 47.05, 122.95),
)
RENO = {100.0: 50.0, 200.0: 70.0, 500.0: 105.0}
ORE_SALES_SOURCE = "Raymond, Statistics of Mines and Mining, p. 350 (title inferred)"

# U.S. Treasury, Prompt Payment, Simple Daily Interest, section The Formula, read.
LATE_TREASURY = {"amount": 1500.0, "rate": 0.066, "days": 10, "interest": 2.75}

# Mines of New Zealand, Appendix to the Journals of the House of Representatives, read.
# 1891, session II, C.-4, p. 42: a district's gold, bullion and ore sold.
DISTRICT = {
    "gold": (3388, 7, 0),
    "bullion": (26_218, 0, 0),
    "ore": (4508, 0, 0),
    "total": (34_114, 7, 0),
}
DISTRICT_SOURCE = (
    "Appendix to the Journals of the House of Representatives, New Zealand, 1891, "
    "session II, C.-4, p. 42"
)
# 1886, session I, C.-4A, p. 2: what a custom smelter spent, tons at a rate.
SMELTER = (
    # tons, rate, amount
    (320, (0, 15, 0), (240, 0, 0)),
    (59, (0, 7, 6), (22, 2, 6)),
    (56, (2, 19, 0), (165, 4, 0)),
)
SMELTER_SOURCE = (
    "Appendix to the Journals of the House of Representatives, New Zealand, 1886, "
    "C.-4A, p. 2"
)

# Coinage charge of a mint, American Cyclopaedia (1879), vol. XI, p. 618, read: one
# fifth of 1 per cent. 43 oz of standard gold, 900 fine, make $800: recalled.
COINAGE = {"ounces": 43.0, "fineness": 900.0, "value": 800.0, "charge": 0.002}
COINAGE_SOURCE = "American Cyclopaedia (1879), vol. XI, p. 618; computed"

# Lots of karat gold, dillongage.com, FAQ, Refining - Gold, read: 1% over 50 oz, else
# 2%, and $30 for the assay. Weights and price are ours.
KARAT = {
    "over": 50.0,  # oz
    "payable": (0.98, 0.99),
    "assay": 30.0,
    "price": 2000.0,
    "lots": ((40.0, 78_370.0), (60.0, 118_770.0)),  # oz fine, paid
}
KARAT_SOURCE = "refiner's terms, dillongage.com, FAQ, Refining - Gold; computed"

# Zinc and lead concentrates with gold, SEC filing 1160791, exhibit 10.25, of 30 April
# 2014, section Quotational Period, read: the month after the month of arrival. The
# prices are ours; the shipment arrives in May.
MONTH_AFTER = {
    "prices": (("2014-05-30", 1250.0), ("2014-06-02", 1244.0), ("2014-06-30", 1316.0)),
    "period": "2014-06-01:2014-06-30",
    "average": 1280.0,
}

# Pulacayo Project, NI 43-101 feasibility study of 17 January 2013, section 19.4.8,
# read: 90% of the invoice at first, the rest when all is known. The amounts are ours.
PROVISIONAL = {"share": 0.9, "invoice": 10_000.0, "first": 9_000.0}

# Clause Method for Determining Final Analysis, lawinsider.com, paragraphs (a), (b) and
# (d), read: assays are exchanged within 40, 45 or 60 days; the assay of the other party
# counts for one that is late; gold is told to a tenth of a gram.
ASSAY_EXCHANGE_DAYS = (40, 45, 60)
