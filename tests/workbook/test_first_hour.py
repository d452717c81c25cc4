"""A new workbook in a bare spreadsheet program: the answer is the user's own, or none.

Entries are written into the yellow cells of a workbook that was written once, and
LibreOffice alone recalculates it.
"""

import re

import pytest

import pennyweight as pw
from pennyweight.model.entries import has_range
from pennyweight.model.inputs import INPUTS
from pennyweight.model.units import convert
from pennyweight.workbook.layout import defined_name, layout, listed
from pennyweight.workbook.start_sheet import CHANGE_OF_NPV
from tests.books import book_at
from tests.oracles.package import stored_cells, write_named
from tests.thorough import sampled

from .empty import empty_at

CLAIM = {
    "ore_tons": 4000,
    "ore_grade": 0.4,
    "dilution": 0.2,
    "gravity_recovery": 0.6,
    "gold_price": 4100,
    "royalty_rate": 0.03,
    "hours_per_day": 10,
    "days_per_month": 22,
    "season_months": 8,
    "measured_pace": 1.5,
    "crew": 3,
    "wage": 30,
    "energy_bill": 2500,
    "mining_cost": 180,
    "haulage_cost": 15,
    "fixed_cost": 8000,
    "capital_to_spend": 300000,
}
"""The must-haves of an invented claim, in US customary units."""
CHANGE = "Change_of_worth"
READ = ("Answer", "Answer_list", "Net_present_value", "Margin_per_ton")


def typed(figures):
    """What is put into the yellow cells."""
    return {f"{defined_name(name)}_entered": value for name, value in figures.items()}


def claim(units):
    return {
        name: convert(value, INPUTS[name].unit, "us", units)
        for name, value in CLAIM.items()
    }


@pytest.fixture(scope="module", params=sampled(["metric", "us"], 2))
def fresh(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp(request.param)
    path = empty_at(folder / "claim.xlsx", units=request.param)
    cells = stored_cells(path)["Start"]
    (label,) = (at for at, v in cells.items() if v == CHANGE_OF_NPV)
    named = folder / "named.xlsx"
    write_named(path, named, {CHANGE: ("Start", label.replace("G", "H"))})
    return request.param, named


@pytest.fixture(scope="module")
def answers(fresh, libreoffice):
    """With nothing entered, and with everything."""
    units, path = fresh
    entered = [typed(given) for given in ({}, claim(units))]
    return libreoffice.scenarios(path, entered, (*READ, CHANGE))


def test_seventeen_figures_give_the_engines_answer(fresh, answers):
    units, found = fresh[0], answers[1]
    plan = pw.Plan(claim(units), units=units)
    assert found["Answer"] == plan.judge().verdict == "pays"
    for name in ("net_present_value", "margin_per_ton"):
        assert found[defined_name(name)] == pytest.approx(plan.results[name], rel=1e-9)


def test_a_worth_that_was_missing_at_the_issue_has_not_changed(fresh, answers):
    """Estimates stood for the figures then: their worth is nothing to compare with."""
    assert [told[CHANGE] for told in answers[:2]] == ["not yet", "n/a"]


@pytest.mark.parametrize("names", sampled([[*CLAIM][::4], [*CLAIM]], 2))
def test_with_one_missing_there_is_no_verdict_but_its_name(names, fresh, libreoffice):
    units, path = fresh
    figures = claim(units)
    without = [{n: v for n, v in figures.items() if n != name} for name in names]
    answers = libreoffice.scenarios(path, [typed(given) for given in without], READ)
    for name, answer in zip(names, answers, strict=True):
        assert answer["Answer"] == "not yet: 1 figure is missing"
        assert answer["Answer_list"] == f"Missing: {INPUTS[name].label}"


def test_nothing_entered_names_them_all(answers):
    assert answers[0]["Answer"] == f"not yet: {len(CLAIM)} figures are missing"
    assert answers[0]["Answer_list"] == "Missing: " + "; ".join(
        INPUTS[name].label for name in INPUTS if name in CLAIM
    )


def wrong_entries():
    """(input, what is wrong, what is put into its yellow cell)."""
    for name, entry in listed():
        if entry.kind != "text":
            yield name, "text", "dear"
        if entry.kind == "share" and entry.maximum <= 1 and entry.example:
            yield name, "62 for 62 %", entry.example * 100
        if entry.numeric and has_range(entry) and entry.kind != "whole":
            yield name, "ten times too large", 10 * entry.high
            yield name, "ten times too small", entry.low / 10


def batches(size=400):
    """Wrong entries of different inputs that the answer names together."""
    kinds = {}
    for name, wrong, value in wrong_entries():
        if value:
            low, high = INPUTS[name].within("us")
            beyond = isinstance(value, str) or not low <= value <= high
            kinds.setdefault((wrong, beyond), []).append((name, value))
    for (_, beyond), entries in kinds.items():
        for start in range(0, len(entries), size):
            yield beyond, dict(entries[start : start + size])


def unusable(entries):
    """What the answer says of entries that cannot be used."""
    several = len(entries) > 1
    return [f"not yet: {len(entries)} {'entries' if several else 'entry'} cannot be"]


def unusual(entries):
    """What the answer says of unusual figures; the last beside a failed check."""
    count, (name, *_) = len(entries), entries
    alone = f"if this is right: {INPUTS[name].label}"
    several = f"if {count} unusual figures are right"
    return [alone if count == 1 else several, f"; look again at {count} figure"]


def test_no_wrong_entry_passes_without_a_word(libreoffice, tmp_path):
    """Put into the worked example, which pays."""
    path = book_at(tmp_path / "claim.xlsx")
    tried = list(batches())
    changes = [typed(entries) for _, entries in tried]
    found = libreoffice.scenarios(path, changes, READ)
    silent = []
    for (beyond, entries), said in zip(tried, found, strict=True):
        words = unusable(entries) if beyond else unusual(entries)
        assert any(word in said["Answer"] for word in words), (said, entries)
        named = re.sub(r" \([^()]+\?\)", "", said["Answer_list"])  # (in g/t?)
        labels = named.partition(": ")[2].split("; ")
        silent += [name for name in entries if INPUTS[name].label not in labels]
    assert sum(len(entries) for _, entries in tried) > 500
    assert silent == []


def test_a_contract_book_names_the_cell_of_an_estimated_charge(tmp_path):
    path = pw.Plan(job="contract", contract_kind="by the ton").write(
        tmp_path / "c.xlsx"
    )
    place = layout().entered["terms_per_ton_01"]
    words = f"an estimate. Enter the agreed charge on {place.sheet}!{place.cell()}, or"
    assert any(words in str(text) for text in stored_cells(path)["Start"].values())


@pytest.mark.thorough
def test_the_sources_speak_of_equations_not_of_code(tmp_path):
    cells = stored_cells(pw.example().write(tmp_path / "c.xlsx"))["Sources"].values()
    assert not [text for text in cells if "`" in str(text)]
    assert any("sliding scale, solved for the grade" in str(text) for text in cells)
