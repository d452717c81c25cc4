"""Findings of an inspection, and its outcomes."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from ...errors import plain
from ...model.inputs import rows_of

if TYPE_CHECKING:
    from ..read import Reading

AS_ISSUED = "as issued"
INPUTS_CHANGED = "inputs changed"
ELSE_CHANGED = "something else changed"
NOT_CALCULATED = "not calculated"
CANNOT_BE_USED = "cannot be used"
MEANINGS = {
    AS_ISSUED: "Inputs, formulas, values and texts are those of the issue.",
    INPUTS_CHANGED: "Inputs differ from those of the issue, and nothing else does.",
    ELSE_CHANGED: "It differs in more than its inputs from the workbook as issued.",
    NOT_CALCULATED: (
        "It shows no results for its inputs. Open it in a spreadsheet program and "
        "save it."
    ),
    CANNOT_BE_USED: "",
}
NO_VALUES, OLD_VALUES = "no stored values", "values of earlier inputs"
UNCALCULATED = (NO_VALUES, OLD_VALUES)
"""Kinds that only mean that no program has calculated the workbook."""
AFTER = "Correct the findings above; then recalculate and save."
"""The fix for a consequence of another finding."""
LONGEST = 400
"""Characters of a cell that are shown."""

KINDS = {row["kind"]: row for row in rows_of("kinds.csv", __package__)}
"""Effect and fix of each kind of finding."""


def value_shown(value):
    """A cell's value as a finding shows it."""
    if value is None:
        return "nothing"
    return f"{value:.12g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True)
class Finding:
    """One difference from the workbook as issued.

    Attributes
    ----------
    sheet, cell : str
        Empty if it concerns the whole file.
    kind : str
        One of `KINDS`.
    expected, found : str
        What it was, and what it is.
    mend : str, optional
        How to fix it; the usual fix of its kind when left out.
    grave : bool
        False for what a partner may add: sheets, notes, names of their own.
    """

    sheet: str
    cell: str
    kind: str
    expected: str = ""
    found: str = ""
    mend: str = ""
    grave: bool = True

    def __post_init__(self) -> None:
        usual = KINDS[self.kind]["fix"].format(expected=self.expected)
        object.__setattr__(self, "mend", self.mend or usual)
        for name in ("sheet", "expected", "found"):
            text = plain(getattr(self, name))
            if len(text) > LONGEST:
                text = text[:LONGEST] + "..."
            object.__setattr__(self, name, text)

    @property
    def follows(self) -> bool:
        """Whether it is the consequence of another finding."""
        return self.mend == AFTER

    @property
    def effect(self) -> str:
        """Its possible effect."""
        return KINDS[self.kind]["effect"]

    def to_dict(self) -> dict[str, Any]:
        """Give the finding as plain values for programs."""
        return {**asdict(self), "effect": self.effect}


@dataclass
class Inspection:
    """The result of an inspection of a workbook.

    Attributes
    ----------
    outcome : str
        One of `MEANINGS`.
    findings : list of Finding
    inputs : list of Finding
        The inputs that differ from those of the issue.
    reason : str
        Why it cannot be used.
    reading : Reading or None
    checks : dict
        How many of the workbook's checks pass and fail, by the engine.
    strict : bool
        Whether formats, charts and validations were compared, too.
    """

    outcome: str
    findings: list[Finding] = field(default_factory=list)
    inputs: list[Finding] = field(default_factory=list)
    reason: str = ""
    reading: Reading | None = None
    checks: dict[str, Any] = field(default_factory=dict)
    strict: bool = False

    @property
    def meaning(self) -> str:
        """The outcome in a sentence."""
        return self.reason or MEANINGS[self.outcome]

    def to_dict(self) -> dict[str, Any]:
        """Give the inspection as plain values for programs."""
        return {
            "outcome": self.outcome,
            "strict": self.strict,
            "reason": self.reason,
            "inputs": [finding.to_dict() for finding in self.inputs],
            "findings": [finding.to_dict() for finding in self.findings],
            "checks": self.checks,
        }


def outcome_of(findings, inputs):
    """The outcome that follows from findings and changed inputs.

    Parameters
    ----------
    findings, inputs : list of Finding

    Returns
    -------
    outcome : str
    """
    grave = {finding.kind for finding in findings if finding.grave}
    if grave:
        bare = grave <= set(UNCALCULATED)
        return NOT_CALCULATED if bare else ELSE_CHANGED
    return INPUTS_CHANGED if inputs else AS_ISSUED
