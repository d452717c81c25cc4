"""More worked cases of money over time, as printed."""

# For a capital investment of $5M a small mine returns $1.5M a year for 5 years;
# 12 %. Exercise with its answer, wizedu.com question 276558, read. The answer uses a
# factor of four decimals (407,200) and a table to the dollar (407,164).
SMALL_MINE_SOURCE = "exercise on a small mine, wizedu.com question 276558"
SMALL_MINE = {
    "rate": 0.12,
    "flows": [-5_000_000, *[1_500_000] * 5],
    "value": 407_200.0,
    "value_by_table": 407_164.0,
    "internal_rate": 0.1524,
    "discounted_payback": 4.52,
    "discounted": [-5_000_000, 1_339_286, 1_195_791, 1_067_670, 953_277, 851_140],
}

# Manuals of two spreadsheet programs, read: the rate to four and to seven decimals.
CELLWORKS_SOURCE = "Cellworks manual, irr (cellworks.au/manual)"
CELLWORKS = ([-70_000, 12_000, 15_000, 18_000, 21_000, 26_000], 0.0866)
GREYTROUT_SOURCE = "Spread sheet user guide, IRR (greytrout.com/manuals/SS_user_guide)"
GREYTROUT = ([-700, 750, 900, 600, 850], 1.0462142)
# The same page gives a rate for flows that end with an outlay. It is one of two.
GREYTROUT_CLOSURE = ([-80, 90, 67, 72, -90], -0.32606171)

# ClickHouse documentation, financial functions, read: sixteen digits.
CLICKHOUSE_SOURCE = "ClickHouse documentation, financialInternalRateOfReturn"
CLICKHOUSE = ([-100, 39, 59, 55, 20], 0.2809484211599611)
