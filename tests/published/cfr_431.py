"""Motor horsepower and standard kilowatt equivalent, with nominal efficiency.

10 CFR 431.25 (revised January 2006) and 10 CFR 431.446, read in stored copies:
enclosed motors of four poles, per cent at full load; None where not read.
"""

RATINGS = [  # hp, kW, efficiency
    (0.5, 0.37, None),
    (0.75, 0.55, None),
    (1, 0.75, 82.5),
    (1.5, 1.1, 84.0),
    (2, 1.5, 84.0),
    (3, 2.2, 87.5),
    (5, 3.7, 87.5),
    (7.5, 5.5, 89.5),
    (10, 7.5, 89.5),
    (15, 11, 91.0),
    (20, 15, 91.0),
    (25, 18.5, 92.4),
    (30, 22, 92.4),
    (40, 30, 93.0),
    (50, 37, 93.0),
    (60, 45, 93.6),
    (75, 55, 94.1),
    (100, 75, 94.5),
    (125, 90, 94.5),
    (150, 110, 95.0),
    (200, 150, 95.0),
]
