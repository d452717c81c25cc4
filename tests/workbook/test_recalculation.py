"""Every formula cell, recalculated by other programs."""

import math
import re
import zipfile

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import RESULTS
from pennyweight.model.run import run
from pennyweight.model.units import convert
from pennyweight.workbook.layout import defined_name
from tests.books import book_at
from tests.thorough import sampled

from ..model.drawing import converted
from ..oracles.package import defined_names, formula_cells, stored_cells

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")

WANTED = ("verdict", "checks_flag", *RESULTS)


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def written(request, tmp_path_factory):
    units = request.param
    path = tmp_path_factory.mktemp(units) / "book.xlsx"
    book_at(path, units)
    return path, units


def same(engine, program, scale=1.0):
    """Equal to 1e-9, or within 1e-12 of the largest figure around (noise at zero)."""
    if isinstance(engine, str) or isinstance(program, str):
        return engine == program
    return math.isclose(engine, program, rel_tol=1e-9, abs_tol=1e-12 * scale)


def scale_of(cells):
    """Largest figure of a sheet: money that cancels leaves noise of its size."""
    return max(
        (abs(v) for v in cells.values() if isinstance(v, int | float)), default=1
    )


@pytest.mark.parametrize(
    "program",
    # IronCalc takes longest; it works out the function book in every run.
    ["libreoffice", "gnumeric", pytest.param("iron", marks=pytest.mark.thorough)],
)
def test_every_formula_agrees(program, written, recalculated, request):
    _, units = written
    path, found = recalculated(request.getfixturevalue(program), units)
    stored, formulas = stored_cells(path), formula_cells(path)
    # IronCalc's tables of rates sum figures a million times those of the answers.
    scales = {sheet: scale_of(cells) for sheet, cells in stored.items()}
    wrong = [
        (sheet, cell, stored[sheet].get(cell), found[sheet].get(cell))
        for sheet, cell in sorted(formulas)
        # A formula that gives an empty text has no stored value.
        if not same(
            stored[sheet].get(cell, ""), found[sheet].get(cell, ""), scales[sheet]
        )
    ]
    assert len(formulas) > 10_000
    assert wrong == []


@pytest.mark.thorough
@pytest.mark.parametrize("program", sampled(["libreoffice", "gnumeric", "iron"], 3))
def test_wrong_stored_values_are_replaced(program, written, request, tmp_path):
    path, _ = written
    spoilt = tmp_path / "spoilt.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(spoilt, "w") as new:
        for part in old.infolist():
            content = old.read(part)
            if part.filename.startswith("xl/worksheets/sheet"):
                content = re.sub(rb"(</f><v>)-?[0-9.]+", rb"\g<1>123456", content)
            new.writestr(part, content)
    worth = "Net_present_value"
    (found,) = request.getfixturevalue(program).scenarios(spoilt, [{}], [worth])
    names = defined_names(path)
    assert names.read(stored_cells(spoilt), worth) == 123456
    assert same(names.read(stored_cells(path), worth), found[worth])


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("rise", "told"),
    sampled([(-0.0609, "falls by 4.2%"), (0.03, "rises by 5.1%")], 2),
)
@pytest.mark.parametrize("program", sampled(["libreoffice", "gnumeric", "iron"], 3))
def test_the_answer_says_how_the_gold_price_goes_on(
    program, rise, told, request, tmp_path
):
    path = book_at(tmp_path / "book.xlsx", metal_rise=rise, inflation=0.02)
    found = request.getfixturevalue(program).recalculate(path)["Answer"].values()
    (sentence,) = (t for t in found if "gold price is" in str(t))
    assert sentence in stored_cells(path)["Answer"].values()
    assert f"that of the price date and {told} per year; money is nom" in sentence


def random_inputs(seed, units):
    """Inputs drawn between low and high, and choices at random, that fit together."""
    rng = np.random.default_rng(seed)
    while True:
        drawn = {}
        for name, entry in INPUTS.items():
            if entry.kind == "choice":
                drawn[name] = str(rng.choice(entry.choices))
            elif entry.numeric and entry.low != "" and entry.high != "":
                value = rng.uniform(entry.low, entry.high)
                value = round(value) if entry.kind == "whole" else value
                drawn[name] = convert(float(value), entry.unit, "us", units)
        try:
            return drawn, run(drawn, units)
        except BadValue:
            continue  # the draw contradicts itself; the rules have their own tests


def expected(values, name):
    value = values[name].item()
    return "n/a" if isinstance(value, float) and math.isnan(value) else value


def disagreements(values, found):
    return [
        (name, expected(values, name), found[defined_name(name)])
        for name in WANTED
        if not same(expected(values, name), found[defined_name(name)], 1e6)
    ]


def typed(name):
    """Name of the cell into which a person types an input."""
    return defined_name(name) + ("" if INPUTS[name].over else "_entered")


def scenarios(program, path, units, seeds):
    drawn = [random_inputs(seed, units) for seed in seeds]
    named = [{typed(n): v for n, v in inputs.items()} for inputs, _ in drawn]
    answers = program.scenarios(path, named, [defined_name(name) for name in WANTED])
    return [
        (seed, wrong)
        for seed, (_, values), found in zip(seeds, drawn, answers, strict=True)
        if (wrong := disagreements(values, found))
    ]


@pytest.mark.parametrize("seeds", sampled([range(2), range(2, 100)], 2))
def test_random_input_sets_in_libreoffice(seeds, written, libreoffice):
    path, units = written
    assert scenarios(libreoffice, path, units, seeds) == []


@pytest.mark.thorough
@pytest.mark.parametrize("seeds", [range(1000, 1012)])
def test_some_random_input_sets_in_gnumeric(seeds, written, gnumeric):
    path, units = written
    assert scenarios(gnumeric, path, units, seeds) == []


def test_the_draws_reach_every_verdict():
    drawn = (str(random_inputs(seed, "us")[1]["verdict"]) for seed in range(60))
    first = next(drawn)
    assert any(verdict != first for verdict in drawn)


@pytest.mark.parametrize("seeds", sampled([range(4), range(4, 40)], 2))
def test_metric_and_us_books_give_the_same_money(seeds):
    for seed in seeds:
        drawn, us = random_inputs(seed, "us")
        metric = run(converted(complete(drawn, "us"), "us", "metric"), "metric")
        for name in (
            "net_present_value",
            "peak_funding",
            "life_cash",
            "cost_per_ounce",
        ):
            assert same(us[name].item(), metric[name].item(), 1e3), (seed, name)
        assert us["verdict"] == metric["verdict"]
