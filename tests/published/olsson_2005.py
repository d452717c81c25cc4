"""Forty lognormal observations and what was made of them.

Olsson, U. 2005, "Confidence intervals for the mean of a log-normal distribution",
Journal of Statistics Education 13(1), tables 1 and 2, read at
jse.amstat.org/v13n1/olsson.html. The interval was read where a companion code to the
paper quotes it (Log.Norm.CI.Cox.t, John R. Wallace, rdrr.io).
"""

OBSERVATIONS = [
    *(914.9, 1568.3, 50.5, 94.1, 199.5, 23.8, 70.5, 213.1),
    *(44.1, 331.7, 139.3, 115.6, 38.4, 357.1, 725.9, 253.2),
    *(905.6, 155.4, 138.1, 95.2, 75.2, 275.0, 401.1, 653.8),
    *(390.8, 483.5, 62.6, 128.5, 81.5, 218.5, 308.2, 41.2),
    *(60.3, 506.9, 221.8, 112.5, 93.7, 199.3, 210.6, 39.2),
]

MEAN, DEVIATION = 274.963, 310.343  # table 2, X
LOG_MEAN, LOG_DEVIATION = 5.127, 1.004  # table 2, Y = log X

MODIFIED_COX_95 = (188.0, 414.7)  # as printed, from rounded logarithms
FULL_PRECISION = (187.90016759152138, 414.57519421589905)

SOURCE = "Olsson 2005, J. Stat. Educ. 13(1), tables 1 and 2"
