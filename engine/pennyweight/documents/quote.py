"""The customer's quote: terms, charges and the customer's net, with live formulas.

It has the terms of the agreed contract type. It does not show the mill's cost, except
for the cost-plus charges that follow from it, which are the offer.
"""

import numpy as np

from ..model.inputs import INPUTS
from ..model.jobs import AGREED_RATES
from ..model.lines.contract.sides import cost_charge
from ..model.mill_model import MODEL
from ..model.run import run
from ..model.units import TON
from ..trade import contracts
from .clauses import clauses, escalates, money_in
from .dates import OF_TERMS, date_faults
from .lots import PENALTIES
from .page import ON_CONTRACT, UNITS_IN_WORDS, Page, draft_words, with_and
from .requirements import refuse_missing
from .statement import put_schedule
from .terms import (
    BY_PRODUCTS,
    citation,
    estimated_terms,
    limits_cleanup,
    running_title,
    sold_for_owner,
)

LOT = ("custom_wet_tons", "custom_moisture", "custom_grade", "gold_price")
WET = ("allowed_moisture", "moisture_rate")
TERMS = ("terms_per_ton", "terms_per_hour", "terms_share", "contract_lot_charge")
REFINER = (
    *("furnace_recovery", "cleanup_share", "gold_payable", "insurance_rate"),
    *("refining_charge", "shipment_cost", "silver_credit"),
)
METAL = (
    *("custom_melted", "custom_cleanup", "custom_bullion"),
    "bullion_payable",
)
CAUTIONS = (
    "This quote is an estimate for the figures above. It does not promise gold: the "
    "lot's grade and recovery and the gold price may differ. The lot is settled on its "
    "own dry weight, samples and assays.",
    "Silica dust from quartz damages the lungs. The mill may refuse ore that contains "
    "mercury, cyanide or explosives. The owner is responsible for "
    "title, permits and taxes of the ore.",
    "This page states how the lot is settled. Have a lawyer read it before you sign.",
)


NEEDED = ("customer_name", "contract_kind", "quote_valid_until", "gold_price")
OWNERS = ("owner_ton_cost",)
"""Figures for the customer to enter."""
MILL_MISSING = "______________________________"
"""Blank for the name of the mill."""


def make_quote(inputs, units, given=INPUTS):
    """Make the quote for the agreed contract type.

    Parameters
    ----------
    inputs : mapping
        Of a workbook.
    units : {"us", "metric"}
    given : collection of str, optional
        Inputs for which there is the user's figure; all when left out.

    Returns
    -------
    page : Page
        For the customer. If some of its figures are estimates, ``draft`` names them,
        and the page is no offer: it has no code and no lines to sign. Else ``draft`` is
        empty.

    Raises
    ------
    WorkbookError
        When there is no customer, contract type, expiry date or gold price.
    """
    refuse_missing(NEEDED, given, "A quote needs these figures")
    values = run(inputs, units, ON_CONTRACT)
    # The owner's own cost is the owner's to enter.
    values["owner_ton_cost"] = np.asarray(0.0)
    return _Quote(values, units, given).page


def total_charge(contract_charge, custom_penalties):
    """Milling charge and penalties."""
    return contract_charge + custom_penalties


def paid_to_the_mill(total_charge, contract_shared):
    """Total charges, with clean-up gold and by-products that the mill gets."""
    return total_charge + contract_shared


def says(owner_net):
    """Who pays whom, in words."""
    return np.where(owner_net >= 0, "the mill pays you", "you owe the mill")


def net_per_ton(owner_net, custom_tons):
    """Net per ton, before the owner's mining and haulage."""
    return owner_net / custom_tons


def own_margin(owner_net, owner_ton_cost, custom_tons):
    """The owner's margin; none until the owner enters the mining cost."""
    margin = MODEL.lines["owner_margin"].function(
        owner_net, owner_ton_cost, custom_tons
    )
    return np.where(owner_ton_cost > 0, margin, np.nan)


class _Quote:
    """Fills the page from the values of a workbook."""

    def __init__(self, values, units, given):
        self.units = units
        self.page = Page("Milling quote", values, units)
        self.value = self.page.told
        self.buys = self.value("terms_purchase") == "yes"
        self.on_cost = self.value("terms_on_cost") == "yes"
        self.hourly = self.value("terms_per_hour") > 0 or self.on_cost
        self._lot()
        self._charges()
        self._net()
        self._terms()
        self.page.draft = self._draft(given)
        self._closing()
        rows, self.page.rows = self.page.rows, []
        self._opening()
        note = "Estimate for the lot below, before deposit and advances."
        self.page.balance(4, "owner_net", says, note)
        self.page.mark_draft()
        self.page.rows += rows

    def _draft(self, given):
        """Which figures of the page are estimates, or contradict each other."""
        estimated = ["the mill's name"] * (not self.page.by)
        estimated += estimated_terms(self.page, given, OWNERS)
        faults = date_faults(self.page.found, OF_TERMS)
        return draft_words(estimated, "Draft, not an offer.", faults)

    def _opening(self):
        page = self.page
        page.sentence(f"For {self.value('customer_name')}", bold=True)
        draft = bool(page.draft)
        page.sentence(citation(page.book, draft), bold=True)
        page.header = running_title(page, self.value("customer_name"), draft)
        offer = (
            f"The offer is open until {self.value('quote_valid_until')}. Once signed, "
            "its terms and charges apply to each lot of the owner's ore that the mill "
            "accepts, until both sign others or either ends them. "
        )
        page.sentence(
            f"The mill is {page.by or MILL_MISSING}; the owner is "
            f"{self.value('customer_name').removesuffix('.')}. {offer * (not draft)}"
            "Figures of your lot are estimates and bind nobody."
        )
        page.sentence(
            f"{money_in(self.value('currency'))} {UNITS_IN_WORDS[self.units]} Change "
            "the yellow cells to see the effect; the other cells are calculated."
        )

    def _lot(self):
        self.page.heading("Your lot")
        self.page.put(*LOT, entry=True)
        if not self.buys:
            self.page.put("custom_recovery", entry=True)
        for measured, rate in PENALTIES.items():
            if self.value(rate) > 0:
                hard = measured == "work_index"
                note = "Bond work index; penalty above the limit." if hard else None
                self.page.put(f"custom_{measured}", entry=True, note=note)
        note = "Yours, per dry ton at the mill."
        self.page.put("owner_ton_cost", entry=True, note=note)

    def _terms(self):
        self.page.heading(f"Terms: {self.page.contract_type}")
        self.page.sentence(self._title())
        for sentence in self._charges_in_words():
            self.page.sentence(sentence)
        for clause in clauses(self.value, self.units, self.page.money):
            self.page.sentence(clause)

    def _title(self):
        """Sentence on who owns the ore and its products."""
        value = self.value
        if self.buys:
            return (
                "The mill buys the ore, with all metal, by-products and tailings, and "
                "pays by the settlement assay."
            )
        share = ", less the mill's share above" if value("terms_share") > 0 else ""
        limit = f"{value('cleanup_limit') * 100:g}% of the gold fed"
        above = f" up to {limit}, and beyond that to the owner"
        return (
            "The owner keeps title to the ore and to its bullion until it is sold"
            f"{share}. Clean-up gold belongs to the {value('cleanup_owner')}"
            f"{above * limits_cleanup(value)}; middlings belong to the "
            f"{value('middlings_owner')}, tailings to the {value('tails_owner')}."
        )

    def _charges_in_words(self):
        value = self.value
        least = value("least_lot_tons")
        if value("terms_per_ton") > 0 and least > 0:
            yield (
                f"Charges are per dry {TON[self.units]}, for at least {least:,g} "
                f"dry {TON[self.units]}s per lot."
            )
        least = value("least_lot_charge")
        if value("contract_charge") > 0 and least > 0:
            yield (
                f"The milling charge, lot charges included, is at least "
                f"{self.page.money(least)} per lot{self._on_top()}"
            )
        if self.on_cost:
            yield (
                "Milling is charged at the mill's cost plus a percentage: the rates "
                f"above, per dry {TON[self.units]} and per mill hour that the lot "
                "takes. They count as the cost and contain the percentage; the cost "
                "is not audited, and they stay as they are."
            )
        if self.hourly:
            yield (
                "Mill hours are by the mill's log: milling, set-up and clean-up of the "
                "lot. Hours of breakdown and repair are not charged, and are not in "
                "the hours quoted."
            )
        if value("deposit") > 0:
            yield (
                f"The owner pays a deposit of {self.page.money(value('deposit'))} on "
                "delivery; it counts toward the settlement."
            )

    def _on_top(self):
        """What is charged beside a minimum, as the end of its sentence."""
        value = self.value
        found = {
            "penalties": any(map(value, ("moisture_rate", *PENALTIES.values()))),
            "shipment": not self.buys and value("shipment_cost") > 0,
            "a share of the metal": not self.buys and value("terms_share") > 0,
        }
        named = with_and([words for words, applies in found.items() if applies])
        before = ", before escalation" * escalates(value)
        return f"{before}. Charged on top: {named}." if named else f"{before}."

    def _charges(self):
        page = self.page
        page.heading("Charges")
        page.lines("custom_tons")
        self.page.put_positive(*TERMS, unless=("terms_share",) if self.buys else ())
        self._hours()
        self._cost_plus()
        page.put_where(self.value("terms_per_ton") > 0, "least_lot_tons")
        self._penalty_terms()
        self._milling_charge()
        page.lines("custom_penalties")
        page.line(total_charge, "Total charges", "$", bold=True)

    def _milling_charge(self):
        """Enter the milling charge: by the rates, at least the minimum per lot."""
        page = self.page
        least = min(self.value("least_lot_charge"), self.value("contract_charge")) > 0
        page.lines(
            "rated_charge" if least else "contract_charge",
            note="By these terms.",
            function=contracts.milling_charge,
            reads=MODEL.lines["rated_charge"].parameters,
        )
        if least:
            page.put("least_lot_charge")
            page.lines("contract_charge")

    def _hours(self):
        if not self.hourly:
            self.page.bind("custom_hours", value=0.0)
            return
        pace = self.value("custom_feed_rate")
        note = "Of this ore, as expected; it does not follow the cells above."
        self.page.given(
            "custom_feed_rate", "Expected throughput", pace, "ton/hour", note
        )
        self.page.put("set_up_hours")
        self.page.lines("custom_hours", note="Set-up included.")

    def _cost_plus(self):
        if not self.on_cost:
            self.page.bind("contract_cost_charge", value=0.0)
            return
        self.page.put(*AGREED_RATES)
        self.page.lines(
            "contract_cost_charge",
            note="At these rates.",
            function=cost_charge,
            reads=("custom_tons", "custom_hours", *AGREED_RATES),
        )

    def _penalty_terms(self):
        for measured, rate in PENALTIES.items():
            if self.value(rate) > 0:
                self.page.put(f"allowed_{measured}", rate)
            else:
                unused = (f"custom_{measured}", f"allowed_{measured}", rate)
                self.page.bind(*unused, value=0.0)
        self.page.put(*WET)

    def _net(self):
        page = self.page
        page.heading("Your net")
        page.bind("grade_per_ounce")
        page.lines("custom_gold")
        if self.buys:
            self._ore_sold()
        else:
            self._metal_kept()
        if not self.buys and self.value("terms_share") > 0:
            label = "Total charges and mill's share of bullion"
            page.line(paid_to_the_mill, label, "$", bold=True)
        page.lines("owner_net", bold=True)
        page.line(says, "Balance due")
        page.line(net_per_ton, f"Net per dry {TON[self.units]}", "$/ton")
        line = MODEL.lines["owner_margin"]
        note = "n/a until you enter your mining and haulage cost above."
        page.line(own_margin, line.label, line.unit, note, line.name, bold=True)

    def _ore_sold(self):
        page = self.page
        put_schedule(page, "custom_payable", "custom_grade")
        page.put("purchase_price_deduction", "purchase_treatment")
        page.lines("purchase_gold", "purchase_ounce_price")
        page.lines("purchase_paid", bold=True)
        page.alias("owner_metal", "purchase_paid")

    def _metal_kept(self):
        page = self.page
        self.page.put(*REFINER)
        page.refining("refining_used")
        page.lines(*METAL)
        label = "Net price per ounce in bullion, without silver"
        page.lines("custom_ounce_net", label=label)
        label = "Net price per ounce in bullion, silver included"
        page.lines("bullion_ounce_net", label=label)
        page.bind("terms_purchase")
        page.bind("purchase_paid", value=0.0)
        self._by_products()
        page.rests_on("tailings")
        page.line_where(self.value("terms_share") > 0, "contract_shared")
        label, note = "Owner's metal, less shipment", "After refining."
        page.lines("owner_metal", label=label, note=note, bold=True)

    def _by_products(self):
        """Enter middlings and tailings that are sold for the owner."""
        page = self.page
        sold = [name for name in BY_PRODUCTS if sold_for_owner(name, self.value)]
        if sold:
            self.page.put("middlings_share")
            page.lines("custom_middlings")
        if "tails" in sold:
            page.lines("custom_tails")
        for name in BY_PRODUCTS:
            page.bind(f"{name}_owner")
            if name in sold:
                page.put(f"{name}_payable")
            note = "If a buyer takes them."
            page.line_where(name in sold, f"custom_{name}_sold", note=note)
        self._cleanup()

    def _cleanup(self):
        """Enter the owner's clean-up gold, if there can be any."""
        page, found = self.page, self.page.found
        mills = found("cleanup_owner") == "mill"
        if mills and found("cleanup_share") <= found("cleanup_limit"):
            page.bind("custom_cleanup_sold", value=0.0)
            return
        page.put("cleanup_owner")
        if mills:
            page.put("cleanup_limit")
        else:
            page.bind("cleanup_limit")
        page.lines("custom_cleanup_owned", "custom_cleanup_sold")

    def _closing(self):
        page = self.page
        page.heading("Cautions")
        for sentence in CAUTIONS:
            page.sentence(sentence)
        if not page.draft:
            page.signatures("For the mill", "For the owner of the ore")
