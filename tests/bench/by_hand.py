"""The cash flow written by hand as one numba loop, to measure the kernel against.

It does less than the kernel: what comes before the months (plant, power, cost rates,
terms of sale, capital, loan) is given to it, and the operating cost comes in four
sums of rates. Results are the same to rounding.
"""

import numba
import numpy as np

MONTHS, YEARS = 120, 11
GIVEN = (
    "mill_tons",
    "build_months",
    "season_months",
    "tons_per_month",
    "ramp_start",
    "ramp_months",
    "bullion_gold",
    "middlings_gold",
    "hold_up",
    "feed_rate",
    "gold_price",
    "gold_payable",
    "insurance_rate",
    "silver_credit",
    "middlings_payable",
    "refining_charge",
    "shipments_per_month",
    "shipment_cost",
    "royalty_rate",
    "rates_by_ton",
    "rates_by_hour",
    "rates_by_working_month",
    "rates_by_month",
    "capital",
    "equipment_capital",
    "sustaining_rate",
    "capital_cost_factor",
    "salvage",
    "closure_cost",
    "reclamation_bond",
    "refiner_days",
    "stores",
    "tax_rate",
    "loan_amount",
    "loan_interest",
    "loan_payment",
    "rates_by_staffed_hour",
    "rates_by_open_month",
    "hours_per_month",
    "availability",
    "grace_used",
)
"""What a scenario is given, in the order of the rows."""


@numba.njit(
    "void(f8[:, ::1], f8[::1], f8, f8, f8, f8, f8[:, ::1])",
    parallel=True,
    error_model="numpy",
    cache=False,
)
def cash_flow(given, factors, start_month, season_start, before, delay, out):
    """Net present value, lowest owner's cash and payback month of each scenario.

    The tax year begins ``before`` months before month 1, and its tax is paid ``delay``
    months after it; losses are carried forward without limit.
    """
    for i in numba.prange(given.shape[1]):
        mill_tons, build, season = given[0, i], given[1, i], given[2, i]
        full, ramp_start, ramp_months = given[3, i], given[4, i], given[5, i]
        bullion, middlings, hold_up = given[6, i], given[7, i], given[8, i]
        feed_rate, price = given[9, i], given[10, i]
        paid = price * (given[11, i] - given[12, i])
        silver, middling_price = given[13, i], given[14, i] * price
        refining, shipments = given[15, i], given[16, i] * given[17, i]
        royalty_rate = given[18, i]
        by_ton, by_hour, by_working, by_month = (
            given[19, i],
            given[20, i],
            given[21, i],
            given[22, i],
        )
        capital, equipment = given[23, i], given[24, i]
        sustaining = equipment * given[26, i] * given[25, i] / season
        salvage, closure, bond_wanted = given[27, i], given[28, i], given[29, i]
        refiner, stores_wanted, tax_rate = (
            given[30, i] / 30.4375,
            given[31, i],
            given[32, i],
        )
        loan_amount, interest_rate, payment = given[33, i], given[34, i], given[35, i]
        by_staffed = given[36, i] * given[38, i] / given[39, i]
        by_open, grace = given[37, i], given[40, i]
        ore, worked, held, bond, receivable = mill_tons, 0.0, 0.0, 0.0, 0.0
        stores, loan, owner, cash = 0.0, 0.0, 0.0, 0.0
        worth, lowest, last_red, total = 0.0, np.inf, -1, 0.0
        owed = np.zeros(4)
        flows, saved = np.zeros(MONTHS), np.zeros(MONTHS)
        milled_in, financed, interests = (
            np.zeros(MONTHS),
            np.zeros(MONTHS),
            np.zeros(MONTHS),
        )
        profits = np.zeros(MONTHS)
        end = MONTHS
        for m in range(MONTHS):
            month = m + 1
            calendar = (start_month - 1 + m) % 12 + 1
            in_season = (calendar - season_start + 12) % 12 < season
            is_open = 1.0 if month > build and ore > 0 else 0.0
            working = is_open if in_season else 0.0
            built = 1.0 if month <= max(build, 1.0) else 0.0
            share = ramp_start + (1 - ramp_start) * worked / ramp_months
            output = working * min(share, 1.0)
            worked += working
            milled = output * full
            if ore <= output * (full + feed_rate):
                milled = ore
            staffed = min(milled / (output * full), 1.0) if working > 0 else 0.0
            ore -= milled
            total += milled
            milled_in[m] = milled
            ending = 1.0 if is_open > 0 and (ore <= 0 or month >= MONTHS) else 0.0
            if ending > 0:
                end = m
            gold = milled * bullion
            now_held = min(held + gold, hold_up) * (1 - ending)
            sold = gold + held - now_held
            held = now_held
            sales = (
                sold * (paid + silver - refining)
                + milled * middlings * middling_price
                - working * shipments
            )
            net = sales - max(sales, 0.0) * royalty_rate
            cost = (
                milled * by_ton
                + milled / feed_rate * by_hour
                + staffed * by_staffed
                + working * by_working
                + is_open * by_open
                + max(is_open, built) * by_month
            )
            margin = net - cost
            spent = built * capital / max(build, 1.0)
            sustained = working * sustaining
            now_bond = (bond if m > 0 else bond_wanted) * (1 - ending)
            for age in range(3, 0, -1):
                owed[age] = owed[age - 1] * min(max(refiner - age, 0.0), 1.0)
            owed[0] = max(sales, 0.0) * min(refiner, 1.0)
            now_receivable = owed.sum() if month < MONTHS else 0.0
            now_stores = max(stores, is_open * stores_wanted) * (1 - ending)
            tied = now_receivable + now_stores + now_bond - receivable - stores - bond
            bond, receivable, stores = now_bond, now_receivable, now_stores
            closed = ending * (salvage - closure)
            profits[m] = margin - sustained + closed
            flows[m] = margin + closed - spent - sustained - tied
            interest = loan * interest_rate
            early = interest if month <= grace + 1 else payment
            repaid = loan + interest
            if ending == 0:
                repaid = min(early, repaid)
            drawn = built * loan_amount / max(build, 1.0)
            loan += drawn + interest - repaid
            interests[m] = interest
            financed[m] = drawn - repaid
        undepreciated = 0.0
        years, loan_years = np.zeros(YEARS), np.zeros(YEARS)
        for m in range(MONTHS):
            planned = min(capital * milled_in[m] / total, undepreciated)
            written = undepreciated if m == end else planned
            spent = capital / max(build, 1.0) if m < max(build, 1.0) else 0.0
            undepreciated += spent - written
            year = int((before + m) // 12)
            years[year] += profits[m] - written
            loan_years[year] += profits[m] - written - interests[m]
        losses, loan_losses = 0.0, 0.0
        for year in range(YEARS):
            due = int(min(12 * (year + 1) - before + delay, MONTHS)) - 1
            tax = max(years[year] - losses, 0.0) * tax_rate
            losses = max(losses - years[year], 0.0)
            own = max(loan_years[year] - loan_losses, 0.0) * tax_rate
            loan_losses = max(loan_losses - loan_years[year], 0.0)
            flows[due] -= tax
            saved[due] += tax - own
        for m in range(MONTHS):
            cash += flows[m]
            if cash < 0:
                last_red = m + 1
            worth += flows[m] * factors[m]
            owner += flows[m] + saved[m] + financed[m]
            lowest = min(lowest, owner)
        out[0, i] = worth
        out[1, i] = max(-lowest, 0.0)
        # As the model counts: one month after the last with negative cash.
        out[2, i] = last_red + 1 if last_red < MONTHS else np.nan
