"""Statement and ledger: settled by hand, to the cent, and with live formulas."""

import cProfile
import csv
import datetime
import io
import itertools
import math
import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import numpy as np
import openpyxl
import pytest

import pennyweight as pw
from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import read_lots
from pennyweight.documents.page import on_paper
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import ACCOUNT, METAL, audit, make_statement
from pennyweight.documents.terms import mark_of
from pennyweight.errors import CallError, WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.lines.cash.answers import NO_ASSAY
from pennyweight.model.lines.settlement.weights import MILL_ALONE, UMPIRE
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows

from ..oracles.package import formula_cells, stored_cells
from ..thorough import sampled
from .ledgers import ledger

KINDS = MODEL.axes["contract"].values
PROGRAMS = ("libreoffice", "gnumeric", "iron")
HAND = {
    # The case worked by hand in docs/contracts.md.
    "contract_kind": "charge and share",
    "settle_wet_tons": 20.0,
    "settle_moisture": 0.05,
    "settle_mill_assay": 0.40,
    "settle_owner_assay": 0.42,
    "split_limit": 0.03,
    "settle_melt_mass": 200.0,
    "settle_melt_loss": 0.0,
    "settle_fineness": 800.0,
    "settle_silver_fineness": 0.0,
    "settle_price": 3000.0,
    "settle_cleanup": 0.0,
    "settle_advances": 2000.0,
    "deposit": 500.0,
    "settle_deposit": 500.0,
    "gold_payable": 0.985,
    "insurance_rate": 0.005,
    "refining_charge": 10.0,
    "shipment_cost": 250.0,
    "terms_per_ton_05": 150.0,
    "terms_share_05": 0.2,
    "hardness_rate": 0.0,
    "moisture_rate": 0.0,
}
SEASON = Path(__file__).parents[2] / "workbooks" / "season-contract" / "lots.csv"
LOTS = SEASON.read_text("utf-8")
WAIVED = "Small lot, agreed with the owner"


def test_the_lot_by_hand():
    page = make_statement(HAND, "us")
    ounces = 200 * 0.8 / 31.1034768
    proceeds = ounces * (3000 * 0.98 - 10)
    metal = proceeds * 0.8
    charge = 19 * 150 + 690
    net = metal - charge - 250 + 500 - 2000
    assert page.values["settle_tons"] == pytest.approx(19)
    assert page.values["settle_assay"] == pytest.approx(0.41)
    assert page.values["settle_metal"] == pytest.approx(metal, abs=0.01)
    assert page.values["settle_charge"] == pytest.approx(charge)
    assert page.values["printed_net"] == pytest.approx(round(net, 2), abs=1e-9)
    assert page.values["printed_net"] == 6767.82
    assert page.values["settle_words"] == "the mill pays the owner"


@pytest.mark.parametrize(
    ("given", "assay", "how"),
    [
        ({}, 0.41, "the mean of both assays"),
        ({"settle_owner_assay": 0.4299999}, 0.41499995, "the mean of both assays"),
        ({"settle_owner_assay": 0.5, "settle_umpire_assay": 0.46}, 0.46, "the umpire"),
        ({"settle_owner_assay": 0.5, "settle_umpire_assay": 0.60}, 0.50, "the umpire"),
        ({"settle_owner_assay": 0.5, "settle_umpire_assay": 0.30}, 0.40, "the umpire"),
        ({"settle_owner_assay": 0.0}, 0.40, "the mill's assay"),
    ],
)
def test_the_assay_settled_on(given, assay, how):
    page = make_statement({**HAND, **given}, "us", WAIVED)
    assert page.values["settle_assay"] == pytest.approx(assay)
    assert page.values["settle_how"].startswith(how)


@pytest.mark.parametrize(
    ("umpire", "rule", "words"),
    [
        (0.60, "middle", "The middle of the three: the owner's."),
        (0.46, "middle", "The middle of the three: the umpire's."),
        (0.30, "middle", "The middle of the three: the mill's."),
        (0.30, "umpire", "The umpire's assay alone counts."),
    ],
)
def test_a_statement_says_whose_assay_counts(umpire, rule, words):
    apart = {"settle_owner_assay": 0.5, "settle_umpire_assay": umpire}
    page = make_statement({**HAND, **apart, "umpire_rule": rule}, "us", WAIVED)
    assert words in [cells[3] for kind, cells, _ in page.rows if kind == "row"]


@pytest.mark.parametrize(("units", "digits"), [("us", 3), ("metric", 2)])
@pytest.mark.parametrize("kind", ["charge and share", "purchase"])
def test_the_assay_that_is_printed_is_the_one_settled(kind, units, digits):
    """The mean of 0.412 and 0.431 is 0.4215: half a step is rounded up."""
    page = make_statement({"contract_kind": kind}, units)
    assay = page.values["settle_assay"]
    assert assay == round(assay, digits)
    if units == "us":
        assert assay == 0.422
    given = dict.fromkeys(["settle_mill_assay", "settle_owner_assay"], assay)
    again = make_statement({"contract_kind": kind, **given}, units)
    assert again.values["printed_net"] == page.values["printed_net"]


def test_just_outside_the_limit_waits_for_the_umpire():
    with pytest.raises(WorkbookError, match="umpire"):
        make_statement({**HAND, "settle_owner_assay": 0.4301}, "us")


APART = "Settlement: assays are within the limit, or an umpire assayed"


@pytest.mark.parametrize("kind", sampled(["charge and share", "purchase"], 2))
@pytest.mark.parametrize(
    ("given", "refused"),
    [
        ({"settle_owner_assay": 0.43}, False),  # differs by 0.03, the limit
        ({"settle_owner_assay": 0.4300001}, True),
        ({"settle_owner_assay": 0.37}, False),
        ({"settle_owner_assay": 0.3699999}, True),
        ({"settle_owner_assay": 0.5, "settle_umpire_assay": 0.45}, False),
        ({"settle_owner_assay": 0.0}, False),
    ],
)
def test_the_workbook_tells_what_a_statement_refuses(given, refused, kind):
    """Before, all checks passed, and the balance used the mill's assay in silence."""
    lot = {**HAND, "job": "lot", "contract_kind": kind, **given}
    judged = judge(lot)
    assert (APART in judged.checks["failures"]) == refused
    assert (judged.verdict == NO_ASSAY) == refused
    assert (str(run(lot)["checks_flag"]) == APART) == refused
    told = "An umpire must assay. Until then the figures use the mill's assay."
    assert (told in judged.reasons) == refused
    if refused:
        with pytest.raises(WorkbookError, match="no umpire's assay"):
            make_statement(lot, "us", WAIVED)
    else:
        assert make_statement(lot, "us", WAIVED)


def test_who_pays_the_umpire():
    asked = {"settle_owner_assay": 0.5, "umpire_fee": 140.0}
    for umpire, fee in ((0.41, 140), (0.49, 0), (0.45, 70)):
        given = {**HAND, **asked, "settle_umpire_assay": umpire}
        page = make_statement(given, "us", WAIVED)
        assert page.values["settle_umpire_fee"] == pytest.approx(fee)


def test_middlings_and_tailings_go_to_whom_they_belong():
    """By hand: 0.6 oz in middlings at 40 %; 0.1 oz/ton of tailings at 10 %.

    Of 19 tons, 2.48 % went to concentrates and middlings: 18.5288 tons.
    """
    sold = {
        **HAND,
        "settle_middlings": 0.6,
        "middlings_payable": 0.4,
        "settle_tails_grade": 0.1,
        "tails_payable": 0.1,
    }
    plain = make_statement(HAND, "us").values["printed_net"]
    for middlings, tails, more in (
        ("mill", "mill", 0.0),
        ("owner", "mill", 720.0),
        ("mill", "owner", 555.864),
        ("owner", "owner", 1275.864),
    ):
        owners = {"middlings_owner": middlings, "tails_owner": tails}
        net = make_statement({**sold, **owners}, "us").values["printed_net"]
        assert net == pytest.approx(plain + more, abs=0.011)


def test_penalties_are_live_on_the_page(tmp_path, libreoffice):
    path = tmp_path / "statement.xlsx"
    page = make_statement({**HAND, "clay_rate": 200.0}, "us")
    path.write_bytes(page.content())
    changed = {"Settle_clay": 0.25, "Allowed_clay": 0.05}
    read = ["Settle_penalties", "Printed_net"]
    before, after = libreoffice.scenarios(path, [{}, changed], read)
    assert before["Settle_penalties"] == page.values["settle_penalties"]
    # 20 % of clay above what is allowed, at 200 $ a ton: 19 dry tons.
    assert after["Settle_penalties"] == pytest.approx(0.2 * 200 * 19)
    gained = before["Printed_net"] - after["Printed_net"]
    assert gained == pytest.approx(0.2 * 200 * 19 - before["Settle_penalties"])


def test_penalties_are_of_what_was_found_not_of_what_was_expected():
    # By hand: 19 dry tons with 7 % of sulphides, 5 % allowed, at 150 $ a ton of them.
    given = {"settle_sulphides": 0.07, "allowed_sulphides": 0.05, "sulphide_rate": 150}
    given |= {"custom_sulphides": 0.4, "custom_clay": 0.9, "settle_clay": 0.0}
    page = make_statement({**HAND, **given}, "us")
    assert page.values["settle_penalties"] == pytest.approx(19 * 0.02 * 150)


def test_cost_plus_is_of_the_tons_and_hours_that_the_lot_took():
    given = {**HAND, "contract_kind": "cost plus", "terms_markup_03": 0.25}
    given["custom_pace"] = 1.0  # of the plan's ore, at the plan's rates
    short, long = (
        make_statement({**given, "settle_hours": hours}, "us").values["settle_charge"]
        for hours in (10, 16)
    )
    values = run(given)
    # Rates are agreed in whole cents, as they are printed.
    ton, hour = (
        round(1.25 * values[f"milling_{unit}_rate"].item(), 2)
        for unit in ("ton", "hour")
    )
    assert long - short == pytest.approx(6 * hour)
    assert short == pytest.approx(19 * ton + 10 * hour + 130 * 1.25)


def test_the_planned_lot_settles_at_the_charge_quoted():
    given = {"contract_kind": "cost plus"}
    values = run(given)
    took = {
        "settle_wet_tons": values["custom_wet_tons"].item(),
        "settle_moisture": values["custom_moisture"].item(),
        "settle_hours": values["custom_hours"].item(),
    }
    page = make_statement({**given, **took}, "us")
    quoted = make_quote(given, "us").values["contract_charge"]
    assert page.values["settle_charge"] == round(quoted, 2)
    planned = values["contract_charge"][KINDS.index("cost plus")]
    assert quoted == pytest.approx(planned, abs=0.005 * (26 + 30 + 1))


def lots_of(text):
    return read_lots(csv_rows(text, WHAT), "us", "lots.csv")


def labels(page):
    return {row[0] for row in csv.reader(io.StringIO(audit(page).decode()))}


def words_of(*names):
    """Labels of inputs and lines, as papers write them."""
    return {on_paper((INPUTS.get(name) or MODEL.lines[name]).label) for name in names}


def test_only_what_the_kind_agreed_needs_is_printed():
    bought = labels(make_statement({"contract_kind": "purchase"}, "us"))
    shared = labels(make_statement({"contract_kind": "share"}, "us"))
    assert words_of("settle_ore_price") <= bought - shared
    assert {METAL} | words_of("middlings_owner") <= shared - bought
    assert not words_of("least_lot_tons", "umpire_fee", "agreed_per_ton") & bought
    apart = {"settle_owner_assay": 0.6, "settle_umpire_assay": 0.5}
    called = labels(make_statement(apart, "us", WAIVED))
    assert words_of("umpire_fee", "settle_by_middle") <= called


def test_an_assay_of_0_is_said_to_be_none():
    page = make_statement({"settle_owner_assay": 0.0}, "us", WAIVED)
    assert page.values["settle_how"] == MILL_ALONE
    rows = list(csv.reader(io.StringIO(audit(page).decode())))
    found = {row[0]: row[1] for row in rows}
    for label in words_of("settle_owner_assay", "settle_umpire_assay"):
        assert found[label] == "none"
    with pytest.raises(WorkbookError, match="0 if there is no such assay"):
        lots_of("lot,owner_assay\nA,\n")


def test_an_owner_who_owes_is_reported_in_words():
    page = make_statement({**HAND, "settle_melt_mass": 20.0}, "us", WAIVED)
    assert page.values["printed_net"] < 0
    assert page.values["settle_words"] == "the owner owes the mill"


def test_the_gold_balance_is_flagged_outside_the_band():
    assert "within" in make_statement({}, "us").values["settle_balance"]
    poor, rich = (
        make_statement({"settle_melt_mass": mass}, "us", WAIVED).values[
            "settle_balance"
        ]
        for mass in (120.0, 320.0)
    )
    assert (poor, rich) == ("gold is missing", "more gold than fed")


@pytest.mark.parametrize(
    "given",
    [
        {"settle_melt_mass": 0.2396},  # kilograms typed as grams
        {"settle_wet_tons": 1.0, "settle_melt_mass": 10_000.0},
        {"settle_mill_assay": 12.0, "settle_owner_assay": 0.0},
    ],
)
def test_nothing_is_paid_on_a_balance_that_nobody_confirmed(given):
    with pytest.raises(WorkbookError, match="outside the agreed tolerance") as refused:
        make_statement(given, "us")
    assert "Lot 7: gold found" in str(refused.value)
    assert '--confirm-balance "reason"' in str(refused.value)
    page = make_statement(given, "us", WAIVED)
    (told,) = [
        text for kind, text, _ in page.rows if kind == "sentence" and WAIVED in text
    ]
    assert "Lot 7" in told and "allowed 10.0%" in told


def test_a_lot_without_gold_entered_has_no_gold_balance():
    none = ("settle_melt_mass", "settle_tails_grade", "settle_middlings")
    none = dict.fromkeys((*none, "settle_slag", "settle_cleanup"), 0.0)
    values = run({**HAND, **none}, wanted=("settle_gap", "settle_balance"))
    assert math.isnan(values["settle_gap"])
    assert str(values["settle_balance"]) == "no gold entered"
    with pytest.raises(WorkbookError, match=r"difference -100\.0%"):
        make_statement({**HAND, **none}, "us")


def test_a_purchase_is_paid_on_the_assay_and_shows_no_metal_of_the_mill():
    given = {"contract_kind": "purchase", "settle_melt_mass": 0.0}
    told = labels(make_statement(given, "us"))
    lines = ("settle_bullion_gold", "settle_tails", "settle_gap", "settle_found")
    names = ("settle_melt_mass", "settle_cleanup", "settle_tails_grade", "settle_slag")
    assert not words_of(*lines, *names, "settle_hours") & told


@pytest.mark.parametrize(
    ("kind", "units"), sampled(itertools.product(KINDS, ("us", "metric")), 3)
)
def test_the_page_says_what_the_model_says_and_adds_up(kind, units):
    page = make_statement({"contract_kind": kind}, units)
    values = run({"contract_kind": kind}, units)
    for name, _ in ACCOUNT:
        assert page.values[name] == pytest.approx(values[name].item(), rel=1e-12)
    printed = [page.values.get(f"printed_{name}", 0.0) for name, _ in ACCOUNT]
    net = page.values["printed_net"]
    assert net == pytest.approx(math.fsum(printed), abs=1e-9)
    assert net == values["settle_net"].item()
    assert round(net, 2) == net
    # Four amounts are rounded: gold, silver, clean-up gold, shipment.
    assert values["settle_unshared"].item() <= 4 * 0.005


def shown_in_cents(amount):
    """An amount as a spreadsheet shows it: the half cent away from zero."""
    decimal = Decimal(f"{amount:.15g}")
    return abs(decimal).quantize(Decimal("0.01"), ROUND_HALF_UP)


def test_no_amount_is_on_the_page_with_two_roundings():
    """Before, penalties of 67.2336 were shown as 67.23 and booked as 67.24."""
    rng = np.random.default_rng(11)
    for kind in KINDS:
        given = {
            "contract_kind": kind,
            "settle_wet_tons": round(rng.uniform(18, 24), 3),
            "settle_clay": round(rng.uniform(0.1, 0.3), 3),
            "settle_price": round(rng.uniform(2000, 4000), 2),
            "umpire_fee": 140.01,
            "settle_umpire_assay": 0.46,
            "settle_owner_assay": 0.5,
        }
        page = make_statement({**HAND, **given}, "us", WAIVED)
        for name, _ in ACCOUNT:
            if (booked := page.values.get(f"printed_{name}")) is not None:
                shown = shown_in_cents(page.values[name])
                assert shown == shown_in_cents(booked), (kind, name)
        by_label = {}
        for label, value, unit, _ in page.records():
            if unit == "$" and isinstance(value, float):
                by_label.setdefault(label, set()).add(shown_in_cents(value))
        assert "Penalties" in by_label
        assert all(len(amounts) == 1 for amounts in by_label.values()), by_label


SUMS = {
    "settle_penalties": (
        "settle_work_index_penalty",
        *("settle_clay_penalty", "settle_sulphides_penalty"),
        "settle_moisture_penalty",
    ),
    "settle_proceeds": ("settle_gold_value", "settle_silver_value"),
}


@pytest.mark.parametrize("units", ["us", "metric"])
def test_printed_parts_add_up_to_the_printed_totals(units):
    """Each as it is printed: penalties, the bullion's value, what a share leaves."""
    rng, seen = np.random.default_rng(7), set()
    for _ in range(40):
        given = {
            "contract_kind": "charge and share",
            "settle_wet_tons": round(rng.uniform(18, 24), 3),
            "settle_clay": round(rng.uniform(0.06, 0.3), 3),
            "settle_sulphides": round(rng.uniform(0.06, 0.3), 3),
            "settle_moisture": round(rng.uniform(0.09, 0.15), 3),
            "settle_price": round(rng.uniform(2000, 4000), 2),
        }
        page = make_statement(given, units, WAIVED)
        cents = {
            name: shown_in_cents(value)
            for name, value in page.values.items()
            if isinstance(value, float) and not math.isnan(value)
        }
        for name, parts in SUMS.items():
            assert cents[name] == sum(cents[part] for part in parts), name
        shared = cents["settle_proceeds"] - cents["settle_shared"]
        assert cents["settle_metal"] == shared + cents["settle_extras"]
        seen.add(cents["settle_penalties"])
    assert len(seen) == 40


def test_nothing_is_made_or_lost_in_random_settlements():
    rng = np.random.default_rng(3)
    n = 400
    given = {
        "contract_kind": rng.choice(KINDS, n),
        **{
            name: rng.choice(["mill", "owner"], n)
            for name in ("cleanup_owner", "middlings_owner", "tails_owner")
        },
        "middlings_payable": rng.uniform(0, 0.6, n),
        "tails_payable": rng.uniform(0, 0.2, n),
        "settle_melt_mass": rng.uniform(0, 900, n),
        "settle_fineness": rng.uniform(300, 850, n),
        "settle_mill_assay": rng.uniform(0.01, 2, n),
        "settle_price": rng.uniform(500, 6000, n),
        "shipment_cost": rng.uniform(0, 900, n),
        "silver_payable": rng.uniform(0, 1, n),
    }
    values = run(given, wanted=("settle_unshared",))
    # Four amounts are rounded: gold, silver, clean-up gold, shipment.
    assert values["settle_unshared"].max() <= 4 * 0.005 + 1e-6


@pytest.mark.parametrize(
    ("program", "kind"),
    sampled(
        itertools.product(PROGRAMS, ("charge and share", "purchase", "cost plus")), 2
    ),
)
def test_programs_agree(program, kind, tmp_path, request):
    path = tmp_path / "statement.xlsx"
    path.write_bytes(make_statement({"contract_kind": kind}, "us").content())
    agree(path, request.getfixturevalue(program))


def agree(path, program):
    """Hold every formula cell to what a program makes of it."""
    found, stored = program.recalculate(path), stored_cells(path)
    assert formula_cells(path)
    for sheet, cell in formula_cells(path):
        engine, other = stored[sheet][cell], found[sheet][cell]
        if isinstance(engine, str):
            assert engine == other, cell
        else:
            assert math.isclose(engine, other, rel_tol=1e-9, abs_tol=1e-9), cell


def test_the_audit_copy_holds_every_line():
    page = make_statement({}, "us")
    rows = list(csv.reader(io.StringIO(audit(page).decode())))
    found = {row[0]: row for row in rows}
    (net,), (tons,) = words_of("settle_net"), words_of("settle_tons")
    assert float(found[net][1]) == page.values["printed_net"]
    assert found[tons][3] == "'=Settle_wet_tons*(1-Settle_moisture)"
    assert found["Lot"][1] == "Lot 7" and found["Mill"][1] == page.by
    assert mark_of(run()) in found["Terms"][1] and found["Customer"][1]


@pytest.mark.parametrize("program", sampled(PROGRAMS, 3))
def test_the_ledger_ties_and_is_live(program, tmp_path, request):
    content, owed = ledger({}, "us", lots_of(LOTS))
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(content)
    agree(path, request.getfixturevalue(program))
    nets = []
    for lot in each_lot(LOTS):
        nets.append(make_statement(lot, "us").values["printed_net"])
    assert owed == pytest.approx(math.fsum(nets) - 9000, abs=1e-9)
    heads, *rows, total = printed_rows(content, tmp_path)
    at = {head.removesuffix(", $"): place for place, head in enumerate(heads)}
    said = [row[at[MODEL.lines["settle_how"].label]] for row in rows]
    assert said == ["the mean of both assays", UMPIRE, MILL_ALONE]
    assert total[at["Net to the owner"]] == pytest.approx(math.fsum(nets), abs=1e-9)
    balance = at["Balance owed to the owner"]
    assert total[balance] == pytest.approx(owed, abs=1e-9) == rows[-1][balance]


def each_lot(text):
    """Inputs of each lot of a table."""
    for row in csv.DictReader(io.StringIO(text)):
        row.pop("paid")
        yield {
            f"settle_{head}": value if head == "lot" else float(value)
            for head, value in row.items()
        }


def edited(**changes):
    """The season's table with one figure changed, or a column dropped, in each lot."""
    rows = list(csv.DictReader(io.StringIO(LOTS)))
    for head, value in changes.items():
        for row in rows:
            row[head] = value
    heads = [head for head in rows[0] if changes.get(head, "") is not None]
    lines = [heads, *([row[head] for head in heads] for row in rows)]
    return "\n".join(",".join(line) for line in lines)


def printed_rows(content, tmp_path):
    """Rows of a ledger as it prints them, heads first."""
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(content)
    sheet = openpyxl.load_workbook(path)["Ledger"]
    cells = stored_cells(path)["Ledger"]
    return [
        [cells.get(cell.coordinate) for cell in row]
        for row in sheet.iter_rows(min_row=len(_notes(cells)) + 3)
    ]


def _notes(cells):
    """Sentences under the title, down to the empty row above the heads."""
    (title,) = (place for place in cells if place in ("A1", "B1"))
    places = (f"{title[0]}{row}" for row in itertools.count(2))
    return [*itertools.takewhile(bool, map(cells.get, places))]


def test_every_row_of_a_ledger_is_the_sum_of_its_printed_parts(tmp_path):
    rng = np.random.default_rng(8)
    head, first, *_ = LOTS.splitlines()
    lines = [head]
    for at in range(400):
        row = dict(zip(head.split(","), first.split(","), strict=True))
        row |= {"lot": f"Lot {at}", "wet_tons": f"{rng.uniform(20, 27):.3f}"}
        row |= {"price": f"{rng.uniform(3300, 3600):.2f}", "clay": "0.0731"}
        row |= {"advances": f"{rng.uniform(0, 3000):.2f}", "paid": "12.34"}
        lines.append(",".join(row.values()))
    content, owed = ledger({}, "us", lots_of("\n".join(lines)), WAIVED)
    heads, *rows, total = printed_rows(content, tmp_path)
    at = {head.removesuffix(", $"): place for place, head in enumerate(heads)}
    told = [(*words_of(name), sign) for name, sign in ACCOUNT]
    signs = {at[label]: sign for label, sign in told if label in at}
    parts, balance = tuple(signs), 0.0
    assert len(parts) >= 6
    for row in rows:
        one = {place: round(row[place], 2) for place in parts}
        assert list(one.values()) == pytest.approx([row[p] for p in parts], abs=1e-9)
        net = row[at["Net to the owner"]]
        summed = math.fsum(signs[place] * amount for place, amount in one.items())
        assert round(summed, 2) == net
        balance = round(balance + net - row[at["Paid to the owner"]], 2)
        assert balance == row[at["Balance owed to the owner"]]
    assert balance == owed
    weight = at["Dry weight, ton"]
    for place in (*parts, at["Net to the owner"], weight):
        digits = 4 if place == weight else 2
        whole = math.fsum(round(row[place], digits) for row in rows)
        assert total[place] == pytest.approx(whole, abs=1e-7)


def test_a_ledger_of_ore_bought_shows_no_metal_of_the_mill(tmp_path):
    terms = {"contract_kind": "purchase"}
    for text in (LOTS, edited(melt_mass=None, tails_grade=None, cleanup=None)):
        content, _ = ledger(terms, "us", lots_of(text))
        heads = printed_rows(content, tmp_path)[0]
        assert not [head for head in heads if head and "bullion" in head.lower()]


@pytest.mark.parametrize(
    "missing",
    [
        "wet_tons",
        "moisture",
        "mill_assay",
        "owner_assay",
        "melt_mass",
        "fineness",
        "price",
        "deposit",
        "advances",
        "paid",
        "clay",
        "cleanup",
    ],
)
def test_no_figure_of_a_lot_is_taken_from_the_book(missing):
    with pytest.raises(WorkbookError, match=rf"lots.csv: .* missing: {missing} "):
        ledger({}, "us", lots_of(edited(**{missing: None})))


def test_hours_are_needed_where_they_are_charged():
    text = edited(hours=None)
    ledger({}, "us", lots_of(text))
    with pytest.raises(WorkbookError, match="missing: hours"):
        ledger({"contract_kind": "by the hour"}, "us", lots_of(text))


def test_an_umpire_of_the_book_is_not_the_lots():
    text = edited(umpire_assay=None)
    held = Ledger({"settle_umpire_assay": 0.4}, "us", lots_of(text)).held
    assert [*held] == [1]
    assert held[1].startswith("Lot 2 (lots.csv, line 3, column")


@pytest.mark.parametrize("name", ["Total", "TOTAL", "Grand total", "sub-total", "Sum"])
def test_a_row_of_totals_is_not_paid(name):
    with pytest.raises(WorkbookError, match=r"line 5, column lot: .* name of a total"):
        lots_of(f"{LOTS}{name}{',1' * 21}")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "has no name"),
        ("Lot 2", "also in lots.csv, line 3"),
        ("lot  2", "also in lots.csv, line 3"),
    ],
)
def test_a_lot_has_a_name_of_its_own(name, words):
    last = LOTS.splitlines()[-1].removeprefix("Lot 3")
    with pytest.raises(WorkbookError, match=rf"line 5, column lot: .*{words}"):
        lots_of(f"{LOTS}{name}{last}\n")


def test_a_lot_out_of_balance_waits_until_it_is_confirmed(tmp_path):
    text = LOTS.replace(",239.6,", ",0.2396,")
    held = Ledger({}, "us", lots_of(text)).held
    assert [*held] == [0]
    assert held[0].startswith("Lot 1: gold found")
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(ledger({}, "us", lots_of(text), WAIVED)[0])
    assert WAIVED in " ".join(_notes(stored_cells(path)["Ledger"]))


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ("", CallError, "empty"),
        ("wet_tons\n3\n", CallError, "lacks columns: lot"),
        ("lot,colour\nA,red\n", CallError, "colour"),
        ("lot,wet_tons\nA,0\n", WorkbookError, "lots.csv, line 2, column wet_tons"),
        ("lot,wet_tons\nA,many\n", WorkbookError, "'many' is not a number"),
        (
            "lot,paid\nA,x\n",
            WorkbookError,
            r"column paid\): 'x' is not a number",
        ),
        ("lot,paid\nA,nan\n", WorkbookError, "'nan' is not a number"),
        ("lot,paid\nA\n", WorkbookError, "Enter 0 if nothing was paid"),
        ("lot,moistur\nA,1\n", CallError, "Did you mean moisture"),
        ("lot,settle_lot\nA,B\n", CallError, "two columns for lot"),
        ("lot,\nA,3\n", CallError, "2 fields for 1 columns"),
        ("lot,paid\nA,0.005\n", WorkbookError, "fractions of a cent"),
        ("lot;wet_tons\nA;2,5\n", WorkbookError, "'2,5' is not a number"),
        ('lot,paid\n"A,3\n', CallError, "The table of lots is not valid CSV"),
    ],
)
def test_a_table_that_cannot_be_used_is_refused(text, error, words):
    with pytest.raises(error, match=words):
        lots_of(text)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_of_lots_is_read_as_spreadsheets_save_it(separator):
    """With empty fields to the right and below; shares may be in per cent."""
    lines = ("lot", "moisture", "paid", ""), ("A", "5.5%", "100", ""), ("",) * 4
    text = "\r\n".join(map(separator.join, lines))
    found = {"settle_lot": ["A"], "settle_moisture": [0.055], "paid": [100.0]}
    assert lots_of(text).columns == found


def test_a_lot_that_contradicts_itself_is_named():
    text = LOTS.replace("70,0.004,828,131", "70,0.004,828,500")
    words = (
        r"^Lot 2: .*\(lots.csv, line 3, column fineness\) = 828, "
        r".*\(lots.csv, line 3, column silver_fineness\) = 500: gold"
    )
    with pytest.raises(WorkbookError, match=words):
        ledger({}, "us", lots_of(text))


def test_a_lot_that_waits_for_the_umpire_is_named():
    text = LOTS.replace("0.3,0.45,0.4", "0.3,0.45,0")
    (reason,) = Ledger({}, "us", lots_of(text)).held.values()
    assert re.match(r"Lot 2 .*line 3, column umpire_assay", reason)


def test_a_lot_that_is_held_does_not_keep_the_others_from_their_money():
    """Before, one customer's lot out of balance left nobody settled."""
    head, first, second, third = LOTS.splitlines()
    text = LOTS.replace("0.3,0.45,0.4", "0.3,0.45,0")
    made = Ledger({}, "us", lots_of(text))
    alone = Ledger({}, "us", lots_of("\n".join([head, first, third])))
    notes = " ".join(made.notes)
    assert "Held, not in this ledger: Lot 2 " in notes
    assert (made.columns, made.owed) == (alone.columns, alone.owed)
    assert len(made.audit().splitlines()) == 3
    out_of_balance = first.replace(",239.6,", ",0.2396,")
    waits = second.replace("0.3,0.45,0.4", "0.3,0.45,0")
    both = "\n".join([head, out_of_balance, waits])
    with pytest.raises(WorkbookError, match="No lot can be settled") as refused:
        Ledger({}, "us", lots_of(both))
    assert "Lot 1: gold found" in str(refused.value)
    assert "Lot 2 (lots.csv, line 3" in str(refused.value)


def test_a_plan_names_the_lots_that_its_ledger_holds(tmp_path):
    plan = pw.Plan(terms_number="A", contract_kind="by the ton")
    path = tmp_path / "lots.csv"
    table = LOTS.replace(",239.6,", ",0.2396,").replace("\n", "\n\n", 1)
    path.write_text(table, "utf-8")
    for _ in range(2):
        plan.ledger(tmp_path / "ledger.xlsx", path, force=True)
    assert len(plan.notes) == len(set(plan.notes)) > 0
    (reason,) = plan.held
    assert reason.startswith("Lot 1: gold found")
    assert "confirm" not in reason  # it is printed; papers name no commands
    assert reason.endswith("advances too, is not in this ledger: 12,000.00.")


@pytest.mark.parametrize("missing", ["customer_name", "contract_kind"])
def test_a_statement_needs_the_owner_and_the_contract_type(missing):
    with pytest.raises(WorkbookError, match=INPUTS[missing].label):
        make_statement(HAND, "us", given=INPUTS.keys() - {missing})
    with pytest.raises(WorkbookError, match="need the contract type"):
        Ledger(HAND, "us", lots_of(LOTS), given=[INPUTS.keys() - {"contract_kind"}])


def test_a_statement_follows_the_terms_that_were_signed(tmp_path):
    mark = mark_of(run(HAND))
    signed = {**HAND, "terms_mark": mark.lower()}
    page = make_statement(signed, "us")
    opening = [cells for kind, cells, _ in page.rows if kind == "sentence"][:2]
    assert "T-26-03, version 1" in opening[1] and mark in opening[1]
    assert "was not entered" not in opening[1]
    for change in ({"split_limit": 0.04}, {"terms_per_ton_05": 151.0}):
        with pytest.raises(WorkbookError, match="differ from the signed ones"):
            make_statement({**signed, **change}, "us")
        with pytest.raises(WorkbookError, match="differ from the signed ones"):
            lots = read_lots(csv_rows(LOTS, WHAT), "us")
            ledger({**signed, **change}, "us", lots)
    with pytest.raises(WorkbookError, match="is not a code"):
        make_statement({**HAND, "terms_mark": "yes"}, "us")


def sentences(page):
    return " ".join(cells for kind, cells, _ in page.rows if kind == "sentence")


def test_a_statement_says_that_nothing_was_checked_without_a_mark():
    """The word none, which stands in the workbook until a mark is entered, too."""
    for mark in ("", "none"):
        page = make_statement({**HAND, "terms_mark": mark}, "us")
        assert "was not entered" in sentences(page)


def test_a_ledger_takes_no_figure_of_a_lot_from_the_workbook():
    lots = lots_of(LOTS)
    plain = ledger({}, "us", lots)[1]
    assert ledger({"settle_provisional": 2000.0}, "us", lots)[1] == plain
    with pytest.raises(WorkbookError, match="columns are missing: index"):
        ledger({"escalation_share": 0.5, "settle_index": 150.0}, "us", lots)
    head, *lines = LOTS.splitlines()
    table = "\n".join([f"{head},gap_band", *(f"{line},1" for line in lines)])
    with pytest.raises(CallError, match="a term of the contract"):
        lots_of(table)


def test_the_signed_page_states_each_term_that_the_statement_applies():
    """Refining, silver, shipment, day count and due dates; limits in full."""
    told = sentences(make_quote({"split_limit": 0.0305}, "us"))
    for words in (
        "98.5% of the fine gold in the bullion is paid for. From this are deducted, on "
        "all the fine gold in the bullion, 0.3% of its value for insurance in transit "
        "and $7.00 per troy ounce.",
        "Of the fine silver 90% is paid for, at $38.00 per troy ounce.",
        "Each lot bears $260.00 for its shipment",
        "most 0.0305 oz/ton apart",
        "paid 21 days after milling and the final assay, whichever is last. A bal",
        "8% per year of 365 days",
    ):
        assert words in told
    bought = sentences(make_quote({"contract_kind": "purchase"}, "us"))
    assert "10 days after the final assay" in bought
    assert "payable share rises evenly with the assay" in bought
    assert "Products that belong" not in bought and "shipment" not in bought


def test_late_interest_runs_by_a_year_of_365_days():
    """5 CFR 1315.17: P x r / days of the year x days late."""
    page = make_statement({**HAND, "late_rate": 0.08}, "us")
    due = page.values["settle_late_interest"]
    assert due == pytest.approx(page.values["printed_net"] * 0.08 / 365, rel=1e-12)


@pytest.mark.parametrize(("dated", "days"), [("2026-12-08", 0), ("2027-02-28", 82)])
def test_a_late_statement_tells_the_interest_so_far(dated, days):
    """5 CFR 1315.17, as above; due 21 days after the last date, 17 November 2026."""
    dates = {"settle_weighed": "2026-11-10", "settle_milled": "2026-11-12"}
    dates |= {"settle_assayed": "2026-11-17", "assay_days": 0.0, "settle_date": dated}
    page = make_statement({**HAND, **dates, "late_rate": 0.09}, "us")
    found = page.values.get("interest_so_far", 0.0)
    owed = page.values["printed_net"] * 0.09 / 365 * days
    assert found == pytest.approx(owed, abs=0.005) and (found > 0) == (days > 0)


def test_figures_of_a_lot_are_no_terms():
    mark = mark_of(run(HAND))
    for change in ({"settle_wet_tons": 21.0}, {"gold_price": 3000.0}, {"wage": 40.0}):
        assert mark_of(run({**HAND, **change})) == mark


def test_escalation_follows_its_index():
    given = {"escalation_share": 0.3, "escalation_base": 120.0, "settle_index": 132.0}
    page = make_statement({**HAND, **given}, "us")
    charge = page.values["settle_charge"]
    assert page.values["settle_escalation"] == pytest.approx(charge * 0.3 * 0.1)
    without = make_statement(HAND, "us").values["printed_net"]
    net = page.values["printed_net"]
    assert net == pytest.approx(without - charge * 0.03, abs=0.01)


def test_the_net_stands_at_the_top_with_who_pays():
    owes = {"settle_advances": 40_000.0}
    for given, words in (({}, "the mill pays the owner"), (owes, "the owner owes")):
        page = make_statement({**HAND, **given}, "us")
        (who, net, *_) = page.rows[2][1]
        assert str(who.value).startswith(words)
        assert net.value == abs(page.values["printed_net"])
        assert (who.formula[:1], net.formula) == ("=", "=ABS(Printed_net)")


def test_papers_speak_the_currency_of_the_workbook(tmp_path):
    inputs = {**HAND, "currency": "EUR"}
    lots = read_lots(csv_rows(LOTS, WHAT), "us")
    for content in (
        make_statement(inputs, "us").content(),
        make_quote(inputs, "us").content(),
        ledger({"currency": "EUR"}, "us", lots)[0],
    ):
        book = openpyxl.load_workbook(io.BytesIO(content))
        told = [str(cell) for row in book.worksheets[0].values for cell in row if cell]
        assert not [t for t in told if "$" in t and not t.startswith("=")]
        assert any("EUR" in text for text in told)


CUSTOMERS = ("Umberlow Bench claims", "Quernhope partners")


def of_customers(count=12):
    """A table of lots of two customers, dated through a season.

    The date of each is the day on which its net is due: 21 days after the assay.
    """
    head, first, *_ = LOTS.splitlines()
    lines = [f"Customer,Date,Milled,Assayed,{head}"]
    for at in range(count):
        row = dict(zip(head.split(","), first.split(","), strict=True))
        row |= {"lot": f"Lot {at // 2}", "price": f"{3300 + 10 * at}"}
        row |= {"wet_tons": f"{25.4 + at / 10**4:.4f}"}
        row |= {"paid": "9000" if at < 6 else "0"}
        year, month = divmod(4 + at // 3, 12)
        date = datetime.date(2026 + year, month + 1, 15)
        final = date - datetime.timedelta(21)
        dates = map(str, (date, final, final))
        lines.append(",".join([CUSTOMERS[at % 2], *dates, *row.values()]))
    return "\n".join(lines)


@pytest.mark.parametrize("program", sampled(["gnumeric", "libreoffice"], 2))
def test_a_ledger_of_customers_ties_by_customer_and_age(program, tmp_path, request):
    made = Ledger({}, "us", lots_of(of_customers()))
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(made.content())
    agree(path, request.getfixturevalue(program))
    sheet = openpyxl.load_workbook(path, data_only=True)["Customers"]
    *rows, total = list(sheet.iter_rows(min_row=5, max_row=7, values_only=True))
    assert [row[0] for row in rows] == list(CUSTOMERS)
    assert total[0] == "The mill owes"
    for row in rows:
        mine = [
            (net, paid)
            for who, net, paid in zip(
                *(made.columns[n] for n in ("customer_name", "net", "paid")),
                strict=True,
            )
            if who == row[0]
        ]
        owed = math.fsum(net - paid for net, paid in mine)
        assert row[4] == pytest.approx(owed, abs=0.001)
        assert math.fsum(row[5:]) == pytest.approx(owed, abs=0.001)
        assert row[1] == 6
    assert total[4] == pytest.approx(math.fsum(made.owed.values()), abs=0.001)
    # Due on 15 August, and nothing of them is paid.
    latest = [
        n
        for n, d in zip(made.columns["net"], made.columns["settle_date"], strict=True)
        if d >= "2026-07-20"
    ]
    assert sum(row[6] for row in rows) == pytest.approx(math.fsum(latest), abs=0.01)


def test_an_overpaid_lot_is_as_old_as_its_lot(tmp_path):
    """Before, what the customer owed stood under Over 90 days at any date."""
    head, first, *_ = of_customers(2).splitlines()
    row = dict(zip(head.split(","), first.split(","), strict=True))
    overpaid = {**row, "Date": "2026-05-20", "paid": "90000"}  # due on 15 May
    held = {**row, "Date": "2026-06-15", "lot": "Held", "melt_mass": "1"}
    lines = [head, *(",".join(one.values()) for one in (overpaid, held))]
    made = Ledger({}, "us", lots_of("\n".join(lines)))
    (owed,) = made.owed.values()
    assert made.held and owed < 0
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(made.content())
    sheet = openpyxl.load_workbook(path, data_only=True)["Customers"]
    assert "15 June 2026" in sheet["A2"].value
    (row,) = sheet.iter_rows(min_row=5, max_row=5, values_only=True)
    assert [*row[5:]] == [0, 0, owed, 0, 0, 0]  # 31 days


def test_what_one_owner_owes_is_not_set_off_against_what_another_is_owed(tmp_path):
    head, *lines = of_customers(2).splitlines()
    rows = [dict(zip(head.split(","), x.split(","), strict=True)) for x in lines]
    for row, paid in zip(rows, ("90000", "0"), strict=True):
        row["paid"] = paid
    table = "\n".join([head, *(",".join(row.values()) for row in rows)])
    made = Ledger({}, "us", lots_of(table))
    ower, owed = CUSTOMERS
    assert made.owed[ower] < 0 < made.owed[owed]
    path = tmp_path / "ledger.xlsx"
    path.write_bytes(made.content())
    lots, sheet = openpyxl.load_workbook(path, data_only=True).worksheets
    told = [(row[0], row[4]) for row in sheet.iter_rows(5, 8, values_only=True)]
    assert told == [
        *((owed, made.owed[owed]), ("The mill owes", made.owed[owed])),
        *((ower, made.owed[ower]), ("Customers owe the mill", made.owed[ower])),
    ]
    rows = {row[0]: row for row in lots.iter_rows(values_only=True)}
    total = dict(zip(rows["Customer"], rows["All lots"], strict=True))
    assert total["Net to the owner, $"] and not total["Balance owed to the owner, $"]


def test_the_audit_copy_of_a_ledger_names_mill_terms_customer_and_lot():
    made = Ledger({}, "us", lots_of(of_customers(4)))
    rows = list(csv.DictReader(io.StringIO(made.audit().decode())))
    assert len(rows) == 4
    assert rows[1]["customer_name"] == CUSTOMERS[1] and rows[3]["lot"] == "Lot 1"
    assert rows[0]["mill"] and mark_of(run()) in rows[0]["terms"]
    assert float(rows[0]["net"]) == made.columns["net"][0]


def test_the_work_of_a_ledger_grows_in_proportion():
    """Ten times the lots take at most ten times the calls of functions."""
    calls = []
    for count in (100, 1000):
        lots = of_customers(count)
        profile = cProfile.Profile()
        profile.runcall(lambda lots=lots: Ledger({}, "us", lots_of(lots)).audit())
        calls.append(sum(entry.callcount for entry in profile.getstats()))
    assert calls[1] < 10 * calls[0]


def test_names_of_lots_may_be_of_any_script_but_not_of_any_length():
    lots = lots_of(LOTS.replace("Lot 1", "Flöz 7 «金»").replace("wet_tons", "Wet Tons"))
    assert lots.names[0] == "Flöz 7 «金»"
    with pytest.raises(WorkbookError, match=r"line 2.*10,240 characters"):
        lots_of(LOTS.replace("Lot 1", "x" * 10_240))


def test_each_penalty_has_its_amount_and_a_rate_of_zero_no_line():
    given = {"settle_clay": 0.09, "clay_rate": 200.0, "moisture_rate": 50.0}
    page = make_statement({**HAND, **given, "settle_moisture": 0.1}, "us", WAIVED)
    amounts = [v for n, v in page.values.items() if n.endswith("_penalty")]
    assert page.values["settle_clay_penalty"] == pytest.approx(18 * 0.04 * 200)
    assert page.values["settle_moisture_penalty"] == pytest.approx(20 * 0.02 * 50)
    assert math.fsum(amounts) == pytest.approx(page.values["settle_penalties"])
    assert INPUTS["hardness_rate"].label not in labels(page)


def test_terms_that_nobody_entered_make_a_draft():
    lot = {n: HAND.get(n, e.example) for n, e in INPUTS.items() if n[:7] == "settle_"}
    lot = {**lot, "contract_kind": "by the ton", "customer_name": "An owner"}
    del lot["settle_deposit"]
    plan = pw.Plan(**lot)
    page = make_statement(plan.inputs, "us", "agreed", plan.given)
    assert "estimates: Tonnage charge, contract type by the ton; " in page.draft
    assert page.values["settle_deposit"] == 0  # nothing is paid back unpaid
    assert not make_statement(HAND, "us").draft
    assert not any("Cell(" in str(record) for record in page.records())


@pytest.mark.parametrize("kind", ["by the ton", "purchase"])
def test_a_statement_says_whose_the_slag_is(kind):
    """An ore purchase takes all metal; else the mill keeps the slag, as quoted."""
    page = make_statement({"contract_kind": kind}, "us")
    told = [cells for row, cells, _ in page.rows if row == "sentence"]
    assert any("Slag stays" in str(text) for text in told) == (kind != "purchase")


def test_a_deposit_is_credited_once_it_was_received():
    """Not because the terms ask for one; a statement asks, and takes 0."""
    lot = {n: HAND.get(n, e.example) for n, e in INPUTS.items() if n[:7] == "settle_"}
    lot = {**lot, "contract_kind": "by the ton", "customer_name": "An owner"}
    received = lot.pop("settle_deposit")
    plan = pw.Plan(**lot, deposit=1500.0)
    with pytest.raises(WorkbookError, match="Deposit received"):
        make_statement(plan.inputs, "us", "agreed", plan.given)
    nets = {}
    for paid in (0.0, received):
        one = plan.change(settle_deposit=paid)
        page = make_statement(one.inputs, "us", "agreed", one.given)
        assert page.values["settle_deposit"] == paid
        nets[paid] = page.values["printed_net"]
    assert nets[received] - nets[0.0] == pytest.approx(received)
    codes = {mark_of(run({"settle_deposit": paid})) for paid in nets}
    assert len(codes) == 1


def as_printed(page, name):
    """A figure of a page as a reader sees it."""
    (cell,) = [
        cell
        for kind, cells, _ in page.rows
        if kind == "row"
        for cell in cells
        if getattr(cell, "name", "") == name
    ]
    places = cell.looks["num_format"].partition("_")[0]
    share = places.endswith("%")
    digits = len(places.rstrip("%").partition(".")[2]) + 2 * share
    return float(np.round(cell.value, digits))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_ore_price_follows_from_the_printed_figures(units):
    given = {"contract_kind": "purchase", "settle_wet_tons": 31.46}
    page = make_statement({**given, "settle_price": 4087.35}, units)
    assay, share, less, gold, price, tons, charge = (
        as_printed(page, name)
        for name in (
            *("settle_assay", "settle_payable", "purchase_deduction", "settle_bought"),
            *("settle_paid_price", "settle_tons", "purchase_treatment"),
        )
    )
    ounce = 31.1034768 if units == "metric" else 1
    assert (assay - less) * share / ounce == pytest.approx(gold, rel=1e-7)
    exact = page.values["settle_ore_price"]
    assert tons * (gold * price - charge) == pytest.approx(exact, abs=0.006)
    notes = " ".join(str(cells[3]) for kind, cells, _ in page.rows if kind == "row")
    assert ("over the grade of 1 troy oz" in notes) == (units == "metric")
    bullion = make_statement({}, units)
    ounces, net = (
        as_printed(bullion, name)
        for name in ("settle_bullion_gold", "settle_ounce_net")
    )
    told = bullion.values["settle_gold_value"]
    assert ounces * net == pytest.approx(told, abs=0.008)


def test_each_printed_page_names_terms_code_and_whose_it_is():
    """Also the page that is signed, which may hold nothing else of it."""
    for page, named in (
        (make_statement({}, "us"), "Lot 7 of Umberlow Bench claims"),
        (make_quote({}, "us"), "Umberlow Bench claims"),
    ):
        book = openpyxl.load_workbook(io.BytesIO(page.content()))
        header = book.worksheets[0].oddHeader.left.text
        assert named in header and mark_of(run()) in header and "T-26-03/1" in header


def test_a_wide_ledger_prints_on_pages_side_by_side():
    """With customer and lot on each; one page would be too small to read."""
    content, _ = ledger({}, "us", lots_of(of_customers()))
    sheet, _ = openpyxl.load_workbook(io.BytesIO(content)).worksheets
    assert sheet.page_setup.fitToWidth == 2
    assert sheet.print_title_cols.replace("$", "") == "A:B"
    (notes,) = {area.max_col for area in sheet.merged_cells.ranges}
    assert notes < sheet.max_column  # within the first page


def test_a_long_unit_is_not_cut():
    page = make_statement({"currency": "Ghana cedis"}, "metric")
    sheet = openpyxl.load_workbook(io.BytesIO(page.content())).worksheets[0]
    units = [c for row in sheet for c in row if c.value == "Ghana cedis/troy oz"]
    assert units and all(cell.alignment.wrap_text for cell in units)


def test_the_terms_say_that_a_ledger_sets_lots_off():
    told = " ".join(str(cells) for kind, cells, _ in make_quote({}, "us").rows)
    assert "may set off balances of the owner's lots" in told
