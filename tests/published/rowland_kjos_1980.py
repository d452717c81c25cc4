"""Efficiency factors for ball mills.

Rowland, C. A. & Kjos, D. M. 1980, "Rod and ball mills", in Mular, A. L. & Bhappu,
R. B. (eds), Mineral Processing Plant Design, 2nd ed., SME-AIME, chapter 12; points
recalled, not seen again. The open-circuit factors were read in an article on Bond's
method that prints them after Rowland 2006.
"""

OPEN_CIRCUIT_SOURCE = "Rowland 2006, open-circuit multipliers, as quoted (read)"

OPEN_CIRCUIT = [  # per cent that must pass the control size; factor
    (50, 1.035),
    (60, 1.05),
    (70, 1.10),
    (80, 1.20),
    (90, 1.40),
    (92, 1.46),
    (95, 1.57),
    (98, 1.70),
]
DIAMETER = [(0.9, 1.221), (1.2, 1.153), (1.8, 1.063), (2.44, 1.000)]  # m; factor
OVERSIZED = (14.83, 12_700, 150, 3745, 1.2211)  # kWh/st, F80, P80, Fo um; factor
FINE_GRIND = [(45, 1.0733), (38, 1.1101), (20, 1.3231)]  # P80 um; factor
LOW_REDUCTION = [(5, 1.0356), (3, 1.0788), (2, 1.200)]  # F80/P80; factor
