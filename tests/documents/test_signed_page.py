"""What the signed page says beside the figures: parties, title, payment, dispute."""

import pytest

import pennyweight as pw
from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import read_lots
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.documents.terms import mark_of
from pennyweight.model.jobs import SIGNED_RATES
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows

from .test_statement import HAND, LOTS, WAIVED, of_customers, sentences


def lots_of(text):
    return read_lots(csv_rows(text, WHAT), "us")


def test_parties_scope_and_what_happens_when_they_disagree():
    told = sentences(make_quote({}, "us"))
    for words in (
        "The mill is Tessing Fork custom mill; the owner is Umberlow Bench claims.",
        "apply to each lot of the owner's ore that the mill accepts",
        "Slag stays with the mill and is not paid for.",
        "says so in writing before the balance is due",
        "Law and courts, as the parties agree: ____",
        "a sealed one for the umpire, kept until the balance is paid",
    ):
        assert words in told
    assert "Title and risk pass to the mill once" not in told
    bought = sentences(make_quote({"contract_kind": "purchase"}, "us"))
    assert "Title and risk pass to the mill once the lot is weighed" in bought


def test_a_quote_that_names_no_mill_is_a_draft():
    page = make_quote({"prepared_by": ""}, "us")
    assert page.draft.endswith("These figures are estimates: the mill's name.")
    assert not make_quote({}, "us").draft


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"middlings_payable": 0.6}, "Middlings are sold for the owner: 60% of their"),
        ({"escalation_share": 0.3}, "charges, escalation, penalties, shipment,"),
        ({"terms_share_05": 0.2}, "until it is sold, less the mill's share below."),
    ],
)
def test_a_clause_stands_on_the_page_where_its_term_applies(given, words):
    none = dict.fromkeys(given, 0.0)
    assert words in sentences(make_quote(given, "us"))
    assert words not in sentences(make_quote(none, "us"))


def test_no_provisional_payment_and_nothing_kept_for_the_owner():
    mills = dict.fromkeys(("cleanup_owner", "middlings_owner", "tails_owner"), "mill")
    told = sentences(make_quote({"provisional_share": 0.0, **mills}, "us"))
    assert "Provisional" not in told and "are kept at the mill" not in told


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"settle_milled": "9 July 2026"}, "Due 30 July 2026, 21 days after milling."),
        ({"settle_milled": "2026-12-20"}, "Due 10 January 2027, 21 days after"),
        ({"settle_milled": "7/9/2026"}, "Due 21 days after milling."),
        (
            {"settle_advances": 40_000.0, "settle_date": "July 1, 2026"},
            "Due 15 July 2026, 14 days after the statement.",
        ),
    ],
)
def test_the_day_on_which_a_balance_is_due(given, words):
    page = make_statement({**HAND, **given}, "us", WAIVED)
    assert page.rows[2][1][3].startswith(words)


def test_a_ledger_under_terms_that_nobody_entered_is_a_draft():
    plan = pw.Plan(contract_kind="by the ton", terms_number="T-26-03")
    made = Ledger(plan.inputs, "us", lots_of(LOTS), WAIVED, given=[plan.given])
    assert "estimates: Tonnage charge, contract type by the ton, " in made.draft
    assert "Deposit" not in made.draft  # a column of the table
    assert made.draft.endswith(plan.statement_draft(ledger=True))
    assert made.draft in made.notes
    assert not Ledger({}, "us", lots_of(LOTS)).draft


def test_a_ledger_says_whose_lots_follow_terms_of_another_customer():
    notes = " ".join(Ledger({}, "us", lots_of(of_customers(4))).notes)
    told = "These terms name Umberlow Bench claims; lots of Quernhope partners follow"
    assert told in notes
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
