"""Depreciation, depletion, rates and motors, inputs and answers as printed.

Those marked "companion" were read in the FOSSEE textbook companions.
"""

# Panneerselvam, Engineering Economics, ch. 9, companion: 100,000 down to 20,000 in 8
# years; a fifth of the book value; sum of the years' digits.
METHODS_SOURCE = "Panneerselvam, examples 9.1 to 9.6, pp. 127-131 (companion)"
COST, SALVAGE, LIFE, RATE = 100_000.0, 20_000.0, 8, 0.2
STRAIGHT = 10_000.0
DECLINING = [20_000, 16_000, 12_800, 10_240, 8_192, 6_553.6, 5_242.88, 4_194.304]
DIGITS = [17_777.78, 15_555.56, 13_333.33, 11_111.11, 8_888.89, 6_666.67, 4_444.44]

# Thareja, Electrical Technology vol. 3, example 50.3, p. 1947, companion: 5 lakhs down
# to 1 lakh in 20 years, worth 300,000 half-way.
HALF_WAY_SOURCE = "Thareja, Electrical Technology vol. 3, example 50.3 (companion)"
HALF_WAY = {"cost": 500_000, "salvage": 100_000, "life": 20, "worth": 300_000}

# Table 1 of a tax exercise, solutioninn.com 9297049, which prints IRS Publication 946,
# table A-1, whole; and the same exercise solved, music-channel24.com 17015411: cost,
# class, depreciation of the first year.
MACRS_SOURCE = "IRS Publication 946, table A-1, as solutioninn.com 9297049 prints it"
MACRS_CASE_SOURCE = "Convers Corporation, tax exercise, music-channel24.com 17015411"
MACRS_CASE = [
    *[(70_000, 7, 10_003), (10_000, 5, 2_000), (23_000, 5, 4_600)],
    *[(150_000, 7, 21_435)],
]

# Commentary on income tax, University of Sydney, Australian Digital Collections, law
# texts, p00087, example of depletion: a mine of 10,000 with
# 100,000 tons; 7,000 tons sold (700), then 6,000 sold with 180,000 left (300).
DEPLETION_SOURCE = "tax commentary, University of Sydney, law texts p00087, example"
DEPLETION = [(10_000, 7_000, 93_000, 700), (9_300, 6_000, 180_000, 300)]
# Exercise, transtutors.com 137873: 656,000 for 820,000 tons; 20,500 and 41,000 sold.
# The basis less the depletion, over the tons less those sold, is the same for each ton.
MINE_SOURCE = "exercise on a mine of 820,000 tons, transtutors.com 137873"
MINE = [(656_000, 20_500, 799_500, 16_400), (639_600, 41_000, 758_500, 32_800)]

# Modified rates. MathWorks documentation, mirr; w3resource.com, numpy.mirr;
# tutorsglobe.com 52735217; qammunity.org 8188555.
MIRR_SOURCE = (
    "MathWorks mirr; w3resource numpy.mirr; tutorsglobe 52735217; qammunity 8188555"
)
MIRR = [
    # flows, finance rate, reinvestment rate, printed, to
    ([-100_000, 20_000, -10_000, 30_000, 38_000, 50_000], 0.09, 0.12, 0.0832, 5e-5),
    ([-1000, 100, 50, 10, 15], 0.34, 0.21, -0.2742274708267268, 1e-14),
    ([-75_000, 50_000, 50_000, -50_000, 35_000, 35_000], 0.09, 0.09, 0.1291, 5e-5),
    ([-131_000, *[25_000] * 5], 0.12, 0.08, 0.0228, 6e-5),
]

# Panneerselvam, example 8.1, p. 103, companion: a machine of 4,000, upkeep nothing in
# the first year and 200 more each year; yearly cost by year of replacement, at 12% with
# factors of four decimals, and without interest.
LIFE_SOURCE = "Panneerselvam, example 8.1, p. 103 (companion)"
MACHINE = 4_000
UPKEEP = [0, 200, 400, 600, 800, 1000, 1200, 1400, 1600, 1800]
YEARLY = [4480.00, 2461.14, 1850.10, 1588.54, 1464.50, 1407.15, 1386.65, 1387.83]
YEARLY += [1402.36, 1425.00]
YEARLY_WITHOUT = [4000, 2100, 1533.33, 1300, 1200, 1166.67, 1171.43]
# Panneerselvam, examples 6.3 and 6.6, pp. 73-78, companion: first cost, each year,
# salvage, rate, years, worth of a year.
WORTHS_SOURCE = "Panneerselvam, examples 6.3 and 6.6, pp. 73-78 (companion)"
WORTHS = [
    (-150_000, 60_000, 15_000, 0.25, 5, 6_050.69),
    (-175_000, 70_000, 35_000, 0.25, 5, 9_191.456),
    (-390_000, -40_000, 60_000, 0.20, 4, -179_475.41),
    (-360_000, -81_000, 90_000, 0.20, 3, -227_175.824),
]

# Theraja & Theraja, Electrical Technology vol. 2, example 35.14, p. 1336, companion: a
# motor of 12 kW, 440 V, efficiency 0.85, power factor 0.8. Its short-circuit current of
# 45 A at 220 V, in star 51.96 A at 440, is 2.244 times the current at full load.
MOTOR_SOURCE = "Theraja, Electrical Technology vol. 2, example 35.14 (companion)"
MOTOR = {"power": 12.0, "voltage": 440, "efficiency": 0.85, "power_factor": 0.8}
MOTOR_RATIO = 2.244
