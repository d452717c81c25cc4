"""Both parties' margins at other grades and gold prices."""

import numpy as np

from ....trade import purchase
from ...axes import Axis
from ...line import Section
from .lot import SCHEDULE, payable, purchase_gold

prices = Section("Contract", "Ore purchase at other grades")
mill_grades = Section("Contract", "Mill's margin per ton at other grades, $")
owner_grades = Section("Contract", "Owner's margin per ton at other grades, $")
tried = Section("Contract", "Gold prices tested")
mill_prices = Section("Contract", "Mill's margin per ton at other gold prices, $")
owner_prices = Section("Contract", "Owner's margin per ton at other gold prices, $")

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


@prices.line("Customer ore grade tested", "grade", over="contract_grade")
def contract_grade_tried(custom_grade, contract_grade):
    """Lot grade times the share beside."""
    return custom_grade * contract_grade


prices.line(
    "Payable share, by grade",
    "share",
    over="contract_grade",
    name="payable_at_grade",
    reads=("contract_grade_tried", *SCHEDULE),
    note="By the payable schedule.",
)(payable)


@prices.line("Ore price per ton, by grade", "$/ton", over="contract_grade")
def purchase_at_grade(
    contract_grade_tried,
    payable_at_grade,
    purchase_deduction,
    purchase_least_deduction,
    grade_per_ounce,
    purchase_ounce_price,
    purchase_treatment,
):
    """Ore purchase only."""
    gold = purchase_gold(
        contract_grade_tried,
        payable_at_grade,
        purchase_deduction,
        purchase_least_deduction,
        grade_per_ounce,
    )
    return purchase.purchase_price(gold, purchase_ounce_price, 0, purchase_treatment)


@mill_grades.line("Mill's margin per ton", "$/ton", over="contract")
def mill_margin_per_ton(mill_margin, custom_tons):
    """At the lot's grade and the present gold price."""
    return mill_margin / custom_tons


@mill_grades.line(
    "Mill's margin per ton, by grade", "$/ton", over=("contract_grade", "contract")
)
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


@owner_grades.line("Owner's margin per ton", "$/ton", over="contract")
def owner_margin_per_ton(owner_margin, custom_tons):
    """After mining and haulage; at the lot's grade."""
    return owner_margin / custom_tons


@owner_grades.line("Net to the owner per ton", "$/ton", over="contract")
def owner_net_per_ton(owner_net, custom_tons):
    """Before mining and haulage; at the lot's grade."""
    return owner_net / custom_tons


@owner_grades.line(
    "Owner's margin per ton, by grade", "$/ton", over=("contract_grade", "contract")
)
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


@tried.line("Gold price for contracts tested", "$/oz", over="contract_price")
def contract_price_tried(gold_price, contract_price):
    """Gold price times the share beside."""
    return gold_price * contract_price


@mill_prices.line("Mill's price exposure", "oz", over="contract")
def mill_ounces(custom_paid_ounces, owner_ounces):
    """Change of revenue per $/oz of gold price."""
    return custom_paid_ounces - owner_ounces


@mill_prices.line(
    "Mill's margin per ton, by gold price", "$/ton", over=("contract_price", "contract")
)
def mill_by_price(contract_price, mill_margin, mill_ounces, gold_price, custom_tons):
    """At the price beside."""
    return (mill_margin + mill_ounces * gold_price * (contract_price - 1)) / custom_tons


@owner_prices.line("Owner's margin per ton, present price", "$/ton", over="contract")
def owner_margin_today(owner_margin_per_ton):
    """After mining and haulage."""
    return owner_margin_per_ton


@owner_prices.line(
    "Owner's margin per ton, by gold price",
    "$/ton",
    over=("contract_price", "contract"),
)
def owner_by_price(contract_price, owner_margin, owner_ounces, gold_price, custom_tons):
    """At the price beside."""
    more = owner_ounces * gold_price * (contract_price - 1)
    return (owner_margin + more) / custom_tons
