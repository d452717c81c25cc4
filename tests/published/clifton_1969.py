"""Twenty flakes of gold in the sample.

Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey Professional Paper
625-C, as Marshall 2002 reads its graphs ("Sample size and meaningful gold analysis",
smedg.org.au, read): flakes of 80 mesh in 50 g of sample need 3 ppm, flakes of 30 um
16 ppb. Flakes are a tenth as thick as wide, density 17.
"""

# Size, mm; sample, g; least grade, g/t; how well a logarithmic graph can be read.
LEAST_GRADES = [(0.177, 50.0, 3.0, 0.05), (0.030, 50.0, 0.016, 0.15)]

SOURCE = "USGS Professional Paper 625-C, graphs as read by Marshall 2002"

# Spheres at 10 g/t: size, mm; mass, kg. Recomputed from the paper's own equation.
SPHERES_10 = [(0.2, 0.14, 0.005), (1.0, 17.8, 0.05)]
