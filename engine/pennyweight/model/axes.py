"""The axes along which lines run: months, years, steps of a table."""

from dataclasses import dataclass

from ..trade.money import HALVINGS, TRIAL_RATES

MONTHS = 120
"""Longest life that the model follows, months after month 0."""

AXES = {}
"""Every axis under its name."""


@dataclass(frozen=True)
class Axis:
    """An axis: its values, and a label for each.

    Attributes
    ----------
    name, label, unit : str
    values : tuple
        Numbers, or words for axes of named things.
    down : bool
        Whether it runs down the sheet; else across.
    """

    name: str
    label: str
    unit: str
    values: tuple
    down: bool = False

    def __len__(self):
        return len(self.values)


def axis(name, label, unit, values, down=False):
    """Enter an axis under its name and give it back."""
    AXES[name] = Axis(name, label, unit, tuple(values), down)
    return AXES[name]


# Tables of inputs run along these.
axis("sample", "Sample", "count", range(1, 61), down=True)
axis("screen", "Screen", "count", range(1, 7), down=True)
axis("choice", "Mill", "-", ("A", "B", "C"))
axis(
    "contract",
    "Kind",
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
)

axis("month", "Month", "month", range(MONTHS + 1))
axis("year", "Year", "year", range(MONTHS // 12 + 1))
axis("trial_rate", "Rate tried", "1/year", TRIAL_RATES, down=True)
axis("halving", "Halving", "count", range(1, HALVINGS + 1), down=True)
axis("price_step", "Share of the gold price", "share", [p / 10 for p in range(5, 14)])
axis(
    "grade_step",
    "Share of the grade",
    "share",
    [g / 10 for g in range(4, 15)],
    down=True,
)
