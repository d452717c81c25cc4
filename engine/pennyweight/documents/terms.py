"""Terms of quote, statement and ledger: in words, and their code.

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
from .dates import due
from .lots import PENALTIES

NOT_TERMS = (
    *("quote_valid_until", "terms_signed", "terms_mark", "custom_work_index"),
    *("custom_clay", "custom_sulphides", "cleanup_share"),
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
LATER = ("assay_days", "least_lot_charge", "purchase_least_deduction")
BY_PRODUCTS = {"middlings": "Middlings", "tails": "Tailings"}
OWNERS = ("cleanup_owner", *(f"{product}_owner" for product in BY_PRODUCTS))
AGREED = (
    *("agreed_per_ton", "agreed_per_hour", "agreed_share", "agreed_lot_charge"),
    *AGREED_RATES,
)
RULES = {
    "middle": "the middle of the three assays counts",
    "nearest": "the mean of the umpire's assay and the nearer one counts, at a tie the "
    "umpire's alone",
    "umpire": "the umpire's assay alone counts",
}
WORDS = (
    *("terms_number", "terms_version", "terms_issued", "terms_signed", "terms_mark"),
    *("sampling_party", "umpire_name", "price_source", "price_day"),
    *("storage_period", "escalation_index"),
    *("settle_weighed", "settle_milled", "settle_assayed"),
    *("settle_agreed", "settle_agreed_by", "settle_price_day", "settle_date"),
)
"""Text inputs that are only used on papers."""
LIABILITY = (
    "Title and liability: the owner warrants that the ore is the owner's to mill or "
    "sell, and answers for its permits and taxes. The owner bears the risk of loss on "
    "the way to the mill, and answers for harm from anything that the ore contains "
    "undeclared."
)
DISAGREEMENT = (
    "Disagreement: a party that disagrees with a statement says so in writing within "
    "30 days of receiving it, else it counts as accepted; what is not disputed is paid "
    "on time. Law and courts, as the parties agree: ______________________________"
)

SLAG = "Slag stays with the mill and is not paid for."
TAXES = "sales tax or value-added tax"
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
    names = [n for n in names if n not in LATER]
    later = LATER if buys else LATER[:-1]
    names += [n for n in (*later, "base_metal_charge") if value(n) > 0]
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


def mark_of(values, former=False):
    """The code of the terms: eight digits of a checksum; `former` as for `terms_of`."""
    shown = {
        name: f"{value:.9g}" if isinstance(value, float) else str(value)
        for name, value in terms_of(values, former).items()
    }
    digest = hashlib.sha256(json.dumps(shown, sort_keys=True).encode()).hexdigest()
    return f"{digest[:4]}-{digest[4:8]}".upper()


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


def money_in(currency):
    """Sentence on the currency of a paper."""
    return f"Money is {currency}, before {TAXES}."


def clauses(value, units, money):
    """The clauses of the signed page, which the statement applies.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.
    units : {"us", "metric"}
    money : callable
        Gives an amount with its currency.

    Yields
    ------
    clause : str
    """
    buys = value("agreed_purchase") == "yes"
    seen = "reports" if buys else "reports, the mill's log and the refiner's statement"
    yield (
        "Weighing and sampling: the lot is weighed on the mill's scale on arrival. "
        f"Samples are taken by {value('sampling_party')}: a part for each party, and a "
        "sealed one for the umpire, kept until the balance is paid. The owner may see "
        f"the weights and the laboratory's {seen}."
    )
    yield _assays(value, units, money)
    yield _measurements(value)
    yield (
        f"Price: {value('price_source')}, in {value('currency')}. Day or period: "
        f"{value('price_day')}; if no price is published that day, the last one before."
    )
    yield f"Taxes: the party that must charge {TAXES} adds it on its invoice."
    if buys:
        yield _ore_price(value, units)
    else:
        yield from _metal(value, money)
    yield from _account(value, buys)
    if not buys and "owner" in {value(name) for name in OWNERS}:
        yield (
            "Products that belong to the owner are kept at the mill for "
            f"{value('storage_period')}; then they belong to the mill."
        )
    if value("escalation_share") > 0:
        yield (
            f"Escalation: {value('escalation_share') * 100:g}% of the milling charge "
            f"follows {value('escalation_index')} of the month in which the lot is "
            f"milled; it was {value('escalation_base'):g} when these terms were issued."
        )
    yield f"{LIABILITY} {_risk(buys)}"
    yield DISAGREEMENT


def _ore_price(value, units):
    """Clause on the price of ore that the mill buys."""
    steps = steps_used(value)
    share = (
        "The payable share rises evenly with the assay from the low to the high grade "
        "of the schedule, and is constant outside."
    )
    if steps:
        schedule = ", ".join(
            f"{value(share) * 100:g}% from {_grade(value(grade), units)}"
            for grade, share in steps
        )
        share = (
            f"The payable share is {schedule}, by the settlement assay before any "
            "deduction; below, no gold is paid for, and the treatment charge is owed."
        )
    least = value("purchase_least_deduction")
    at_most = f"At most the assay less {_grade(least, units)} is paid for. " * (
        least > 0
    )
    return (
        "Ore price: the settlement assay less the unit deduction, times the payable "
        "share, at the gold price less the price deduction; less the treatment charge. "
        f"{at_most}{share} If a lot is worth less than its treatment, the owner may "
        "take it back before it is milled; otherwise the owner owes the difference."
    )


def _grade(value, units):
    return f"{value:g} {'oz/ton' if units == 'us' else 'g/t'}"


def _risk(buys):
    """Sentence on title and risk of loss from the mill's gate to the payment."""
    if buys:
        return "Title and risk pass to the mill once the lot is weighed and sampled."
    return (
        "From the scale to the refiner the mill owes ordinary care, and bears a loss "
        "only where it failed in that. Neither party insures for the other, but for "
        "the insurance in transit that these terms deduct."
    )


def _assays(value, units, money):
    places = 3 if units == "us" else 2
    days = value("assay_days")
    by = f"{days:g} days after weighing" if days else "by the date of the statement"
    return (
        "Assays: both parties assay. Assays at most "
        f"{_grade(value('split_limit'), units)} apart settle at their mean; "
        f"otherwise {value('umpire_name')} assays the sealed part, and "
        f"{RULES[value('umpire_rule')]}. The party farther from the umpire pays the "
        f"fee of {money(value('umpire_fee'))}; at a tie each pays half. If the owner "
        f"has reported no assay {by}, the mill's is final. The settlement "
        f"assay is rounded to {_grade(10**-places, units)}."
    )


def _measurements(value):
    """Clause on what is measured beside gold."""
    due = (what.replace("_", " ") for what, rate in PENALTIES.items() if value(rate))
    measured = ["moisture", *due]
    named = " and ".join(filter(None, (", ".join(measured[:-1]), measured[-1])))
    return (
        f"Measurements: the mill measures {named} on its part of the sample, moisture "
        "on the day of weighing. If the owner disagrees, "
        f"{value('umpire_name')} measures the sealed part, kept airtight, and that "
        "counts."
    )


def _metal(value, money):
    """Clauses on metal that belongs to the owner until it is sold."""
    charged = value("base_metal_charge")
    base = f", {money(charged)} per troy ounce of base metal" if charged else ""
    yield (
        f"Refining: {value('gold_payable') * 100:g}% of the fine gold in the bullion "
        f"is paid for, less {value('insurance_rate') * 100:g}% of its value for "
        f"insurance in transit and {money(value('refining_charge'))} per troy ounce of "
        f"it{base}{_silver(value, money)}. The mill takes out that insurance where a "
        "rate is deducted for it; what it pays for a loss is shared as the metal would "
        "have been. These rates apply whatever "
        "the refiner charges the mill. Weights and fineness are those settled with the "
        f"refiner. Each lot bears {money(value('shipment_cost'))} for its shipment, "
        f"deducted from the owner's metal. {SLAG}"
    )
    for product, words in BY_PRODUCTS.items():
        if sold_for_owner(product, value):
            yield (
                f"{words} are sold for the owner: {value(f'{product}_payable') * 100:g}"
                "% of their gold, by weight and assay, is paid at the gold price."
            )
    yield (
        "Gold balance: gold fed is the dry weight times the settlement assay. Gold "
        "found is the gold in bullion, tailings, middlings, slag and clean-up, by "
        "weight and assay; the tailings are taken to weigh "
        f"{value('tailings') * 100:.7g}% of the dry weight. If gold found differs from "
        f"gold fed by more than {value('gap_band') * 100:g}%, the balance is disputed: "
        "the mill pays what it does not dispute, and the rest when both parties have "
        "agreed on the cause in writing. If they have not agreed within 60 days of "
        f"milling, {value('umpire_name')} decides by the samples kept."
    )


def _silver(value, money):
    """What is paid for silver; empty if nothing is."""
    share = value("silver_payable") * 100
    if share == 0:
        return ""
    price = money(value("silver_price"))
    return f"; and {share:g}% of the fine silver at {price} per troy ounce"


def sold_for_owner(product, value):
    """Whether a by-product belongs to the owner and a buyer pays for its gold."""
    return value(f"{product}_owner") == "owner" and value(f"{product}_payable") > 0


def _account(value, buys):
    """Clauses on the account and its payment."""
    metal, shipment = ("ore price", "") if buys else ("metal", "shipment, ")
    escalation = "escalation, " if value("escalation_share") > 0 else ""
    yield (
        f"Account: charges, {escalation}penalties, {shipment}the owner's part of the "
        f"umpire fee and advances are deducted from the owner's {metal}; a deposit "
        "received is added. Either party may set off balances of the owner's lots that "
        "are due against each other; late interest runs on what remains. Each "
        "amount of money is rounded to two decimals, halves up; totals are sums "
        "of the amounts. Nothing else is rounded but the assay."
    )
    yield (
        f"Payment: a balance due to the owner is paid {due(value, True)}. A balance "
        f"that the owner owes is paid {due(value, False)}. Late payment bears "
        f"simple interest of {value('late_rate') * 100:g}% per year of 365 days."
    )
    if value("provisional_share") > 0:
        yield (
            "Provisional payment: the mill may make a provisional statement, on the "
            "weights, assays and price known then, and with it pays "
            f"{value('provisional_share') * 100:g}% of a balance due to the owner. The "
            "final statement deducts it; the owner pays back what exceeds the final "
            "balance."
        )
