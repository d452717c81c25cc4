"""Reading the odds that a risk analysis entered into a workbook."""

from dataclasses import dataclass

from ...risk.figures import EVEN_ODDS
from ..entry_cells import own_ends
from ..package.contents import read_contents
from .checksum import checksum_of
from .layout import (
    CHECKSUM,
    OWN_ENDS,
    SHEET,
    VALUE,
    figure_places,
    mean_place,
    placed,
    recorded,
)


@dataclass(frozen=True)
class Odds:
    """The odds of a claim, as its workbook shows them.

    Attributes
    ----------
    pays : float
        Probability that it pays.
    mean : float
        Mean net present value, $.
    """

    pays: float
    mean: float

    @property
    def against(self):
        """Whether it more likely does not pay."""
        return self.pays < EVEN_ODDS


def entered_odds(path, plan):
    """The odds of a workbook, while they belong to its inputs.

    Parameters
    ----------
    path : str or Path
    plan : Plan or Reading
        What was read from the workbook.

    Returns
    -------
    odds : Odds or None
        None where no risk analysis was entered, an input or a range has
        changed since, or the sheet is not as this version entered it.
    """
    cells = read_contents(path, lambda names: {SHEET}).sheets.get(SHEET, {})
    figures = {
        place: cells[place].value if place in cells else None
        for place in figure_places(plan.units)
    }
    tables, record = placed(plan.units)
    of_these = all(
        figures[row, VALUE] == plan.inputs[name]
        and [figures[row, at] for at in OWN_ENDS] == own_ends(name, plan.ranges)
        for row, name in enumerate(recorded(), record + 1)
    )
    if not of_these or figures[CHECKSUM, VALUE] != checksum_of(figures):
        return None
    return Odds(figures[tables["odds"].top, VALUE], figures[mean_place(plan.units)])
