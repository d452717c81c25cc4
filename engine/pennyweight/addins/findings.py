"""What the doctors of Excel and LibreOffice find: the words stand in doctors.csv."""

import csv
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class Check:
    """One thing that a doctor looked at.

    Attributes
    ----------
    what, said : str
    state : {"well", "mind", "ill"}
    mend : str
    """

    what: str
    state: str
    said: str
    mend: str = ""


def _rows():
    text = files(__package__).joinpath("doctors.csv").read_text("utf-8")
    return {row.pop("name"): row for row in csv.DictReader(text.splitlines())}


CHECKS = _rows()


def check(name, /, **seen):
    """The check of a name in doctors.csv, with what was seen put into its words."""
    return Check(**{key: text.format(**seen) for key, text in CHECKS[name].items()})
