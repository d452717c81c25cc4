"""The customer's quote: terms in words, what it costs, what is left, live.

It is built from the terms of the kind agreed alone. Nothing of the mill's cost is
read here but, under cost plus, the charge that follows from it, which is the offer.
"""

from ..model.inputs import INPUTS
from ..model.lines.settlement.money import settle_cost_charge
from ..model.mill import MODEL
from ..model.run import run
from ..trade import contracts
from .page import Page, ounce_as_grade
from .quote_lines import (
    lot_hours,
    net_per_ton,
    says,
    terms_in_words,
    total_charge,
)

CUSTOMERS = (
    # input, label in the customer's words
    ("custom_wet_tons", "Wet weight of your lot"),
    ("custom_moisture", "Its moisture"),
    ("custom_grade", "Its grade"),
    ("gold_price", "Gold price"),
)
PENALTIES = (
    # measured, allowed, rate
    ("custom_work_index", "allowed_work_index", "hardness_rate"),
    ("custom_clay", "allowed_clay", "clay_rate"),
    ("custom_sulphides", "allowed_sulphides", "sulphide_rate"),
)
WET = ("allowed_moisture", "moisture_rate")
COST_RATES = ("agreed_cost_ton", "agreed_cost_hour", "agreed_cost_laboratory")
BY_PRODUCTS = ("middlings", "tails")
CAUTIONS = (
    "An offer on the figures above, not a promise of gold: grade, recovery and price "
    "are what the lot and the market give. Dry tons are weighed, sampled and settled "
    "by the statement of the lot.",
    "Rock dust with quartz scars the lungs; the mill may refuse ore with mercury, "
    "cyanide, explosives or more water than can be handled. Lawful title, permits "
    "and taxes of the ore are the owner's.",
)


def make_quote(inputs, units):
    """Make the quote for the kind of contract agreed.

    Parameters
    ----------
    inputs : mapping
        Of a book.
    units : {"us", "metric"}

    Returns
    -------
    page : Page
        What it holds is for the customer.
    """
    values = run(inputs, units)
    return _Quote(values, units).page


class _Quote:
    """Fills the page from the values of a book."""

    def __init__(self, values, units):
        self.values, self.units = values, units
        self.kind = str(values["contract_kind"])
        self.place = MODEL.axes["contract"].values.index(self.kind)
        self.page = Page("Milling quote", str(values["prepared_by"]), units)
        self.buys = self.term("purchase") == "yes"
        self.hourly = self.term("per_hour") > 0 or self.term("on_cost") == "yes"
        self._opening()
        self._customers_figures()
        self._terms()
        self._what_it_costs()
        self._what_is_left()
        self._closing()

    def value(self, name):
        """One value of the book."""
        return self.values[name].item()

    def term(self, name):
        """A term of the kind agreed."""
        return self.values[f"terms_{name}"][self.place].item()

    def put(self, name, label="", entry=False):
        """Enter an input of the book on the page."""
        self.page.put(name, self.value(name), label, entry)

    def _opening(self):
        page = self.page
        page.sentence(f"For {self.value('customer_name')}", bold=True)
        page.sentence(
            f"Valid until {self.value('quote_valid_until')}. Money is "
            f"{self.value('currency')}. Yellow cells are yours to change; all else "
            "follows."
        )

    def _customers_figures(self):
        self.page.heading("Your lot")
        for name, label in CUSTOMERS:
            self.put(name, label, entry=True)
        if not self.buys:
            self.put("custom_recovery", "Gold caught, expected", entry=True)
        for measured, _, rate in PENALTIES:
            if self.value(rate) > 0:
                self.put(measured, entry=True)
        self.page.given(
            *("owner_ton_cost", "Your mining and haulage", 0.0, "$/ton"),
            "For a dry ton; yours to enter, nobody else reads it.",
            INPUTS["owner_ton_cost"].within(self.units),
        )

    def _terms(self):
        self.page.heading(f"Terms: {self.kind}")
        for sentence in terms_in_words(self.value, self.term, self.units):
            self.page.sentence(sentence)

    def _what_it_costs(self):
        page = self.page
        page.heading("What it costs")
        page.model_line("custom_tons")
        self._rates()
        if self.hourly:
            words = ("Mill hours", "hour", "Set-up included.", "custom_hours")
            page.line(lot_hours, *words)
        else:
            page.bind(custom_hours=0.0)
        if self.term("on_cost") == "yes":
            page.line(
                *(settle_cost_charge, "Milling at cost plus", "$", "By these rates."),
                "contract_cost_charge",
                ("custom_tons", "custom_hours", *COST_RATES),
            )
        else:
            page.bind(contract_cost_charge=0.0)
        reads = ("custom_tons", "custom_hours", "contract_cost_charge")
        reads += ("terms_per_ton", "terms_per_hour", "contract_lot_charge")
        page.line(
            *(contracts.milling_charge, "Milling charge", "$", "By these terms."),
            "contract_charge",
            (*reads, "least_lot_tons"),
        )
        page.model_line("custom_penalties", "Penalties", "By these terms.")
        page.line(total_charge, "To be paid for milling", "$", bold=True)

    def _rates(self):
        page = self.page
        for name, label, unit in (
            ("per_ton", "Charge by the ton", "$/ton"),
            ("per_hour", "Charge by the hour", "$/hour"),
            ("share", "Mill's share of the recovered gold", "share"),
        ):
            if self.term(name) > 0:
                page.given(f"terms_{name}", label, self.term(name), unit)
            else:
                page.bind(**{f"terms_{name}": 0.0})
        if self.term("per_ton") > 0:
            self.put("least_lot_tons")
        else:
            page.bind(least_lot_tons=0.0)
        if self.hourly:
            running = self.value("custom_hours") - self.value("set_up_hours")
            pace = self.value("custom_tons") / running
            page.given("milling_pace", "Pace of the mill, expected", pace, "ton/hour")
            self.put("set_up_hours")
        charged = self.values["contract_lot_charge"][self.place].item()
        if charged > 0:
            label = "Set-up, clean-up, assays and melt, a lot"
            page.given("contract_lot_charge", label, charged, "$")
        else:
            page.bind(contract_lot_charge=0.0)
        if self.term("on_cost") == "yes":
            for name in COST_RATES:
                self.page.put(name, self.value(name))
        self._penalty_terms()

    def _penalty_terms(self):
        for measured, allowed, rate in PENALTIES:
            if self.value(rate) > 0:
                self.put(allowed)
                self.put(rate)
            else:
                self.page.bind(**{measured: 0.0, allowed: 0.0, rate: 0.0})
        for name in WET:
            self.put(name)

    def _what_is_left(self):
        page = self.page
        page.heading("What is left to you")
        ounce_as_grade(page, self.value("grade_per_ounce"))
        page.model_line("custom_gold")
        if self.buys:
            self._ore_sold()
        else:
            self._metal_kept()
        page.model_line("owner_net", "Net to you for the lot", "", bold=True)
        page.line(says, "In words")
        page.line(net_per_ton, "Net for a dry ton", "$/ton")
        page.model_line("owner_margin", "After your mining and haulage", "", bold=True)

    def _ore_sold(self):
        page = self.page
        for name in ("purchase_low_grade", "purchase_high_grade"):
            self._schedule(name, "grade")
        for name in ("purchase_low_payable", "purchase_high_payable"):
            self._schedule(name, "share")
        for name in ("purchase_deduction", "purchase_price_deduction"):
            self.put(name)
        self.put("purchase_treatment")
        for name in ("purchase_gold", "purchase_ounce_price"):
            page.model_line(name)
        page.model_line("purchase_paid", "Price of your ore", bold=True)
        page.alias("owner_metal", "purchase_paid")

    def _schedule(self, name, unit):
        label, note = {
            "purchase_low_grade": ("Lower grade", "Up to it the lowest share is paid."),
            "purchase_high_grade": ("Higher grade", "From it the highest is paid."),
            "purchase_low_payable": ("Lowest share of the assayed gold paid", ""),
            "purchase_high_payable": (
                "Highest share of the assayed gold paid",
                "Between the grades it rises in proportion.",
            ),
        }[name]
        self.page.given(name, label, self.value(name), unit, note)

    def _metal_kept(self):
        page = self.page
        for name in (
            "furnace_recovery",
            "cleanup_share",
            "gold_payable",
            "insurance_rate",
            "refining_charge",
            "shipment_cost",
        ):
            self.put(name)
        silver = self.value("silver_credit")
        label = "Silver paid with an ounce of gold, expected"
        page.given("silver_credit", label, silver, "$/oz")
        for name in (
            "custom_melted",
            "custom_cleanup",
            "custom_bullion",
            "bullion_payable",
            "bullion_ounce_net",
        ):
            page.model_line(name)
        page.bind(terms_purchase="no", purchase_paid=0.0)
        self._by_products()
        if self.term("share") > 0:
            page.model_line("contract_shared", "Mill's share")
        else:
            page.bind(contract_shared=0.0)
        label = "Your metal, after the refiner"
        page.model_line("owner_metal", label, "Less the shipment.", True)

    def _by_products(self):
        """Middlings and tailings sold for the owner, as the recovery leaves them."""
        page = self.page
        sold = [name for name in BY_PRODUCTS if self._sold_for_owner(name)]
        if sold:
            self.put("middlings_share")
            page.model_line("custom_middlings")
        if "tails" in sold:
            page.model_line("custom_tails")
        for name in BY_PRODUCTS:
            page.bind(**{f"{name}_owner": self.value(f"{name}_owner")})
            if name in sold:
                self.put(f"{name}_payable")
                page.model_line(f"custom_{name}_sold", note="If a buyer takes them.")
            else:
                page.bind(**{f"custom_{name}_sold": 0.0})
        page.bind(cleanup_owner=self.value("cleanup_owner"))

    def _sold_for_owner(self, name):
        owner = self.value(f"{name}_owner")
        return owner == "owner" and self.value(f"{name}_payable") > 0

    def _closing(self):
        page = self.page
        page.heading("Cautions")
        for sentence in CAUTIONS:
            page.sentence(sentence)
        page.signatures("For the mill", "For the owner of the ore")
