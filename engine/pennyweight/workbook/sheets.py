"""Registry of the sheets: purpose, title, widths and print settings.

The sheets themselves are in sheets.toml.
"""

import tomllib
from dataclasses import dataclass, field
from importlib.resources import files


@dataclass(frozen=True)
class Sheet:
    """One sheet of the workbook.

    Attributes
    ----------
    name, purpose : str
    lines : bool
        Whether it has lines of the model under the usual heads.
    title : str
        On top of the sheet; the name when empty.
    tab : str
        Colour of its tab.
    widths : dict
        Widths of columns that differ from other sheets, so that the sheet fits a page.
    printed_from, printed_to : str
        First and last printed section; the rest is for reading on the screen.
    printed_across : str
        Last printed line of a vertical table; the others are its workings.
    frozen : bool
        Whether its labels stay in view when it is scrolled sideways.
    shows : str
        On a sheet without lines: the line that it shows.
    """

    name: str
    purpose: str
    lines: bool = True
    title: str = ""
    tab: str = ""
    widths: dict = field(default_factory=dict)
    printed_from: str = ""
    printed_to: str = ""
    printed_across: str = ""
    frozen: bool = False
    shows: str = ""


SOURCE = files(__package__).joinpath("sheets.toml").read_text("utf-8")
REGISTRY = {name: Sheet(name, **entry) for name, entry in tomllib.loads(SOURCE).items()}
"""Every sheet by name, in the order of the tabs."""


def title_of(sheet):
    """The title of a sheet."""
    return REGISTRY[sheet].title or sheet
