"""Recovery of gold by gravity, by size and by grind, as published.

Class means that a publication does not give are stated as assumed. The misfit is the
largest difference between the model and the publication, in recovery.
"""

# REM International Engineering Journal 73(4), 2020, p. 579, abstract (scielo.br), read:
# a sulphide ore of 0.96 g/t crushed to 1.7 mm; gold in the heavy product 65 to 84% in
# fractions under 0.60 mm, 40% falling to 13% in coarser ones. Class means assumed.
BY_FRACTION = [(500.0, 0.65), (710.0, 0.40), (1410.0, 0.13)]  # um, recovery
BY_FRACTION_SOURCE = "REM Int. Eng. J. 73(4), 2020, p. 579, abstract (read)"
BY_FRACTION_GRAIN = 150.0  # um, fitted: the ore's own gold size is not stated
BY_FRACTION_MISFIT = 0.04

# Mitchell, Evans & Styles 1997, BGS WC/97/14, as quoted at mine-engineer.com, read:
# a sluice caught 96% of gold of 1 to 2.5 mm and 20% of gold under 100 um.
SLUICE = [(1580.0, 0.96), (50.0, 0.20)]  # geometric mean, and half of the top size
SLUICE_SOURCE = "Mitchell, Evans & Styles 1997, BGS WC/97/14 (quoted; read)"
SLUICE_HALF_CAUGHT = 110.0  # um, fitted
SLUICE_MISFIT = 0.04

# UNIDO, Manual for Training Artisanal and Small-Scale Gold Miners, 2006, p. 31 (read):
# stamps with screens of 0.5 to 1 mm recover under 30%. A minister's speech
# (chronicle.co.zw, read): stamps at 1450 um under 30%, hammer mills at 400 um 60% and
# more.
STAMPS = {"p80": 1450.0, "at_most": 0.30}
HAMMERS = {"p80": 400.0, "at_least": 0.60}
STAMPS_SOURCE = "UNIDO 2006, training manual, p. 31, and chronicle.co.zw (read)"

# Laplante, A Standardized Test to Determine Gravity Recoverable Gold (scribd
# 355955121), p. 1, read: of 38 samples the lowest held 25%, most below 25 um, and the
# highest 94%, most above 300 um; the last stage grinds to about 75 um P80.
RECOVERABLE = {25.0: 0.25, 300.0: 0.94}  # gold size, um; gravity-recoverable gold
RECOVERABLE_P80 = 75.0
RECOVERABLE_SOURCE = "Laplante, A Standardized Test, p. 1 (read)"
RECOVERABLE_MISFIT = 0.05
