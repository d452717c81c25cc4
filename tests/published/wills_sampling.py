"""Masses to take of a lead ore at each stage of crushing.

Wills 1982, Mineral Processing Technology, sampling example, in a printout of unclear
origin (scribd.com/document/172979098), the run of a spreadsheet and not the book: 5 %
Pb, mineral 86.6 % Pb (galena, 7.5) in gangue of 2.65, liberated at 0.015 cm, wanted
within 2 % at 95 % confidence, four stages, F95/F5 = 5. The printed masses hold a safety
factor of 2 and the factor 4 that shares the variance among four stages; 1.96 deviations
make 95 %.
"""

LEAD, MINERAL_LEAD = 0.05, 0.866
MINERAL_DENSITY, GANGUE_DENSITY = 7.5, 2.65
LIBERATION_SIZE = 0.15  # mm
ERROR, DEVIATIONS = 0.02, 1.96
SAFETY, STAGES = 2, 4

# Top size, mm; mass, g, as printed; half a unit of its last figure.
MASSES = [
    (25.0, 1_369_632, 0.5),
    (5.0, 24_501, 0.5),
    (1.0, 438, 0.5),
    (0.04, 0.07, 0.005),
]
PRINTED_ERROR = 0.014  # of a sample of the printed mass: 2 % / sqrt(2)

SOURCE = "Wills 1982, Mineral Processing Technology, sampling (scribd 172979098)"

# The same ore as recalled from a later edition: s 0.01, one stage, no safety.
RECALLED = {"composition": 117.8, "constant": 1.14, "mass": 178.3}  # g/cm3, g/cm3, kg
