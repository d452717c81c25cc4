"""Our functions in LibreOffice's own cells, headless, from an installed extension."""

import re

import numpy as np
import openpyxl
import pytest

import pennyweight
from pennyweight.addins.calc import doctor, install
from pennyweight.addins.registry import registry
from tests.addins.calc_office import CalcOffice
from tests.addins.examples import at_estimates, expected, same, trade_calls
from tests.books import book_at, typed_at
from tests.thorough import sampled

TOLERANCE = 1e-12


def test_the_extension_is_installed(calc):
    assert calc.installed == ["pennyweight.functions"]


def test_the_doctor_finds_this_office_fit():
    installer = install.unopkg()
    assert installer is not None
    assert doctor._office(installer).state == "ok"
    assert doctor._loader(installer).state == "ok"


def column_name(place):
    """Letters of a column, from 0."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def laid_out(given, first_row):
    """Cells that hold a call's arguments side by side, and their references."""
    cells, references, column = {}, [], 0
    for block in given:
        if block is None:
            references.append("")
            continue
        for down, row in enumerate(block):
            for across, cell in enumerate(row):
                address = f"{column_name(column + across)}{first_row + down}"
                zero = block == ((0.0,),) and cell is not False
                cells[address] = "0" if zero else cell
        corner = f"{column_name(column)}{first_row}"
        end = f"{column_name(column + len(block[0]) - 1)}{first_row + len(block) - 1}"
        references.append(corner if corner == end else f"{corner}:{end}")
        column += len(block[0]) + 1
    return cells, references


def formula_of(entry, references):
    return f"={entry.name}({';'.join(references).rstrip(';')})"


def as_shown(block):
    """A block from the worker in the form of the expected ones."""
    return [[c["error"] if isinstance(c, dict) else c for c in row] for row in block]


@pytest.fixture(scope="module")
def everything(calc):
    """Every example call in one sheet, worked out by Calc."""
    cells, formulas, row = {}, [], 1
    for entry, given, answer in trade_calls():
        wanted = expected(answer)
        put, references = laid_out(given, row)
        cells |= put
        target = f"CA{row}"
        if len(wanted) > 1 or len(wanted[0]) > 1:
            last = column_name(78 + len(wanted[0]) - 1)
            target = f"CA{row}:{last}{row + len(wanted) - 1}"
        formulas.append([target, formula_of(entry, references)])
        row += max(len(wanted), *(len(block) for block in given if block)) + 1
    saved = {kind: (calc.folder / f"all{kind}").as_uri() for kind in (".xlsx", ".ods")}
    found = calc.ask(
        "work_out", cells=cells, formulas=formulas, save=list(saved.values())
    )
    return formulas, [as_shown(block) for block in found], saved


def test_every_function_equals_the_engine(everything):
    formulas, found, _ = everything
    wrong = []
    for (_, _, answer), formula, shown in zip(
        trade_calls(), formulas, found, strict=True
    ):
        wanted = [
            [float(c) if isinstance(c, bool) else c for c in row]
            for row in expected(answer)
        ]
        if not same(shown, wanted, TOLERANCE):
            wrong.append((formula, shown, wanted))
    assert not wrong and len(found) > 200


@pytest.mark.parametrize("kind", sampled([".xlsx", ".ods"], 2))
def test_all_survive_a_save(calc, everything, kind):
    formulas, found, saved = everything
    again = calc.ask(
        "reopened", url=saved[kind], addresses=[address for address, _ in formulas]
    )
    for (text, block), before, (_, formula) in zip(again, found, formulas, strict=True):
        name = re.match(r"=DWT_(\w+)", formula)[1]
        assert f"DWT.{name}(" in text or f"DWT_{name}(" in text
        assert same(as_shown(block), before, TOLERANCE)  # files keep 15 digits


def test_all_are_alive_after_a_save(calc):
    url = (calc.folder / "alive.xlsx").as_uri()
    formulas = [["B1", "=DWT_BOND_ENERGY(A1;2000;100)"]]
    calc.ask("work_out", cells={"A1": 14.0}, formulas=formulas, save=[url])
    ((_, block),) = calc.ask("reopened", url=url, addresses=["B1"], change={"A1": 20.0})
    assert block == [[pennyweight.bond_energy(20.0, 2000.0, 100.0)]]


@pytest.mark.parametrize(
    ("value", "shown", "number"),
    [
        ("x", "#VALUE!", 519),
        (-1.0, "#NUM!", 503),
        ({"error": "=1/0"}, "#DIV/0!", 532),
        ({"error": "=NA()"}, "#N/A", 32767),
    ],
)
def test_errors_are_real(calc, value, shown, number):
    cells = {"A1": value}
    found = calc.one("=DWT_BOND_ENERGY(A1;2000;100)", cells)
    assert found == {"error": shown, "number": number}
    assert calc.one("=ISERROR(DWT_BOND_ENERGY(A1;2000;100))", cells) == 1.0


def test_a_column_with_a_blank_and_a_text(calc):
    cells = {"A1": 14.0, "A3": "x", "A4": -1.0, "A5": 10.0}
    formulas = [["B1:B5", "=DWT_BOND_ENERGY(A1:A5;2000;100)"], ["C1", "=SUM(B1:B5)"]]
    column, total = calc.ask("work_out", cells=cells, formulas=formulas)
    shown = [row[0] for row in as_shown(column)]
    assert shown[1:4] == ["#N/A", "#VALUE!", "#NUM!"]
    assert shown[0] == pennyweight.bond_energy(14.0, 2000.0, 100.0)
    assert shown[4] == pennyweight.bond_energy(10.0, 2000.0, 100.0)
    assert isinstance(total[0][0], dict)  # the errors are not passed over


@pytest.mark.parametrize("name", sampled(["crew", "wage"], 2))
def test_a_blank_cell_is_not_zero(calc, name):
    cells = {"A1": name}
    for blank in ("B1", "B1:B1"):
        found = calc.one(f'=DWT_JUDGE(A1;{blank};"cost_per_ton")', cells)
        assert found == {"error": "#N/A", "number": 32767}
    found = calc.one('=DWT_JUDGE(A1:A2;B1:B2;"cost_per_ton")', cells)
    assert found == {"error": "#N/A", "number": 32767}
    two = 'TWO_INPUTS(A1;B1;"gold_price";3000)'
    for call in ("BOND_ENERGY(B1;2000;100)", two, "TROY_MASS(B1;20)"):
        found = calc.one(f"=DWT_{call}", cells)
        assert found == {"error": "#N/A", "number": 32767}, call
    assert "error" in calc.one("=DWT_MARGIN_TABLE(B1;A2:A3)", cells)
    assert calc.one('=DWT_TROY_MASS("0";20)') == pennyweight.troy_mass(0, 20)


def test_an_error_within_a_range_is_no_number(calc):
    cells = {"A1": 14.0, "A2": {"error": "=1/0"}}
    assert "error" in calc.one("=DWT_BOND_ENERGY(A1:A2;2000;100)", cells)


def test_column_and_row_make_a_block(calc):
    cells = {"A1": 10.0, "A2": 14.0, "B3": 100.0, "C3": 150.0}
    formulas = [["E1:F2", "=DWT_BOND_ENERGY(A1:A2;2000;B3:C3)"]]
    (found,) = calc.ask("work_out", cells=cells, formulas=formulas)
    wanted = pennyweight.bond_energy([[10.0], [14.0]], 2000.0, [[100.0, 150.0]])
    assert same(found, wanted.tolist(), TOLERANCE)


def test_left_out_arguments(calc):
    plain = pennyweight.mill_power(1.2, 2.4, 0.35, 0.7)
    dry = pennyweight.mill_power(1.2, 2.4, 0.35, 0.7, dry=True)
    assert calc.one("=DWT_MILL_POWER(1.2;2.4;0.35;0.7)") == plain
    assert calc.one("=DWT_MILL_POWER(1.2;2.4;0.35;0.7;;TRUE())") == dry
    assert calc.one("=DWT_MILL_POWER(1.2;2.4;0.35;0.7;A1;A2)") == plain
    assert "error" in calc.one("=DWT_BOND_ENERGY(14;2000)")


def test_the_reason_is_readable(calc):
    calc.one("=DWT_BOND_ENERGY(-2.5;2000;100)")
    assert "work_index is -2.5 kWh/ton" in calc.one("=DWT_REASON()")


def test_the_model_in_a_cell(calc):
    wanted = at_estimates({"gold_price": 3000.0})
    found = calc.one('=DWT_JUDGE("gold_price";3000;"margin_per_ton")')
    assert found == pytest.approx(wanted["margin_per_ton"].item(), rel=TOLERANCE)
    verdict = calc.one('=DWT_JUDGE("gold_price";3000;"verdict")')
    assert verdict == "not yet: 16 figures are missing"


def test_dates_and_money_are_plain_numbers(calc):
    cells = {"A1": {"error": "=DATE(2026;6;1)"}, "A2": {"error": "=DOLLAR(1)*0+3987.1"}}
    assert calc.one("=DWT_GRAMS_TO_OUNCES(A1)", cells) == pytest.approx(
        pennyweight.grams_to_ounces(46174.0), rel=TOLERANCE
    )


def test_the_wizard_describes_every_function(calc):
    described = calc.ask("described", names=list(registry()))
    assert set(described) == set(registry())
    for name, entry in registry().items():
        text, arguments = described[name]
        assert text == entry.help
        assert arguments == [
            [argument.name, argument.help, not argument.required]
            for argument in entry.arguments
        ]


@pytest.fixture(scope="module")
def claim(tmp_path_factory):
    return typed_at(tmp_path_factory.mktemp("claim") / "claim.xlsx", gold_price=2000.0)


@pytest.mark.parametrize("times", sampled((1, 2), 2))
def test_the_toolbar_judges_the_open_workbook(times, calc, claim):
    names, rows = calc.ask(
        "pressed",
        url=claim.as_uri(),
        job="judge",
        sheet="Judgement 2",
        own="Judgement",
        times=times,
    )
    found = {row[0]: row[1] for row in rows}
    assert found["Written by pennyweight"] == ""
    assert found["Verdict"] == pennyweight.read(claim).judge().verdict
    assert names.count("Judgement") == 1 and "Judgement 3" not in names


@pytest.mark.thorough
def test_the_toolbar_writes_a_quote(calc, claim, tmp_path):
    out = tmp_path / "quote.xlsx"
    before = claim.read_bytes()
    names, _ = calc.ask("pressed", url=claim.as_uri(), job="quote", path=str(out))
    assert out.exists() and claim.read_bytes() == before
    assert names == list(openpyxl.load_workbook(claim, read_only=True).sheetnames)


@pytest.mark.thorough
def test_the_toolbar_compares_and_renews(calc, claim, tmp_path):
    other = book_at(tmp_path / "other.xlsx", gold_price=2100.0)
    given = {"url": claim.as_uri(), "path": str(other), "sheet": "Comparison"}
    _, rows = calc.ask("pressed", job="compare", **given)
    found = {row[0]: row for row in rows}
    _, _, before, after, alone, share = found["Gold price"]
    assert (before, after) == (2000.0, 2100.0) and alone == share > 0
    names, _ = calc.ask("pressed", job="renew", url=claim.as_uri())
    assert "Comparison" not in names


def test_ten_thousand_rows_in_one_call(calc):
    shown = calc.one("=SUMPRODUCT(DWT_BOND_ENERGY(10+ROW(A1:A10000)/1000;2000;100))")
    work_indices = 10 + np.arange(1, 10_001) / 1000
    expected = pennyweight.bond_energy(work_indices, 2000.0, 100.0).sum()
    assert shown == pytest.approx(expected, rel=TOLERANCE)


@pytest.mark.thorough
def test_without_an_engine_cells_show_so_and_the_office_lives(calc):
    office = CalcOffice(python="/nowhere/python")
    try:
        found = office.one("=DWT_BOND_ENERGY(14;2000;100)")
        assert found == {"error": "#N/A", "number": 32767}
        assert "pennyweight calc doctor" in office.one("=DWT_REASON()")
        assert office.one("=1+1") == 2.0
    finally:
        office.end()
