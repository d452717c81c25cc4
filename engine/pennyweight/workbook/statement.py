"""The statement of a lot: one page that both sides can follow, to the cent."""

import numpy as np

from ..errors import WorkbookError
from ..model.inputs import INPUTS
from ..model.line import LINES, add_up
from ..model.lines.settle import NO_UMPIRE
from ..model.run import run
from ..model.units import shown
from ..trade import settlement
from .csv_file import csv_bytes
from .page import Page

WEIGHED = ("settle_wet_tons", "settle_moisture")
ASSAYED = (
    "settle_mill_assay",
    "settle_owner_assay",
    "split_limit",
    "settle_umpire_assay",
    "umpire_rule",
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
    "custom_work_index",
    "allowed_work_index",
    "hardness_rate",
    "custom_clay",
    "allowed_clay",
    "clay_rate",
    "custom_sulphides",
    "allowed_sulphides",
    "sulphide_rate",
    "allowed_moisture",
    "moisture_rate",
)
ACCOUNT = (
    # line, words, sign
    ("settle_metal", "Metal, or price of the ore", 1),
    ("settle_charge", "Milling charge", -1),
    ("settle_penalties", "Penalties", -1),
    ("settle_shipment", "Shipment", -1),
    ("settle_umpire_fee", "Umpire", -1),
    ("deposit", "Deposit paid on delivery", 1),
    ("settle_advances", "Advances received", -1),
)


def make_statement(inputs, units):
    """Make the statement of the lot in a book.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    page : Page

    Raises
    ------
    WorkbookError
        When the assays are too far apart and no umpire has spoken.
    """
    values = run(inputs, units)
    refuse_unsettled(values, values["settle_lot"])
    return _Statement(values, units).page


def refuse_unsettled(values, lots):
    """Raise when a lot needs an umpire that it does not have."""
    waiting = np.atleast_1d(values["settle_how"]) == NO_UMPIRE
    if waiting.any():
        names = np.atleast_1d(lots)[waiting]
        raise WorkbookError(
            f"{', '.join(map(str, names))}: the assays of mill and owner differ by "
            "more than the splitting limit and there is no umpire's assay. Enter it "
            "(settle_umpire_assay, sheet Inputs), then settle again."
        )


class _Statement:
    """Fills the page from the values of a book."""

    def __init__(self, values, units):
        self.values, self.units = values, units
        self.page = Page("Statement", str(values["prepared_by"]), units)
        self.buys = str(values["agreed_purchase"]) == "yes"
        self._opening()
        self._lot()
        self._balance()
        self._terms()
        self._money()
        self._account()

    def put(self, *names):
        """Enter inputs, constants or lines of the book as they stand."""
        for name in names:
            row = INPUTS.get(name) or LINES[name]
            share = getattr(row, "kind", "") == "share"
            note = getattr(row, "description", "") or getattr(row, "note", "")
            unit = "share" if share else row.unit
            self.page.given(name, row.label, self.values[name].item(), unit, note)

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
        self.lines("settle_by_middle", "settle_by_nearest", "settle_by_umpire")
        self.lines("settle_how")
        self.lines("settle_assay", bold=True)

    def _balance(self):
        page = self.page
        page.heading("Gold of the lot")
        ounce = self.values["grade_per_ounce"].item()
        label = f"An ounce in a {shown('ton', self.units)}, as a grade"
        page.given("grade_per_ounce", label, ounce, "grade")
        self.put(*MELTED)
        self.lines("settle_gold_fed", "settle_bullion_gold", "settle_bullion_silver")
        self.put(*FOUND)
        self.lines("settle_tails", "settle_found", "settle_gap")
        self.put("gap_band")
        self.lines("settle_balance")

    def _terms(self):
        page = self.page
        page.heading("Terms")
        self.put("least_lot_tons", "settle_hours")
        for name in ("agreed_per_ton", "agreed_per_hour", "agreed_share"):
            self.put(name)
        self.put("agreed_lot_charge")
        charged = self.values["settle_cost_charge"].item()
        page.given("settle_cost_charge", "Charged at cost plus", charged, "$")
        page.bind(agreed_purchase=str(self.values["agreed_purchase"]), nothing=0.0)
        page.heading("Penalties")
        self.put(*PENALTIES)
        self.lines("settle_penalties")

    def _money(self):
        self.page.heading("Metal and charges")
        self.put("settle_price")
        if self.buys:
            self._ore_bought()
        else:
            self._metal_shared()
        self.lines("settle_metal", "settle_charge", "settle_shipment")
        self.put("umpire_fee")
        self.lines("settle_umpire_share", "settle_umpire_fee")

    def _ore_bought(self):
        self.put(*SCHEDULE)
        self.lines("settle_ore_price")
        self.page.bind(
            settle_proceeds=0.0, settle_shared=0.0, settle_extras=0.0, shipment_cost=0.0
        )

    def _metal_shared(self):
        self.put(*REFINER)
        self.lines("settle_ounce_net", "settle_proceeds", "settle_shared")
        self.put("cleanup_owner", "middlings_owner", "middlings_payable")
        self.put("tails_owner", "tails_payable")
        self.lines("settle_middlings_sold", "settle_tails_sold", "settle_extras")
        self.page.bind(settle_ore_price=0.0)

    def _account(self):
        page = self.page
        self.put("deposit", "settle_advances")
        page.heading("Account, in cents: each line takes over the rounding before it")
        reads = []
        for name, label, sign in ACCOUNT:
            reads.append(name)
            page.line(
                printed(len(reads)),
                label,
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
            LINES["settle_words"].function,
            "In words",
            "-",
            "",
            "settle_words",
            ("printed_net",),
        )
        page.signatures("For the mill", "For the owner of the ore")


def printed(count):
    """The function of one line of the account: the exact ones before, and its own."""

    def line(*amounts):
        signed = [
            amount if sign > 0 else -amount
            for amount, (_, _, sign) in zip(amounts, ACCOUNT, strict=False)
        ]
        before = add_up(*signed[:-1]) if count > 1 else 0.0
        return settlement.printed_amount(before, signed[-1])

    return line


def total(first, *others):
    """Sum of the amounts, free of the noise of binary fractions below a cent."""
    return settlement.whole_cents(add_up(first, *others))


def audit(page):
    """Give the copy of a page for the file: each line, its value and formula.

    Returns
    -------
    content : bytes
        CSV in UTF-8; formulas stand as text.
    """
    return csv_bytes([("line", "value", "unit", "formula"), *page.records()])
