"""Comparison of two workbooks: the changes, and the effect of each on the results."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ..errors import BadValue, CallError
from ..model.currency import in_currency, rate_of, symbol
from ..model.entries import UNUSABLE
from ..model.inputs import INPUTS, amount, inputs_in, is_filled_in
from ..model.judgement import entries_of, verdict_on
from ..model.mill_model import MODEL
from ..model.run import run
from ..model.shapley import shapley_values
from ..model.units import convert, shown
from ..workbook.inspection.findings import OLD_VALUES
from ..workbook.inspection.inspect import inspect_contents
from ..workbook.inspection.sorted_rows import in_order, sorted_entries
from ..workbook.layout import defined_name
from ..workbook.named_cells import spot_of
from ..workbook.package.contents import read_closed
from ..workbook.package.sheet_part import place_of
from ..workbook.read import reading_of
from .comparison import VERDICT, Change, Comparison, Remark, headlines_of


def compare_books(mine, theirs, progress=None):
    """Compare two workbooks.

    Parameters
    ----------
    mine, theirs : str or Path
    progress : callable, optional
        Called with the number of combinations of changes calculated so far.

    Returns
    -------
    comparison : Comparison

    Raises
    ------
    WorkbookError
        When one of them cannot be read.
    """
    contents = [read_closed(path) for path in (mine, theirs)]
    first, second = (reading_of(book) for book in contents)
    inspections = [
        inspect_contents(book, reading)
        for book, reading in zip(contents, (first, second), strict=True)
    ]
    first, second = (
        in_order(reading, sorted_entries(book) if reading.current else {})
        for book, reading in zip(contents, (first, second), strict=True)
    )
    found = [_up_to_date(inspection) for inspection in inspections]
    entries = [_entries(reading) for reading in (first, second)]
    comparison = _compared(first, second, entries, progress)
    return replace(
        comparison,
        changes=[_placed(change, first, second) for change in comparison.changes],
        inspection=inspections[1],
        notes=[*_notes(first, second), *_unusable(entries)],
        remarks=_remarks(first, second),
        added=[finding for key, finding in found[1].items() if key not in found[0]],
        gone=[finding for key, finding in found[0].items() if key not in found[1]],
        shown=_shown(contents[1], second, inspections[1], comparison),
        files=tuple(Path(book.path).name for book in contents),
    )


def compare_plans(first, second, progress=None):
    """Compare two plans that were not read from workbooks.

    Parameters
    ----------
    first, second : Plan
    progress : callable, optional
        Called with the number of combinations of changes calculated so far.

    Returns
    -------
    comparison : Comparison
        In the units of the first; ``inspection`` is None.
    """
    entries = [_entries(plan) for plan in (first, second)]
    return _compared(first, second, entries, progress)


def _entries(plan):
    """Each input of a plan with its state: whose figure it is."""
    return entries_of(plan.inputs, plan.units, plan.given, plan.ranges)


def _compared(first, second, entries, progress):
    _refuse_other_currency(first.inputs["currency"], second.inputs["currency"])
    after = _in_units_of(first, second)
    results = [run(inputs, first.units) for inputs in (first.inputs, after)]
    job, currency = first.inputs["job"], first.inputs["currency"]
    wanted = headlines_of(job)
    shares, why_not = _shares(first.inputs, after, wanted, first.units, progress)
    return Comparison(
        changes=_changes(first, second, after),
        verdicts=tuple(map(verdict_on, results, entries)),
        before={name: _figure(results[0][name]) for name in wanted},
        after={name: _figure(results[1][name]) for name in wanted},
        units=first.units,
        shares=shares,
        no_shares=why_not,
        job=job,
        currency=currency,
    )


def _changes(first, second, after):
    """Inputs that differ; ``after`` has the second's in the units of the first."""
    currency = first.inputs["currency"]
    return [
        Change(
            name,
            e.label,
            first.inputs[name],
            after[name],
            in_currency(shown(e.unit, first.units), currency),
            estimated_before=_estimated(name, first),
            estimated=_estimated(name, second),
        )
        for name, e in INPUTS.items()
        if first.inputs[name] != after[name]
    ]


def changed_inputs(mine, theirs):
    """As `opening.changed_inputs`."""
    contents, wrong = [read_closed(path) for path in (mine, theirs)], ([], [])
    first, second = map(reading_of, contents, wrong)
    ends = first.inputs, _in_units_of(first, second)
    for book, reading, names, inputs in zip(
        contents, (first, second), wrong, ends, strict=True
    ):
        for name in names:
            sheet, _, cell = reading.places[name].rpartition("!")
            inputs[name] = str(book.cell(sheet, place_of(cell)).value)
            reading.given[name] = inputs[name]
    table = inputs_in(first.inputs)

    def told(name, value):
        text = isinstance(value, str)
        return repr(value) if text else amount(value, table[name], first.units)

    return [
        replace(
            _placed(change, first, second),
            before=told(change.name, change.before),
            after=told(change.name, change.after),
        )
        for change in _changes(first, second, ends[1])
    ]


def _estimated(name, plan):
    """Whether an input is an estimate because no figure was entered."""
    entry = INPUTS[name]
    filled = is_filled_in(entry, plan.inputs[name], plan.units)
    return name not in plan.given and entry.kind != "text" and not filled


def _figure(value):
    return float(value) if np.isfinite(value) else None


def _up_to_date(inspection):
    """Findings by their identity, except for values that are out of date."""
    return {
        (f.sheet, f.cell, f.kind, f.found): f
        for f in inspection.findings
        if f.kind != "stored value"
    }


def _in_units_of(first, second):
    """The second workbook's inputs in the units of the first."""
    after = {}
    for name, value in second.inputs.items():
        entry, before = INPUTS[name], first.inputs[name]
        if entry.numeric:
            value = convert(value, entry.unit, second.units, first.units)
            # Conversion moves the last digit; some programs save fifteen digits only.
            close = abs(value - before) <= 1e-12 * abs(before)
            value = before if close else value
        after[name] = value
    return after


def _refuse_other_currency(first, second):
    if symbol(first).casefold() != symbol(second).casefold():
        raise CallError(
            f"Money is {first or 'US dollars'} in the first workbook and "
            f"{second or 'US dollars'} in the second. Compare workbooks in one "
            "currency: no figure is converted."
        )


def _shares(before, after, wanted, units, progress):
    """Shapley values of all changes except those of text and of the exchange rate.

    The rate moves estimates and limits only, and estimates are changes themselves.
    """
    used = {name: value for name, value in after.items() if INPUTS[name].kind != "text"}
    rate = {"exchange_rate": max(rate_of(before), rate_of(after))}
    before = {**before, **rate}
    after = {**before, **used, **rate}
    if before == after:
        return None, ""
    try:
        results = (*wanted, VERDICT)
        return shapley_values(before, after, results, units, progress=progress), ""
    except BadValue as error:
        return None, f"The effects of single changes cannot be calculated: {error}"


def _placed(change, first, second):
    """A change with its cell in the second workbook, and the status in both."""
    own = INPUTS[change.name].status
    before, after = (one.statuses.get(change.name, own) for one in (first, second))
    place = second.places[change.name]
    return replace(change, place=place, status_before=before, status=after)


def _remarks(first, second):
    found = []
    for what, word in (("statuses", "status"), ("bases", "basis")):
        before, after = getattr(first, what), getattr(second, what)
        found += [
            Remark(name, INPUTS[name].label, word, text, after[name])
            for name, text in before.items()
            if after.get(name, text) != text
        ]
    return [*found, *_ranges(first, second)]


def _ranges(first, second):
    """Own ranges that differ, in the units of the first."""
    table = inputs_in(first.inputs)
    for name in INPUTS:
        entry, texts = table[name], []
        for plan in (first, second):
            ends = plan.ranges.get(name, ())
            ends = (convert(e, entry.unit, plan.units, first.units) for e in ends)
            words = [
                "estimate" if math.isnan(end) else amount(end, entry, first.units)
                for end in ends
            ]
            texts.append(" to ".join(words) or "estimate")
        if texts[0] != texts[1]:
            yield Remark(name, entry.label, "range", *texts)


def _shown(contents, reading, inspection, comparison):
    """Headline results that the workbook shows with another value than the engine."""
    earlier = any(f.kind == OLD_VALUES for f in inspection.findings)
    named = {(f.sheet, f.cell) for f in inspection.findings if f.grave}
    found = {}
    for name, value in comparison.after.items():
        spot = spot_of(contents.names.get(defined_name(name).lower(), ""))
        cell = contents.cell(*spot) if spot else None
        known = cell is not None and cell.kind == "n"
        if known and (earlier or (spot[0], xl_rowcol_to_cell(*spot[1])) in named):
            unit = MODEL.lines[name].unit
            there = convert(cell.value, unit, reading.units, comparison.units)
            if value is None or not math.isclose(there, value, rel_tol=1e-9):
                found[name] = there
    return found


def _notes(first, second):
    notes = [reading.note for reading in (first, second) if reading.note]
    for what in ("units", "version"):
        one, other = getattr(first, what), getattr(second, what)
        if one != other:
            place = f"{one} in the first workbook, {other} in the second."
            notes.append(f"{what.capitalize()}: {place}")
    jobs = [reading.inputs["job"] for reading in (first, second)]
    if jobs[0] != jobs[1]:
        notes.append(
            f"The first workbook is for {jobs[0]}, the second for {jobs[1]}. "
            "Differences of inputs that one of them does not need are listed, too."
        )
    return notes


def _unusable(entries):
    """Notes on entries that cannot be used."""
    notes = []
    for place, own in zip(("first", "second"), entries, strict=True):
        wrong = [entry.label for entry in own.values() if entry.state == UNUSABLE]
        if wrong:
            notes.append(
                f"Entries of the {place} workbook that cannot be used: "
                f"{'; '.join(wrong)}. 'pennyweight judge' says why."
            )
    return notes
