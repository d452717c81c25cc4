"""The jobs that a workbook can be for, and what the answer of each rests on."""

import functools

import numpy as np

from .inputs import INPUTS
from .mill_model import MODEL
from .run import run

EVERYTHING, CLAIM, CONTRACT, LOT = "everything", "claim", "contract", "lot"
TEST = "test"
HEADLINES = {
    CLAIM: (
        "net_return_per_ton",
        "cost_per_ton",
        "margin_per_ton",
        "break_even_grade",
        "break_even_gold_price",
        "peak_funding",
        "net_present_value",
        "owner_payback_month",
    ),
    CONTRACT: (
        "milling_cost_per_ton",
        "milling_cost_per_hour",
        "agreed_income",
        "agreed_margin",
        "agreed_owner_net",
        "season_load",
        "custom_hours",
        "custom_feed_rate",
    ),
    LOT: (
        "settle_assay",
        "settle_gold_fed",
        "settle_found",
        "settle_gap",
        "settle_metal",
        "settle_charge",
        "settle_penalties",
        "settle_net",
    ),
    TEST: (
        "lot_head",
        "lot_recovery",
        "lot_call_factor",
        "lot_gold",
        "lot_caught",
        "lot_button_gold",
        "lot_screened",
        "lot_tailings_grade",
    ),
}
"""Results on the sheet Start, in the order of reading."""
HEADLINES[EVERYTHING] = HEADLINES[CLAIM]
SUBJECT = {
    EVERYTHING: "claim_name",
    CLAIM: "claim_name",
    CONTRACT: "customer_name",
    LOT: "settle_lot",
    TEST: "claim_name",
}
"""The input that names what is judged."""
SPOKEN = {
    EVERYTHING: "claim",
    CLAIM: "claim",
    CONTRACT: "contract",
    LOT: "lot",
    TEST: "test lot",
}
AGREED_RATES = ("agreed_cost_ton", "agreed_cost_hour", "agreed_cost_laboratory")
SIGNED_RATES = ("signed_ton_rate", "signed_hour_rate", "signed_laboratory")
"""A settlement takes them from the terms, whatever the mill's cost was since."""
MASSES = (
    *("recovery_source", "lot_mill_feed"),
    *("lot_first_mass", "lot_second_mass", "lot_middlings_mass"),
)
"""Of a test lot, which a contract on other rock does not ask for."""
BILL = "bill_state"
"""Shown where a power bill may not fit the hours."""
LOT_USED = "lot_used"
"""A workbook for a test lot uses it without being told."""
TOLD_OF_TEST = ("customer_name", "measured_p80")
"""The report of a test lot names its owner, and the grind at which it was milled."""


def subject(inputs):
    """The name of the claim, the customer or the lot; without one, what it is."""
    job = inputs["job"]
    return inputs[SUBJECT[job]] or f"The {SPOKEN[job]}"


def _answers(job):
    """Lines that a job asks for, and lines and inputs at which it asks no further."""
    if job == CLAIM:
        return ("verdict", "internal_rate", BILL, *HEADLINES[CLAIM]), ()
    if job == TEST:
        return _of_test_lot(), (LOT_USED,)
    contract = [line for line in MODEL.lines.values() if line.sheet == "Contract"]
    parts = {CONTRACT: [], LOT: []}
    for line in contract:
        settled = line.section.startswith("Settlement")
        parts[LOT if settled else CONTRACT].append(line.name)
    return parts[job], (*MASSES, *AGREED_RATES) if job == LOT else MASSES


def _of_test_lot():
    """What the lot carried; its gold by grain size is for plans at other grinds."""
    return [
        line.name
        for line in MODEL.lines.values()
        if line.sheet == "Test lot" and not line.section.startswith("Gold by grain")
    ]


def precedents(names, known=()):
    """Lines and inputs that named lines rest on, these lines among them.

    Parameters
    ----------
    names, known : sequence of str
        Lines, and lines and inputs at which to ask no further.

    Returns
    -------
    lines, inputs : set of str
    """
    waiting, lines, inputs = list(names), set(known), set()
    while waiting:
        name = waiting.pop()
        if name not in lines:
            lines.add(name)
            line = MODEL.lines[name]
            inputs |= INPUTS.keys() & set(line.parameters) - set(known)
            waiting += MODEL.precedents(line)
    return lines, inputs


@functools.cache
def rests_on(job):
    """Lines and inputs that the answers of a job rest on.

    Parameters
    ----------
    job : {"everything", "claim", "contract", "lot", "test"}

    Returns
    -------
    lines, inputs : frozenset of str
        Texts of the papers count where figures of their section do.
    """
    if job == EVERYTHING:
        return frozenset(MODEL.lines), frozenset(INPUTS) - {"job"}
    lines, inputs = precedents(*_answers(job))
    inputs |= {*SIGNED_RATES} if job == LOT else set()
    sections = {INPUTS[name].section for name in inputs} | {INPUTS["job"].section}
    texts = {n for n, e in INPUTS.items() if e.kind == "text" and e.section in sections}
    told = {*TOLD_OF_TEST} if job == TEST else set()
    lines -= {*MASSES} if job in (CONTRACT, LOT) else set()
    return frozenset(lines), frozenset(inputs | texts | told) - {"job"}


SETTLED, BUYS = "Settlement lot", "agreed_purchase"


@functools.cache
def settled_on():
    """Contract types under which the payment of a lot rests on each figure of it.

    Found by moving each figure of the example alone. The gold balance is a condition
    of payment unless the mill buys the ore.

    Returns
    -------
    kinds : dict of str to tuple of str
        By input of the section of the lot.
    """
    figures = [n for n, e in INPUTS.items() if e.section == SETTLED and e.numeric]
    kinds, one = INPUTS["contract_kind"].choices, len(figures) + 1
    moved = {n: np.full((len(kinds), one), INPUTS[n].example) for n in figures}
    for at, name in enumerate(figures):
        moved[name][:, at] *= 1.01
    # Every penalty is due, so that what it rests on counts.
    limits = {n: e.minimum for n, e in INPUTS.items() if n.startswith("allowed_")}
    cases = {name: cells.ravel() for name, cells in moved.items()}
    cases["contract_kind"] = np.repeat(kinds, one)
    answers = ("settle_net", "settle_gap")
    values = run({**limits, **cases}, wanted=(*answers, BUYS))
    net, gap, bought = (values[n].reshape(len(kinds), one) for n in (*answers, BUYS))
    rests = (net != net[:, -1:]) | (gap != gap[:, -1:]) & (bought != "yes")
    return {
        name: tuple(kind for kind, row in zip(kinds, rests, strict=True) if row[at])
        for at, name in enumerate(figures)
    }
