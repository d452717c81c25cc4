"""Check that a paper is as its workbook gives it: written again, and compared."""

import io
import zipfile
from dataclasses import dataclass, replace

from ..errors import WorkbookError
from ..model.allowed import check
from ..model.inputs import inputs_in
from ..workbook.inspection.active_content import acting
from ..workbook.inspection.appearance import sheet_appearance
from ..workbook.inspection.expected import same_value
from ..workbook.inspection.findings import (
    AS_ISSUED,
    INPUTS_CHANGED,
    Finding,
    Inspection,
    outcome_of,
    value_shown,
)
from ..workbook.inspection.inspect import moved_names, sheet_findings
from ..workbook.named_cells import spot_of
from ..workbook.package.contents import contents_of, read_closed
from ..workbook.package.sheet_part import address_of, place_of
from ..workbook.read import CHECKED, PAPERS
from .quote import make_quote
from .statement import FINAL, PROVISIONAL, make_statement
from .test_report import make_test_report

REASON = "Confirmed, because: "
"""Words before the reason for paying a lot whose gold balance does not close."""
AGAIN = "Write the paper again from its workbook."
ANOTHERS = "None needed: the reader of the paper may enter it."
OUTCOMES = {
    AS_ISSUED: "Every cell is as its workbook gives it now.",
    INPUTS_CHANGED: "Its reader entered figures; all else is as its workbook gives it.",
}
OTHER = "Its cells are not as its workbook gives them now."


@dataclass(frozen=True)
class _Again:
    """A paper written again, as `sheet_findings` reads it.

    ``followed`` has its values after the reader of the paper entered figures.
    """

    cells: dict
    followed: dict
    units: str

    def value(self, sheet, place):
        return self.followed[sheet][place].value

    @staticmethod
    def same(wanted, cell, _key):
        if cell.kind in ("none", "e"):
            return cell.kind == "none" and wanted in (None, "")
        return same_value(wanted, cell.value)


def inspect_paper(path, plan):
    """Compare a quote, a statement or a report of a test lot with its workbook.

    A reason for which a gold balance was confirmed is taken from the paper.

    Parameters
    ----------
    path : str or Path
        The paper.
    plan : Plan
        Of the workbook that it was written from, as it is now.

    Returns
    -------
    inspection : Inspection

    Raises
    ------
    WorkbookError
        When it is another file or the statement of another lot, or the workbook gives
        no such paper.
    """
    contents = read_closed(path)
    sheet = next((name for name in CHECKED if name in contents.states), None)
    if sheet is None:
        kinds = ", ".join(f"a {PAPERS[name]}" for name in CHECKED)
        raise WorkbookError(
            f"{path} is not one of the papers that are checked against a workbook: "
            f"{kinds}. Inspect another file without --book."
        )
    page = _page(sheet, contents, plan, plan.inputs)
    again = _contents_of(page)
    if sheet in (FINAL, PROVISIONAL):
        _refuse_another_lot(page, contents, again)
    entered = _entered(page, again.names, contents, plan)
    followed = again
    if entered:
        inputs = {**plan.inputs, **{name: now for name, (_, _, now) in entered.items()}}
        followed = _contents_of(_page(sheet, contents, plan, inputs))
    expected = _Again(again.sheets, followed.sheets, plan.units)
    free = {address_of(place) for place, _, _ in entered.values()}
    found = [f for f in sheet_findings(sheet, contents, expected) if f.cell not in free]
    found += moved_names(contents, again.names)
    found += sheet_appearance(sheet, contents, again)
    found += acting(contents, again)
    found += _out_of_sight(sheet, contents, again)
    findings = [_told(finding, expected) for finding in found]
    findings.sort(key=lambda finding: finding.kind == "stored value")
    inputs = [
        Finding(
            *(sheet, address_of(place), "input changed"),
            *(value_shown(before), value_shown(now)),
            *(ANOTHERS, False),
        )
        for place, before, now in entered.values()
    ]
    outcome = outcome_of(findings, inputs)
    return Inspection(outcome, findings, inputs, reason=OUTCOMES.get(outcome, OTHER))


def _refuse_another_lot(page, contents, again):
    """Raise when a statement opens with another lot than its workbook has."""
    (_, opening, _), *_ = page.rows
    cells, lot = again.sheets[page.sheet], page.found("settle_lot")
    place = next(place for place, cell in cells.items() if cell.value == opening)
    there = contents.cell(page.sheet, place)
    told = str(there.value) if there else ""
    if not told.startswith(f"{lot} of "):  # its owner
        raise WorkbookError(
            f"The statement is of another lot than its workbook: it begins with "
            f"{told!r}, and the workbook has {lot!r}. Give the workbook of that lot; "
            "one that has gone on to another lot cannot check it."
        )


def _contents_of(page):
    """Contents of a page's file."""
    with zipfile.ZipFile(io.BytesIO(page.content())) as package:
        return contents_of(package, page.title)


def _page(sheet, contents, plan, inputs):
    """The page that the workbook gives for some inputs."""
    if sheet not in (FINAL, PROVISIONAL):
        make = make_test_report if sheet == "Test lot report" else make_quote
        return make(inputs, plan.units, plan.given)
    texts = (str(cell.value) for cell in contents.sheets[sheet].values())
    reason = "".join(text.partition(REASON)[2] for text in texts)
    provisional = sheet == PROVISIONAL
    return make_statement(inputs, plan.units, reason, plan.given, provisional)


def _entered(page, names, contents, plan):
    """What the reader of a page entered: place, figure before, and figure now."""
    found, table = {}, inputs_in(plan.inputs)
    cells = (cell for kind, row, _ in page.rows if kind == "row" for cell in row)
    for name in (cell.name for cell in cells if getattr(cell, "bounds", ())):
        sheet, place = spot_of(names[name.lower()])
        cell, before = contents.cell(sheet, place), page.values[name]
        if cell is not None and not same_value(before, cell.value):
            now = check(table[name], cell.value, plan.units, address_of(place))
            found[name] = place, before, now
    return found


def _out_of_sight(sheet, contents, again):
    """Hidden rows, columns and sheets, and sheets that the paper does not have."""
    known = again.hidden_lines.get(sheet, ())
    lines = [n for n in contents.hidden_lines.get(sheet, ()) if n not in known]
    if lines:
        yield Finding(sheet, "", "hidden rows or columns", "", ", ".join(lines[:10]))
    for name, state in contents.states.items():
        if name not in again.states:
            yield Finding(name, "", "sheet added", "", name)
        elif state != "visible":
            yield Finding(name, "", "hidden sheet", "", state)


def _told(finding, expected):
    """A finding with the value that its formula should have, and what to do.

    A paper says all that is written on it: what is added to it counts.
    """
    wanted, kind = finding.expected, finding.kind
    if wanted.startswith("="):
        value = expected.value(finding.sheet, place_of(finding.cell))
        wanted = f"{wanted}, {value_shown(value)}"
    if kind in ("cell added", "sheet added"):
        kind = f"{kind} to a paper"
    return replace(finding, expected=wanted, kind=kind, mend=AGAIN, grave=True)
