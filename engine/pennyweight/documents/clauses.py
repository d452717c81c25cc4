"""The clauses of the signed page, in words."""

from .dates import due
from .lots import PENALTIES
from .page import with_and
from .terms import BY_PRODUCTS, limits_cleanup, sold_for_owner, steps_used

UMPIRE_RULES = {
    "middle": "the middle of the three assays counts",
    "nearest": "the mean of the umpire's assay and the nearer one counts, at a tie the "
    "umpire's alone",
    "umpire": "the umpire's assay alone counts",
}
LIABILITY = (
    "Title and liability: the owner warrants that the ore is the owner's to mill or "
    "sell, and answers for its permits and taxes. The owner bears the risk of loss on "
    "the way to the mill, and is liable for harm from anything in the ore that was not "
    "declared."
)
BLANK = "______________________________"
"""Blank for a name; the parties fill it in by hand."""
DAYS = "____ days"
"""Blank for a time."""
END = (
    f"End: either party may end these terms by written notice of {DAYS}. Lots weighed "
    "before they end are settled by them."
)
BEYOND_CONTROL = (
    "Events beyond control: neither party answers for a delay by fire, flood, war, "
    "strike or order of an authority while it lasts. Money that is due stays due."
)
DISAGREEMENT = (
    "Disagreement: a party that disagrees with a statement says so in writing within "
    "30 days of receiving it, else it counts as accepted; what is not disputed is paid "
    "on time. Law and courts, as the parties agree: "
    f"{BLANK}"
)

SLAG = "Slag stays with the mill and is not paid for."
TAXES = "sales tax or value-added tax"


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
    yield _lot(buys)
    seen = "reports" if buys else "reports, the mill's log and the refiner's statement"
    yield (
        "Weighing and sampling: the lot is weighed on the mill's scale on arrival. "
        f"Samples are taken by {value('sampling_party')}: a part for each party, and a "
        "sealed one for the umpire. It is kept until the lot is paid, the time to "
        "disagree is over, and any dispute is decided. The owner may see the weights "
        f"and the laboratory's {seen}."
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
        yield _gold_balance(value)
    yield from _account(value, buys)
    if not buys and any(value(f"{what}_owner") == "owner" for what in BY_PRODUCTS):
        yield (
            "Products that belong to the owner are kept at the mill for "
            f"{value('storage_period')}; then they belong to the mill."
        )
    if escalates(value):
        yield (
            "Escalation: the milling charge x "
            f"{value('escalation_share') * 100:g}% x (index / "
            f"{value('escalation_base'):g} - 1) is added to the milling charge; below "
            f"{value('escalation_base'):g} it is deducted. The index is "
            f"{value('escalation_index')} of the month in which milling ends; it was "
            f"{value('escalation_base'):g} when these terms were issued."
        )
    yield f"{LIABILITY} {_risk(buys)}"
    yield DISAGREEMENT
    yield BEYOND_CONTROL
    yield END


def escalates(value):
    """Whether a part of the milling charge follows an index."""
    return value("contract_charge") > 0 and value("escalation_share") > 0


def _lot(buys):
    """Clause on what a lot is, and on the times of the mill."""
    what = "weighed and sampled" if buys else "milled"
    mills = "" if buys else f"mills a lot within {DAYS} of weighing, and "
    after = "the final assay" if buys else "milling and the final assay"
    return (
        f"Lot: ore delivered under one lot number, {what} apart from other ore. The "
        f"mill {mills}issues the final statement within {DAYS} of {after}."
    )


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
        "only where it failed in that. Neither party insures for the other, except for "
        "the insurance in transit that these terms deduct."
    )


def _assays(value, units, money):
    places = 3 if units == "us" else 2
    days = value("assay_days")
    by = f"{days:g} days after weighing" if days else "by the date of the statement"
    late = "; a later one counts only if the mill accepts it" if days else ""
    final = "the last day for reporting one" if days else "the day of the mill's"
    return (
        "Assays: both parties assay. Assays at most "
        f"{_grade(value('split_limit'), units)} apart settle at their mean; "
        f"otherwise {value('umpire_name')} assays the sealed part, and "
        f"{UMPIRE_RULES[value('umpire_rule')]}. The party farther from the umpire pays "
        f"the fee of {money(value('umpire_fee'))}; at a tie each pays half. If the "
        f"owner has reported no assay {by}, the mill's is final{late}. The day of the "
        "final assay is the day of the last assay that the lot is settled by; without "
        f"an owner's assay, {final}. The settlement assay is rounded to "
        f"{_grade(10**-places, units)}."
    )


def _measurements(value):
    """Clause on what is measured beside gold."""
    due = (what.replace("_", " ") for what, rate in PENALTIES.items() if value(rate))
    measured = with_and(["moisture", *due])
    return (
        f"Measurements: the mill measures {measured} on its part of the sample, "
        "moisture on the day of weighing. If the owner disagrees, "
        f"{value('umpire_name')} measures the sealed part, kept airtight, and that "
        "counts. The party farther from it pays the laboratory; at a tie each pays "
        "half."
    )


def _metal(value, money):
    """Clauses on metal that belongs to the owner until it is sold."""
    charged = value("base_metal_charge")
    base = f", {money(charged)} per troy ounce of base metal" if charged else ""
    yield (
        f"Refining: the mill ships the bullion to the refiner, {BLANK}, and sells it "
        f"there for the owner. {value('gold_payable') * 100:g}% of the fine gold in "
        "the bullion is paid for. From this are deducted, on all the fine gold in the "
        f"bullion, {value('insurance_rate') * 100:g}% of its value for insurance in "
        f"transit and {money(value('refining_charge'))} per troy ounce{base}. What is "
        f"left is the net price of gold in bullion. {_silver(value, money)}The mill "
        "takes out that "
        "insurance where a rate is deducted for it; what it pays for a loss is shared "
        "as the metal would have been. These rates apply whatever the refiner charges "
        "the mill. Weights and fineness are those settled with the refiner. Each lot "
        f"bears {money(value('shipment_cost'))} for its shipment, deducted from the "
        f"owner's metal. {SLAG}"
    )
    for product, words in BY_PRODUCTS.items():
        if sold_for_owner(product, value):
            yield (
                f"{words} are sold for the owner: {value(f'{product}_payable') * 100:g}"
                "% of their gold, by weight and assay, is paid at the gold price."
            )
    if value("cleanup_owner") == "owner" or limits_cleanup(value):
        yield (
            "Clean-up gold that belongs to the owner is paid, by weight and assay, at "
            "the net price of gold in bullion, without silver."
        )


def _gold_balance(value):
    """Clause on gold that is missing, and on what is paid for it."""
    return (
        "Gold balance: gold fed is the dry weight times the settlement assay. Gold "
        "found is the gold in bullion, tailings, middlings, slag and clean-up, by "
        "weight and assay; the tailings are taken to weigh "
        f"{value('tailings') * 100:.7g}% of the dry weight. If gold found differs from "
        f"gold fed by more than {value('gap_band') * 100:g}%, the parties look for the "
        "cause. The gold in the bullion is paid for on its due day all the same. If "
        "gold is missing, the mill makes good as much of it as both agree in writing; "
        "if they have not agreed within 60 days of milling, as much as "
        f"{value('umpire_name')} decides by the samples kept. It is paid for at the "
        f"net price of gold in bullion, without silver, {value('refiner_days'):g} days "
        "after the agreement or decision. Each party pays the laboratory half of its "
        "fee for a decision."
    )


def _silver(value, money):
    """What is paid for silver; empty if nothing is."""
    share = value("silver_payable") * 100
    if share == 0:
        return ""
    price = money(value("silver_price"))
    return f"Of the fine silver {share:g}% is paid for, at {price} per troy ounce. "


def _account(value, buys):
    """Clauses on the account and its payment."""
    metal, shipment = ("ore price", "") if buys else ("metal", "shipment, ")
    added = "" if buys else "the payment for missing gold and "
    escalation = "escalation, " if escalates(value) else ""
    yield (
        f"Account: charges, {escalation}penalties, {shipment}the owner's part of the "
        f"umpire fee and advances are deducted from the owner's {metal}; {added}a "
        f"deposit received {'is' if buys else 'are'} added. Either party may set off "
        "balances of the owner's lots that are due against each other; late interest "
        "runs on what remains. Each amount of money is rounded to two decimals, halves "
        "up; totals are sums of the amounts. Nothing else is rounded but the assay."
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
