"""Equations as MathML: those that pages write, and those traced from the functions.

MathML stands in the page itself, so that a reader needs neither network nor script.
"""

import re

from docutils import nodes
from docutils.utils.math.latex2mathml import tex2mathml
from sphinx.application import Sphinx

from pennyweight.errors import CannotTrace
from pennyweight.formulas.expression import Constant, Expression, Operation, Reference
from pennyweight.trade.catalogue import catalogue, sheet_formula, topic_of, traced
from pennyweight.trade.function_contract import CATALOGUE

LONGEST = 250
"""Characters of the formula, in a cell, of an equation that still reads as one."""
TRACED = (
    "These are traced from the code. Options have their usual values; the page of each "
    "function tells units, range and source.\n"
)
COMPARED = {"<=": r"\le", ">=": r"\ge", "<>": r"\ne"}
NAMED = {"EXP": r"\exp", "LN": r"\ln", "MAX": r"\max", "MIN": r"\min"}
NAMED |= {"SIN": r"\sin", "COS": r"\cos", "TAN": r"\tan", "LOG10": r"\log_{10}"}
SIGN, SUM, PRODUCT, POWER, ATOM = range(5)


def latex(expression: Expression) -> str:
    """The expression as LaTeX."""
    return _latex(expression)[0]


def _latex(part: Expression) -> tuple[str, int]:
    """LaTeX and how tightly it binds."""
    if isinstance(part, Reference):
        return rf"\text{{{_words(part.address)}}}", ATOM
    if isinstance(part, Constant):
        return _constant(part.value)
    assert isinstance(part, Operation)
    return _operation(part.symbol, part.operands)


def _words(name: str) -> str:
    return name.lower().replace("_", " ")


def _constant(value: object) -> tuple[str, int]:
    if isinstance(value, bool | str):
        return rf"\text{{{value}}}", ATOM
    if value != value:
        return r"\text{no answer}", ATOM
    text = f"{value:.7g}"
    if "e" in text:
        digits, power = text.split("e")
        return rf"{digits} \cdot 10^{{{int(power)}}}", PRODUCT
    return text, SIGN if text.startswith("-") else ATOM


def _operation(symbol: str, operands: tuple) -> tuple[str, int]:
    if symbol == "/":
        return rf"\frac{{{latex(operands[0])}}}{{{latex(operands[1])}}}", POWER
    if symbol == "^":
        return f"{_held(operands[0], ATOM)}^{{{latex(operands[1])}}}", POWER
    if symbol == "*":
        return r" \cdot ".join(_held(part, PRODUCT) for part in operands), PRODUCT
    if symbol == "+":
        return f"{_held(operands[0], SIGN)} + {_held(operands[1], SUM)}", SUM
    if symbol == "-":
        return f"{_held(operands[0], SIGN)} - {_held(operands[1], PRODUCT)}", SUM
    if symbol == "negative":
        return f"-{_held(operands[0], PRODUCT)}", SIGN
    if symbol == "SQRT":
        return rf"\sqrt{{{latex(operands[0])}}}", POWER
    if symbol == "ABS":
        return rf"\left|{latex(operands[0])}\right|", ATOM
    if symbol == "IF":
        return _cases(*operands), SUM
    if symbol in "<= >= <>":
        return f" {COMPARED.get(symbol, symbol)} ".join(map(latex, operands)), SUM
    name = NAMED.get(symbol, rf"\operatorname{{{symbol.lower()}}}")
    return rf"{name}\left({', '.join(map(latex, operands))}\right)", ATOM


def _cases(condition: Expression, yes: Expression, no: Expression) -> str:
    rows = rf"{latex(yes)} & \text{{if }} {latex(condition)} \\ {latex(no)}"
    return rf"\begin{{cases}} {rows} & \text{{otherwise}} \end{{cases}}"


def _held(part: Expression, least: int) -> str:
    text, tightness = _latex(part)
    return text if tightness >= least else rf"\left({text}\right)"


def equation(function) -> str | None:
    """A trade function's own equation; None where it has none that reads as one."""
    try:
        if len(sheet_formula(function)) > LONGEST:
            return None
    except (CannotTrace, RecursionError):  # a series nests deeper than one reads
        return None
    return rf"\text{{{_words(function.__name__)}}} = {latex(traced(function))}"


def add_equation(_app, kind, name, _object, _options, lines) -> None:
    """Show the traced equation below the summary of a trade function."""
    function = CATALOGUE.get(name.rpartition(".")[2])
    if kind != "function" or function is None or "" not in lines:
        return
    text = equation(function)
    if text:
        place = lines.index("") + 1
        lines[place:place] = [".. math::", "", f"   {text}", ""]


def append_equations(_app, page: str, source: list[str]) -> None:
    """End a page on method with the equations of the topics that it names."""
    if not page.startswith("method/"):
        return
    named = set(re.findall(r"`(?:pennyweight\.trade\.)?(\w+)`", source[0]))
    parts = ["\n## Equations of the functions\n", TRACED]
    for function in catalogue().values():
        text = equation(function) if topic_of(function) in named else None
        if text:
            address = f"{function.__module__}.{function.__name__}"
            parts.append(f"{{py:func}}`{address}`\n\n```math\n{text}\n```\n")
    source[0] += "\n".join(parts) if len(parts) > 2 else ""


def visit_math(translator, node) -> None:
    """Write an equation within a sentence."""
    translator.body.append(tex2mathml(node.astext(), as_block=False))
    raise nodes.SkipNode


def visit_math_block(translator, node) -> None:
    """Write an equation on its own line."""
    shown = tex2mathml(node.astext(), as_block=True)
    translator.body.append(f'<div class="math-block">{shown}</div>\n')
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    """Join in the renderer and the equations."""
    app.add_html_math_renderer("mathml", (visit_math, None), (visit_math_block, None))
    app.connect("autodoc-process-docstring", add_equation)
    app.connect("source-read", append_equations)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
