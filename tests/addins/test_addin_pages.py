"""The pages about the add-ins: their recipes work, their commands exist."""

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pennyweight.addins.registry import registry
from pennyweight.cli.main import app

DOCS = Path(__file__).parents[2] / "docs"
PAGES = ("in-excel", "in-libreoffice", "without-python", "recipes", "excel-checklist")
LINE = re.compile(r"^([A-Z]+\d+(?::[A-Z]+\d+)?): (.*?)(?: -> (.+))?$")


def recipes():
    """Blocks of the page; a risk analysis takes too long for every run."""
    text = (DOCS / "recipes.md").read_text("utf-8")
    for section in text.split("\n## ")[1:]:
        title = section.splitlines()[0]
        for block in re.findall(r"```\n(.*?)```", section, re.DOTALL):
            marks = [pytest.mark.thorough] if "DWT_RISK" in block else []
            yield pytest.param(block, id=title, marks=marks)


@pytest.mark.thorough
@pytest.mark.parametrize("block", list(recipes()))
def test_a_recipe_typed_into_calc(calc, block):
    cells, formulas, wanted = {}, [], []
    for line in block.strip().splitlines():
        address, content, shown = LINE.match(line).groups()
        if content.startswith("="):
            formulas.append([address, content.replace(",", ";")])
            wanted.append(shown)
        else:
            number = re.fullmatch(r"-?[\d.]+", content)
            cells[address] = float(content) if number else content
    found = calc.ask("work_out", cells=cells, formulas=formulas)
    for rows, shown in zip(found, wanted, strict=True):
        if shown is None:
            assert not any(isinstance(cell, dict) for row in rows for cell in row)
        elif isinstance(rows[0][0], dict):
            assert rows[0][0]["error"] == shown
        elif isinstance(rows[0][0], str):
            assert rows[0][0] == shown
        else:
            assert rows[0][0] == pytest.approx(float(shown), rel=1e-4)


@pytest.mark.parametrize("page", PAGES)
def test_functions_and_links_of_a_page_exist(page):
    text = (DOCS / f"{page}.md").read_text("utf-8")
    macros = {"DWT_DO_JUDGE", "DWT_DO_COMPARE", "DWT_DO_RISK"}
    assert set(re.findall(r"DWT_[A-Z_]+[A-Z]", text)) <= set(registry()) | macros
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (DOCS / target).exists()


@pytest.mark.parametrize("page", PAGES)
def test_commands_of_a_page_exist(page):
    text = (DOCS / f"{page}.md").read_text("utf-8")
    named = set(re.findall(r"pennyweight (excel|calc) (\w+)", text))
    for group, command in named:
        done = CliRunner().invoke(app, [group, command, "--help"])
        assert done.exit_code == 0, (group, command)
