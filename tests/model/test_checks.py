"""Each job has the checks that apply to it."""

import pytest

import pennyweight as pw
from pennyweight.model.inputs import INPUTS, rows_of
from pennyweight.model.jobs import (
    CLAIM,
    CONTRACT,
    HIRED,
    LOT,
    MASSES,
    MILL,
    TEST,
    precedents,
    rests_on,
)
from pennyweight.model.mill_model import MODEL

JOBS = (CLAIM, CONTRACT, LOT, TEST)
USES = {"grade_source", "recovery_source", "grind_model"}
"""Choices of a plan whether it uses a test lot; a workbook for one always does."""
OF = {
    "ore": [CLAIM],
    "plant": [CLAIM, CONTRACT],
    "mill": [CLAIM, CONTRACT],
    "contract": [CONTRACT],
    "lot": [LOT],
    "test": [CLAIM, TEST],
}
"""Jobs for which a check counts, by the word in the table of checks."""


@pytest.mark.parametrize(
    "row", [row for row in rows_of("checks.csv") if row["of"]], ids=lambda r: r["check"]
)
def test_a_check_counts_for_the_jobs_that_rest_on_it(row):
    lines = {row["actual"], row["expected"]} & MODEL.lines.keys()
    inputs = precedents(lines, (*MASSES, *HIRED))[1] | (
        {row["actual"], row["expected"]} & INPUTS.keys()
    )
    asked = (inputs - USES) & frozenset().union(*(rests_on(job)[1] for job in JOBS))
    assert [job for job in JOBS if asked <= rests_on(job)[1]] == OF[row["of"]]


def test_a_mill_is_held_to_its_motor_its_speed_and_its_size():
    """Each rests on figures of the mill alone."""
    rows = [row for row in rows_of("checks.csv") if row["of"] == "mill"]
    figures = {row[side] for row in rows for side in ("actual", "expected")}
    assert figures & MODEL.lines.keys() <= rests_on(MILL)[0] | {"smallest_in_use"}
    assert precedents(figures & MODEL.lines.keys())[1] <= rests_on(MILL)[1]
    failing = pw.Plan({"mill_motor": 5.0, "mill_speed": 39.0}, job=MILL).judge()
    assert failing.checks["failed"] == 2


TOO_MANY_LOTS = "Hours of the booked lots are at most the season's"
TOO_LITTLE_TIME = "All ore is milled within the plan"
SMALL_MOTOR = "Mill power is at most the rating of the motor"
NO_UMPIRE = "Settlement: assays are within the limit, or an umpire assayed"
TAILS = "Test lot in use: tailings fractions sum to 100%"
WRONG = {
    "ore_tons": 90_000.0,
    "mill_motor": 5.0,
    "season_lots": 200,
    "settle_mill_assay": 0.9,
    "settle_owner_assay": 0.5,
    "screen_tails_share_06": 0.5,
}


@pytest.mark.parametrize(
    ("job", "failures"),
    [
        ("everything", [SMALL_MOTOR, TOO_LITTLE_TIME, NO_UMPIRE]),
        (CLAIM, [SMALL_MOTOR, TOO_LITTLE_TIME]),
        (CONTRACT, [SMALL_MOTOR, TOO_MANY_LOTS]),
        (LOT, [NO_UMPIRE]),
        (TEST, [TAILS]),
    ],
)
@pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
def test_only_checks_of_the_job_fail(job, failures):
    plan = pw.Plan(pw.example().given | WRONG | {"job": job})
    checks = plan.judge().checks
    assert checks["failures"] == failures and checks["failed"] == len(failures)
    assert plan.values["checks_flag"] == failures[0]
    of_limits = [failed for failed in failures if failed != TAILS]
    assert plan.values["limits_failed"] == len(of_limits)
    assert plan.values["measurements_failed"] == len(failures) - len(of_limits)


def test_a_claim_asks_for_all_that_its_checks_compare():
    """Before, a capacity out of sight made a check fail on every sheet."""
    _, asked = rests_on(CLAIM)
    for row in rows_of("checks.csv"):
        if CLAIM in OF.get(row["of"], ()):
            sides = {row["actual"], row["expected"]}
            _, inputs = precedents(sides & MODEL.lines.keys())
            assert inputs | (sides & INPUTS.keys()) <= asked | {"job"}, row["check"]


LARGE = {"power_source": "generator", "crew": 2, "mill_count": 4, "table_count": 9}
OWN_LIMITS = {
    "Generator rating is at most four times the power required": (
        {"generator_rating": 4000}
    ),
    "Power required is at most the rating of the generator": {"generator_rating": 20},
    "Operators required are at most operators per shift": (
        {"crusher_attention": 1, "mill_attention": 1, "table_attention": 1}
    ),
    "Bin capacity required is at most ore bin capacity": {"bin_capacity": 2},
    "Concentrate per melt is at most furnace capacity": {"furnace_capacity": 2},
}


def failures(**own):
    return pw.Plan(job=CLAIM, **LARGE, **own).judge().checks["failures"]


@pytest.mark.parametrize("check", OWN_LIMITS)
def test_a_limit_that_nobody_entered_fails_no_check(check):
    """Before, 60 kW, 15 tons, 80 lb and 2.5 operators were assumed."""
    assert check in failures(**OWN_LIMITS[check])
    assert OWN_LIMITS.keys().isdisjoint(failures())


SERVED = "Loan: cash from milling until it is repaid covers its payments"


@pytest.mark.parametrize(("months", "fails"), [(12, True), (60, False)])
def test_a_loan_that_the_cash_cannot_serve_fails_a_check(months, fails):
    """Before, a claim whose cash covered two thirds of a year's payments "pays"."""
    plan = pw.example().change(loan_share=0.8, loan_months=months)
    assert (plan.results["lowest_cover"] < 1) == fails
    assert (SERVED in plan.judge().checks["failures"]) == fails


@pytest.mark.parametrize("months", [3, 6, 9, 12, 18])
def test_a_first_year_of_few_months_fails_no_check_of_the_loan(months):
    """Its working capital is the owner's to fund; alone it is more than its cash."""
    plan = pw.example().change(build_months=months)
    assert SERVED not in plan.judge().checks["failures"]
