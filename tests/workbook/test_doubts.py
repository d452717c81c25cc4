"""A verdict says what makes it doubtful: in the box, on line 3, beside the entry."""

import pytest

import pennyweight as pw
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.front_sheets import UNUSED
from pennyweight.workbook.layout import layout
from pennyweight.workbook.start_sheet import GAP
from tests.oracles.package import stored_cells, write_named
from tests.thorough import sampled

from .test_first_hour import claim, typed

SLIPS = {
    "ore_grade": {"us": (18.9, "in g/t?"), "metric": (0.55, "in oz/ton?")},
    "measured_pace": (16.0, "per day?"),
    "fixed_cost": (96_000.0, "per year?"),
    "wage": (256.0, "per day?"),
    "crew": (0.0, ""),
}
"""An unusual figure, and what it may be."""
UNUSABLE = {
    "gold_price": (125.4, "use 200 to 50,000; per gram?"),
    "gravity_recovery": (65.0, "use 0.1% to 100%; 65%?"),
    "royalty_rate": (4.0, "use 0% to 60%; 4%?"),
    "crew": (-1.0, "use 0 to 200"),
}
"""An entry that cannot be used, and what is told beside it."""
ASKED = sorted({*SLIPS, *UNUSABLE})


def slip(name, units):
    found = SLIPS[name]
    return found[units] if isinstance(found, dict) else found


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def book(request, tmp_path_factory):
    """A claim that pays, with names for the cells beside its entries."""
    units, folder = request.param, tmp_path_factory.mktemp(request.param)
    rows = {name: layout().entered[name].row for name in ASKED}
    beside = {f"Beside_{n}": ("Start", f"{'ABCDEFG'[GAP]}{rows[n] + 1}") for n in ASKED}
    path = pw.Plan(claim(units), units=units, job="claim").write(folder / "c.xlsx")
    cells = stored_cells(path)["Capital"]
    (unused,) = (cell for cell, value in cells.items() if value == UNUSED)
    more = {"Head": ("Cost per ton", "A3"), "Unused": ("Capital", unused)}
    write_named(path, folder / "named.xlsx", beside | more)
    return folder / "named.xlsx", units


@pytest.fixture(
    scope="module",
    params=sampled(["libreoffice", "gnumeric", "iron"], 3),
)
def told(request, book):
    """What the cells say of each slip, of two at once, and of each unusable entry."""
    path, units = book
    slips = {name: slip(name, units)[0] for name in SLIPS}
    pair = {name: slips[name] for name in ("ore_grade", "measured_pace")}
    itemised = {"capital_source": "itemised"}
    entered = [{}, pair, itemised, *({name: value} for name, value in slips.items())]
    entered += [{name: value} for name, (value, _) in UNUSABLE.items()]
    read = ["Answer", "Head", "Unused", *(f"Beside_{name}" for name in ASKED)]
    oracle = request.getfixturevalue(request.param)
    found = oracle.scenarios(path, [typed(figures) for figures in entered], read)
    keys = [
        "none",
        "pair",
        "itemised",
        *SLIPS,
        *(f"{name} unusable" for name in UNUSABLE),
    ]
    return dict(zip(keys, found, strict=True)), units


def engine(units, **changes):
    return pw.Plan({**claim(units), **changes}, units=units, job="claim").judge()


def test_without_a_doubt_the_verdict_stands_alone(told):
    found, units = told
    assert found["none"]["Answer"] == engine(units).answer == "pays"
    assert {found["none"][f"Beside_{name}"] or "" for name in ASKED} == {""}


def test_a_slip_stands_in_the_box_on_line_3_and_beside_the_entry(told):
    """Before, the box said "pays", and Start did not say what the figure may be."""
    found, units = told
    for name in SLIPS:
        (value, asked), said = slip(name, units), found[name]
        judged, label = engine(units, **{name: value}), INPUTS[name].label
        in_brackets = f" ({asked})" if asked else ""
        assert f", if this is right: {label}{in_brackets}" in said["Answer"]
        assert said["Answer"] == judged.answer and said["Head"].startswith(
            judged.answer
        )
        assert (said[f"Beside_{name}"] or "") == asked
        (sentence,) = judged.look_again
        assert f"is it {asked}" in sentence or not asked


def test_several_doubts_are_counted_and_the_telling_check_is_named(told):
    """Before, line 3 named one of two checks: the crusher's."""
    found, units = told
    pair = {name: slip(name, units)[0] for name in ("ore_grade", "measured_pace")}
    said, answer = found["pair"], engine(units, **pair).answer
    assert answer.endswith(", if 2 unusual figures are right, but 2 checks failed")
    assert said["Answer"] == answer
    telling = "Measured throughput is at most 1.5 times the calculated"
    assert said["Head"].startswith(f"{answer}; failed check: {telling}")


def test_beside_an_entry_that_cannot_be_used_stands_what_can(told):
    for name, (_, words) in UNUSABLE.items():
        said = told[0][f"{name} unusable"]
        assert said["Answer"] == "not yet: 1 entry cannot be used"
        assert said[f"Beside_{name}"] == words


def test_capital_says_what_one_figure_replaces(told):
    assert told[0]["none"]["Unused"] == UNUSED
    assert (told[0]["itemised"]["Unused"] or "") == ""


def test_an_error_asks_the_same_question():
    for name, asked in (("gold_price", "per gram"), ("gravity_recovery", "65%")):
        with pytest.raises(pw.BadValue, match=rf"out of range\. Is it {asked}\?"):
            engine("us", **{name: UNUSABLE[name][0]})
