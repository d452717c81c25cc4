"""Screen analyses and fits with their answers, read in stored copies."""

import numpy as np

# mineralengineer.wikifoundry.com, "Sieve analysis": ground phosphate ore; "d80 is
# 187.19 microns, estimated using Gaudin-Schuhmann".
PHOSPHATE_OPENINGS = np.array([125, 106, 75, 53, 38])  # um
PHOSPHATE_PASSING = np.array([62.80, 55.60, 37.30, 35.00, 27.10]) / 100
PHOSPHATE_D80 = 187.19  # um

# Michigan Technological University, CM2200 (2009), homework 3, table 1.
CM2200_OPENINGS = np.array([250, 180, 125, 90, 63, 45])  # um
CM2200_RETAINED = np.array([0.02, 1.32, 4.23, 9.44, 13.1, 11.56, 4.87])  # g, pan last
CM2200_PASSING = np.array([99.95, 96.99, 87.49, 66.30, 36.89, 10.94]) / 100

# MathGroup, October 2008, thread "FindFit and Weibull distribution": points and the
# least-squares line through their double logarithms.
WEIBULL_SIZES = np.array([16, 34, 53, 75, 93, 120])
WEIBULL_PASSING = np.array([0.109101, 0.26445, 0.421407, 0.578593, 0.73555, 0.890899])
WEIBULL_EXPONENT, WEIBULL_SCALE = 1.4301, 76.318
