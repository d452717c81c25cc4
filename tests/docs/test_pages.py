"""The pages: built ones are up to date, links lead somewhere, no strange words."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]


def test_built_pages_are_up_to_date():
    command = [sys.executable, str(ROOT / "docs" / "build.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
        if not target.startswith(("http", "mailto")):
            assert (page.parent / target).exists(), target


def test_readme_shows_what_the_command_prints(tmp_path, monkeypatch):
    from typer.testing import CliRunner

    from pennyweight.doors.command import app

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
