"""What an inspection finds, and its three outcomes."""

from dataclasses import dataclass, field

from ..package.text_part import plain

SOUND, ALTERED, UNUSABLE = "sound", "altered", "unusable"
LONGEST = 400
"""Characters of a cell that are told."""


def value_shown(value):
    """A cell's value as a finding tells it."""
    if value is None:
        return "nothing"
    return f"{value:.12g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True)
class Finding:
    """One thing that is not as it was issued.

    Attributes
    ----------
    sheet, cell : str
        Empty for what concerns the whole file.
    kind : str
    expected, found : str
    mend : str
        What to do.
    grave : bool
        False for what a partner may add: sheets, notes, names of their own.
    """

    sheet: str
    cell: str
    kind: str
    expected: str
    found: str
    mend: str
    grave: bool = True

    def __post_init__(self):
        for name in ("sheet", "expected", "found"):
            text = plain(getattr(self, name))
            if len(text) > LONGEST:
                text = text[:LONGEST] + "..."
            object.__setattr__(self, name, text)


@dataclass
class Inspection:
    """What was found in a book.

    Attributes
    ----------
    outcome : {"sound", "altered", "unusable"}
    findings : list of Finding
    reason : str
        Why it is unusable.
    reading : Reading or None
    checks : dict
        How many of the book's checks hold and do not, by the engine.
    """

    outcome: str
    findings: list = field(default_factory=list)
    reason: str = ""
    reading: object = None
    checks: dict = field(default_factory=dict)

    def as_json(self):
        """Give the inspection as plain values for programs."""
        return {
            "outcome": self.outcome,
            "reason": self.reason,
            "findings": [vars(finding) for finding in self.findings],
            "checks": self.checks,
        }
