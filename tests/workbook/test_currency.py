"""A workbook in another currency: live in other programs, in its own words."""

import openpyxl
import pytest
from xlsxwriter.utility import xl_col_to_name

import pennyweight as pw
from pennyweight.workbook.entry_cells import BASIS, BESIDE_AS_ISSUED
from pennyweight.workbook.layout import layout
from tests.thorough import sampled

from ..money import in_money
from ..oracles.package import defined_names, formula_cells, stored_cells
from .test_recalculation import same, scale_of

RATE = 3700.0
CELLS = {
    "Currency_entered": "UGX",
    "Exchange_rate_entered": RATE,
}


@pytest.fixture(scope="module")
def shillings(tmp_path_factory):
    """A workbook of which half of the figures are estimates."""
    plan = pw.example()
    plan = pw.Plan(dict(list(plan.given.items())[::2]))
    plan = in_money(plan, "UGX", RATE)
    return plan.write(tmp_path_factory.mktemp("ugx") / "ugx.xlsx")


@pytest.mark.parametrize("program", sampled(["libreoffice", "gnumeric"], 2))
def test_every_formula_agrees(program, shillings, request):
    found = request.getfixturevalue(program).recalculate(shillings)
    stored = stored_cells(shillings)
    scales = {sheet: scale_of(cells) for sheet, cells in stored.items()}
    wrong = [
        (sheet, cell, stored[sheet].get(cell), found[sheet].get(cell))
        for sheet, cell in sorted(formula_cells(shillings))
        if not same(
            stored[sheet].get(cell, ""), found[sheet].get(cell, ""), scales[sheet]
        )
    ]
    assert wrong == []


def test_no_dollar_sign_is_left_but_in_bases(shillings):
    names = defined_names(shillings)
    column = names.cell("Gold_price").corner[0]
    record = xl_col_to_name(BESIDE_AS_ISSUED[BASIS])
    signs = [
        (sheet, cell, text)
        for sheet, cells in stored_cells(shillings).items()
        for cell, text in cells.items()
        if "$" in str(text) and (sheet != "Inputs" or cell[0] < column)
        if (sheet, cell.rstrip("0123456789")) != ("Inputs", record)
    ]
    assert signs == []
    book = openpyxl.load_workbook(shillings)
    assert not [
        (sheet.title, text)
        for sheet in book
        for rule in sheet.data_validations.dataValidation
        for text in (rule.prompt, rule.error)
        if "$" in str(text)
    ]


def test_it_is_as_issued_and_read_as_it_was(shillings):
    found = pw.inspect(shillings, strict=True)
    assert (found.outcome, found.findings) == ("as issued", [])
    assert "exchange_rate" in pw.read(shillings).given


@pytest.mark.thorough
def test_estimates_follow_a_rate_typed_into_a_dollar_workbook(libreoffice, tmp_path):
    path = pw.Plan().write(tmp_path / "dollars.xlsx")
    names = ["Wage", "Wage_high", "Capital", "Terms_per_ton_01", "Missing_list"]
    (before, missing, found) = libreoffice.scenarios(
        path, [{}, {"Currency_entered": "UGX"}, CELLS], [*names, "Currency_words"]
    )
    for name in names[:4]:
        assert found[name] == pytest.approx(RATE * before[name], rel=1e-12)
        assert missing[name] == before[name]
    assert "Currency units per US dollar" in missing["Missing_list"]
    assert "Currency units per US dollar" not in found["Missing_list"]
    assert before["Currency_words"] in ("", None)
    assert found["Currency_words"].startswith("Money is now UGX, but the sheets still")


@pytest.mark.thorough
def test_a_figure_typed_over_an_estimate_of_a_table_is_given(tmp_path):
    plan = pw.Plan(currency="GHS", exchange_rate=15.5)
    path = plan.write(tmp_path / "cedi.xlsx")
    book = openpyxl.load_workbook(path)
    place = layout().entered["terms_per_ton_01"]
    cell = book[place.sheet][place.cell()]
    assert cell.value == "=400*Exchange_rate"
    assert "terms_per_ton_01" not in pw.read(path).given
    cell.value = 5000
    book.save(tmp_path / "typed.xlsx")
    again = pw.carry_over(tmp_path / "typed.xlsx")
    assert again.given["terms_per_ton_01"] == 5000.0
    assert again.inputs["terms_per_ton_05"] == 250 * 15.5


@pytest.mark.thorough
def test_a_workbook_written_for_another_currency_is_taken_over(tmp_path):
    path = pw.Plan(wage=30.0).write(tmp_path / "dollars.xlsx")
    plan = pw.carry_over(path).change(currency="GHS", exchange_rate=15.5)
    assert (plan.inputs["wage"], plan.inputs["mining_cost"]) == (30.0, 250 * 15.5)
    new = plan.write(tmp_path / "cedi.xlsx")
    cells = stored_cells(new)
    assert "GHS/oz" in cells["Inputs"].values()
    assert pw.inspect(new).outcome == "as issued"


@pytest.mark.thorough
@pytest.mark.parametrize("currency", sampled(["Ghana cedi", 'S/"', "UGX"], 3))
def test_pages_of_a_contract_stay_few(currency, tmp_path):
    plan = pw.Plan(job="contract", currency=currency, exchange_rate=15.0)
    path = plan.write(tmp_path / "contract.xlsx")
    book = openpyxl.load_workbook(path)
    breaks = [
        (sheet.row_breaks.brk, sheet.col_breaks.brk)
        for sheet in book
        if sheet.sheet_state == "visible" and sheet.title != "Risk"
    ]
    assert sum((1 + len(r)) * (1 + len(c)) for r, c in breaks) <= 20


@pytest.mark.thorough
def test_a_risk_analysis_enters_words_in_the_currency(tmp_path):
    plan = in_money(pw.example(), "UGX", RATE)
    path = plan.write(tmp_path / "ugx.xlsx")
    plan = pw.read(path)
    plan.enter_risk(plan.risk(trials=256, seed=1))
    cells = stored_cells(path)["Risk"].values()
    assert not [text for text in cells if "$" in str(text)]
    assert any("base case UGX" in str(text) for text in cells)
    assert pw.inspect(path).outcome == "as issued"
