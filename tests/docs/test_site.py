"""The website: every topic has its functions there, with the equations of the code."""

import re
import sys
from pathlib import Path

import pytest

from pennyweight.formulas import Reference
from pennyweight.trade.catalogue import TOPICS, catalogue

pytest.importorskip("sphinx", reason="the extra docs is not installed")
DOCS = Path(__file__).parents[2] / "docs"
sys.path.insert(0, str(DOCS))
import equations  # noqa: E402

A, B, C = Reference("A"), Reference("B"), Reference("C")


def test_every_topic_is_in_the_reference():
    pages = "".join(page.read_text("utf-8") for page in DOCS.glob("reference/*.md"))
    shown = re.findall(r"automodule:: pennyweight\.trade\.(\w+)", pages)
    assert sorted(shown) == sorted(TOPICS)


def test_the_equation_of_bond():
    assert equations.equation(catalogue()["bond_energy"]) == (
        r"\text{bond energy} = 10 \cdot \text{work index} \cdot "
        r"\left(\frac{1}{\sqrt{\text{product p80}}} - "
        r"\frac{1}{\sqrt{\text{feed f80}}}\right)"
    )


@pytest.mark.parametrize(
    "expression, written",
    [
        (A - (B - C), r"\text{a} - \left(\text{b} - \text{c}\right)"),
        (A - B - C, r"\text{a} - \text{b} - \text{c}"),
        (A * (B + C), r"\text{a} \cdot \left(\text{b} + \text{c}\right)"),
        ((A / B) ** 2, r"\left(\frac{\text{a}}{\text{b}}\right)^{2}"),
        (A ** (B + C), r"\text{a}^{\text{b} + \text{c}}"),
        (-(A + B), r"-\left(\text{a} + \text{b}\right)"),
        (A + -B, r"\text{a} + \left(-\text{b}\right)"),
        (A * -2, r"\text{a} \cdot \left(-2\right)"),
        (A * 1e-9, r"\text{a} \cdot 1 \cdot 10^{-9}"),
    ],
)
def test_brackets_stand_where_they_are_needed(expression, written):
    assert equations.latex(expression) == written


def test_every_equation_can_be_drawn():
    shown = [equations.equation(function) for function in catalogue().values()]
    for text in filter(None, shown):
        assert equations.tex2mathml(text, as_block=True).startswith("<math")
    assert len([text for text in shown if text]) > 100
