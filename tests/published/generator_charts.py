"""Fuel of diesel generators, read in stored copies of sellers' charts.

waltpower.com/diesel-generator-fuel-consumption-chart prints litres an hour at 50, 75
and 100 % load; bigrentz.com/blog/diesel-generator-fuel-consumption-chart and
hardydiesel.com/resources print US gallons an hour, the former from a quarter load.
"""

LITRES_PER_HOUR = [  # rating kW; 50, 75, 100 % load
    (8, 1.48, 2.05, 2.61),
    (10, 2.01, 2.46, 3.33),
    (15, 2.61, 3.56, 4.61),
    (20, 3.41, 4.92, 6.06),
    (30, 6.81, 9.08, 10.98),
    (40, 8.72, 12.10, 15.14),
    (60, 10.98, 14.39, 18.14),
    (75, 12.88, 17.37, 23.09),
    (100, 15.53, 21.91, 28.03),
    (150, 22.32, 31.84, 41.26),
]
GALLONS_PER_HOUR = [  # rating kW; 25, 50, 75, 100 % load
    (20, 0.6, 0.9, 1.3, 1.6),
    (30, 1.3, 1.8, 2.4, 2.9),
    (40, 1.6, 2.3, 3.2, 4.0),
    (60, 1.8, 2.9, 3.8, 4.8),
    (75, 2.4, 3.4, 4.6, 6.4),  # 6.1 at full load in the two other charts
    (100, 2.6, 4.1, 5.8, 7.4),
    (150, 3.6, 5.9, 8.4, 10.9),
]
LITRES_PER_KILOWATT_HOUR = [  # rating kW; 50, 75, 100 % load, from the first chart
    (8, 0.370, 0.342, 0.326),
    (20, 0.341, 0.328, 0.303),
    (30, 0.454, 0.404, 0.366),
    (60, 0.366, 0.320, 0.302),
    (100, 0.311, 0.292, 0.280),
]
# eventpower.ca prints 2.7 and oer.enviraj.com 2.3 L/h for 20 kW at a quarter load.
QUARTER_LOAD_OF_20_KW = (2.3 / 5, 2.7 / 5)
