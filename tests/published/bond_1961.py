"""Power of ball mills, in the forms of other books.

Bond, F. C. 1961, "Crushing and grinding calculations", Brit. Chem. Eng. 6, 543-548,
and Austin, Klimpel & Luckie 1984, Process Engineering of Size Reduction: Ball
Milling; both recalled, not seen again.
"""


def _tail(fraction):
    return 1 - 0.1 / 2 ** (9 - 10 * fraction)


def kilowatts_per_short_ton(diameter_feet, filling, fraction):
    """Bond's form in feet and short tons of balls."""
    return 3.1 * diameter_feet**0.3 * (3.2 - 3 * filling) * fraction * _tail(fraction)


def austin_kilowatts_per_tonne(diameter, filling, fraction):
    """Bond's form as Austin writes it, metres and tonnes of balls."""
    return 15.6 * diameter**0.3 * fraction * (1 - 0.937 * filling) * _tail(fraction)
