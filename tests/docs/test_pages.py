"""The pages: built ones are up to date, links lead somewhere, no strange words."""

import doctest
import inspect
import json
import re
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from docs.docstrings import statements
from typer.testing import CliRunner

from pennyweight.cli.main import app
from pennyweight.model.line import Section
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.trade import mills
from pennyweight.trade.catalogue import catalogue
from tests.docs import pictures
from tests.thorough import sampled

ROOT = Path(__file__).parents[2]
PAGES = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]


def test_built_pages_are_up_to_date():
    command = [sys.executable, str(ROOT / "docs" / "build.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr


def test_every_trade_function_has_evidence():
    """A check under tests/trade, marked as `tests.evidence` says."""
    text = (ROOT / "docs" / "functions.md").read_text(encoding="utf-8")
    functions = re.findall(r"^\*\*(\w+)\*\*.*?Evidence: (\w+)\.$", text, re.M | re.S)
    assert len(functions) == len(catalogue())
    assert [name for name, label in functions if label == "none"] == []


def shown_to_contributors(decorator, **known):
    """What DEVELOPERS.md shows under a decorator, as a function."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (block,) = re.findall(rf"^ {{4}}@{decorator}\b.*\n(?:(?: {{4}}.*)?\n)+", text, re.M)
    exec(textwrap.dedent(block), known)
    return list(known.values())[-1]


def test_the_line_shown_to_contributors_can_be_added():
    line = shown_to_contributors("returns", returns=Section("Return per ton", ""))
    assert line.__name__ not in MODEL.lines
    assert inspect.signature(line).parameters.keys() <= run({}).keys()


def test_the_trade_function_shown_to_contributors_can_be_added():
    known = {**vars(mills), "contract": lambda function: function}
    function = shown_to_contributors("contract", **known)
    assert function.__name__ not in catalogue()
    assert statements(function)["returns"] == [["power", "W"]]
    function.__globals__[function.__name__] = function
    tests = doctest.DocTestFinder().find(function, globs=function.__globals__)
    assert doctest.DocTestRunner().run(tests[0]).failed == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
        if not target.startswith(("http", "mailto")):
            assert (page.parent / target).exists(), target


def test_readme_shows_what_the_command_prints(tmp_path, monkeypatch):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    runner = CliRunner()
    assert runner.invoke(app, ["new", "claim.xlsx", "--example"]).exit_code == 0
    printed = runner.invoke(app, ["judge", "claim.xlsx"]).output
    lines = [line.strip() for line in printed.splitlines()]
    start = readme.index("$ pennyweight judge claim.xlsx")
    shown = readme[start : readme.index("`--json`", start)].splitlines()[1:]
    for line in filter(None, (line.strip() for line in shown)):
        assert line == "..." or line in lines, line


@pytest.mark.parametrize("name", pictures.JOBS)
def test_the_page_of_jobs_shows_what_the_command_prints(name, jobs):
    page = pictures.PAGE.read_text(encoding="utf-8")
    (shown,) = re.findall(rf"judge {name}\n((?: {{4}}.+\n)+)", page)
    printed = CliRunner().invoke(app, ["judge", str(jobs / name)]).output
    lines = [line.strip() for line in printed.splitlines()]
    for line in map(str.strip, shown.splitlines()):
        assert line == "..." or line in lines, line


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobs")
    pictures.write_jobs(folder)
    return folder


@pytest.mark.parametrize("page, least", sampled([("what-if", 3), ("in-python", 20)], 2))
def test_the_python_of_a_page_runs(page, least):
    path = str(ROOT / "docs" / f"{page}.md")
    found = doctest.testfile(path, module_relative=False)
    assert found.attempted > least
    assert not found.failed


def test_every_page_is_in_the_contents():
    """`index.md` lists every page once; each of its entries is a page."""
    docs = ROOT / "docs"
    index = (docs / "index.md").read_text(encoding="utf-8")
    entries = [
        line
        for block in re.findall(r"```{toctree}\n(.*?)```", index, re.DOTALL)
        for line in block.splitlines()
        if line and not line.startswith(":")
    ]
    listed = [page for entry in entries for page in sorted(docs.glob(f"{entry}.md"))]
    assert sorted(listed) == sorted({*docs.rglob("*.md")} - {docs / "index.md"})


def test_the_pictures_show_what_the_code_writes():
    """Texts and figures; colours and widths are not compared."""
    recorded = json.loads(pictures.SOURCES.read_text(encoding="utf-8"))
    stale = [name for name, now in pictures.sources().items() if recorded[name] != now]
    assert not stale, "Out of date; run make pictures."


def test_the_pictures_are_those_of_the_pages():
    pages = [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    text = "".join(page.read_text(encoding="utf-8") for page in pages)
    made = {path.stem for path in pictures.FOLDER.glob("*.png")}
    assert made == set(pictures.PICTURES)
    assert set(re.findall(r"pictures/(\w+)\.png", text)) == made
