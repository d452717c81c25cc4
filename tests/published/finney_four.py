"""Four lognormal values, their Finney mean and their Shapiro-Wilk statistics.

Question and answer "How to calculate estimated arithmetic mean for a lognormal
distribution", Cross Validated 105717 (answer after Gilbert 1987, formula 13.4, and
Millard & Neerchal, formula 5.57), read.
"""

VALUES = [0.043, 0.236, 0.057, 0.016]
LOG_VARIANCE = 1.23594  # with n - 1
FACTOR = 1.532355
MEAN = 0.084519
W_OF_LOGARITHMS = 0.970
W_OF_VALUES = 0.786  # printed; 0.7838 from the three figures that are printed

SOURCE = "Cross Validated 105717, after Gilbert 1987, formula 13.4"
