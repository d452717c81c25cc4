"""Clauses of the signed page: parties, title, payment, dispute."""

import re

import pytest

import pennyweight as pw
from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import TERMS as TERMS_OF_LOT
from pennyweight.documents.lots import read_lots
from pennyweight.documents.page import draft_words
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import audit, make_statement
from pennyweight.documents.terms import AGREED, estimated_terms, mark_of, terms_of
from pennyweight.errors import BadValue, WorkbookError
from pennyweight.model.allowed import complete
from pennyweight.model.entries import BEYOND_RANGE, charge_words
from pennyweight.model.inputs import INPUTS
from pennyweight.model.jobs import SIGNED_RATES, precedents
from pennyweight.model.lines.settlement.weights import WITHIN
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows
from pennyweight.workbook.layout import entry_place

from ..thorough import sampled
from .test_statement import HAND, LOTS, WAIVED, of_customers, sentences


def lots_of(text):
    return read_lots(csv_rows(text, WHAT), "us")


def test_parties_scope_and_what_happens_when_they_disagree():
    told = sentences(make_quote({}, "us"))
    for words in (
        "The mill is Tessing Fork custom mill; the owner is Umberlow Bench claims.",
        "apply to each lot of the owner's ore that the mill accepts",
        "Slag stays with the mill and is not paid for.",
        "says so in writing within 30 days of receiving it",
        "Law and courts, as the parties agree: ____",
        "It is kept until the lot is paid, the time to disagree is over, and any dis",
        "until both sign others or either ends them",
        "The mill mills a lot within ____ days of weighing, and issues the final",
        "ships the bullion to the refiner, ____",
        "End: either party may end these terms by written notice of ____ days.",
        "Money that is due stays due.",
        "mercury, cyanide or explosives. The",
    ):
        assert words in told
    assert "Title and risk pass to the mill once" not in told
    bought = sentences(make_quote({"contract_kind": "purchase"}, "us"))
    assert "Title and risk pass to the mill once the lot is weighed" in bought
    assert "refiner" not in bought and "mills a lot within" not in bought


def test_a_quote_that_names_no_mill_is_a_draft():
    page = make_quote({"prepared_by": ""}, "us")
    assert page.draft.endswith("These figures are estimates: the mill's name.")
    assert not make_quote({}, "us").draft


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"middlings_payable": 0.6}, "Middlings are sold for the owner: 60% of their"),
        ({"escalation_share": 0.3}, "charges, escalation, penalties, shipment,"),
        ({"terms_share_05": 0.2}, "until it is sold, less the mill's share above."),
        (
            {"assay_days": 14.0},
            "no assay 14 days after weighing, the mill's is final; a later one counts "
            "only if the mill accepts it. The day of the final assay is the day of the "
            "last assay that the lot is settled by; without an owner's assay, the last "
            "day for reporting one.",
        ),
        (
            {"least_lot_charge": 900.0},
            "charges included, is at least $900.00 per lot.",
        ),
    ],
)
def test_a_clause_stands_on_the_page_where_its_term_applies(given, words):
    none = dict.fromkeys(given, 0.0)
    assert words in sentences(make_quote(given, "us"))
    assert words not in sentences(make_quote(none, "us"))


BOUGHT = {"contract_kind": "purchase"}
STEPS = {
    **BOUGHT,
    **{"step_from_01": 0.1, "step_paid_01": 0.4},
    **{"step_from_02": 0.35, "step_paid_02": 0.55},
}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (
            STEPS,
            "payable share is 40% from 0.1 oz/ton, 55% from 0.35 oz/ton, by the",
        ),
        (
            {**BOUGHT, "purchase_least_deduction": 0.17},
            "At most the assay less 0.17 oz",
        ),
    ],
)
def test_ore_is_bought_by_the_schedule_on_the_page(given, words):
    quoted, settled = make_quote(given, "us"), make_statement(given, "us")
    assert words in sentences(quoted)
    assert words not in sentences(make_quote(BOUGHT, "us"))
    values = run(given)
    assert settled.values["printed_net"] == pytest.approx(
        values["settle_net"].item(), abs=0.00501
    )
    place = MODEL.axes["contract"].values.index("purchase")
    assert quoted.values["owner_net"] == pytest.approx(values["owner_net"][place])
    rising = {"purchase_low_grade", "purchase_high_payable"}
    for page in (quoted, settled):
        assert rising.isdisjoint(page.values) == (given is STEPS)
    marks = {mark_of(run(one)) for one in (BOUGHT, given, {**given, "wage": 40.0})}
    assert len(marks) == 2


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (
            {"contract_kind": "charge and share"},
            "penalties, shipment and a share of the",
        ),
        ({"contract_kind": "by the ton"}, "penalties and shipment."),
        ({"contract_kind": "by the hour", "shipment_cost": 0.0}, "penalties."),
    ],
)
def test_what_comes_on_top_of_a_minimum_is_what_applies(given, words):
    told = sentences(make_quote({"least_lot_charge": 900.0, **given}, "us"))
    assert f"is at least $900.00 per lot. Charged on top: {words}" in told
    none = {
        **NO_PENALTIES,
        **given,
        "shipment_cost": 0.0,
        "contract_kind": "by the ton",
    }
    told = sentences(make_quote({"least_lot_charge": 900.0, **none}, "us"))
    assert "is at least $900.00 per lot. " in told and "on top" not in told


NO_PENALTIES = dict.fromkeys(
    ("hardness_rate", "clay_rate", "sulphide_rate", "moisture_rate"), 0.0
)


def test_a_minimum_comes_before_escalation():
    """By hand: $4,000 x 30% x (95 / 100 - 1) = -$60, which is deducted."""
    terms = {**HAND, "least_lot_charge": 4000.0, "escalation_share": 0.3}
    told = sentences(make_quote(terms, "us"))
    assert "is at least $4,000.00 per lot, before escalation. Charged on" in told
    page = make_statement({**terms, "settle_index": 95.0}, "us")
    assert page.values["settle_charge"] == 4000
    assert page.values["settle_escalation"] == -60
    bought = {**terms, **BOUGHT}
    assert "Escalation" not in sentences(make_quote(bought, "us"))
    assert "settle_index" not in make_statement(bought, "us").inputs


def test_a_diesel_price_is_no_unusual_index():
    for name in ("escalation_base", "settle_index"):
        entry = INPUTS[name]
        for price in (1.4, 3.8, 280.0):
            low, high = entry.low / BEYOND_RANGE, entry.high * BEYOND_RANGE
            assert low <= price <= high


def test_a_minimum_charge_is_printed_where_it_is_charged():
    page = make_statement({**HAND, "least_lot_charge": 5000.0}, "us")
    assert page.values["settle_rated"] < page.values["settle_charge"] == 5000
    bought = make_statement({**BOUGHT, "least_lot_charge": 5000.0}, "us")
    assert "least_lot_charge" not in bought.values
    assert bought.values["settle_charge"] == 0


def test_a_prefilled_charge_is_an_estimate_until_it_is_agreed():
    inputs = complete({"contract_kind": "by the ton"}, "us", "estimate")
    label = INPUTS["terms_per_ton_01"].label
    for agreed, estimated in (("no", True), ("yes", False)):
        plan = {**inputs, "charges_agreed": agreed}
        told = estimated_terms(make_quote(plan, "us"), {*plan})
        assert (label in told) == estimated
        words = str(charge_words(plan.get, "us"))
        assert (label in words) == estimated


LONE = {**HAND, "settle_owner_assay": 0.0, "settle_weighed": "6 July 2026"}
LONE |= {"assay_days": 14.0}


def test_an_assay_that_is_late_leaves_the_mills():
    told = {"settle_date": "20 July 2026"}
    page = make_statement({**LONE, **told}, "us")
    notes = [row[3] for kind, row, _ in page.rows if kind == "row"]
    assert "None reported by 20 July 2026, so the mill's is final on that day." in notes
    assert "Day of the mill's assay." in notes
    early = {**LONE, "settle_date": "2026-07-19"}
    with pytest.raises(WorkbookError, match="until 20 July 2026, and none is entered"):
        make_statement(early, "us")
    assert make_statement(early, "us", provisional=True)
    assert make_statement({**early, "settle_owner_assay": 0.41}, "us")
    assert make_statement({**early, "settle_weighed": "7/6/2026"}, "us")


def test_a_ledger_waits_for_the_owners_assay():
    head, first, *_ = LOTS.splitlines()
    lots = dict(zip(head.split(","), first.split(","), strict=True))
    lots |= {"owner_assay": "0", "weighed": "2026-07-06", "date": "2026-07-19"}
    table = f"{','.join(lots)}\n{','.join(lots.values())}"
    with pytest.raises(WorkbookError, match=r"line 2, column owner_assay.*20 July"):
        Ledger({"assay_days": 14.0}, "us", lots_of(table), WAIVED)
    assert Ledger({"assay_days": 13.0}, "us", lots_of(table), WAIVED)


def test_no_provisional_payment_and_nothing_kept_for_the_owner():
    mills = dict.fromkeys(("cleanup_owner", "middlings_owner", "tails_owner"), "mill")
    told = sentences(make_quote({"provisional_share": 0.0, **mills}, "us"))
    assert "Provisional" not in told and "are kept at the mill" not in told


IN_ORDER = {
    **{"settle_weighed": "1 April 2027", "settle_milled": "6 April 2027"},
    **{"settle_assayed": "12 April 2027", "settle_price_day": "12 April 2027"},
    **{"settle_date": "2027-05-20", "quote_valid_until": "31 March 2027"},
}
LOST = {"settle_melt_mass": 150.0, "settle_agreed_by": "both owners"}


def says_due(page):
    notes = [cells[3] for kind, cells, _ in page.rows if kind == "row"]
    return next(note for note in notes if note.startswith("Due "))


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "Due 3 May 2027, 21 days after the final assay."),
        ({"settle_milled": "2027-04-20"}, "Due 11 May 2027, 21 days after milling."),
        (
            # weighed 1 April: the mill's assay is final on 1 May
            {"settle_owner_assay": 0.0, "assay_days": 30.0},
            "Due 22 May 2027, 21 days after the final assay.",
        ),
        # without a time for the owner, on the day of the mill's, not of the statement
        ({"settle_owner_assay": 0.0}, "Due 3 May 2027, 21 days after the final"),
        # the gold in the bullion waits for no agreement
        ({**LOST, "settle_agreed": "18 May 2027"}, "Due 3 May 2027, 21 days after the"),
        (LOST, "Due 3 May 2027, 21 days after the final assay."),
        ({"settle_milled": "7/9/2026"}, "last; the day of milling cannot be read."),
        (
            {"settle_advances": 40_000.0, "settle_date": "July 1, 2027"},
            "Due 15 July 2027, 14 days after the statement.",
        ),
        (
            {"contract_kind": "purchase", "settle_milled": ""},
            "Due 22 April 2027, 10 days after the final assay.",
        ),
    ],
)
def test_the_day_on_which_a_balance_is_due(given, words):
    page = make_statement({**HAND, **IN_ORDER, **given}, "us", WAIVED)
    assert words in says_due(page)
    if "settle_agreed" in given:
        told = "Gold balance agreed on 18 May 2027. Gold balance agreed by both owners."
        assert told in sentences(page)
    if given.get("contract_kind") == "purchase":
        return
    found = page.values["settle_bullion_gold"] / page.values["settle_gold_fed"]
    assert page.values["lot_recovery"] == found


def test_a_ledger_under_terms_that_nobody_entered_is_a_draft():
    plan = pw.Plan(contract_kind="by the ton", terms_number="T-26-03")
    made = Ledger(plan.inputs, "us", lots_of(LOTS), WAIVED, given=[plan.given])
    assert "estimates: Tonnage charge, contract type by the ton; " in made.draft
    assert "Deposit" not in made.draft  # a column of the table
    assert made.draft.endswith(plan.statement_draft(ledger=True))
    assert made.draft in made.notes
    assert not Ledger({}, "us", lots_of(LOTS)).draft


def test_a_ledger_says_whose_lots_follow_terms_of_another_customer():
    made = Ledger({}, "us", lots_of(of_customers(4)))
    notes, (fault,) = " ".join(made.notes), made.faults
    told = "T-26-03/1 name Umberlow Bench claims; lots of Quernhope partners follow"
    assert told in fault and fault.startswith("Draft. ") and fault in notes
    assert "follow them" not in " ".join(Ledger({}, "us", lots_of(LOTS)).notes)


def test_a_ledger_says_which_lines_of_its_table_were_empty():
    rows = csv_rows(LOTS, WHAT)
    lots = read_lots(rows, "us", "lots.csv", [*range(2, 16)])
    told = "lots.csv: 14 empty lines were skipped: 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12"
    assert f"{told}, 13 and 2 more." in Ledger({}, "us", lots, WAIVED).notes
    assert read_lots(rows, "us", "a.csv", [7]).note.endswith("line was skipped: 7.")


def test_signed_cost_plus_rates_stay_whatever_the_mill_costs():
    kind = {"contract_kind": "cost plus"}
    offered = make_quote(kind, "us").values
    rates = ("agreed_cost_ton", "agreed_cost_hour", "agreed_cost_laboratory")
    signed = dict(zip(SIGNED_RATES, (offered[name] for name in rates), strict=True))
    paid = [
        make_statement({**HAND, **kind, **given}, "us").values["printed_net"]
        for given in ({}, {**signed, "wage": 60.0}, {"wage": 60.0})
    ]
    assert paid[0] == paid[1] > paid[2]
    marks = [mark_of(run({**kind, **given})) for given in ({}, signed)]
    assert marks[0] == marks[1]
    plan = pw.Plan({**kind, **signed, "customer_name": "Quernhope partners"})
    assert "the mill's cost" not in plan.statement_draft(ledger=True)
    assert "the mill's cost" in pw.Plan(kind).statement_draft(ledger=True)


def test_a_draft_with_many_estimates_says_where_all_are_marked():
    few, many = (draft_words([*"abcdefghijklmnop"[:n]], "Draft.") for n in (12, 16))
    assert few.endswith("k; l.") and " more" not in few
    assert many.endswith(
        "l and 4 more; the workbook marks each as an estimate on the sheet Inputs."
    )


APPLIES = {
    # Every term counts: nothing moves the money only where it is entered.
    **{"middlings_payable": 0.5, "tails_owner": "owner", "tails_payable": 0.3},
    **{"least_lot_charge": 10.0, "base_metal_charge": 0.1, "escalation_share": 0.3},
    **{"settle_index": 130.0, "settle_owner_assay": 0.5, "settle_umpire_assay": 0.47},
    **{"allowed_clay": 0.01, "allowed_sulphides": 0.01, "allowed_moisture": 0.01},
    **{
        "settle_cleanup": 1.0,
        "settle_work_index": 16.0,
        "purchase_least_deduction": 0.01,
    },
}
MONEY = ("settle_net", "provisional_due", "settle_late_interest")


def moved_alone(entry):
    """Another value of an input."""
    value = APPLIES.get(entry.name, entry.example)
    if entry.kind == "choice":
        return next(choice for choice in entry.choices if choice != value)
    step = 1 if entry.kind == "whole" else max(abs(value) / 100, entry.maximum / 1e6)
    return value + step if value + step <= entry.maximum else value - step


def paid(given, kind):
    """The money of a statement, and whether its gold balance is a condition and met."""
    wanted = (*MONEY, "settle_balance", "agreed_purchase", "tailings", *AGREED)
    values = run({**APPLIES, **given, "contract_kind": kind}, wanted=wanted)
    money = [values[name].item() for name in MONEY]
    met = values["agreed_purchase"] == "yes" or values["settle_balance"] == WITHIN
    return money, bool(met), mark_of(values)


CASES = [(kind, {}) for kind in MODEL.axes["contract"].values] + [("purchase", STEPS)]


@pytest.mark.parametrize(("kind", "given"), sampled(CASES, 8))
def test_what_moves_the_money_of_a_statement_is_in_the_code(kind, given):
    """Each input that is no figure of the lot milled, moved alone."""
    reached = precedents((*MONEY, "settle_balance"))[1]
    terms = [n for n in reached if INPUTS[n].section != "Settlement lot"]
    terms += TERMS_OF_LOT
    *before, mark = paid(given, kind)
    movers = 0
    for name in terms:
        change = {name: moved_alone(INPUTS[name])}
        try:
            *after, now = paid({**given, **change}, kind)
        except BadValue:  # a step without the one before it
            assert INPUTS[name].family in ("step_from", "step_paid")
            continue
        movers += after != before
        assert after == before or now != mark, name
    # Steps of payable gold take the place of the five terms of the sliding scale.
    assert movers >= 24 - 5 * bool(given)


def test_the_weight_of_the_tailings_and_middlings_sold_are_terms():
    """Their code changes with them, and the page states both."""
    signed = {**HAND, "middlings_payable": 0.5}
    signed["terms_mark"] = mark_of(run(signed))
    assert make_statement(signed, "us")
    for change in ({"middlings_payable": 0.0}, {"middlings_pull": 0.2}):
        with pytest.raises(WorkbookError, match="differ from the signed ones"):
            make_statement({**signed, **change}, "us")
    told = sentences(make_quote(signed, "us"))
    assert "the tailings are taken to weigh 97.52% of the dry weight" in told


def test_a_code_of_an_earlier_version_keeps_its_meaning():
    """It covers what it covered; the statement names the rest."""
    signed = {**HAND, "terms_mark": mark_of(run(HAND), former=True)}
    told = sentences(make_statement(signed, "us"))
    assert f"Code {signed['terms_mark']}. " in told
    assert "is of an earlier version. It does not cover" in told
    with pytest.raises(WorkbookError, match="differ from the signed ones"):
        make_statement({**signed, "split_limit": 0.04}, "us")


@pytest.mark.parametrize("kind", ["by the ton", "charge and share"])
def test_a_quote_names_each_term_that_nobody_entered(kind):
    """And each that a statement of the same workbook names."""
    given = {**APPLIES, "deposit": 100.0, "assay_days": 5.0, "contract_kind": kind}
    terms = terms_of(run(given)).items()
    figures = {n for n, v in terms if v and n in INPUTS and INPUTS[n].kind != "text"}
    figures -= {"contract_kind", "purchase_days"}  # nothing is bought
    expected = {INPUTS[name].label for name in figures}
    told = {*estimated_terms(make_quote(given, "us"), {"contract_kind"})}
    assert len(expected) > 25
    settled = make_statement(given, "us", WAIVED)
    settled = {*estimated_terms(settled, {"contract_kind"})}
    assert expected <= told
    assert settled <= told


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (
            {"settle_milled": "30 March 2027"},
            "Date milled 30 March 2027 is before Date",
        ),
        ({"settle_assayed": "2027-03-20"}, "Date assayed 2027-03-20 is before Date w"),
        (
            {"settle_date": "1 April 2027"},
            "Settlement date 1 April 2027 is before Date",
        ),
        ({"terms_signed": "1 June 2026"}, "signed 1 June 2026 is before Terms issued"),
        ({"terms_signed": "3 May 2027"}, "Date weighed 1 April 2027 is before Terms s"),
        ({"settle_milled": "31 April 2027"}, "Date milled 31 April 2027 cannot be rea"),
        ({"settle_milled": "4/6/2027"}, "Date milled 4/6/2027 cannot be read (write"),
        ({"settle_price_day": "2 March 2027"}, "2 March 2027 is not the day of the fi"),
        ({**LOST, "settle_agreed_by": ""}, "Gold balance agreed by is not entered"),
    ],
)
def test_dates_that_cannot_be_right_make_a_draft(given, words):
    """Also where the code of the signed terms was entered."""
    plain = {**HAND, **IN_ORDER}
    assert not make_statement(plain, "us").draft
    case = {**plain, "settle_agreed": "20 May 2027", **given}
    case["terms_mark"] = mark_of(run(case))
    page = make_statement(case, "us", WAIVED)
    assert page.draft.startswith("Draft. Correct this first: ")
    assert words in page.draft and page.draft in sentences(page)


@pytest.mark.parametrize("until", ["until soon", "1 June 2026"])
def test_an_offer_is_open_until_a_day_after_its_issue(until):
    page = make_quote({"quote_valid_until": until, "terms_signed": ""}, "us")
    assert f"Quote expiry date {until} " in page.draft
    assert page.draft in sentences(page)


@pytest.mark.parametrize(
    ("currency", "source", "drafts"),
    [
        ("GHS", INPUTS["price_source"].estimate, True),
        ("GHS", "London p.m. price at the Bank of Ghana mid rate of that day", False),
        ("US dollars", INPUTS["price_source"].estimate, False),
    ],
)
def test_a_price_in_another_currency_names_its_exchange_rate(currency, source, drafts):
    case = {**HAND, "currency": currency, "price_source": source}
    for page in (make_quote(case, "us"), make_statement(case, "us")):
        told = "Gold price source (name the exchange rate to GHS, its source and day)"
        assert (told in page.draft) == bool(page.draft) == drafts
    case["terms_mark"] = mark_of(run(case))
    assert not make_statement(case, "us").draft


def test_a_draft_offers_nothing_and_has_no_code():
    """Neither is a code on a statement or ledger under terms that nobody entered."""
    code = mark_of(run(HAND))
    own = INPUTS.keys() - {"refining_charge"}
    for given, offers in ((INPUTS, True), (own, False)):
        quoted = make_quote(HAND, "us", given)
        settled = make_statement(HAND, "us", given=given)
        made = Ledger(HAND, "us", lots_of(LOTS), WAIVED, given=[given])
        assert bool(quoted.draft) != offers
        assert ("The offer is open until" in sentences(quoted)) == offers
        assert any(kind == "signatures" for kind, *_ in quoted.rows) == offers
        for page in (quoted, settled):
            assert (code in sentences(page), code in page.header) == (offers, offers)
        assert (code in " ".join(made.notes)) == offers
        for copy in (audit(settled), made.audit()):
            assert (code.encode() in copy) == offers
    for wrong in ("yes", "0000-0000"):
        with pytest.raises(WorkbookError) as refused:
            make_statement({**HAND, "terms_mark": wrong}, "us")
        assert code not in str(refused.value)


SILENT = {**HAND, **IN_ORDER, "settle_owner_assay": 0.0}


@pytest.mark.parametrize(
    ("given", "day", "others"),
    [
        # Date weighed 1 April, assayed 12 April, statement of 20 May 2027.
        ({"settle_owner_assay": 0.42}, "12 April", ("1 May", "20 May")),
        ({}, "12 April", ("1 May", "20 May")),
        ({"assay_days": 30.0}, "1 May", ("12 April", "20 May")),
    ],
)
def test_the_final_assay_has_one_day_for_price_and_payment(given, day, others):
    """Whatever the date of the statement, which the mill picks."""
    for date in ("2027-05-20", "2027-06-20"):
        case = {**SILENT, **given, "settle_date": date}
        page = make_statement({**case, "settle_price_day": f"{day} 2027"}, "us")
        due = {"12 April": "3 May 2027", "1 May": "22 May 2027"}[day]
        assert not page.draft and f"Due {due}, 21 days after the" in says_due(page)
        for other in others:
            wrong = make_statement({**case, "settle_price_day": f"{other} 2027"}, "us")
            assert f"is not the day of the final assay, {day} 2027, as" in wrong.draft


NEEDED = ("settle_milled", "settle_assayed", "settle_price_day", "settle_date")


def test_a_final_statement_needs_its_dates():
    """Each cell is named. A table of lots may have no such columns."""
    case = {**HAND, **IN_ORDER, "assay_days": 20.0}
    case["terms_mark"] = mark_of(run(case))
    assert not make_statement(case, "us").draft
    for name in ("settle_weighed", *NEEDED):
        page = make_statement({**case, name: ""}, "us")
        told = f"{INPUTS[name].label} ({entry_place(name)}) is not entered"
        assert told in page.draft and page.draft in sentences(page)
        assert not make_statement({**case, name: ""}, "us", provisional=True).draft
    other = {**case, "assay_days": 0.0, "price_day": "the mean of May 2027"}
    other |= {"terms_mark": "", "settle_weighed": "", "settle_price_day": ""}
    assert not make_statement(other, "us").draft
    bought = {**case, **BOUGHT, "terms_mark": "", "settle_milled": ""}
    assert not make_statement(bought, "us").draft
    lots = lots_of(first_lot())
    assert not Ledger({}, "us", lots, WAIVED).faults


def test_an_owners_assay_after_its_time_is_told():
    case = {**HAND, **IN_ORDER, "assay_days": 5.0}
    told = "due by 6 April 2027. The final assay is later: the mill accepts it."
    for days, late in ((5.0, True), (11.0, False)):
        page = make_statement({**case, "assay_days": days}, "us")
        notes = [row[3] for kind, row, _ in page.rows if kind == "row"]
        assert any(told in note for note in notes) == late


def test_a_statement_has_a_code_of_its_own_figures():
    """The code of its terms is the same on every lot; this one is not."""
    case = {**HAND, **IN_ORDER}
    told = [sentences(make_statement(case, "us")) for _ in range(2)]
    told += [
        sentences(make_statement({**case, **given}, "us"))
        for given in (
            {"settle_lot": "Lot 8"},
            {"settle_advances": 2000.01},
            {"settle_date": "2027-05-21"},
        )
    ]
    codes = [re.search(r"Code of these figures: (\S+)\.", one)[1] for one in told]
    assert codes[0] == codes[1] and len({*codes}) == 4
    assert mark_of(run(case)) not in codes
    draft = make_statement({**case, "settle_milled": ""}, "us")
    assert "Code of these figures" not in sentences(draft)


def test_a_price_day_in_other_words_is_for_people_to_compare():
    case = {**HAND, **IN_ORDER, "settle_price_day": "2 March 2027"}
    assert make_statement(case, "us").draft
    assert not make_statement({**case, "price_day": "the mean of March"}, "us").draft
    assert not make_statement(case, "us", provisional=True).draft
    before = {"settle_price_day": "2027-04-12, by the last price before: 2027-04-09"}
    assert not make_statement({**case, **before}, "us").draft


def test_hours_of_zero_under_an_hourly_charge_make_a_draft():
    case = {**HAND, **IN_ORDER, "contract_kind": "by the hour", "settle_hours": 0.0}
    case["terms_mark"] = mark_of(run(case))
    assert "0, though the terms bill hours" in make_statement(case, "us").draft
    page = make_statement({**case, "settle_hours": 12.0}, "us")
    assert "terms bill hours" not in page.draft


@pytest.mark.parametrize(("price", "drafts"), [(3455.0, 0), (34_550.0, 1), (34.55, 1)])
def test_a_price_far_from_the_workbooks_makes_a_draft(price, drafts):
    case = {**HAND, **IN_ORDER, "settle_price": price}
    case["terms_mark"] = mark_of(run(case))
    for provisional in (False, True):
        page = make_statement(case, "us", provisional=provisional)
        assert page.draft.count("is far from the workbook's gold price, 3,44") == drafts
        assert bool(page.draft) == bool(drafts)
    table = first_lot(price=str(price))
    faults = " ".join(Ledger({}, "us", lots_of(table), WAIVED).faults)
    assert faults.count("line 2, Lot 1: Settlement gold price 34") == drafts


def first_lot(**dates):
    """A table with the first of the lots, and its dates."""
    head, first, *_ = LOTS.splitlines()
    lot = dict(zip(head.split(","), first.split(","), strict=True)) | dates
    return f"{','.join(lot)}\n{','.join(lot.values())}"


@pytest.mark.parametrize(
    ("dates", "due"),
    [
        ({"milled": "2027-04-20", "assayed": "2027-04-12"}, "11 May 2027"),
        ({"milled": "2027-04-06", "assayed": "2027-04-12"}, "3 May 2027"),
        ({"assayed": "2027-04-12"}, None),
    ],
)
def test_a_ledger_dates_the_net_of_each_lot(dates, due):
    """21 days after the last of milling and final assay."""
    lots = lots_of(first_lot(weighed="2027-04-01", date="2027-05-20", **dates))
    shown = Ledger({}, "us", lots, WAIVED).columns.get("due")
    assert shown == (due and [due])


def test_a_ledger_names_the_lots_with_wrong_dates(tmp_path):
    dates = {"weighed": "2027-07-06", "date": "2027-07-01", "assayed": "2027-06-30"}
    table = first_lot(**dates)
    made = Ledger({"terms_signed": "2026-06-22"}, "us", lots_of(table), WAIVED)
    (fault,) = made.faults
    assert fault in made.notes
    assert "line 2, Lot 1: Date assayed 2027-06-30 is before Date weighed 2027" in fault
    (tmp_path / "lots.csv").write_text(table)
    plan = pw.example()
    plan.ledger(tmp_path / "ledger.xlsx", tmp_path / "lots.csv", confirm_balance=WAIVED)
    assert any("is before Date weighed" in note for note in plan.notes)


PLAIN = {"silver_payable": 0.0, "hardness_rate": 0.0, "clay_rate": 0.0}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "gold fed is the dry weight times the settlement assay. Gold found is"),
        ({}, "The mill takes out that insurance where a rate is deducted for it"),
        (
            {},
            "within 60 days of milling, as much as an independent laboratory that both",
        ),
        (BOUGHT, "the owner may take it back before it is milled; otherwise the owner"),
        (
            {"contract_kind": "by the hour"},
            "of breakdown and repair are not charged",
        ),
        ({"contract_kind": "cost plus"}, "They count as the cost and contain the perc"),
        (
            {"escalation_share": 0.2},
            "the milling charge x 20% x (index / 100 - 1) is added to the milling",
        ),
        (
            {"escalation_share": 0.2},
            "diesel price of the month in which milling ends; it was 100 when these",
        ),
        ({"umpire_rule": "nearest"}, "nearer one counts, at a tie the umpire's alone"),
        ({}, "the mill measures moisture, work index, clay and sulphides on its part"),
        (PLAIN, "the mill measures moisture and sulphides on its part"),
    ],
)
def test_a_clause_says_what_was_left_open(given, words):
    assert words in sentences(make_quote(given, "us"))


def test_papers_are_written_in_the_words_of_their_reader():
    given = {"contract_kind": "by the ton", "prepared_by": "Mill Inc.", **PLAIN}
    given |= {"customer_name": "Owner Ltd."}
    quoted, settled = make_quote(given, "metric"), make_statement(given, "metric")
    told = sentences(quoted)
    assert "fine silver" not in told
    assert "fine silver" in sentences(make_quote({}, "metric"))
    assert "Contract type: by the tonne. " in sentences(settled)
    for page in (quoted, settled):
        words = sentences(page)
        assert ".." not in words and "cents" not in words
        heads = [cells for kind, cells, _ in page.rows if kind == "heading"]
        assert "Terms: by the tonne" in heads


def test_labels_say_what_two_papers_count():
    labels = [
        {str(cells[0]) for kind, cells, _ in page.rows if kind == "row"}
        for page in (make_quote({}, "us"), make_statement({}, "us"))
    ]
    assert {
        "Owner's metal, less shipment",
        "Net price per ounce in bullion, silver included",
    } <= labels[0]
    assert {
        "Owner's metal, before shipment",
        "Net price per ounce in bullion, without silver",
    } <= labels[1]
