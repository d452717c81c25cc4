"""The statement of a lot: one page that both sides can follow, to the cent."""

from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import MILL_ALONE, RULES, UMPIRE
from ..model.mill import MODEL
from ..model.run import run
from ..workbook.csv_file import csv_bytes
from ..workbook.layout import layout
from .account import ACCOUNT, printed, total
from .page import Page, ounce_as_grade
from .refusals import refuse_unbalanced, refuse_unsettled

WEIGHED = ("settle_wet_tons", "settle_moisture")
ASSAYED = (
    "settle_mill_assay",
    "settle_owner_assay",
    "split_limit",
    "settle_umpire_assay",
)
MELTED = (
    "settle_melt_mass",
    "settle_melt_loss",
    "settle_fineness",
    "settle_silver_fineness",
)
FOUND = ("settle_tails_grade", "settle_middlings", "settle_slag", "settle_cleanup")
REFINER = (
    "bullion_payable",
    "refining_charge",
    "silver_price",
    "silver_payable",
    "shipment_cost",
)
SCHEDULE = (
    "purchase_low_grade",
    "purchase_high_grade",
    "purchase_low_payable",
    "purchase_high_payable",
    "purchase_deduction",
    "purchase_price_deduction",
    "purchase_treatment",
)
PENALTIES = (
    # found, allowed, rate
    ("settle_work_index", "allowed_work_index", "hardness_rate"),
    ("settle_clay", "allowed_clay", "clay_rate"),
    ("settle_sulphides", "allowed_sulphides", "sulphide_rate"),
    ("settle_moisture", "allowed_moisture", "moisture_rate"),
)
TERMS = (
    "agreed_per_ton",
    "agreed_per_hour",
    "agreed_share",
    "agreed_lot_charge",
    "agreed_cost_ton",
    "agreed_cost_hour",
    "agreed_cost_laboratory",
)
BY_PRODUCTS = (
    # whose, share paid for, money
    ("middlings_owner", "middlings_payable", "settle_middlings_sold"),
    ("tails_owner", "tails_payable", "settle_tails_sold"),
)


def make_statement(inputs, units, confirmed=""):
    """Make the statement of the lot in a book.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}
    confirmed : str
        Why the lot is paid although its gold balance is outside the tolerance.

    Returns
    -------
    page : Page

    Raises
    ------
    WorkbookError
        When the assays are too far apart without an umpire's, or the gold balance
        is outside the tolerance and nobody confirmed it.
    """
    values = run(inputs, units)
    place = layout().places["settle_umpire_assay"]
    where = f"{place.sheet}!{place.cell()}, {INPUTS['settle_umpire_assay'].label}"
    refuse_unsettled(values["settle_how"], f"{values['settle_lot']} ({where})")
    names = [str(values["settle_lot"])]
    note = refuse_unbalanced(values, names, units, confirmed)
    return _Statement(values, units, note).page


class _Statement:
    """Fills the page from the values of a book."""

    def __init__(self, values, units, note):
        self.values, self.units, self.note = values, units, note
        self.page = Page("Statement", str(values["prepared_by"]), units)
        self.buys = str(values["agreed_purchase"]) == "yes"
        self.how = str(values["settle_how"])
        self._opening()
        self._lot()
        if not self.buys:
            self._balance()
        self._terms()
        self._penalties()
        self._money()
        self._account()

    def put(self, *names):
        """Enter inputs, constants or lines of the book as they stand."""
        for name in names:
            self.page.put(name, self.values[name].item())

    def lines(self, *names, bold=False):
        """Enter lines of the model, worked out on the page."""
        for name in names:
            self.page.model_line(name, bold=bold)

    def _opening(self):
        values = self.values
        self.page.sentence(
            f"{values['settle_lot']} of {values['customer_name']}; "
            f"terms: {values['contract_kind']}; money is {values['currency']}.",
            bold=True,
        )

    def _lot(self):
        page = self.page
        page.heading("Weights and assays")
        self.put(*WEIGHED)
        self.lines("settle_tons")
        self.put(*ASSAYED)
        self.lines("settle_how")
        rule = f"settle_by_{self.values['umpire_rule']}"
        if self.how == MILL_ALONE:
            page.alias(rule, "settle_mill_assay")
        else:
            page.model_line(rule, "" if self.how == UMPIRE else "Mean of both assays")
        for _, name in RULES:
            page.alias(name, rule)
        page.bind(umpire_rule=str(self.values["umpire_rule"]))
        steps = ("assay_steps", "rounded_up")
        page.bind(**{name: self.values[name].item() for name in steps})
        self.lines("settle_assay", bold=True)
        ounce_as_grade(page, self.values["grade_per_ounce"].item())

    def _balance(self):
        page = self.page
        page.heading("Gold of the lot")
        self.put(*MELTED)
        self.lines("settle_gold_fed", "settle_bullion_gold", "settle_bullion_silver")
        self.put(*FOUND)
        self.lines("settle_tails", "settle_found", "settle_gap")
        self.put("gap_band")
        self.lines("settle_balance")
        if self.note:
            page.sentence(self.note, bold=True)

    def _terms(self):
        page = self.page
        page.bind(agreed_purchase=str(self.values["agreed_purchase"]), nothing=0.0)
        page.heading(f"Terms: {self.values['contract_kind']}")
        if self.values["agreed_per_ton"] > 0:
            self.put("least_lot_tons")
        else:
            page.bind(least_lot_tons=0.0)
        on_cost = str(self.values["agreed_on_cost"]) == "yes"
        if self.values["agreed_per_hour"] > 0 or on_cost:
            self.put("settle_hours")
        else:
            page.bind(settle_hours=0.0)
        for name in TERMS:
            if self.values[name] > 0:
                self.put(name)
            else:
                page.bind(**{name: 0.0})
        if on_cost:
            self.lines("settle_cost_charge")
        else:
            page.bind(settle_cost_charge=0.0)

    def _penalties(self):
        page = self.page
        page.heading("Penalties")
        for found, allowed, rate in PENALTIES:
            if found not in page.values:
                self.put(found)
            self.put(allowed, rate)
        self.lines("settle_penalties")

    def _money(self):
        page = self.page
        page.heading("Metal and charges")
        self.put("settle_price")
        if self.buys:
            self._ore_bought()
        else:
            self._metal_shared()
        self.lines("settle_charge")
        if self.how == UMPIRE:
            self.put("umpire_fee")
            self.lines("settle_umpire_share", "settle_umpire_fee")
        else:
            page.bind(settle_umpire_fee=0.0)

    def _ore_bought(self):
        self.put(*SCHEDULE)
        self.lines("settle_ore_price")
        self.page.alias("settle_metal", "settle_ore_price")
        self.page.bind(settle_shipment=0.0)

    def _metal_shared(self):
        page = self.page
        self.put(*REFINER)
        self.lines("settle_ounce_net", "settle_proceeds")
        if self.values["agreed_share"] > 0:
            self.lines("settle_shared")
        else:
            page.bind(settle_shared=0.0)
        self.put("cleanup_owner")
        for owner, payable, sold in BY_PRODUCTS:
            self._by_product(owner, payable, sold)
        page.bind(settle_ore_price=0.0)
        page.model_line("settle_extras", "Of these, paid to the owner")
        page.model_line("settle_metal", "Owner's metal")
        self.lines("settle_shipment")

    def _by_product(self, owner, payable, sold):
        """Whose it is, and what a buyer pays where that is the owner's money."""
        whose = str(self.values[owner])
        paid = whose == "owner" and self.values[payable] > 0
        unsold = "No buyer: handed over to the owner, or stored for him."
        note = "Their gold is the mill's." if whose == "mill" else unsold
        note = "Sold for the owner." if paid else note
        self.page.given(owner, INPUTS[owner].label, whose, note=note)
        if paid:
            self.put(payable)
            self.page.model_line(sold, note="")
        else:
            self.page.bind(**{sold: 0.0})

    def _account(self):
        page = self.page
        self.put("deposit", "settle_advances")
        page.heading("Account, in cents: each line takes over the rounding before it")
        reads = []
        for name, label, sign in ACCOUNT:
            reads.append(name)
            page.line(
                printed(len(reads)),
                "Price of the ore" if self.buys and len(reads) == 1 else label,
                "$",
                "" if sign > 0 else "Taken off.",
                f"printed_{name}",
                tuple(reads),
            )
        printed_names = tuple(f"printed_{name}" for name in reads)
        page.line(
            *(total, "Net to the owner", "$", "Sum of the lines above."),
            "printed_net",
            printed_names,
            True,
        )
        page.line(
            MODEL.lines["settle_words"].function,
            "In words",
            "-",
            "",
            "settle_words",
            ("printed_net",),
        )
        page.signatures("For the mill", "For the owner of the ore")


def audit(page):
    """Give the copy of a page for the file: each line, its value and formula.

    Returns
    -------
    content : bytes
        CSV in UTF-8; formulas stand as text.
    """
    return csv_bytes([("line", "value", "unit", "formula"), *page.records()])
