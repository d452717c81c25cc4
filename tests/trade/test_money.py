"""Time value of money, against textbooks and numpy-financial."""

import numpy as np
import numpy_financial as reference
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import money as m

from ..evidence import evidence
from ..published import engineering_economics as known

FLOWS = st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=40)


@evidence("net_present_value", "read", known.NUMPY_FINANCIAL)
def test_net_present_value_of_the_documentation():
    rate, flows, value = known.NPV_CASE
    assert m.net_present_value(rate, flows) == pytest.approx(value, abs=5e-6)


@evidence("net_present_value", "read", known.PANNEERSELVAM)
def test_present_worth_of_the_textbook():
    rate, flows, printed = known.PRESENT_WORTH
    # The book rounds its factors to four digits; exactly it is 2052.10.
    assert m.net_present_value(rate, flows) == pytest.approx(printed, abs=0.05)


@evidence("net_present_value", "package", "numpy_financial.npv")
@given(st.floats(-0.5, 2), FLOWS)
def test_net_present_value_is_the_librarys(rate, flows):
    size = np.sum(np.abs(flows) / (1 + rate) ** np.arange(len(flows)))
    expected = reference.npv(rate, flows)
    assert m.net_present_value(rate, flows) == pytest.approx(expected, abs=1e-9 * size)


def test_timing_of_the_flows():
    # First flow today; the later ones half a period, or a whole one, earlier.
    end = m.net_present_value(0.1, [0, 100, 100], "end")
    assert m.net_present_value(0.1, [0, 100, 100], "middle") == pytest.approx(
        end * 1.1**0.5, rel=1e-12
    )
    assert m.net_present_value(0.1, [0, 100, 100], "start") == pytest.approx(
        end * 1.1, rel=1e-12
    )


def test_rates_and_rows_broadcast():
    flows = np.array([[-100, 60, 60], [-50, 20, 40]])
    rates = np.array([0.05, 0.2])
    found = m.net_present_value(rates, flows)
    each = [m.net_present_value(r, f) for r, f in zip(rates, flows, strict=True)]
    assert found == pytest.approx(each, rel=1e-14)


@evidence("internal_rate", "read", known.NUMPY_FINANCIAL)
@pytest.mark.parametrize(("flows", "printed"), known.IRR_CASES[:3])
def test_internal_rate_of_the_documentation(flows, printed):
    assert m.internal_rate(flows) == pytest.approx(printed, abs=5e-5)


@evidence("internal_rate", "read", known.PANNEERSELVAM)
def test_rate_of_return_of_the_textbook():
    flows, exact, printed = known.RATE_OF_RETURN
    assert m.internal_rate(flows) == pytest.approx(exact, abs=5e-6)
    assert m.internal_rate(flows) == pytest.approx(printed, abs=2e-4)


def test_a_rate_that_means_nothing_is_not_given():
    # Sign changes three times; the library answers 8.86 %, another root is 107 %.
    flows, printed = known.IRR_CASES[3]
    assert m.net_present_value(printed, flows) == pytest.approx(0, abs=1e-3)
    answer = m.internal_rate(flows)
    assert np.isnan(answer) == (answer.reason != "one rate")


@pytest.mark.parametrize(
    ("flows", "reason"),
    [
        ([-100, 100, 0, -7], "none: several rates fit"),
        ([-100, 230, -132], "none: several rates fit"),  # 10 % and 20 %
        ([100, 20], "none: no money is put in"),
        ([-100, -20], "none: no money comes in"),
        ([-1, 100], "none: above 1,000% per year"),
        ([-100, 1e-9], "none: below -90% per year"),
    ],
)
def test_reasons_for_no_rate(flows, reason):
    answer = m.internal_rate(flows)
    assert np.isnan(answer)
    assert answer.reason == reason


@evidence("internal_rate", "package", "numpy_financial.irr")
@given(st.floats(1, 1e6), st.lists(st.floats(1, 1e6), min_size=1, max_size=30))
def test_internal_rate_is_the_librarys(outlay, income):
    assume(0.2 * outlay < sum(income) and max(income) < 5 * outlay)
    answer = m.internal_rate([-outlay, *income])
    assume(answer.reason == "one rate")
    expected = reference.irr([-outlay, *income])
    if abs(expected) < 100:  # the library gives up on some flows
        assert answer == pytest.approx(expected, abs=1e-7)
    size = outlay + sum(income)
    assert abs(m.net_present_value(answer, [-outlay, *income])) < 1e-6 * size


def test_rate_of_flows_at_other_times():
    monthly = m.internal_rate([-100, *[9] * 12], years=np.arange(13) / 12)
    assert monthly == pytest.approx((1 + reference.irr([-100, *[9] * 12])) ** 12 - 1)


@evidence("payback", "derived", "counted by hand")
@pytest.mark.parametrize(
    ("flows", "periods"),
    [
        ([-100, 40, 40, 40], 2.5),
        ([-100, 50, 50], 2),
        ([-100, 150, -80, 50], 2.6),  # in the red again after period 2
        ([10, 5], 0),
        ([-100, 20], np.nan),
    ],
)
def test_payback(flows, periods):
    assert m.payback(flows) == pytest.approx(periods, nan_ok=True)


@evidence("loan_payment", "read", known.NUMPY_FINANCIAL)
def test_loan_payment_of_the_documentation():
    principal, rate, periods, payment = known.PMT_CASE
    assert m.loan_payment(principal, rate, periods) == pytest.approx(payment, rel=1e-13)


@evidence("loan_payment", "package", "numpy_financial.pmt")
@given(st.floats(1, 1e7), st.floats(1e-6, 0.5), st.integers(1, 400))
def test_loan_payment_is_the_librarys(principal, rate, periods):
    expected = -reference.pmt(rate, periods, principal)
    assert m.loan_payment(principal, rate, periods) == pytest.approx(expected, rel=1e-9)


def test_a_loan_without_interest_is_shared_out():
    assert m.loan_payment(1200, 0, 12) == 100


@evidence("loan_payment", "read", known.PANNEERSELVAM)
def test_annual_worth_of_the_textbook():
    rate, years, outlay, income, salvage, printed = known.ANNUAL_WORTH
    flows = [outlay, *[income] * (years - 1), income + salvage]
    worth = m.loan_payment(m.net_present_value(rate, flows), rate, years)
    assert worth == pytest.approx(printed, abs=6)  # printed from four-digit factors


@evidence("discount_factor", "package", "numpy_financial.pv")
@given(st.floats(-0.5, 3), st.floats(0, 60))
def test_discount_factor(rate, periods):
    expected = -reference.pv(rate, periods, 0, 1)
    assert m.discount_factor(rate, periods) == pytest.approx(expected, rel=1e-12)


@evidence("periods_to_discount", "derived", "definition, counted by hand")
def test_periods_to_discount():
    assert m.periods_to_discount([0, 1, 2], "end").tolist() == [0, 1, 2]
    assert m.periods_to_discount([0, 1, 2], "middle").tolist() == [0, 0.5, 1.5]
    assert m.periods_to_discount([0, 1, 2], "start").tolist() == [0, 0, 1]


@pytest.mark.parametrize(
    "call",
    [
        lambda: m.net_present_value(-1, [1, 2]),
        lambda: m.net_present_value(0.1, 5),
        lambda: m.net_present_value(0.1, ["a"]),
        lambda: m.net_present_value(0.1, []),
        lambda: m.net_present_value(0.1, [1, np.nan]),
        lambda: m.net_present_value(0.1, [1, 2], "noon"),
        lambda: m.internal_rate([1]),
        lambda: m.internal_rate([1, np.inf]),
        lambda: m.internal_rate([[1, 2], [3, 4]]),
        lambda: m.payback(None),
        lambda: m.loan_payment(-1, 0.1, 5),
        lambda: m.loan_payment(1, 0.1, 0),
        lambda: m.discount_factor(-1.5, 2),
        lambda: m.periods_to_discount(-1),
    ],
)
def test_bad_values_are_refused(call):
    with pytest.raises(BadValue):
        call()
