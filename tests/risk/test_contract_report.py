"""The risk analysis of a workbook for a contract."""

import json

import numpy as np
import pytest
from scipy import stats

import pennyweight as pw
from pennyweight.model.inputs import INPUTS
from pennyweight.model.jobs import CONTRACT, rests_on
from pennyweight.risk.contract_report import MARGIN, make_contract_report
from tests.books import typed_at
from tests.commands import pennyweight
from tests.risk.studies import only_varying

DEVIATION = 0.15 / np.sqrt(3)
"""Of the logarithm of the mean price over a year: the walk's after a third of it."""


@pytest.fixture(scope="module")
def plan():
    return pw.example().change(job=CONTRACT, contract_kind="share")


@pytest.fixture(scope="module")
def report(plan):
    return plan.risk(4096)


def test_only_inputs_of_a_contract_vary(report):
    """That of everything draws the grade of the claim, too: see `test_variance`."""
    _, inputs = rests_on(CONTRACT)
    assert set(report.study.names) <= inputs
    assert {"custom_grade", "wage", "gold_price"} <= set(report.study.names)
    assert "ore_grade" not in inputs


def test_gold_price_is_the_mean_of_a_year():
    report = pw.Plan(job=CONTRACT).risk(256)
    assert report.study.distributions["gold_price"].deviation == pytest.approx(
        DEVIATION, rel=1e-12
    )
    assert "over a year" in " ".join(report.method())


def test_probability_of_a_loss_is_that_of_the_price(plan):
    """The mill's share is linear in the price: it loses below one price."""
    price = plan.inputs["gold_price"]
    ends = 0.5 * price, 1.5 * price
    low, high = (plan.change(gold_price=end).results[MARGIN] for end in ends)
    even = ends[0] - low * (ends[1] - ends[0]) / (high - low)
    vary = {"gold_price": ("lognormal", [even * 1.05, 0.1])}
    study = only_varying(plan.inputs, vary=vary)
    loss = make_contract_report(study, 16384).contracts["share"]["mill"].loss.value
    assert loss == pytest.approx(stats.norm.cdf(-np.log(1.05) / 0.1), abs=2e-3)


def test_inputs_of_the_claim_change_no_contract(plan):
    """Drawn or not, the grade of the claim leaves every figure as it is."""
    own = {"custom_grade": ("uniform", [0.3, 0.6])}
    more = own | {"ore_grade": ("uniform", [0.1, 0.9])}
    alone, both = (
        make_contract_report(only_varying(plan.inputs, vary=vary), 4096, 3)
        for vary in (own, more)
    )
    assert alone.contracts == both.contracts
    assert alone.study.names == both.study.names == ("custom_grade",)
    assert [effect.name for effect in both.ranked] == ["custom_grade"]


def test_probability_of_a_loss_comes_first(report):
    loss = report.contracts["share"]["mill"].loss.value
    assert report.summary()[0].endswith(
        f"(contract type: share): {100 * loss:.1f}% (SE "
        f"{100 * report.contracts['share']['mill'].loss.error:.1f} points)"
    )
    assert 0 < loss < 1


def test_a_base_case_beyond_nine_in_ten_trials_is_told():
    """Recovery can only fall short of the plan's."""
    plan = pw.example().change(job=CONTRACT, contract_kind="purchase")
    recovery = plan.inputs["custom_recovery"]
    vary = {"custom_recovery": ("uniform", [0.5 * recovery, 0.99 * recovery])}
    study = only_varying(plan.inputs, vary=vary)
    _, mill, _ = make_contract_report(study, 256).summary()
    assert mill.endswith("More than nine in ten trials are below the base case.")


def test_missing_figures_are_named_first():
    found = pw.Plan(job=CONTRACT, gold_price=3900).risk(256)
    assert found.summary()[0] == found.stand_ins
    assert INPUTS["custom_grade"].label in found.stand_ins
    assert "Charges that are estimates" in " ".join(found.method())


def test_charges_that_were_entered_are_no_estimates(plan):
    charges = {
        name: entry.value("us", "estimate") * 1.01
        for name, entry in INPUTS.items()
        if name.startswith(("terms_per", "terms_markup", "terms_share"))
    }
    found = plan.change(charges).risk(256)
    assert "Charges that are estimates" not in " ".join(found.method())


@pytest.mark.parametrize(
    "option",
    [
        {"funds": 1e5},
        {"rate": True},
        {"assay_cv": 0.2},
        {"assay_cost": 90},
        {"lot_cost": 500},
    ],
)
def test_options_of_a_claim_are_refused(plan, option):
    with pytest.raises(pw.CallError, match=f"{next(iter(option))}: .* Leave it out"):
        plan.risk(256, **option)


def test_command_shows_it_and_leaves_the_workbook(tmp_path):
    path = typed_at(tmp_path / "price.xlsx", job=CONTRACT)
    before = path.read_bytes()
    shown = pennyweight("risk", "price.xlsx", "--trials", 256, cwd=tmp_path)
    assert shown.returncode == 0, shown.stderr
    assert "Probability that the mill makes a loss" in shown.stdout
    assert path.read_bytes() == before
    told = pennyweight("risk", "price.xlsx", "--trials", 256, "--json", cwd=tmp_path)
    values = json.loads(told.stdout)
    kind = values["agreed"]
    assert f"{100 * values['contracts'][kind]['mill']['loss']['value']:.1f}%" in (
        shown.stdout
    )


def test_workbook_without_the_sheet_risk_takes_no_copy(tmp_path):
    typed_at(tmp_path / "price.xlsx", job=CONTRACT)
    done = pennyweight("risk", "price.xlsx", "-o", "copy.xlsx", cwd=tmp_path)
    assert done.returncode == 2
    assert "has no sheet Risk" in done.stderr
    assert not (tmp_path / "copy.xlsx").exists()
