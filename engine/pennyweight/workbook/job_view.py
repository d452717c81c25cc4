"""Sheets and rows that a workbook shows for a job."""

import functools

from ..model.entries import conditions
from ..model.inputs import INPUTS, families
from ..model.jobs import CLAIM, EVERYTHING, LOT, MILL, precedents, rests_on
from ..model.mill_model import MODEL
from ..model.run import run
from .layout import FIRST_ASKED, LINE_SHEETS, START, layout, listed, must_haves
from .risk_sheet.layout import SHEET as RISK
from .risk_sheet.layout import rows_of
from .sheets import REGISTRY

ALWAYS = ("Checks",)
SIDES = ("actual", "expected")
COUNTS = ("limit_counts", "measurement_counts")
PRICED = ("Plant", "Cost per ton", "Return per ton")
"""Sheets that show in a contract only what its prices rest on, and what limits it."""


@functools.cache
def shown_sheets(job):
    """Names of the sheets that a job needs, in the order of the tabs."""
    lines, _ = rests_on(job)
    own = {MODEL.lines[name].sheet for name in lines}
    return [
        name
        for name, sheet in REGISTRY.items()
        if name in ALWAYS
        or (name in own if sheet.lines else not sheet.shows or sheet.shows in lines)
    ]


@functools.cache
def hidden_rows(job):
    """Hidden rows, by sheet: inputs and sections that the job does not need."""
    found = {name: set() for name in REGISTRY}
    if job == EVERYTHING:
        return found
    lines, inputs = rests_on(job)
    on_start = _asked_on_start(job, inputs)
    for name, _ in listed():
        place = layout().entered[name]
        if name not in inputs:
            found["Inputs"].add(layout().places[name].row)
        if place.sheet == START and name not in on_start:
            found[START].add(place.row)
    for name, row in layout().tables.items():
        if families()[name][0] not in inputs:
            found["Inputs"].add(row)
    if job == LOT:  # the indifference grades below the lines
        below = layout().rows["Contract"]
        found["Contract"] |= set(range(below, below + 4))
    for block, rows in _blocks():
        lines_of = (*block.singles, *block.across, *block.down)
        members = {line.name for line in lines_of}
        if members.isdisjoint(lines) if members else rows and rows <= found["Inputs"]:
            found[block.sheet] |= {block.heading, *rows}
        else:
            rowed = {line.name for line in (*block.singles, *block.across)}
            out = [n for n in rowed - lines if _misleads(n, block.sheet, job)]
            found[block.sheet] |= {layout().places[name].row for name in out}
            if job == MILL and lines.isdisjoint(line.name for line in block.down):
                found[block.sheet] |= _rows_down(block)
    found["Checks"] |= {*_other_balances(inputs), *_other_checks(job)}
    if "Contract" not in shown_sheets(job):
        found[RISK] |= rows_of("contracts")
    return found


def _rows_down(block):
    """Rows of the table of a block that runs down, with its head."""
    if not block.down:
        return set()
    top = layout().places[block.down[0].name].row
    return set(range(block.down_head, top + len(MODEL.axes[block.axis_down])))


def _other_balances(inputs):
    """Rows of balances whose inputs the job does not need; if all, the heading too."""
    sides = (MODEL.lines[f"balance_{side}"].parameters for side in SIDES)
    top = layout().places["balance_actual"].row
    pairs = [*enumerate(zip(*sides, strict=True), top)]
    others = [r for r, pair in pairs if not precedents(pair)[1] <= inputs | {"job"}]
    yield from others
    if len(others) == len(pairs):
        (block,) = (
            b for b in layout().blocks if MODEL.lines["balance_actual"] in b.down
        )
        yield from range(block.heading, top)


def _other_checks(job):
    """Rows of limits and measurements that do not count for the job.

    If none of a table counts, its heading, too.
    """
    values = run({"job": job}, wanted=COUNTS)
    for block in layout().blocks:
        for name in {line.name for line in block.down} & {*COUNTS}:
            top = layout().places[name].row
            yield from (
                row for row, counts in enumerate(values[name], top) if not counts
            )
            if not values[name].any():
                yield from range(block.heading, top)


def _misleads(name, sheet, job):
    """Whether a line that the job does not need is of other costs, gold or lots."""
    if job == CLAIM:
        return name.endswith("_verdict")
    if job in (LOT, MILL):
        return True
    inputs = rests_on(job)[1]
    other_ore = "ore_grade" not in inputs and "ore_grade" in precedents([name])[1]
    return sheet in PRICED or other_ore


def _asked_on_start(job, inputs):
    wanted = must_haves(job)
    choices = {choice for name in wanted for choice, _ in conditions(INPUTS[name])}
    return {*FIRST_ASKED, *wanted, *(choices & inputs)}


def _blocks():
    """Each block with the rows below its heading, to the heading of the next."""
    for sheet in ("Inputs", *(name for name in LINE_SHEETS if name not in ALWAYS)):
        blocks = [block for block in layout().blocks if block.sheet == sheet]
        ends = [block.heading for block in blocks[1:]] + [layout().rows[sheet]]
        for block, end in zip(blocks, ends, strict=True):
            yield block, _used(sheet, range(block.heading + 1, end))


def _used(sheet, rows):
    """Rows of inputs on the sheet Inputs; all rows on other sheets."""
    inputs = {layout().places[name].row for name, _ in listed()}
    inputs |= set(layout().tables.values())
    return set(rows) & inputs if sheet == "Inputs" else set(rows)
