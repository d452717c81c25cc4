"""Check that a workbook's cells are as issued."""

from dataclasses import replace

from ...errors import BadValue, WorkbookError
from ...model.allowed import check
from ...model.checks import checks
from ...model.currency import rate_of
from ...model.entries import scaled
from ...model.inputs import inputs_in, is_filled_in
from ...model.rules import check_rules
from ..entry_cells import BASIS, STATUS
from ..layout import SHEETS, layout
from ..named_cells import spot_of
from ..package.contents import read_closed
from ..package.sheet_part import address_of, place_of
from ..read import other_layout, reading_of
from ..renamed_sheets import renamed_sheets, renaming_findings, with_own_names
from ..risk_sheet.checksum import risk_sheet_findings
from .appearance import appearance
from .expected import (
    Expected,
    beside_issued_places,
    free_places,
    input_places,
    issued_places,
    same_value,
    solved_places,
)
from .findings import (
    AFTER,
    CANNOT_BE_USED,
    NO_VALUES,
    OLD_VALUES,
    UNCALCULATED,
    Finding,
    Inspection,
    outcome_of,
    value_shown,
)
from .foreign_content import foreign_content
from .formula_equality import plain_reference, same_formula
from .formula_tree import is_sum_of_numbers
from .moved import moved_findings, moved_sheets
from .sorted_rows import AXIS, sorted_entries

STORED = ("stored value", "no stored value")
SEVERAL = 4
"""Number of findings from which moved rows and columns are looked for."""


def inspect_book(path, strict=False):
    """Compare every cell of a workbook with the expected one.

    Parameters
    ----------
    path : str or Path
    strict : bool
        Whether to compare formats, charts and validations, too.

    Returns
    -------
    inspection : Inspection
        Of a workbook that cannot be used it has the reason; nothing is raised. If
        single entries cannot be used, it lists the cells that differ, too.
    """
    contents = None
    try:
        contents = read_closed(path)
        reading = reading_of(contents)
    except WorkbookError as error:
        inspection = Inspection(CANNOT_BE_USED, reason=str(error))
        return _cells_that_differ(contents, inspection, strict)
    return inspect_contents(contents, reading, strict)


def _cells_that_differ(contents, inspection, strict):
    """The inspection of a workbook with unusable entries, without its results."""
    unusable = []
    try:
        reading = contents and reading_of(contents, unusable)
    except WorkbookError:
        return inspection
    if not unusable or not reading.current:
        return inspection
    found = inspect_contents(contents, reading, strict)
    findings = [f for f in found.findings if f.kind not in (*STORED, *UNCALCULATED)]
    places = {reading.places[name] for name in unusable}
    inputs = [
        replace(
            f,
            kind="entry that cannot be used",
            found=value_shown(cell and cell.value),
            mend="",
        )
        if f"{f.sheet}!{f.cell}" in places
        else f
        for f in found.inputs
        for cell in [contents.cell(f.sheet, place_of(f.cell))]
    ]
    reason = f"{inspection.reason}\nThe cells that differ, without results:"
    return replace(inspection, findings=findings, inputs=inputs, reason=reason)


def inspect_contents(contents, reading, strict=False, gathered=True):
    """Inspect a workbook that has been read.

    Parameters
    ----------
    contents : Contents
    reading : Reading
    strict : bool
        As `inspect_book`.
    gathered : bool
        Whether values of earlier inputs are one finding, which takes another workbook
        to know.

    Returns
    -------
    inspection : Inspection
    """
    if not reading.current:
        reason = other_layout(contents, reading)
        return Inspection(CANNOT_BE_USED, reason=reason, reading=reading)
    renamed = renamed_sheets(contents)
    contents = with_own_names(contents, renamed)
    findings, expected, inputs = _compared(contents, reading, gathered)
    moved = []
    if sum(f.grave and f.kind not in STORED for f in findings) >= SEVERAL:
        moved = moved_sheets(contents, expected.pristine, reading.units)
        if moved:
            findings = _consequences(list(moved_findings(moved, contents, expected)))
    job = expected.inputs["job"]
    findings += foreign_content(contents, expected.pristine, job, moved)
    if strict:
        before = (lambda: expected.before) if inputs else None
        findings += appearance(contents, expected.pristine, moved, before)
    findings = [replace(f, sheet=renamed.get(f.sheet, f.sheet)) for f in findings]
    findings = _in_order(_gathered(findings, contents))
    findings = [*renaming_findings(renamed), *findings]
    more = {"reading": reading, "checks": checks(expected.values), "strict": strict}
    return Inspection(outcome_of(findings, inputs), findings, inputs, **more)


def _compared(contents, reading, gathered):
    """Compare every cell and name with the expected one."""
    issued, findings = _issued(contents, reading)
    # The visible sheets and rows are those of the job that it was written for.
    inputs = reading.inputs | {"job": issued["job"]}
    expected = Expected(replace(reading, inputs=inputs), issued, contents)
    findings += moved_names(contents, expected.pristine.names)
    findings += risk_sheet_findings(contents, reading.units)
    for sheet in SHEETS:
        there = contents.sheets.get(sheet)
        if there is not None and there != expected.cells[sheet]:
            findings += sheet_findings(sheet, contents, expected)
    origin = sorted_entries(contents)
    if origin:
        findings = _sorted(findings)
    inputs = list(_changed_inputs(reading, issued, origin))
    if gathered and (inputs or origin):
        findings = _before_calculation(findings, contents, expected)
    return findings, expected, [*inputs, *_changed_beside(contents)]


def _sorted(findings):
    """One finding for all numbers of samples that are in another row."""
    place = layout().axes[AXIS]
    numbers = {address_of(place.at(at)) for at in range(*place.lengths)}
    moved = [f for f in findings if f.sheet == place.sheet and f.cell in numbers]
    ends = (", ".join(getattr(f, end) for f in moved) for end in ("expected", "found"))
    one = Finding(place.sheet, moved[0].cell, "rows sorted", *ends, grave=False)
    return [one, *(f for f in findings if f not in moved)]


def _changed_inputs(reading, issued, origin):
    rate, present = rate_of(issued), rate_of(reading.inputs)
    for name, now in reading.inputs.items():
        before, entry = issued[origin.get(name, name)], inputs_in(issued)[name]
        if entry.is_money and rate != present and name not in reading.given:
            estimate = scaled(entry.value(reading.units, "estimate"), rate)
            if same_value(before, estimate):
                continue  # it follows the exchange rate, which is told
        if not same_value(before, now):
            sheet, _, cell = reading.places[name].rpartition("!")
            was, found = value_shown(before) or "empty", value_shown(now) or "empty"
            if entry.numeric and same_value(
                before, entry.value(reading.units, "estimate")
            ):
                was += ", as estimated"
            filled = found == "empty" or is_filled_in(entry, now, reading.units)
            if name not in reading.given and not filled:
                found = f"empty (estimate {found})"
            only_words = entry.kind == "text" and name != "currency"
            kind = "text entered changed" if only_words else "input changed"
            yield Finding(sheet, cell, kind, was, found, grave=False)


def _changed_beside(contents):
    """Own ranges, statuses and bases that differ from those as issued."""
    for (sheet, record), place in sorted(beside_issued_places().items()):
        cells = (contents.cell(sheet, at) for at in (record, place))
        before, now = (None if c is None or c.value == "" else c.value for c in cells)
        if not same_value(before, now):
            what = {BASIS: "basis", STATUS: "status"}.get(place[1], "range")
            shown = value_shown(before), value_shown(now)
            kind = f"{what} changed"
            yield Finding(sheet, address_of(place), kind, *shown, grave=False)


def _before_calculation(findings, contents, expected):
    """One finding instead of many if all wrong values are those as issued."""
    old = [f for f in findings if f.kind in STORED]
    count = contents.stored(*spot_of(expected.pristine.names["changed_inputs"]))
    # If changed inputs are counted, it was calculated since the issue.
    if count != 0 or not old or not all(_as_before(f, contents, expected) for f in old):
        return findings
    found = f"values of the inputs as issued in {len(old)} cells"
    one = Finding("", "", OLD_VALUES, "values of its inputs", found)
    return [one, *(f for f in findings if f.kind not in STORED)]


def _as_before(finding, contents, expected):
    place = place_of(finding.cell)
    there = contents.cell(finding.sheet, place)
    before = expected.before.cell(finding.sheet, place)
    if before is None:
        return False
    wanted = "" if before.value is None else before.value
    return expected.same(wanted, there, (finding.sheet, place))


def _issued(contents, reading):
    """Inputs as issued; the present ones if the record of the issue is wrong."""
    issued, findings, before = dict(reading.inputs), [], {}
    for (sheet, place), name in issued_places().items():
        cell = contents.cell(sheet, place)
        entry = inputs_in(before)[name]
        value = "" if cell is None else cell.value
        try:
            issued[name] = before[name] = check(entry, value, reading.units)
        except BadValue as error:
            where = address_of(place)
            record = ("record of the issue", "", str(error))
            findings.append(Finding(sheet, where, *record))
    try:
        check_rules(issued, units=reading.units)
    except BadValue as error:
        record = ("record of the issue", "", str(error))
        findings.append(Finding("Inputs", "", *record))
        issued = dict(reading.inputs)
    return issued, findings


def moved_names(contents, names):
    """Findings: names that stand for other cells than those given.

    Parameters
    ----------
    contents : Contents
    names : mapping of str to str
        In lower case, with their references.

    Yields
    ------
    finding : Finding
    """
    for name, text in names.items():
        there = contents.names.get(name)
        if there is not None and plain_reference(there) != plain_reference(text):
            was = f"{contents.spelt[name]} stands for {text}"
            yield Finding("", "", "name moved", was, there)


def sheet_findings(sheet, contents, expected):
    """Findings in one sheet: cells that differ, are missing or were added.

    Parameters
    ----------
    sheet : str
    contents : Contents
    expected : Expected

    Yields
    ------
    finding : Finding
    """
    issued_cells, actual = expected.cells[sheet], contents.sheets[sheet]
    free = input_places().keys() | free_places(expected.units)
    for place, cell in issued_cells.items():
        if (sheet, place) in free:
            found = actual.get(place)
            if (
                found is not None
                and found.formula
                and not _as_issued(cell, found, sheet)
            ):
                fixed = is_sum_of_numbers(found.formula)
                kind = (
                    "input typed as a calculation" if fixed else "input with a formula"
                )
                yield _finding(sheet, place, kind, "a value", found, grave=not fixed)
            continue
        there = actual.get(place)
        if cell.formula:
            yield from _formula(sheet, place, cell, there, expected)
        elif not _same_text(cell, there):
            yield _fixed(sheet, place, cell, there)
    for place in actual.keys() - issued_cells.keys():
        if (sheet, place) not in free and _shown(actual[place]).strip():
            yield _finding(sheet, place, "cell added", "", actual[place], grave=False)


def _as_issued(cell, there, sheet):
    """Whether an input still has the formula of its estimate."""
    return bool(cell.formula) and same_formula(cell.formula, there.formula, sheet)


def _formula(sheet, place, cell, there, expected):
    """Compare a calculated cell: its formula first, then its stored value."""
    if there is None or not there.formula:
        kind = "formula missing" if there is None else "formula overwritten"
        yield _finding(sheet, place, kind, cell.formula, there)
        return
    if not same_formula(cell.formula, there.formula, sheet):
        yield _finding(sheet, place, "formula altered", cell.formula, there)
        return
    wanted = expected.value(sheet, place)
    if not expected.same(wanted, there, (sheet, place)):
        kind = "no stored value" if there.kind == "none" else "stored value"
        value = there._replace(formula="")
        yield _finding(sheet, place, kind, value_shown(wanted), value)


def _same_text(cell, there):
    value = None if there is None or there.kind == "none" else there.value
    if there is not None and (there.formula or there.kind == "e"):
        return False
    if cell.value in (None, "") and value in (None, ""):
        return True
    return same_value(cell.value, value)


def _fixed(sheet, place, cell, there):
    """The finding for a wrong text, fixed number or solved figure."""
    number = isinstance(cell.value, float)
    kind = "fixed number changed" if number else "text changed"
    if (sheet, place) in solved_places():
        kind = "solved figure"
    return _finding(sheet, place, kind, _shown(cell), there)


def _finding(sheet, place, kind, expected, there, grave=True):
    found = "nothing" if there is None else _shown(there)
    return Finding(sheet, address_of(place), kind, expected, found, grave=grave)


def _shown(cell):
    return cell.formula or value_shown(cell.value)


def _in_order(findings):
    """Sort findings: causes before consequences, information last."""
    altered = any(f.kind.startswith("formula") for f in findings)
    if altered:
        findings = [
            replace(f, mend=AFTER) if f.kind == "stored value" else f for f in findings
        ]
    return sorted(findings, key=lambda f: (not f.grave, f.kind == "stored value"))


def _consequences(findings):
    """One finding instead of many for all values that follow from alterations."""
    stored = [f for f in findings if f.kind == "stored value"]
    if len(stored) < SEVERAL:
        return findings
    first = stored[0]
    found = f"other values in {len(stored)} cells, the first {first.sheet}!{first.cell}"
    one = replace(first, sheet="", cell="", expected="the engine's values", found=found)
    return [*(f for f in findings if f.kind != "stored value"), one]


def _gathered(findings, contents):
    """One finding instead of thousands if a program stored no values at all."""
    bare = [f for f in findings if f.kind == "no stored value"]
    calculated = sum(
        bool(cell.formula)
        for s in SHEETS
        for cell in contents.sheets.get(s, {}).values()
    )
    if len(bare) < 20 or len(bare) < 0.9 * calculated:
        return findings
    found = f"none in {len(bare)} calculated cells"
    one = Finding("", "", NO_VALUES, "a value in each", found)
    return [one, *(f for f in findings if f.kind != "no stored value")]
