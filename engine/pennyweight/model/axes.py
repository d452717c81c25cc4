"""Axes along which lines run: months, years, steps of a table.

Axes that only one topic needs are defined in its module of lines.
"""

from dataclasses import dataclass

from ..trade.money import HALVINGS, TRIAL_RATES

MONTHS = 120
"""Longest life of the plan; the first month is month 1."""


@dataclass(frozen=True)
class Axis:
    """An axis: its values, and a label for each.

    Attributes
    ----------
    name, label, unit : str
    values : tuple
        Numbers or names.
    down : bool
        Whether it runs down the sheet; otherwise across.
    formerly : str
        Former label.
    """

    name: str
    label: str
    unit: str
    values: tuple
    down: bool = False
    formerly: str = ""

    def __len__(self):
        return len(self.values)


SAMPLE = Axis("sample", "Sample", "count", tuple(range(1, 61)), down=True)
SCREEN = Axis("screen", "Screen", "count", tuple(range(1, 7)), down=True)
CHOICE = Axis("choice", "Mill", "-", ("A", "B", "C"))
CONTRACT = Axis(
    "contract",
    "Contract type",
    "-",
    (
        "by the ton",
        "by the hour",
        "cost plus",
        "share",
        "charge and share",
        "purchase",
        "own mixture",
    ),
    formerly="Kind",
)
PARTNER = Axis("partner", "Partner", "-", ("A", "B", "C", "D", "E", "F"))
YEAR = Axis("year", "Tax year", "year", tuple(range(1, MONTHS // 12 + 2)))
"""One more than the months fill, since the first tax year may be short."""
PAYABLE_STEP = Axis("payable_step", "Step", "count", tuple(range(1, 7)))
INPUT_AXES = {
    axis.name: axis
    for axis in (SAMPLE, SCREEN, CHOICE, CONTRACT, PARTNER, YEAR, PAYABLE_STEP)
}
"""Axes along which tables of inputs run."""

MONTH = Axis("month", "Month", "month", tuple(range(1, MONTHS + 1)))
TRIAL_RATE = Axis("trial_rate", "Trial rate", "1/year", tuple(TRIAL_RATES), down=True)
HALVING = Axis(
    "halving", "Bisection step", "count", tuple(range(1, HALVINGS + 1)), down=True
)
PRICE_STEP = Axis(
    "price_step",
    "Share of the gold price",
    "share",
    tuple(step / 10 for step in range(5, 14)),
)
GRADE_STEP = Axis(
    "grade_step",
    "Share of the grade",
    "share",
    tuple(step / 10 for step in range(4, 15)),
    down=True,
)
