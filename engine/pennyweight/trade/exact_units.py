"""Exact constants of the trade's units.

Every constant is exact by definition: a pound is 7000 grains, a troy ounce 480
grains, a grain 64.79891 mg (NIST Special Publication 811, 2008, appendix B).
Formulas are in metric units; these constants convert inputs and results.
"""

GRAMS_PER_GRAIN = 0.06479891  # g/grain
GRAMS_PER_OUNCE = 31.1034768  # g/oz, troy: 480 grains
GRAMS_PER_PENNYWEIGHT = 1.55517384  # g/dwt: 24 grains, 20 to the troy ounce
KILOGRAMS_PER_POUND = 0.45359237  # kg/lb, avoirdupois: 7000 grains
TONNES_PER_SHORT_TON = 0.90718474  # t/st: 2000 lb
TONNES_PER_LONG_TON = 1.0160469088  # t/long ton: 2240 lb
GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON = 240 / 7  # (g/t)/(oz/st)
GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON = 1500 / 49  # (g/t)/(oz/long ton)
ASSAY_TON_SHORT = 175 / 6  # g: a bead of 1 mg from it is 1 oz per short ton
ASSAY_TON_LONG = 98 / 3  # g: a bead of 1 mg from it is 1 oz per long ton
KILOWATTS_PER_HORSEPOWER = 0.7456998715822702  # kW/hp: 550 ft lbf/s
METRES_PER_FOOT = 0.3048  # m/ft
MILLIMETRES_PER_INCH = 25.4  # mm/in
MICROMETRES_PER_MILLIMETRE = 1000.0  # um/mm
LITRES_PER_GALLON = 3.785411784  # L/gal, US: 231 cubic inches
STANDARD_GRAVITY = 9.80665  # m/s2
FINE = 1000.0  # parts of pure metal, as fineness counts
PURE_KARATS = 24.0  # karats of pure gold
