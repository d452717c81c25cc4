"""Terms of quote, statement and ledger: which they are, and their code.

The code is a checksum of all terms. A signed quote shows it. Once it is entered in the
workbook, a statement or ledger with other terms is refused. A draft has no code.
"""

import hashlib
import json
import re

from ..errors import WorkbookError
from ..model.currency import foreign
from ..model.entries import estimated_charges
from ..model.inputs import INPUTS, families
from ..model.jobs import AGREED_RATES, SIGNED_RATES
from ..model.mill_model import MODEL
from ..workbook.layout import entry_place

NOT_TERMS = (
    *("quote_valid_until", "terms_signed", "terms_mark", "custom_work_index"),
    *("custom_clay", "custom_sulphides", "cleanup_share", "charges_agreed"),
    *SIGNED_RATES,  # they are among the rates agreed
)
"""Inputs of the sections below that are not terms: dates, and figures of a lot."""
SECTIONS = (
    "Contract: customer and type",
    "Contract: terms and dates",
    "Contract: charges and penalties",
)
COMMON = (
    *("split_limit", "umpire_rule", "umpire_fee", "gap_band", "currency"),
    *("gold_payable", "insurance_rate", "refining_charge", "silver_payable"),
    *("silver_price", "shipment_cost", "refiner_days", "prepared_by"),
)
PURCHASE = "Contract: ore purchase"
BY_PRODUCTS = {"middlings": "Middlings", "tails": "Tailings"}
AGREED = (
    *("agreed_per_ton", "agreed_per_hour", "agreed_share", "agreed_lot_charge"),
    *AGREED_RATES,
)
WORDS = (
    *("terms_number", "terms_version", "terms_issued", "terms_signed", "terms_mark"),
    *("sampling_party", "umpire_name", "price_source", "price_day"),
    *("storage_period", "escalation_index"),
    *("settle_weighed", "settle_milled", "settle_assayed"),
    *("settle_agreed", "settle_agreed_by", "settle_price_day", "settle_date"),
)
"""Text inputs that are only used on papers."""
MARK = re.compile("[0-9A-F]{4}-[0-9A-F]{4}")
NOT_SIGNED = "NONE"
"""Entry in place of a code while no terms are signed."""


def uses_estimated_cost(value, given):
    """Whether cost-plus rates follow from a cost of the mill that is estimated."""
    if value("terms_on_cost") != "yes" or value("signed_hour_rate") > 0:
        return False
    lines = MODEL.needed(AGREED_RATES)
    reads = {read for name in lines for read in MODEL.lines[name].parameters}
    return not (reads & {*INPUTS}) - {*SIGNED_RATES} <= {*given}


def estimated_terms(page, given, other=()):
    """Labels of terms on a paper that are estimates, prices first.

    Parameters
    ----------
    page : Page
    given : collection of str
        Inputs for which there is the user's figure.
    other : collection of str
        Inputs on the page that are not terms; those of the lot milled never are.

    Returns
    -------
    labels : list of str
        The mill's cost and the agreed charges before all others.
    """
    signed = ("terms_markup",) if page.found("signed_hour_rate") > 0 else ()
    unchanged = [
        name
        for name in estimated_charges(page.book, page.units)
        if not name.startswith(signed)
    ]
    figures = [n for n in INPUTS if n in page.inputs and INPUTS[n].kind != "text"]
    terms = [n for n in figures if not n.startswith("settle_")]
    estimated = [n for n in terms if n not in given and n not in other]
    estimated.sort(key=lambda name: not INPUTS[name].unit.startswith("$"))
    on_estimates = uses_estimated_cost(page.found, given)
    labels = [INPUTS[n].label for n in (*unchanged, *estimated)]
    return ["the mill's cost"] * on_estimates + labels + _price_without_rate(page)


def _price_without_rate(page):
    """The price source, if its usual words leave an exchange rate open."""
    usual = page.found("price_source") == INPUTS["price_source"].estimate
    if not (usual and foreign(page.found("currency"))):
        return []
    rate = f"name the exchange rate to {page.found('currency')}, its source and day"
    return [f"{INPUTS['price_source'].label} ({rate})"]


def terms_of(values, former=False):
    """The terms by name, as the papers apply them.

    Parameters
    ----------
    values : mapping
        Of a workbook, as given by `run`.
    former : bool
        As codes of earlier versions covered them: without the weight of the tailings
        and the middlings sold.

    Returns
    -------
    terms : dict of str to float or str
    """

    def value(name):
        return values[name].item()

    buys = value("agreed_purchase") == "yes"
    sections = (*SECTIONS, PURCHASE) if buys else SECTIONS
    names = [n for n, e in INPUTS.items() if e.section in sections and not e.over]
    names = [n for n in (*names, *COMMON, *AGREED) if n not in NOT_TERMS]
    steps = [name for step in steps_used(value) for name in step]
    # Later terms count only if they are used, so that earlier codes stay valid.
    used = {
        "assay_days": value("assay_days") > 0,
        "least_lot_charge": value("least_lot_charge") > 0,
        "purchase_least_deduction": buys and value("purchase_least_deduction") > 0,
        "cleanup_limit": not buys and limits_cleanup(value),
        "base_metal_charge": value("base_metal_charge") > 0,
    }
    names = [n for n in names if n not in used]
    names += [name for name, applies in used.items() if applies]
    names += steps if buys else []
    if not (buys or former):
        sold = [p for p in BY_PRODUCTS if sold_for_owner(p, value)]
        names += ["tailings", *(f"{name}_payable" for name in sold)]
    return {name: value(name) for name in (*names, "agreed_purchase")}


def steps_used(value):
    """Payable steps that are entered, each as grade and share.

    Parameters
    ----------
    value : callable
        Gives the value of an input.

    Returns
    -------
    steps : list of (str, str)
    """
    rows = zip(families()["step_from"], families()["step_paid"], strict=True)
    return [(grade, share) for grade, share in rows if value(share) > 0]


def limits_cleanup(value):
    """Whether the mill keeps clean-up gold up to a limit, and no more."""
    return value("cleanup_owner") == "mill" and value("cleanup_limit") < 1


def sold_for_owner(product, value):
    """Whether a by-product belongs to the owner and a buyer pays for its gold."""
    return value(f"{product}_owner") == "owner" and value(f"{product}_payable") > 0


def mark_of(values, former=False):
    """The code of the terms; `former` as for `terms_of`."""
    return code_of(terms_of(values, former))


def code_of(figures):
    """The code of figures and words by name: eight digits of a checksum."""
    shown = {
        name: f"{value:.9g}" if isinstance(value, float) else str(value)
        for name, value in figures.items()
    }
    digest = hashlib.sha256(json.dumps(shown, sort_keys=True).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}".upper()


def told_code(figures, paper):
    """Sentence with the code of a paper's own figures."""
    return (
        f"Code of these figures: {code_of(figures)}. A copy can be altered: ask the "
        f"mill whether its own {paper} has this code."
    )


def signed(values):
    """The code of the signed page as entered; empty without one."""
    entered = values["terms_mark"].item().strip().upper()
    return "" if entered == NOT_SIGNED else entered


def _signed_formerly(values):
    """Whether the code entered is that of an earlier version, and fits the terms."""
    entered = signed(values)
    return entered != mark_of(values) and entered == mark_of(values, former=True)


def refuse_other_terms(values):
    """Raise when signed terms were entered and the workbook now has others.

    Raises
    ------
    WorkbookError
    """
    entered = signed(values)
    if _signed_formerly(values):
        return
    place = f"{entry_place('terms_mark')}, {INPUTS['terms_mark'].label}"
    if entered and not MARK.fullmatch(entered):
        raise WorkbookError(
            f"{place}: {entered} is not a code. Enter the one on the signed page, such "
            "as 1A2B-3C4D, or none."
        )
    if entered and entered != mark_of(values):
        raise WorkbookError(
            f"The terms in the workbook differ from the signed ones ({place}: "
            f"{entered}). "
            "Enter the terms of the signed page again; or issue a new version, have "
            "it signed, and enter its code."
        )


def key_of(values):
    """Key of the terms: number/version."""
    number, version = (values[n].item() for n in ("terms_number", "terms_version"))
    return f"{number}/{version or 1}"


def citation(values, draft=False):
    """Sentence on the terms that a paper follows; on a draft without their code."""
    value = {name: values[name].item() for name in WORDS}
    number = value["terms_number"] or "without a number"
    dates = "".join(
        f", {word} {value[name]}"
        for word, name in (("issued", "terms_issued"), ("signed", "terms_signed"))
        if value[name]
    )
    version = f"version {value['terms_version'] or 1}"
    mark = mark_of(values, former=_signed_formerly(values))
    code = "A draft: it has no code." if draft else f"Code {mark}."
    return f"Terms {number}, {version}{dates}. {code}"


def unchecked(values):
    """What a statement says of terms that were not checked against the signed page."""
    if _signed_formerly(values):
        return (
            "The code of the signed page is of an earlier version. It does not cover "
            "the weight of the tailings and what is paid for middlings: both parties "
            "compare these with the signed page."
        )
    if signed(values):
        return ""
    return (
        "The code of the signed page was not entered, so nothing was checked against "
        "it: both parties compare these terms with the signed page."
    )


def running_title(page, whose, draft):
    """What stands above every printed page: the paper, its terms, and whose it is."""
    number, _, version = key_of(page.book).rpartition("/")
    terms = f"terms {number}/{version}" if number else f"terms, version {version}"
    code = "a draft" if draft else f"code {mark_of(page.book)}"
    return f"{page.sheet}: {terms}, {code}. {whose}"
