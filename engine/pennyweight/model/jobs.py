"""Jobs of a workbook, and the lines and inputs that the results of each depend on."""

import functools

import numpy as np

from .inputs import INPUTS, rows_of
from .mill_model import MODEL
from .run import run

EVERYTHING, CLAIM, CONTRACT, LOT = "everything", "claim", "contract", "lot"
TEST, MILL = "test", "mill"
TOLD_BY_VERDICT = (TEST, MILL)
"""Jobs whose verdict is itself that checks passed or failed."""
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
        "agreed_season_margin",
        "agreed_season_left",
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
        "lot_head_margin",
        "lot_recovery",
        "lot_call_factor",
        "lot_gold",
        "lot_caught",
        "lot_button_gold",
        "lot_tailings_grade",
    ),
    MILL: (
        "mill_capacity",
        "required_rate",
        "running_hours_per_day",
        "grinding_energy",
        "mill_power_drawn",
        "mill_motor_load",
        "speed_share",
        "bond_ball_size",
        "ball_charge",
        "ball_charge_hours",
    ),
}
"""Results on the sheet Start, in order."""
HEADLINES[EVERYTHING] = HEADLINES[CLAIM]
MAIN_RESULTS = {
    CLAIM: {"net_present_value": "NPV", "margin_per_ton": "Margin"},
    CONTRACT: {"agreed_margin": "Mill's margin", "agreed_owner_net": "Owner's net"},
    LOT: {"settle_net": "Balance due", "settle_charge": "Milling charge"},
    TEST: {"lot_head": "Head grade", "lot_recovery": "Recovery"},
    MILL: {"mill_capacity": "Mill capacity", "mill_motor_load": "Motor load"},
}
"""Two results for each job with short names, the main one first."""
MAIN_RESULTS[EVERYTHING] = MAIN_RESULTS[CLAIM]
SUBJECT = {
    EVERYTHING: "claim_name",
    CLAIM: "claim_name",
    CONTRACT: "customer_name",
    LOT: "settle_lot",
    TEST: "claim_name",
    MILL: "claim_name",
}
"""Input with the name of the subject of the verdict."""
SPOKEN = {
    EVERYTHING: "claim",
    CLAIM: "claim",
    CONTRACT: "contract",
    LOT: "lot",
    TEST: "test lot",
    MILL: "mill",
}
AGREED_RATES = ("agreed_cost_ton", "agreed_cost_hour", "agreed_cost_laboratory")
SIGNED_RATES = ("signed_ton_rate", "signed_hour_rate", "signed_laboratory")
"""Rates that a settlement takes from the terms, not from the mill's present cost."""
MASSES = (
    *("recovery_source", "lot_mill_feed"),
    *("lot_first_mass", "lot_second_mass", "lot_middlings_mass"),
)
"""Masses of a test lot, which a contract on other rock does not need."""
COMPARED = tuple(
    f"choice_{name}"
    for name in (
        *("grinding_energy", "mill_capacity", "required_rate", "mill_power_drawn"),
        *("mill_motor_load", "speed_share", "diameter_shortfall", "ball_charge"),
        *("ball_wear_rate", "ball_charge_hours", "mill_verdict"),
    )
)
"""What a workbook for a mill compares of other mills: no money."""
HIRED = (
    *("own_mill", "toll_tons", "toll_charge", "toll_share"),
    *("cost_of_hired_mill", "cost_of_hired_mill_per_ton"),
)
"""Whose mill it is, and terms and cost of a hired one: only a claim shows them."""
LIMITS = ("bottleneck", "feed_rate_limit", "mill_motor_load")
"""What limits the plant of a contract."""
BILL = "bill_state"
"""Line shown if a power bill may not fit the hours."""
LOT_USED = "lot_used"
"""Line that is always 1 in a workbook for a test lot."""
TERMS = "Contract: terms and dates"
"""Section of inputs that a quote states, beside those on a disagreement."""
DISAGREEMENT = ("split_limit", "umpire_rule", "umpire_fee", "gap_band")
OWN_SHEETS = (TEST, MILL)
"""Jobs whose must-haves stay on the sheet Inputs, where a claim may enter them, too."""
TEST_REPORT = ("customer_name", "measured_p80", "lot_material")
"""Inputs in the report of a test lot: its owner, the grind, and what rock it was."""


def subject(inputs):
    """Name of the claim, customer or lot; without a name, what it is."""
    job = inputs["job"]
    return inputs[SUBJECT[job]] or f"The {SPOKEN[job]}"


def _answers(job):
    """Results of a job, and lines and inputs taken as known."""
    if job == CLAIM:
        compared = _compared("ore", "plant") & MODEL.lines.keys()
        return ("verdict", "internal_rate", BILL, *HEADLINES[CLAIM], *compared), ()
    if job == TEST:
        return _of_test_lot(), (LOT_USED,)
    if job == MILL:
        more = {"liner_wear_rate", "hammer_life", *_compared("mill")} - INPUTS.keys()
        return ("mill_verdict", *more, *HEADLINES[MILL], *COMPARED), HIRED
    contract = [line for line in MODEL.lines.values() if line.sheet == "Contract"]
    parts = {CONTRACT: [*LIMITS], LOT: []}
    for line in contract:
        settled = line.section.startswith("Settlement")
        parts[LOT if settled else CONTRACT].append(line.name)
    known = (*MASSES, *HIRED)
    return parts[job], (*known, *AGREED_RATES) if job == LOT else known


def _of_test_lot():
    """Lines of a test lot, without gold by grain size, which only plans need."""
    return [
        line.name
        for line in MODEL.lines.values()
        if line.sheet == "Test lot" and not line.section.startswith("Gold by grain")
    ]


def _compared(*subjects):
    """Lines and inputs that the checks of ore, plant or mill compare."""
    rows = [row for row in rows_of("checks.csv") if row["of"] in subjects]
    return {row[side] for row in rows for side in ("actual", "expected")}


def precedents(names, known=()):
    """Lines and inputs that named lines depend on, the named lines included.

    Parameters
    ----------
    names, known : sequence of str
        Lines wanted, and lines and inputs taken as known.

    Returns
    -------
    lines, inputs : set of str
    """
    lines, known = MODEL.needed(names, known), {*known}
    read = {read for name in lines - known for read in MODEL.lines[name].parameters}
    return lines, INPUTS.keys() & read - known


@functools.cache
def rests_on(job):
    """Lines and inputs that the results and checks of a job depend on.

    Parameters
    ----------
    job : {"everything", "claim", "contract", "lot", "test", "mill"}

    Returns
    -------
    lines, inputs : frozenset of str
        Texts are included if numbers of their section are.
    """
    if job == EVERYTHING:
        return frozenset(MODEL.lines), frozenset(INPUTS) - {"job"}
    lines, inputs = precedents(*_answers(job))
    inputs |= _compared("ore", "plant") & INPUTS.keys() if job == CLAIM else set()
    inputs |= {*SIGNED_RATES} if job == LOT else set()
    inputs |= {"charges_agreed"} if job in (CONTRACT, LOT) else set()
    sections = {INPUTS[name].section for name in inputs} | {INPUTS["job"].section}
    texts = {n for n, e in INPUTS.items() if e.kind == "text" and e.section in sections}
    told = {*TEST_REPORT} if job == TEST else set()
    told |= {*DISAGREEMENT, *_terms()} if job == CONTRACT else set()
    lines -= {*MASSES} if job in (CONTRACT, LOT) else set()
    lines -= {*HIRED} if job != CLAIM else set()
    if any(INPUTS[name].is_money for name in inputs):
        inputs |= {"exchange_rate"}  # of their estimates
    return frozenset(lines), frozenset(inputs | texts | told) - {"job"}


def _terms():
    return (name for name, entry in INPUTS.items() if entry.section == TERMS)


SETTLED, BUYS = "Settlement lot", "agreed_purchase"


@functools.cache
def settled_on():
    """Contract types under which the payment of a lot depends on each of its figures.

    Found by changing each figure of the example alone. The gold balance is a condition
    of payment, unless the mill buys the ore.

    Returns
    -------
    kinds : dict of str to tuple of str
        By input of the lot.
    """
    figures = [n for n, e in INPUTS.items() if e.section == SETTLED and e.numeric]
    kinds, one = INPUTS["contract_kind"].choices, len(figures) + 1
    moved = {n: np.full((len(kinds), one), INPUTS[n].example) for n in figures}
    for at, name in enumerate(figures):
        moved[name][:, at] *= 1.01
    # Every penalty is due, so that the figures that it depends on count.
    limits = {n: e.minimum for n, e in INPUTS.items() if n.startswith("allowed_")}
    cases = {name: cells.ravel() for name, cells in moved.items()}
    cases["contract_kind"] = np.repeat(kinds, one)
    answers = ("settle_net", "settle_gap")
    values = run({**limits, **cases}, wanted=(*answers, BUYS))
    net, gap, bought = (values[n].reshape(len(kinds), one) for n in (*answers, BUYS))
    depends = (net != net[:, -1:]) | (gap != gap[:, -1:]) & (bought != "yes")
    return {
        name: tuple(kind for kind, row in zip(kinds, depends, strict=True) if row[at])
        for at, name in enumerate(figures)
    }
