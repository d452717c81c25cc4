"""Both sides' margins at other grades and gold prices."""

import numpy as np

from ....trade import purchase
from ...axes import Axis
from ...line import Section
from .lot import bought

prices = Section("Contract", "Ore bought at other grades")
mill_grades = Section("Contract", "Mill's margin of a ton at other grades, $")
owner_grades = Section("Contract", "Owner's margin of a ton at other grades, $")
tried = Section("Contract", "Gold prices tried")
mill_prices = Section("Contract", "Mill's margin of a ton at other gold prices, $")
owner_prices = Section("Contract", "Owner's margin of a ton at other gold prices, $")

GRADE = Axis(
    "contract_grade",
    "Share of the grade",
    "share",
    (0, 0.2, 0.4, 0.6, 0.8, 1, 1.3),
    down=True,
)
PRICE = Axis(
    "contract_price",
    "Share of the gold price",
    "share",
    (0.5, 0.7, 0.9, 1, 1.1, 1.3),
    down=True,
)


@prices.line("Grade", "grade", over="contract_grade")
def contract_grade_tried(custom_grade, contract_grade):
    """The lot's grade times the share beside."""
    return custom_grade * contract_grade


@prices.line("Price of a ton", "$/ton", over="contract_grade")
def purchase_at_grade(
    contract_grade_tried,
    purchase_low_grade,
    purchase_high_grade,
    purchase_low_payable,
    purchase_high_payable,
    purchase_deduction,
    grade_per_ounce,
    purchase_ounce_price,
    nothing,
    purchase_treatment,
):
    """Where the mill buys the ore."""
    gold = bought(
        contract_grade_tried,
        purchase_low_grade,
        purchase_high_grade,
        purchase_low_payable,
        purchase_high_payable,
        purchase_deduction,
        grade_per_ounce,
    )
    return purchase.purchase_price(gold, purchase_ounce_price, 0, purchase_treatment)


@mill_grades.line("At the lot's own grade", "$/ton", over="contract")
def mill_margin_per_ton(mill_margin, custom_tons):
    """Margin of the mill."""
    return mill_margin / custom_tons


@mill_grades.line("Mill's margin", "$/ton", over=("contract_grade", "contract"))
def mill_by_grade(
    contract_grade,
    terms_purchase,
    custom_proceeds,
    shipment_cost,
    custom_tons,
    purchase_at_grade,
    mill_metal,
    contract_charge,
    custom_penalties,
    milling_cost,
):
    """At the grade beside."""
    margin = custom_proceeds * contract_grade - shipment_cost
    sold = margin - purchase_at_grade * custom_tons
    metal = np.where(terms_purchase == "yes", sold, mill_metal * contract_grade)
    return (metal + contract_charge + custom_penalties - milling_cost) / custom_tons


@owner_grades.line("At the lot's own grade", "$/ton", over="contract")
def owner_margin_per_ton(owner_margin, custom_tons):
    """Margin of the owner, after mining and haulage."""
    return owner_margin / custom_tons


@owner_grades.line("Net to the owner, at the lot's own grade", "$/ton", over="contract")
def owner_net_per_ton(owner_net, custom_tons):
    """Before mining and haulage."""
    return owner_net / custom_tons


@owner_grades.line("Owner's margin", "$/ton", over=("contract_grade", "contract"))
def owner_by_grade(
    contract_grade,
    terms_purchase,
    purchase_at_grade,
    owner_metal,
    shipment_cost,
    custom_tons,
    contract_charge,
    custom_penalties,
    owner_ton_cost,
):
    """At the grade beside."""
    kept = (owner_metal + shipment_cost) * contract_grade - shipment_cost
    metal = np.where(terms_purchase == "yes", purchase_at_grade * custom_tons, kept)
    charges = contract_charge + custom_penalties
    return (metal - charges) / custom_tons - owner_ton_cost


@tried.line("Gold price", "$/oz", over="contract_price")
def contract_price_tried(gold_price, contract_price):
    """Today's price times the share beside."""
    return gold_price * contract_price


@mill_prices.line("Ounces whose price the mill carries", "oz", over="contract")
def mill_ounces(custom_paid_ounces, owner_ounces):
    """What a dollar more on the price of gold brings the mill."""
    return custom_paid_ounces - owner_ounces


@mill_prices.line("Mill's margin", "$/ton", over=("contract_price", "contract"))
def mill_by_price(contract_price, mill_margin, mill_ounces, gold_price, custom_tons):
    """At the price beside."""
    return (mill_margin + mill_ounces * gold_price * (contract_price - 1)) / custom_tons


@owner_prices.line("At today's price", "$/ton", over="contract")
def owner_margin_today(owner_margin_per_ton):
    """Margin of the owner."""
    return owner_margin_per_ton


@owner_prices.line("Owner's margin", "$/ton", over=("contract_price", "contract"))
def owner_by_price(contract_price, owner_margin, owner_ounces, gold_price, custom_tons):
    """At the price beside."""
    more = owner_ounces * gold_price * (contract_price - 1)
    return (owner_margin + more) / custom_tons
