"""Places of the tables on the risk sheet, one below the other."""

import functools
from dataclasses import dataclass

from ...model.inputs import INPUTS
from .rows import QUANTILES
from .tables import RiskTable, tables

SHEET = "Risk"
STATE, TRIALS, CHANGED, CHECKSUM, FIRST_TABLE = 3, 4, 5, 6, 8
LAST_COLUMN = 9
CHART_ROWS = 17
WRITTEN, VALUE, UNIT, FLAG, DRAWN = range(5)
OWN_ENDS = 8, 9
"""Columns of the record with the user's own low and high."""


@dataclass(frozen=True)
class Placed:
    """A table and its rows on the sheet.

    Attributes
    ----------
    table : RiskTable
    title : int
        Row of its heading.
    head : int
        Row of the heads of its columns.
    top : int
        Its first row.
    """

    table: RiskTable
    title: int
    head: int
    top: int

    @property
    def last(self):
        """Its last row; charts are below it."""
        return self.top + self.table.rows - 1


@functools.cache
def placed(units):
    """Place the tables one below the other.

    Parameters
    ----------
    units : {"us", "metric"}

    Returns
    -------
    tables : dict of str to Placed
    record : int
        Row of the heads of the list of inputs used.
    """
    found, row = {}, FIRST_TABLE
    for table in tables(units):
        title = row
        row += bool(table.title) + bool(table.note)
        head = row
        row += bool(table.heads)
        found[table.name] = Placed(table, title, head, row)
        row += table.rows + 1 + CHART_ROWS * -(-len(table.charts) // 2)
    return found, row


def quantile_place(units, result, head):
    """Place of a quantile or the mean of one of the results."""
    at = placed(units)[0]["quantiles"]
    return at.top + QUANTILES.index(result), at.table.heads.index(head)


def mean_place(units):
    """Place of the mean net present value."""
    return quantile_place(units, "net_present_value", "Mean")


@functools.cache
def named(units):
    """Place of each named cell with results, by name."""
    found = placed(units)[0]
    places = {
        "Risk_trials": (TRIALS, VALUE),
        "Risk_inputs_changed": (CHANGED, VALUE),
        "Probability_that_it_pays": (found["odds"].top, VALUE),
        "Mean_net_present_value": mean_place(units),
        "Peak_funding_p90": quantile_place(units, "peak_funding", "P90"),
    }
    measured = found["measure_next"]
    for place, row in enumerate(range(measured.top, measured.last + 1), 1):
        places[f"Measure_next_{place}"] = row, 0
        change = measured.table.columns[-1]
        places[f"Measure_next_change_{place}"] = row, change
    return places


def rows_of(name):
    """Rows of a table without charts, from its heading to the blank row below it.

    Parameters
    ----------
    name : str

    Returns
    -------
    rows : set of int
        The same in both unit systems.
    """
    at = placed("us")[0][name]
    return set(range(at.title, at.last + 2))


def chart_places(units):
    """Name, first row and first column of each chart, in the order of drawing.

    Parameters
    ----------
    units : {"us", "metric"}

    Returns
    -------
    places : list of (str, int, int)
    """
    return [
        (name, at.last + 1 + CHART_ROWS * (position // 2), 4 * (position % 2))
        for at in placed(units)[0].values()
        for position, name in enumerate(at.table.charts)
    ]


def recorded():
    """Inputs that the results depend on: all but texts."""
    return [name for name, entry in INPUTS.items() if entry.kind != "text"]


@functools.cache
def figure_places(units):
    """Places of all cells for results.

    Parameters
    ----------
    units : {"us", "metric"}

    Returns
    -------
    places : frozenset of (int, int)
    """
    found, record = placed(units)
    places = {(TRIALS, VALUE), (CHECKSUM, VALUE)}
    for at in found.values():
        for row in range(at.top, at.last + 1):
            places |= {(row, column) for column in at.table.columns}
    for row in range(record + 1, record + 1 + len(recorded())):
        columns = (VALUE, *range(DRAWN, DRAWN + 4), *OWN_ENDS)
        places |= {(row, column) for column in columns}
    return frozenset(places)


def is_filled(contents):
    """Whether the sheet has results."""
    return contents.cell(SHEET, (TRIALS, VALUE)) is not None
