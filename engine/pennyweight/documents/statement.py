"""Settlement statement of a lot: one page that both parties can check."""

from itertools import chain

import numpy as np

from ..model.inputs import INPUTS
from ..model.lines.contract.lot import RISING, stepped
from ..model.lines.settlement.money import PENALTIES
from ..model.lines.settlement.weights import ASSAYS, MILL_ALONE, RULES, UMPIRE
from ..model.mill_model import MODEL
from ..model.run import run
from ..trade import purchase
from ..trade.settlement import round_to_cents
from ..workbook.csv_file import csv_bytes
from ..workbook.layout import entry_place
from .account import ACCOUNT, booked, total
from .clauses import SLAG, UMPIRE_RULES, money_in
from .dates import (
    OF_TERMS,
    assay_due,
    date_faults,
    day_after,
    days_late,
    due_day,
    final_assay,
)
from .lot_faults import AGREEMENT, lot_faults, missing_dates
from .lots import FOUND, MELTED
from .page import (
    ON_CONTRACT,
    UNITS_IN_WORDS,
    Page,
    draft_words,
    on_paper,
    ounce_as_grade,
)
from .requirements import (
    refuse_before_assay_due,
    refuse_stand_ins,
    refuse_unbalanced,
    refuse_unsettled,
)
from .terms import (
    AGREED,
    BY_PRODUCTS,
    citation,
    estimated_terms,
    limits_cleanup,
    refuse_other_terms,
    running_title,
    signed,
    sold_for_owner,
    steps_used,
    told_code,
    unchecked,
)

PARTIES = ("prepared_by", "customer_name", "settle_lot", "settle_date")
WEIGHED = ("settle_wet_tons", "settle_moisture")
REFINER = (
    "bullion_payable",
    "refining_charge",
    "silver_price",
    "silver_payable",
    "shipment_cost",
)
NOT_SETTLED = "By the mill, until the refiner has settled."
DRAFT = "Draft: enter the terms agreed, or the code of the signed page."
LATE = MODEL.lines["settle_late_interest"]
METAL = "Owner's metal, before shipment"
FINAL, PROVISIONAL = "Settlement statement", "Provisional statement"


def make_statement(inputs, units, confirmed="", given=INPUTS, provisional=False):
    """Make the settlement statement of the lot in a workbook.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}
    confirmed : str
        Why the lot is paid although its gold balance is outside the tolerance.
    given : collection of str, optional
        Inputs for which there is the user's figure; all when left out.
    provisional : bool
        Whether the refiner has not settled yet, and only a part is paid.

    Returns
    -------
    page : Page

    Raises
    ------
    WorkbookError
        When figures of the lot are missing, the assays are too far apart without an
        umpire's, or the gold balance is outside the tolerance and not confirmed.
    """
    values = run(inputs, units, ON_CONTRACT)
    refuse_other_terms(values)
    refuse_stand_ins(given, values)
    name = "settle_umpire_assay"
    where = f"{entry_place(name)}, {INPUTS[name].label}"
    refuse_unsettled(values["settle_how"], f"{values['settle_lot']} ({where})")
    if not provisional:
        where = f"{values['settle_lot']} ({entry_place('settle_owner_assay')})"
        refuse_before_assay_due(values["settle_how"], where, *_dates(values))
    names = [str(values["settle_lot"])]
    note = refuse_unbalanced(values, names, units, confirmed)
    return _Statement(values, units, note, provisional, given).page


def _dates(values):
    """Dates of weighing and settlement, and days for the owner's assay."""
    return tuple(
        values[name].item() for name in ("settle_weighed", "settle_date", "assay_days")
    )


def terms_draft(values, units, given):
    """Which terms of a table of lots are estimates; empty if all were entered.

    Parameters
    ----------
    values : mapping
        Of the workbook with the terms, as given by `run`.
    units : {"us", "metric"}
    given : collection of str
        Inputs for which there is the user's figure.

    Returns
    -------
    words : str
    """
    made = _Statement(values, units, "", False, given)
    return draft_words(made.estimated, DRAFT, date_faults(made.page.found, OF_TERMS))


class _Statement:
    """Fills the page from the values of a workbook."""

    def __init__(self, values, units, note, provisional, given):
        self.note, self.provisional = note, provisional
        self.page = Page(PROVISIONAL if provisional else FINAL, values, units)
        self.value = self.page.told
        self.buys = self.value("agreed_purchase") == "yes"
        self.how = self.value("settle_how")
        self._lot()
        if not self.buys:
            self._balance()
        self._terms()
        self._penalties()
        self._money()
        self._account()
        self.due = self._due()
        self.estimated = [] if signed(values) else estimated_terms(self.page, given)
        faults = lot_faults(self.page.found, provisional)
        faults += [] if provisional else missing_dates(self.page.found)
        self.page.draft = draft_words(self.estimated, DRAFT, faults)
        self._issued()
        rows, self.page.rows = self.page.rows, []
        self._opening()
        self.page.rows += rows

    def _issued(self):
        """Code of the figures unless they are a draft, and the lines to sign."""
        page = self.page
        if not page.draft:
            figures = {name: page.found(name) for name in PARTIES} | {
                name: np.asarray(value).item() for name, value in page.values.items()
            }
            page.sentence(told_code(figures, "statement"))
        page.signatures("For the mill", "For the owner of the ore")

    def _opening(self):
        page, value, draft = self.page, self.value, bool(self.page.draft)
        owner, date = value("customer_name"), value("settle_date")
        owner = f" of {owner}" if owner else ""
        date = f", {date}" if date else ""
        page.header = running_title(page, f"{value('settle_lot')}{owner}", draft)
        page.sentence(f"{value('settle_lot')}{owner}{date}", bold=True)
        page.sentence(
            f"{citation(page.book, draft)} Contract type: {page.contract_type}. "
            f"{unchecked(page.book)}"
        )
        first = "Weights and fineness are the mill's until the refiner has settled. "
        page.sentence(
            f"The mill is {page.by.removesuffix('.')}. " * bool(page.by)
            + first * (self.provisional and not self.buys)
            + f"{money_in(value('currency'))} {UNITS_IN_WORDS[page.units]}"
        )
        if self.provisional:
            note = f"Due with this statement{date}."
            page.balance(2, "provisional_due", paid_now, note)
        else:
            words = MODEL.lines["settle_words"].function
            page.balance(2, "printed_net", words, f"Due {self.due}.")
        page.mark_draft()

    def _lot(self):
        page = self.page
        page.heading("Weights and assays")
        self._date("settle_weighed")
        if self.value("assay_days") > 0:
            page.put("assay_days", note="After weighing; then the mill's is final.")
        page.put(*WEIGHED)
        page.lines("settle_tons")
        self._date("settle_milled")
        which = "mill's" if self.how == MILL_ALONE else "final"
        self._date("settle_assayed", note=f"Day of the {which} assay.")
        mill, *others = ASSAYS
        page.put(mill)
        for name in others:
            page.put(name, note=self._note_of(name))
        page.lines("settle_how")
        rule = f"settle_by_{self.value('umpire_rule')}"
        if self.how == MILL_ALONE:
            page.alias(rule, "settle_mill_assay")
        elif self.how == UMPIRE:
            page.lines(rule, note=self._whose_counts())
        else:
            page.lines(rule, label="Mean of both assays")
        for _, name in RULES:
            page.alias(name, rule)
        page.bind("umpire_rule", "assay_steps", "rounded_up", "cents")
        page.lines("settle_assay", bold=True)
        ounce_as_grade(page)

    def _whose_counts(self):
        """The umpire's rule; of the middle of three assays, whose it is."""
        rule = self.value("umpire_rule")
        if rule != "middle":
            return UMPIRE_RULES[rule]
        whose = ("mill", "owner", "umpire")
        *_, middle, _ = sorted((self.value(f"settle_{w}_assay"), w) for w in whose)
        return f"The middle of the three: the {middle[1]}'s."

    def _note_of(self, assay):
        """The note beside an assay; None for the input's own note."""
        if assay == "split_limit":
            return None
        owners = assay == "settle_owner_assay"
        weighed, _, days = _dates(self.page.book)
        due = assay_due(weighed, days) if owners else ""
        if self.value(assay) > 0:
            told = "Of a part of the same sample" + f"; due by {due}" * bool(due) + "."
            final = day_after(final_assay(self.value))
            late = due and final and final > day_after(due)
            return told + " The final assay is later: the mill accepts it." * bool(late)
        if not owners:
            return "No umpire has assayed."
        silent = f"None reported by {due}, so the mill's is final on that day."
        return silent if due else "None."

    def _date(self, name, note=None):
        """Enter a date if there is one."""
        if self.value(name):
            self.page.put(name, note=note)

    def _balance(self):
        page = self.page
        page.heading("Gold balance")
        early = self.provisional
        page.put(*MELTED, note=NOT_SETTLED if early else None)
        page.lines("settle_gold_fed")
        for metal in ("gold", "silver"):
            label = f"{metal.capitalize()} in bullion" if early else ""
            page.lines(f"settle_bullion_{metal}", label=label)
        note = "Gold in the bullion over gold fed."
        page.line(lot_recovery, "Recovery in the bullion", "share", note)
        page.put(*FOUND, "tailings")
        page.lines("settle_tails", "settle_found", "settle_gap")
        page.put("gap_band")
        page.lines("settle_balance")
        if max(self.value("settle_missing"), self.value("settle_made_good")) > 0:
            page.lines("settle_missing")
            page.put("settle_made_good")
        if self.note:
            page.sentence(self.note, bold=True)
            agreed = [f"{INPUTS[n].label} {self.value(n)}." for n in AGREEMENT]
            if all(map(self.value, AGREEMENT)):
                page.sentence(" ".join(agreed))

    def _terms(self):
        page = self.page
        page.bind("agreed_purchase")
        page.heading(f"Terms: {page.contract_type}")
        if self.buys:
            page.sentence(
                "The mill buys the ore with all its metal, and pays by the settlement "
                "assay."
            )
        by_weight = self.value("agreed_per_ton") > 0
        page.put_where(by_weight, "least_lot_tons")
        topped = by_weight and self.value("settle_billed") > self.value("settle_tons")
        page.line_where(topped, "settle_billed")
        on_cost = self.value("agreed_on_cost") == "yes"
        page.put_where(self.value("agreed_per_hour") > 0 or on_cost, "settle_hours")
        page.put_positive(*AGREED, unless=("agreed_share",) if self.buys else ())
        page.line_where(on_cost, "settle_cost_charge")

    def _penalties(self):
        page = self.page
        page.heading("Penalties")
        for measured, (rate, _) in PENALTIES.items():
            found, amount = f"settle_{measured}", f"settle_{measured}_penalty"
            if self.value(rate) == 0:
                page.bind(amount, value=0.0)
                continue
            if found not in page.values:
                page.put(found)
            page.put(f"allowed_{measured}", rate)
            page.lines(amount, note="")
        page.lines("settle_penalties")

    def _money(self):
        page = self.page
        page.heading("Metal and charges")
        self._date("settle_price_day")
        page.put("settle_price", note=self.value("price_source"))
        if self.buys:
            self._ore_bought()
        else:
            self._metal_shared()
        rated = MODEL.lines["settle_rated"]
        if self.value("least_lot_charge") > 0 and self.value("settle_charge") > 0:
            page.lines("settle_rated", note="By the terms above.")
            page.put("least_lot_charge", note="Before escalation.")
            page.lines("settle_charge")
        else:
            page.lines(
                "settle_charge",
                note="By the terms above.",
                function=rated.function,
                reads=rated.parameters,
            )
        self._escalation()
        if self.how == UMPIRE:
            page.put("umpire_fee")
            page.lines("settle_umpire_share")
        page.line_where(self.how == UMPIRE, "settle_umpire_fee", note="")

    def _escalation(self):
        page, value = self.page, self.value
        escalates = min(value("escalation_share"), value("settle_charge")) > 0
        if escalates:
            page.put("escalation_share", "escalation_base", "settle_index")
        note = (
            f"Milling charge x share x (index / base - 1): {value('escalation_index')}"
        )
        page.line_where(escalates, "settle_escalation", note=note)

    def _ore_bought(self):
        page = self.page
        put_schedule(page, "settle_payable", "settle_assay")
        page.put("purchase_price_deduction", "purchase_treatment")
        least = self.value("purchase_least_deduction") > 0
        page.lines(
            "settle_bought",
            note="(Assay - unit deduction) x payable share"
            + ", over the grade of 1 troy oz" * (page.units == "metric")
            + ". At most the assay less the minimum deduction." * least,
        )
        page.lines("settle_paid_price", note="Gold price x (1 - price deduction).")
        page.lines(
            "settle_ore_price",
            note="Dry weight x (gold paid for x price paid - treatment charge).",
        )
        page.alias("settle_metal", "settle_ore_price")
        for name in ("settle_shipment", "settle_made_good_paid"):
            page.bind(name, value=0.0)

    def _metal_shared(self):
        page = self.page
        page.put(*REFINER)
        page.refining("settle_refining")
        label = "Net price per ounce in bullion, without silver"
        page.lines("settle_ounce_net", label=label)
        page.lines("settle_gold_value", "settle_silver_value")
        page.lines("settle_proceeds")
        shares = self.value("agreed_share") > 0
        page.line_where(shares, "settle_shared")
        for product in BY_PRODUCTS:
            self._by_product(product)
        self._cleanup()
        page.sentence(SLAG)
        page.bind("settle_ore_price", value=0.0)
        page.lines("settle_extras")
        note = "After the mill's share." if shares else ""
        page.lines("settle_metal", label=METAL, note=note)
        made_good = self.value("settle_made_good") > 0
        page.line_where(made_good, "settle_made_good_paid")
        page.lines("settle_shipment", note="")

    def _cleanup(self):
        """Enter who owns clean-up gold, and what is paid to the owner for it."""
        page, limited = self.page, limits_cleanup(self.value)
        page.put("cleanup_owner")
        if limited:
            page.put("cleanup_limit")
        else:
            page.bind("cleanup_limit")
        if limited or self.value("cleanup_owner") == "owner":
            page.lines("settle_cleanup_owned", "settle_cleanup_sold")
        else:
            page.bind("settle_cleanup_sold", value=0.0)

    def _by_product(self, product):
        """Enter who owns a by-product, and what a buyer pays to the owner for it."""
        owner, paid = f"{product}_owner", sold_for_owner(product, self.page.found)
        whose = self.value(owner)
        unsold = "No buyer: returned to the owner or stored."
        note = "The mill keeps their gold." if whose == "mill" else unsold
        note = "Sold for the owner." if paid else note
        self.page.given(owner, INPUTS[owner].label, whose, note=note)
        if paid:
            self.page.put(f"{product}_payable")
        self.page.line_where(paid, f"settle_{product}_sold", note="")

    def _account(self):
        page = self.page
        agreed = max(self.value("deposit"), self.value("settle_deposit")) > 0
        page.put_where(agreed, "settle_deposit")
        page.put_positive("settle_advances", "settle_provisional")
        page.heading("Account")
        page.sentence(
            "Each amount has two decimals, as it is shown above. The balance is "
            "their sum."
        )
        names = [row for row in ACCOUNT if not isinstance(page.cells[row[0]], float)]
        for name, sign in names:
            row = INPUTS.get(name) or MODEL.lines[name]
            note = "" if sign > 0 else "Deducted."
            label = self._metal_label() if name == "settle_metal" else row.label
            label = on_paper(label)
            page.line(booked(sign), label, "$", note, f"printed_{name}", (name,))
        reads = tuple(f"printed_{name}" for name, _ in names)
        label, note = MODEL.lines["settle_net"].label, "Sum of the lines above."
        label = "Provisional balance" if self.provisional else label
        page.line(total, label, "$", note, "printed_net", reads, bold=True)
        if self.provisional:
            self._provisional()
        else:
            self._balance_due()

    def _metal_label(self):
        return MODEL.lines["settle_ore_price"].label if self.buys else METAL

    def _provisional(self):
        """Enter the part that is paid now."""
        page = self.page
        page.put("provisional_share")
        page.lines(
            "provisional_due",
            note="The final statement deducts it.",
            bold=True,
            reads=("printed_net", "provisional_share", "cents", "rounded_up"),
        )

    def _to_owner(self):
        return self.page.values["printed_net"] > 0

    def _due(self):
        """When the balance is due: the day if it is known, and in words."""
        due = due_day(self.value, self._to_owner())
        if not self._has_parts():
            return due
        made_good = self.page.money(self.page.values["settle_made_good_paid"])
        agreed = due_day(self.value, True, made_good=True)
        return f"{due}. Of it, {made_good} for missing gold is due {agreed}"

    def _has_parts(self):
        """Whether missing gold is paid for beside another balance to the owner."""
        made_good = self.page.values["settle_made_good_paid"]
        return 0 < made_good < self.page.values["printed_net"]

    def _balance_due(self):
        """Enter who pays, and the late interest of a day."""
        page = self.page
        page.lines("settle_words", note="", reads=("printed_net",))
        if self.value("late_rate") == 0:
            return
        page.bind("late_rate", "interest_days")
        if not self._has_parts():
            self._late("printed_net")
            return
        page.line(
            *(other_balance, "Balance without that for missing gold", "$"),
            reads=("printed_net", "settle_made_good_paid"),
        )
        self._late("other_balance")
        self._late("settle_made_good_paid", made_good=True)

    def _late(self, balance, made_good=False):
        """Enter the late interest of a day on a balance, and up to the statement."""
        page, to_owner = self.page, self._to_owner()
        words = ", missing gold" * made_good
        daily, days, so_far = (
            name + "_made_good" * made_good
            for name in (LATE.name, "days_late", "interest_so_far")
        )
        rate, due = self.value("late_rate"), due_day(self.value, to_owner, made_good)
        note = f"From {due}; {rate * 100:g}% per year of 365 days."
        reads = (balance, "late_rate", "interest_days")
        label = f"{LATE.label}{words}"
        page.line(LATE.function, label, LATE.unit, note, daily, reads)
        if late := days_late(self.value, to_owner, made_good):
            label = f"Days late, at the date of this statement{words}"
            page.given(days, label, late, "day")
            label, note = f"Late interest so far{words}", "Owed beside the balance."
            page.line(interest_so_far, label, "$", note, so_far, (daily, days))


def put_schedule(page, share, grade):
    """Enter the payable schedule of bought ore, and the payable share at a grade.

    Parameters
    ----------
    page : Page
    share, grade : str
        Lines of the model.
    """
    steps = steps_used(page.told)
    for step_from, step_paid in steps:
        page.put(step_from, note="")
        page.put(step_paid, note="From that assay on, before any deduction.")
    page.put(*(() if steps else RISING))
    function = stepped if steps else purchase.payable_share
    reads = (grade, *chain.from_iterable(steps or [RISING]))
    page.lines(share, function=function, reads=reads)
    page.put("purchase_deduction")
    page.put_positive("purchase_least_deduction")


def other_balance(printed_net, settle_made_good_paid):
    """The balance without the payment for missing gold."""
    return round_to_cents(printed_net - settle_made_good_paid)


def interest_so_far(settle_late_interest, days_late):
    """Late interest up to the date of the statement, in whole cents."""
    return round_to_cents(settle_late_interest * days_late)


def lot_recovery(settle_bullion_gold, settle_gold_fed):
    """Recovery of the lot; none if no gold was fed."""
    share = settle_bullion_gold / settle_gold_fed
    return np.where(settle_gold_fed > 0, share, np.nan)


def paid_now(provisional_due):
    """Who pays before the final statement, in words."""
    nothing = "nothing is paid before the final statement"
    return np.where(provisional_due > 0, "the mill pays the owner now", nothing)


def audit(page):
    """Give the audit copy of a page: each line, its value and formula.

    Its first lines are the paper, the mill, the customer, the lot and the terms.

    Returns
    -------
    content : bytes
        CSV in UTF-8, with formulas as text.
    """
    named = (
        ("Paper", page.sheet),
        ("Mill", page.by),
        ("Customer", str(page.book["customer_name"])),
        ("Lot", str(page.book["settle_lot"])),
        ("Terms", citation(page.book, bool(page.draft))),
    )
    rows = [(label, value, "", "") for label, value in named]
    return csv_bytes([("line", "value", "unit", "formula"), *rows, *page.records()])
