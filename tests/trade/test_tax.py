"""Losses, depletion and loans in parts, against published cases."""

import numpy as np
import numpy_financial as reference
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.trade import money, tax

from ..evidence import evidence
from ..published import taxes_and_loans as known


@evidence("loss_offset", "read", known.LOSSES_SOURCE)
def test_losses_limited_to_a_share_of_income():
    case = known.LOSSES
    used = tax.loss_offset(case["income"], case["losses"], case["share"])
    assert used == case["used"]


@evidence("loss_offset", "read", known.LOSSES_FREE_SOURCE)
def test_losses_with_income_that_is_free():
    case = known.LOSSES_FREE
    used = tax.loss_offset(case["income"], case["losses"], case["share"], case["free"])
    assert used == case["used"]


def test_a_year_without_income_uses_no_losses():
    assert tax.loss_offset([-100.0, 0.0], 50.0).tolist() == [0.0, 0.0]


@evidence("percentage_depletion", "read", known.DEPLETION_SOURCE)
def test_depletion_is_limited_by_income():
    case = known.DEPLETION
    found = tax.percentage_depletion(case["gross"], case["income"], case["rate"])
    assert found == case["allowed"]


@evidence("percentage_depletion", "derived", "15% of 250,000, below half of 100,000")
def test_depletion_of_gold():
    assert tax.percentage_depletion(250_000, 100_000) == 37_500
    assert tax.percentage_depletion(250_000, -5.0) == 0


@evidence("drawn_in_parts", "derived", "three month-end draws of 100,000 at 1%")
def test_a_loan_drawn_in_parts():
    found = money.drawn_in_parts(300_000, 0.01, 3)
    assert found == pytest.approx(100_000 * (1.01**2 + 1.01 + 1))


@evidence("drawn_in_parts", "package", "numpy_financial.fv")
def test_a_loan_drawn_in_parts_is_the_librarys():
    for rate in (0.0, 0.01, 0.02):
        grown = -reference.fv(rate, 4, 25.0, 0) * (1 + rate) ** 3
        assert money.drawn_in_parts(100.0, rate, 4, 3) == pytest.approx(grown)


@evidence("drawn_in_parts", "read", known.DEFERRED_SOURCE)
def test_a_deferred_loan():
    case = known.DEFERRED
    grown = money.drawn_in_parts(case["amount"], case["rate"], 1, case["grace"])
    payment = money.loan_payment(grown, case["rate"], case["payments"])
    assert payment == pytest.approx(known.DEFERRED_PAYMENT, abs=0.005)


def test_the_plan_chooses_among_the_rules():
    assert INPUTS["tax_rule"].choices == tuple(tax.TAX_RULES)
    assert all(rule.law for rule in tax.TAX_RULES.values())
    assert not np.isnan([rule.offset_share for rule in tax.TAX_RULES.values()]).any()
