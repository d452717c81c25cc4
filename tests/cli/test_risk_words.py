"""The screen of `risk` tells its terms in plain words."""

import pennyweight as pw
from pennyweight.cli.risk_screen import show_report
from pennyweight.risk.report import make_report
from tests.risk.studies import by_numpy, only_varying


def test_the_terms_of_the_tables_are_told_once_in_plain_words(capsys):
    """Before, a miller met SE and Sobol' index without a word."""
    vary = {"gold_price": ("normal", [3440.0, 300.0])}
    with by_numpy():
        report = make_report(only_varying(vary=vary), 256)
    show_report(report, pw.example())
    told = " ".join(capsys.readouterr().out.split())
    assert told.count("SE, the standard error: about how far") == 1
    shown = "Sobol' index: share of the uncertainty"
    assert told.count(shown) == bool(report.sobol_indices) == 1
    assert "expected shortfall (mean of the worst 10%)" in told
