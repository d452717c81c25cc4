"""Results of a diagnosis of an add-in; their texts are in diagnosis.csv."""

import csv
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class Check:
    """The result of one check.

    Attributes
    ----------
    what, message : str
    state : {"ok", "warning", "error"}
    fix : str
    """

    what: str
    state: str
    message: str
    fix: str = ""


def _rows():
    text = files(__package__).joinpath("diagnosis.csv").read_text("utf-8")
    return {row.pop("name"): row for row in csv.DictReader(text.splitlines())}


CHECKS = _rows()


def check(name, /, **seen):
    """The result of this name in diagnosis.csv, with values filled in."""
    return Check(**{key: text.format(**seen) for key, text in CHECKS[name].items()})
