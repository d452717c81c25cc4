"""First charges of balls, per cent by weight.

Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, chapter 12,
table of equilibrium grinding ball charges; recalled, not seen again.
"""

# Ball sizes in inches, largest first; per cent of each.
CHARGES = [
    ([4.0, 3.5, 3.0, 2.5, 2.0, 1.5, 1.0], [23, 34, 21, 12, 6.5, 2.5, 1.0]),
    ([3.0, 2.5, 2.0, 1.5, 1.0], [31, 39, 19, 8, 3]),
    ([2.5, 2.0, 1.5, 1.0], [34, 43, 17, 6]),
    ([2.0, 1.5, 1.0], [40, 45, 15]),
    ([1.5, 1.0], [51, 49]),
]
