"""Pulps, settling and screens, inputs and answers as printed.

Those marked "companion" were read in the FOSSEE textbook companions.
"""

# engineeringtoolbox.com, slurry density (d_1188): solids of 2500 kg/m3, 30% by mass;
# and typical slurries, per cent by mass and by volume, whole per cents.
TOOLBOX_SOURCE = "engineeringtoolbox.com, slurry density: example and table"
TOOLBOX = {"share": 0.30, "solids": 2.5, "pulp": 1.22}
TOOLBOX_TABLE = [
    # specific gravity, per cent by mass, per cent by volume
    *[(1.40, 45, 37), (4.30, 60, 26), (4.30, 65, 30), (2.70, 60, 36), (2.70, 65, 41)],
    *[(4.90, 60, 23), (4.90, 65, 27), (2.65, 43, 23)],
]
# The same table: 55% of coal by mass is 47% by volume. It is 46.6%.
TOOLBOX_ROUNDED = (1.40, 55, 47)

# Coulson & Richardson, Chemical Engineering vol. 2, ch. 3, companion: sizes of galena
# and limestone that water of 5 mm/s carries off, by Stokes; a steel ball in oil, read
# off a table of the drag of spheres.
STOKES_SOURCE = "Coulson & Richardson vol. 2, example 3.2, p. 159 (companion)"
STOKES = [(37.6, 7.5, 5.0), (73.5, 2.7, 5.0)]  # um, specific gravity, mm/s
BALL_SOURCE = "Coulson & Richardson vol. 2, example 3.1, p. 159 (companion)"
BALL = {"size": 400, "solids": 7.87, "viscosity": 10, "liquid": 0.82, "velocity": 51}

# Geankoplis, Transport Processes and Unit Operations, example 14.3-1, p. 818,
# companion: a drop of oil in air.
DROP_SOURCE = "Geankoplis, example 14.3-1, p. 818 (companion)"
DROP = {"size": 20, "solids": 0.9, "viscosity": 0.019, "liquid": 0.001137}
DROP_VELOCITY = 10.3  # mm/s

# Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer, example 23.4,
# p. 336, companion: fly ash of 40 um in air, 0.31 ft/s.
ASH_SOURCE = "Abulencia & Theodore, example 23.4, p. 336 (companion)"
ASH = {"size": 40, "solids": 2.31, "pound_a_foot_second": 1.41e-5}
ASH_VELOCITY = 0.31  # ft/s

# Questions in agricultural process engineering after Earle, Unit Operations in Food
# Processing (QB_APE_030): shares of fines in feed, oversize and undersize.
SCREEN_SOURCE = "question bank after Earle, Unit Operations in Food Processing"
SCREEN = ((0.40, 0.05, 0.90), 0.863)
# McCabe & Smith, Unit Operations of Chemical Engineering, screening, recalled.
MCCABE_SCREEN_SOURCE = "McCabe & Smith, example on a 10-mesh screen"
MCCABE_SCREEN = ((0.47, 0.195, 0.85), 0.669)
