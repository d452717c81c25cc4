"""Losses, depletion, depreciation, loans and cover ratios in print; each was read."""

# MasteryEducation, CPA course 19.5, net operating losses: $1.0m of income, $2.0m
# carried forward, 80%: $800,000 are used.
LOSSES = {"income": 1_000_000, "losses": 2_000_000, "share": 0.8, "used": 800_000}
LOSSES_SOURCE = "MasteryEducation, CPA course 19.5"

# HMRC, Company Taxation Manual CTM05260 (inputs) and CTM05130 (rule), GBP million:
# profits of 20 and 5 less reliefs of 4, 15 carried forward, 5 free, then half.
LOSSES_FREE = {"income": 21, "losses": 15, "share": 0.5, "free": 5, "used": 13}
LOSSES_FREE_SOURCE = "HMRC, Company Taxation Manual CTM05130, CTM05260"

# Newnan, Engineering Economic Analysis, question 11.7: coal, 10%, gross income
# $250,000, costs $210,000; $25,000 by the percentage, limited to $20,000.
DEPLETION = {"gross": 250_000, "income": 40_000, "rate": 0.10, "allowed": 20_000}
DEPLETION_SOURCE = "Newnan, Engineering Economic Analysis, question 11.7"

# questioncove.com: 2,390 at 24.28% a year, nothing paid for 12 months, then 24
# equal payments.
DEFERRED = {"amount": 2390, "rate": 0.2428 / 12, "grace": 12, "payments": 24}
DEFERRED_PAYMENT = 161.12
DEFERRED_SOURCE = "questioncove.com, deferred loan of 2,390"

# answer.ya.guru: 173,400, salvage 15,000, 8 years; and 675,000 of 4.5 million units.
STRAIGHT_LINE = {"cost": 173_400, "salvage": 15_000, "years": 8, "a_year": 19_800}
BY_UNITS = {"units": 675_000, "all": 4_500_000, "depreciation": 23_760}
