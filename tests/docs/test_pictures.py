"""The pictures are those of the pages, and show what the code writes now."""

import json
import re
from pathlib import Path

from tests.docs import pictures

ROOT = Path(__file__).parents[2]


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
