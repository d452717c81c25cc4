"""What an inspection finds, and its outcomes."""

from dataclasses import asdict, dataclass, field

from ..package.text_part import plain

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
"""Kinds that say only that no program has calculated the workbook."""
LONGEST = 400
"""Characters of a cell that are told."""

FOLLOWS_NOT = "The figure no longer follows from the inputs."
WRONG_SHOWN = "It shows a figure that does not follow from its inputs."
READS_OTHERS = "Formulas may read other cells."
OUT_OF_SIGHT = "Figures are out of sight."
NO_EFFECT = "None on the results."
UNTRUE = "It may say something that is not so."
TYPED_OVER = "A calculated figure may be typed over by mistake."
LET_IN = "Entries out of bounds are let in."
UNSEEN = "It may hold what nobody sees."
CALCULATE = "Open it in a spreadsheet program, which calculates it, and save it."
BACK = "Put it back as it was; or copy the inputs with new --from."
EFFECTS = {
    "axis title missing": "The axis title is missing.",
    "cell added": NO_EFFECT,
    "cell unlocked": TYPED_OVER,
    "cells merged": OUT_OF_SIGHT,
    "chart missing": "A chart does not show what it says.",
    "chart title missing": "The chart's title is missing.",
    "chart of another length": "The chart may leave months out.",
    "chart of other cells": "The chart shows other figures than it says.",
    "column too narrow": OUT_OF_SIGHT,
    "conditional format changed": "A warning may not show, or may show wrongly.",
    "conditional format that hides": "A figure may be hidden, or show another number.",
    "dates from 1904": "A date shows as another, four years later.",
    "figure placed otherwise": "It may be read as another, or not at all.",
    "figures kept by a chart": "It may show other figures than the cells have.",
    "fixed number changed": WRONG_SHOWN,
    "font of signs": "It shows signs instead of digits and letters.",
    "foreign part": "It may run a program or fetch data.",
    "formula altered": FOLLOWS_NOT,
    "formula missing": FOLLOWS_NOT,
    "formula out of sight": "Nobody sees how the figure is calculated.",
    "formula overwritten": FOLLOWS_NOT,
    "formula that reaches outside": "It may fetch, send or start something.",
    "formulas shown": "Formulas show instead of figures.",
    "header or footer changed": "Printed pages may say something that is not so.",
    "hidden name": UNSEEN,
    "hidden rows or columns": OUT_OF_SIGHT,
    "hidden sheet": OUT_OF_SIGHT,
    "input changed": "The results differ.",
    "input with a formula": "The input may change by itself.",
    "iteration": "A formula that reads itself shows no error.",
    "link to the outside": "It may fetch data or open another file.",
    "manual calculation": "Figures stay as they are when inputs change.",
    "look of a chart changed": "It may read otherwise than the figures are.",
    "name added": NO_EFFECT,
    "name defined again for one sheet": READS_OTHERS,
    "name missing": "Formulas that read it show an error.",
    "name moved": READS_OTHERS,
    "name that starts a macro": "It may run a program when the workbook opens.",
    "no stored value": "The figure is missing until it is calculated.",
    NO_VALUES: "Figures are missing until it is calculated.",
    "note": NO_EFFECT,
    "number format changed": "It may show another number than it holds.",
    "object over figures": "Figures are out of sight, or others show over them.",
    OLD_VALUES: "It shows the results of other inputs.",
    "precision as displayed": "Results are calculated from rounded figures.",
    "protection removed": TYPED_OVER,
    "record of the issue": "It is unknown which inputs changed.",
    "results of risk changed": "The risk figures may not be those calculated.",
    "row too low": OUT_OF_SIGHT,
    "rows or columns moved": "Its cells cannot be compared one by one.",
    "shape that starts a macro": "It may run a program when you click on it.",
    "sheet added": NO_EFFECT,
    "sheet missing": "Its figures are missing.",
    "sheet renamed": NO_EFFECT,
    "solved figure": WRONG_SHOWN,
    "stored value": WRONG_SHOWN,
    "text changed": UNTRUE,
    "text in the colour of its ground": "It is out of sight.",
    "text of a chart changed": UNTRUE,
    "text too small to read": "It is out of sight.",
    "unknown function": "It may come from a macro or an add-in.",
    "validation changed": LET_IN,
    "validation removed": LET_IN,
    "validation text changed": "It may ask for another figure.",
    "value replaced by a formula": "The figure may change by itself.",
    "window hidden": "Sheets are out of sight.",
    "zeros hidden": "A figure of zero is out of sight.",
}
"""What each kind of finding can do to a reader."""


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
        One of `EFFECTS`.
    expected, found : str
        What it was, and what it is.
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

    @property
    def effect(self):
        """What it can do."""
        return EFFECTS[self.kind]

    def as_json(self):
        """Give the finding as plain values for programs."""
        return {**asdict(self), "effect": self.effect}


@dataclass
class Inspection:
    """What was found in a workbook.

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
        Whether it was looked for what hides or changes a figure on screen.
    """

    outcome: str
    findings: list = field(default_factory=list)
    inputs: list = field(default_factory=list)
    reason: str = ""
    reading: object = None
    checks: dict = field(default_factory=dict)
    strict: bool = False

    @property
    def meaning(self):
        """The outcome in a sentence."""
        return self.reason or MEANINGS[self.outcome]

    def as_json(self):
        """Give the inspection as plain values for programs."""
        return {
            "outcome": self.outcome,
            "strict": self.strict,
            "reason": self.reason,
            "inputs": [finding.as_json() for finding in self.inputs],
            "findings": [finding.as_json() for finding in self.findings],
            "checks": self.checks,
        }


def outcome_of(findings, inputs):
    """The outcome that findings and changed inputs amount to.

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
