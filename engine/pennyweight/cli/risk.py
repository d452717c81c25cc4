"""``pennyweight risk``: a Monte Carlo risk analysis of a claim or a contract."""

import os
from pathlib import Path
from typing import Literal

import typer

from .arguments import BookArgument, ForceOption, JsonOption, option, output_option
from .screen import echo_json, echo_notes, say_currency, say_look_again

TRIALS = 16384


def risk(
    book: BookArgument,
    trials: option(int, "Number of trials; rounded up to a power of two.") = TRIALS,
    seed: option(int, "Random seed; the same seed gives the same results.") = 0,
    funds: option(float | None, "Cash available, $; default: peak funding.") = None,
    gold: option(
        Literal["flat", "path", "table"],
        "Model of the gold price: one lognormal mean (flat), a monthly "
        "random walk (path), or the low and high of the input (table).",
    ) = "flat",
    volatility: option(
        float | None, "Volatility of the gold price per year; 0.15 is 15%."
    ) = None,
    shape: option(
        Literal["median", "triangular", "pert"],
        "Distribution between low and high: the plan's value is its median, or its "
        "mode (triangular, pert).",
    ) = "median",
    vary: option(
        list[str] | None,
        "Distribution of one input, by name or label, as "
        "INPUT=KIND:NUMBERS; for example ore_grade=lognormal:0.28,0.25 or "
        "gravity_recovery=lots:0.58,0.66,0.61 or wage=fixed:29. May be repeated.",
    ) = None,
    correlate: option(
        list[str] | None, "INPUT,INPUT=R, the correlation coefficient. May be repeated."
    ) = None,
    assay_cv: option(
        float | None, "Coefficient of variation of one assay; default: of the samples."
    ) = None,
    assay_cost: option(
        float | None,
        "Cost of one more sample, with cutting it, $; default: the cost per assay.",
    ) = None,
    lot_cv: option(
        float | None,
        "Coefficient of variation of the recovery of one test lot; default: 0.1.",
    ) = None,
    lot_cost: option(
        float | None, "Cost of one more test lot, $; needed for net gain."
    ) = None,
    rate: option(
        bool, "Include the internal rate of return; far slower.", "--rate"
    ) = False,
    as_json: JsonOption = False,
    output: output_option(
        Path | None,
        "Enter the results into a copy; do not change the workbook.",
        "COPY",
    ) = None,
    fill: option(bool, "Enter the results on the sheet Risk of the workbook.") = True,
    force: ForceOption = False,
):
    """Run a Monte Carlo risk analysis of a claim or a contract."""
    from ..opening import read
    from .risk_options import correlation, distribution_of, progress

    plan = read(book)
    say_currency(plan)
    if output is not None:
        plan.may_write(output, force)
    echo_notes(plan)
    plan.may_tell_risk(entered=output is not None)
    with progress(trials, quiet=as_json) as tick:
        report = plan.risk(
            trials,
            seed,
            funds=funds,
            gold=gold,
            volatility=volatility,
            shape=shape,
            vary=dict(distribution_of(text) for text in vary or ()),
            correlations=dict(correlation(text) for text in correlate or ()),
            rate=rate,
            assay_cv=assay_cv,
            assay_cost=assay_cost,
            lot_cv=lot_cv,
            lot_cost=lot_cost,
            progress=tick,
            workers=os.cpu_count(),
        )
    say_look_again(plan.judge().look_again, as_json)
    if as_json:
        echo_json(report.to_dict())
    else:
        from .risk_screen import show_report

        show_report(report, plan)
    has_sheet = plan.inputs["job"] != "contract"
    if output is not None or (fill and has_sheet):
        _enter(report, plan, output, force, quiet=as_json)


def _enter(report, plan, output, force, quiet):
    """Fill the sheet Risk; if that fails, the results were still printed."""
    from ..errors import WorkbookError

    try:
        written = plan.enter_risk(report, output, force)
    except WorkbookError as error:
        if output is not None:
            raise
        typer.echo(f"Results not entered into the workbook: {error}", err=True)
    else:
        if not quiet:
            typer.echo(f"Results entered on the sheet Risk of {written}")
