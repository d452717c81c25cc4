"""The unit algebra of every line holds, and a wrong line is caught."""

import dataclasses
import functools

import pytest

from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from tests.groups import grouped, sheet

from .quantities import COUNTED, PURE, STRICT, Measures, stated_unit

CALCULATED = [name for name, line in MODEL.lines.items() if not line.gathers]
GATHERED = [
    name
    for name, line in MODEL.lines.items()
    if line.gathers and not getattr(line, "entry", False)
]
MIXED = ("mixed",)
"""Units of columns that put figures of several units side by side."""


@functools.cache
def measures(month, units):
    return Measures(month, run({}, units))


def places(line):
    """Give the first element, one on the way and the last."""
    lengths = [len(MODEL.axes[axis]) for axis in line.over]
    return [tuple(int(share * (n - 1)) for n in lengths) for share in (0, 0.13, 1)]


def problems(line, month):
    """Give what is wrong with a line's units, in both unit systems."""
    found = (
        measures(month, units).problem(line, place)
        for units in ("us", "metric")
        for place in (places(line) if line.over else [()])
    )
    return [problem for problem in found if problem]


CALENDAR = ("in_season", "months_before", "month_date", "year_end_date")
"""Places in the calendar are numbers, and compared with months of a year."""


@pytest.mark.parametrize(
    "names", grouped([name for name in CALCULATED if name not in CALENDAR], sheet)
)
def test_units_hold(names):
    for name in names:
        # Rows go month by month, so that a month is what is counted there.
        assert not problems(MODEL.lines[name], COUNTED)


@pytest.mark.parametrize("name", GATHERED)
def test_figures_side_by_side_are_of_one_unit(name):
    line = MODEL.lines[name]
    units = {stated_unit(part) for part in line.parameters}
    assert units == {line.unit} or line.unit in MIXED


FORGOTTEN = {
    # line: (constant or factor that is left out, as a name it reads)
    "feed_gold": "grade_per_ounce",
    "break_even_grade": "grade_per_ounce",
    "ball_wear_rate": "kilograms_per_mass",
    "first_concentrate": "mass_per_ton",
    "crusher_power": "kilowatts_per_power",
    "mill_diameter_factor": "metres_per_length",
    "short_ton_work_index": "short_tons_per_ton",
    "ball_charge": "tonnes_per_ton",
    "cost_of_maintenance": "months_per_year",
    "tons_per_year": "season_months",
    "hours_per_month": "days_per_month",
    "cost_of_haulage": "haulage_cost",
}


@pytest.mark.parametrize("name", FORGOTTEN)
@pytest.mark.parametrize("month", [STRICT, COUNTED])
def test_a_forgotten_factor_is_caught(name, month):
    line = MODEL.lines[name]
    place = line.parameters.index(FORGOTTEN[name])

    def forgetful(*read):
        plain = [*read[:place], read[place].magnitude, *read[place + 1 :]]
        return line.function(*plain)

    wrong = dataclasses.replace(line, function=forgetful)
    assert measures(month, "us").problem(line, ()) is None
    assert measures(month, "us").problem(wrong, ())


WRONG = {
    "another unit is stated": ("feed_grade", {"unit": "oz/ton"}),
    "tons of an hour for tons of a day": ("mill_daily", {"unit": "ton/hour"}),
    "a grade added to a price": (
        "feed_gold",
        {"function": lambda grade, factor: grade / factor + grade},
    ),
    "a figure that is off": (
        "mill_tons",
        {"function": lambda *parts: MODEL.lines["mill_tons"].function(*parts) * 1.001},
    ),
    "a rate a year taken for one a month": ("loan_interest", {"unit": "1/year"}),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_line_is_caught(case):
    name, change = WRONG[case]
    assert measures(STRICT, "us").problem(MODEL.lines[name], ()) is None
    wrong = dataclasses.replace(MODEL.lines[name], **change)
    assert measures(STRICT, "us").problem(wrong, ())


def test_periods_of_different_lengths_are_caught():
    line = MODEL.lines["discount_factor"]
    wrong = dataclasses.replace(
        line, parameters=("loan_interest", *line.parameters[1:])
    )
    assert "one unit of time" in measures(STRICT, "us").problem(wrong, (5,))


def test_words_and_pure_numbers_are_told_apart():
    wrong = dataclasses.replace(MODEL.lines["verdict"], unit="$")
    assert measures(STRICT, "us").problem(wrong, ())
    assert all(MODEL.lines[name].unit in PURE for name in ("verdict", "speed_share"))
