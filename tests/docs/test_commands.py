"""Every command that a page shows runs, in a folder as its reader would have it."""

import contextlib
import re
import shlex
import shutil
import textwrap
from pathlib import Path

import pytest
import typer
from typer.main import get_command
from typer.testing import CliRunner

import pennyweight as pw
from pennyweight.cli.main import app
from tests.books import book_at

ROOT = Path(__file__).parents[2]
RISK = (ROOT / "docs" / "risk.md").read_text("utf-8")
BUILT = {"functions.md", "inputs.md", "lines.md"}
PAGES = [
    page
    for page in [
        *ROOT.glob("*.md"),
        *(ROOT / "docs").rglob("*.md"),
        *(ROOT / "workbooks").rglob("*.md"),
    ]
    if page.name not in BUILT
]
BLOCK_LINE = re.compile(r"^ {4,}(?:\$ |\S*[/\\])?pennyweight (.+)$", re.MULTILINE)
IN_A_SENTENCE = re.compile(r"`(?:\S*\\)?pennyweight\s([^`]+)`")
WRITES = ("-o", "--book", "--vba")
"""Options that name a file to write."""
OTHER_PROGRAMS = {"excel", "calc"}
"""Commands that need Excel or LibreOffice; tests/addins runs them with stand-ins."""


def shown(page):
    """Commands of a page: those in its blocks, in order, then those in sentences."""
    text = page.read_text("utf-8")
    for line in [*BLOCK_LINE.findall(text), *IN_A_SENTENCE.findall(text)]:
        words = shlex.split(line.replace("\\\n", " "))
        if words[0] not in OTHER_PROGRAMS:
            yield words


def written(words):
    """The files that a command writes."""
    names = [
        words[i + 1]
        for i, word in enumerate(words)
        if word in WRITES and words[0] != "inspect"  # which reads its --book
    ]
    return [*names, words[1]] if words[0] == "new" and "--help" not in words else names


@pytest.fixture(scope="module")
def at_hand(tmp_path_factory):
    """What a reader has who comes to a page: books, and the tables that pages show."""
    folder = tmp_path_factory.mktemp("at_hand")
    (cases,) = re.findall(r"^ {4},.+\n(?: {4}.+\n)+", RISK, re.MULTILINE)
    (folder / "cases.csv").write_text(textwrap.dedent(cases), "utf-8")
    lots = ROOT / "workbooks" / "season-contract" / "lots.csv"
    shutil.copy(lots, folder / "lots.csv")
    season = ROOT / "workbooks" / "season-plan"
    shutil.copy(season / "actuals.csv", folder / "actuals.csv")
    few = (season / "wanted.csv").read_text("utf-8").splitlines()[:6]
    (folder / "wanted.csv").write_text("\n".join(few) + "\n", "utf-8")
    (folder / "prices.csv").write_text("date,price\n2026-07-14,3450\n", "utf-8")
    book_at(folder / "theirs.xlsx", gold_price=3300.0)
    book_at(folder / "any.xlsx")
    pw.read(folder / "any.xlsx").settle(folder / "statement.xlsx")
    return folder


def each_once():
    """Each command once, whichever pages show it, and under whatever file names."""
    found = {}
    for page in sorted(PAGES):
        for words in shown(page):
            if len(words) == 1 or {"BOOK", "NAME"} & {*words}:  # named, not shown
                words = [words[0], "--help"]
            elif words[0] == "risk":
                words = [*words, "--trials", "256"]
            elif words[0] == "season":
                words = [*words, "--seconds", "2"]
            elif "--enter" in words:  # tests/season/test_learn.py enters
                words = words[: words.index("--enter")]
            found.setdefault(alike(words), words)
    return list(found.values())


def alike(words):
    """The command without the names of its files, which every page gives anew."""
    return tuple(re.sub(r"^.*(?=\.(?:xlsx|csv)$)", "", word) for word in words)


SLOW = {"new", "compare", "inspect", "renew", "risk"}
"""Commands that tests of their own run every time."""


def tried():
    """The first of each command that ends soon; the others in the thorough run."""
    known = {*SLOW, "--help", "--version"}
    for words in each_once():
        marks = [pytest.mark.thorough] if words[0] in known else []
        known.add(words[0])
        yield pytest.param(words, marks=marks)


@pytest.mark.parametrize("words", list(tried()), ids=" ".join)
def test_a_command_that_a_page_shows_runs(words, tmp_path, monkeypatch, at_hand):
    monkeypatch.chdir(tmp_path)
    made = [Path(name) for name in written(words)]
    for name in {word for word in words if word.endswith((".xlsx", ".csv"))}:
        if Path(name) not in made:
            there = at_hand / name.lower()
            shutil.copy(there if there.exists() else at_hand / "any.xlsx", name)
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 0, (words, done.output, done.exception)
    assert all(path.exists() for path in made), words


@pytest.mark.parametrize("words", each_once(), ids=" ".join)
def test_a_command_that_a_page_shows_has_its_options(words):
    """All of them, also those that run in the thorough run only."""
    program = get_command(app)
    name, *given = words if words[0] in program.commands else ["pennyweight", *words]
    command = program.commands.get(name, program)
    with contextlib.suppress(typer.Exit):  # by --help, once its text is shown
        command.make_context(name, given)


def test_the_python_of_the_page_on_risk():
    (block,) = re.findall(r"```python\n(.*?)```", RISK, re.DOTALL)
    exec(compile(block, "docs/risk.md", "exec"), {})


def test_every_command_is_told_in_the_front_page_and_the_changes():
    """A command that no page names is one that nobody finds."""
    commands = set(get_command(app).commands) - OTHER_PROGRAMS
    for name in ("README.md", "CHANGELOG.md"):
        text = (ROOT / name).read_text("utf-8")
        named = {command for command in commands if re.search(rf"\b{command}\b", text)}
        assert named == commands, name
