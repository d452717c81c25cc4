"""Worked examples of money over time, as printed."""

NUMPY_FINANCIAL = "numpy-financial documentation, npv, irr, pmt"
NPV_CASE = (0.08, [-40_000, 5_000, 8_000, 12_000, 30_000], 3065.22267)
IRR_CASES = [
    # flows, rate as printed
    ([-100, 39, 59, 55, 20], 0.28095),
    ([-100, 0, 0, 74], -0.0955),
    ([-100, 100, 0, 7], 0.06206),
    ([-5, 10.5, 1, -8, 1], 0.0886),
]
PMT_CASE = (200_000, 0.075 / 12, 15 * 12, 1854.0247200054619)

PANNEERSELVAM = "Panneerselvam, Engineering Economics, ex. 4.3, 6.3 and 7.1"
PRESENT_WORTH = (0.18, [-10_000, 3_000, 3_000, 7_000, 6_000], 2052.076)
# By interpolation between two tables the book prints 15.251 %.
RATE_OF_RETURN = ([-100_000, *[30_000] * 5], 0.15238, 0.15251)
ANNUAL_WORTH = (0.25, 5, -150_000, 60_000, 15_000, 6050.69)
