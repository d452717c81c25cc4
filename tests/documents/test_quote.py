"""The quote: the model's figures as formulas, and nothing of the mill's cost."""

import math
import re
import zipfile

import numpy as np
import pytest

from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.lines.cost.components import components
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.layout import defined_name

from ..oracles.package import formula_cells, stored_cells
from ..thorough import sampled

KINDS = MODEL.axes["contract"].values

PRIVATE_SECTIONS = (
    "Operating schedule",
    "Jaw crusher",
    "Ore bin, feeder and belts",
    "Grinding mill",
    "Shaking tables",
    "Classifier, water and pumps",
    "Furnace and clean-up",
    "Crew",
    "Power",
    "Wear parts",
    "Other operating costs",
    "Mining and haulage",
    "Capital and loan",
    "Discounting and tax",
    "Test lot",
    "Mills to compare",
    "Recovery at other grinds",
    "Contract: risk and next lot",
)
SHOWN = {"refiner_days"}
PRIVATE = [
    name
    for name, entry in INPUTS.items()
    if entry.section in PRIVATE_SECTIONS and name not in SHOWN
]
PRIVATE += ["lot_assay_fee", "season_lots", "custom_pace", "terms_markup", "ore_tons"]
SECRET_LINES = [
    name
    for name, line in MODEL.lines.items()
    if line.sheet not in ("Contract", "Samples", "Test lot", "Checks")
    or name.startswith(
        ("mill_", "milling_", "charge_", "set_up_c", "waiting", "season")
    )
]


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def units(request):
    return request.param


def distinct_inputs(kind, units):
    """The example with private figures that are met nowhere by chance."""
    rng = np.random.default_rng(5)
    given = {"contract_kind": kind}
    for name in PRIVATE:
        entry = INPUTS.get(name)
        if entry is None or entry.kind not in ("number", "share"):
            continue
        low, high = entry.value(units, "low"), entry.value(units, "high")
        if low != "" and high != "":
            given[name] = float(rng.uniform(low, high))
    return given


def parts_of(content, tmp_path):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(content)
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name).decode("utf-8") for name in package.namelist()}


@pytest.mark.parametrize("kind", sampled(KINDS, 3))
def test_no_private_name_or_figure_anywhere_in_the_package(kind, units, tmp_path):
    given = distinct_inputs(kind, units)
    page = make_quote(given, units)
    parts = parts_of(page.content(), tmp_path)
    text = "\n".join([*parts, *parts.values()])
    values = run(given, units)
    words = set(re.findall(r"[A-Za-z_]\w+", text.lower()))
    numbers = {
        f"{abs(float(number)):.5g}"
        for number in re.findall(r"-?\d+\.?\d*(?:[eE][-+]?\d+)?", text)
    }
    open_figures = {
        f"{abs(value):.5g}"
        for value in page.values.values()
        if isinstance(value, float | int)
    }
    for name in [*PRIVATE, *SECRET_LINES, *components()]:
        if name in page.values and name not in PRIVATE:
            continue
        if name not in page.values:
            # Plain words such as "bullion" may stand in a sentence, not as a name.
            assert "_" not in name or name not in words, name
            assert f'definedName name="{defined_name(name)}"' not in text, name
        for value in np.ravel(values.get(name, [])):
            if isinstance(value, str | np.str_) or not np.isfinite(value):
                continue
            figure = f"{abs(float(value)):.5g}"
            digits = figure.partition("e")[0].replace(".", "")
            long = len(digits.strip("0")) >= 5
            if long and figure not in open_figures:
                assert figure not in numbers, (name, figure)


def test_the_search_would_find_a_figure_that_leaks(tmp_path):
    page = make_quote({"contract_kind": "by the ton"}, "us")
    page.given("milling_cost_per_ton", "x", 236.98654)
    text = "".join(parts_of(page.content(), tmp_path).values())
    assert "236.98654" in text and "milling_cost_per_ton" in text.lower()


def test_the_package_has_one_sheet_and_nothing_hidden(tmp_path):
    parts = parts_of(make_quote({}, "us").content(), tmp_path)
    sheets = [name for name in parts if name.startswith("xl/worksheets/")]
    assert sheets == ["xl/worksheets/sheet1.xml"]
    assert not [n for n in parts if "comment" in n or "external" in n or "custom" in n]
    assert "hidden=" not in parts["xl/workbook.xml"]
    assert "hidden=" not in parts[sheets[0]]
    assert INPUTS["claim_name"].example not in "".join(parts.values())


def expected(values, kind):
    """Charge and net of the model, to the cent: at cost plus, too."""
    place = KINDS.index(kind)
    return {name: values[name][place] for name in ("contract_charge", "owner_net")}


@pytest.mark.parametrize("kind", KINDS)
def test_the_quote_says_what_the_model_says(kind, units):
    page = make_quote({"contract_kind": kind}, units)
    values = run({"contract_kind": kind}, units)
    for name, value in expected(values, kind).items():
        assert page.values[name] == pytest.approx(value, rel=1e-9)
    # The owner's own cost is the owner's to enter: none stands there.
    assert page.values["owner_ton_cost"] == 0 and np.isnan(page.values["owner_margin"])
    heads = [cells for kind, cells, _ in page.rows if kind == "heading"]
    terms = next(place for place, head in enumerate(heads) if "Terms" in str(head))
    assert str(heads[terms - 1]).count("Your net") == 1  # money before clauses


def test_signed_cost_plus_rates_give_the_net_of_the_workbook():
    signed = {"signed_hour_rate": 310.0, "signed_ton_rate": 30.0}
    inputs = {"contract_kind": "cost plus", "job": "contract", **signed}
    page, values = make_quote(inputs, "us"), run(inputs, "us")
    for name in ("contract_charge", "owner_net"):
        agreed = values[name][KINDS.index("cost plus")]
        assert page.values[name] == pytest.approx(agreed, rel=1e-12)
    assert page.values["agreed_cost_hour"] == 310


@pytest.mark.parametrize("kind", sampled(KINDS, 4))
@pytest.mark.parametrize("program", ["libreoffice", "gnumeric", "iron"])
def test_programs_agree(program, kind, tmp_path, request):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(make_quote({"contract_kind": kind}, "us").content())
    found = request.getfixturevalue(program).recalculate(path)
    stored = stored_cells(path)
    for sheet, cell in formula_cells(path):
        engine, other = stored[sheet][cell], found[sheet][cell]
        if isinstance(engine, str):
            assert engine == other
        else:
            assert math.isclose(engine, other, rel_tol=1e-9, abs_tol=1e-9), cell


def test_the_customers_figures_are_live(libreoffice, tmp_path):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(make_quote({"contract_kind": "charge and share"}, "us").content())
    poor = {"Custom_grade": 0.05, "Custom_wet_tons": 4.0, "Gold_price": 2000.0}
    (found,) = libreoffice.scenarios(path, [poor], ["Owner_net", "Says"])
    at = {name[0].lower() + name[1:]: value for name, value in poor.items()}
    values = run({"contract_kind": "charge and share", **at})
    assert found["Owner_net"] == pytest.approx(values["agreed_owner_net"], rel=1e-9)
    assert found["Owner_net"] < 0 and found["Says"] == "you owe the mill"


@pytest.mark.parametrize("wet", sampled([6.4, 80.0], 2))
def test_a_live_quote_at_cost_plus_charges_set_up_once(wet, libreoffice, tmp_path):
    """Set-up and laboratory are the same for a small lot as for a large one."""
    path = tmp_path / "quote.xlsx"
    path.write_bytes(make_quote({"contract_kind": "cost plus"}, "us").content())
    read = ["Contract_charge", "Owner_net"]
    (found,) = libreoffice.scenarios(path, [{"Custom_wet_tons": wet}], read)
    values = run({"contract_kind": "cost plus", "custom_wet_tons": wet})
    for name, value in expected(values, "cost plus").items():
        assert found[defined_name(name)] == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("recovery", sampled([0.3, 0.75, 0.97], 3))
def test_a_live_quote_counts_no_gold_twice(recovery, libreoffice, tmp_path):
    """Middlings and tailings have what the tables leave at the recovery entered."""
    sold = {"middlings_owner": "owner", "tails_owner": "owner"}
    sold |= {"middlings_payable": 0.5, "tails_payable": 0.2}
    path = tmp_path / "quote.xlsx"
    path.write_bytes(make_quote(sold, "us").content())
    read = ["Custom_middlings", "Custom_tails", "Custom_gold", "Owner_net"]
    (found,) = libreoffice.scenarios(path, [{"Custom_recovery": recovery}], read)
    left = found["Custom_middlings"] + found["Custom_tails"]
    assert left + recovery * found["Custom_gold"] == pytest.approx(found["Custom_gold"])
    values = run({**sold, "custom_recovery": recovery})
    assert found["Owner_net"] == pytest.approx(values["agreed_owner_net"], rel=1e-9)


def test_a_quote_on_estimates_is_marked_as_a_draft(tmp_path):
    given = {n for n in INPUTS if n not in ("hardness_rate", "set_up_charge")}
    page = make_quote({}, "us", given)
    words = page.draft
    assert words.startswith("Draft, not an offer")
    for name in ("hardness_rate", "set_up_charge"):
        assert INPUTS[name].label in words
    assert words in parts_of(page.content(), tmp_path)["xl/sharedStrings.xml"]
    assert make_quote({}, "us", set(INPUTS)).draft == ""
    words = make_quote({"contract_kind": "cost plus"}, "us", {*INPUTS} - {"wage"}).draft
    assert "the mill's cost" in words and INPUTS["wage"].label not in words


def test_a_quote_to_nobody_is_refused():
    given = {*INPUTS} - {"customer_name", "gold_price"}
    with pytest.raises(WorkbookError, match="A quote needs") as told:
        make_quote({}, "us", given)
    assert INPUTS["customer_name"].label in str(told.value)


@pytest.mark.parametrize("make", [make_quote, make_statement])
def test_a_purchase_prints_no_share_that_is_not_applied(make):
    place = KINDS.index("purchase") + 1
    page = make({"contract_kind": "purchase", f"terms_share_{place:02d}": 0.3}, "us")
    names = {name for name in page.values if "share" in name and page.values[name]}
    assert not names
