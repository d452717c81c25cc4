"""The pictures of docs/pictures, made from the books that the commands write.

``make pictures`` draws them all, by ``python -m tests.docs.pictures``. Beside them
``sources.json`` keeps what each one shows, so that a test finds those out of date.
"""

import hashlib
import json
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from openpyxl import load_workbook
from typer.testing import CliRunner

from pennyweight.cli.main import app
from tests.oracles import pictures
from tests.oracles.libreoffice import LibreOffice

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
SOURCES = FOLDER / "sources.json"
WITHIN_MARGINS = ["-r", "110", "-x", "40", "-y", "50"]


@dataclass(frozen=True)
class Picture:
    """One printed page of one sheet of a book."""

    book: str
    sheet: str
    page: int = 1


PICTURES = {
    "answer": Picture("claim.xlsx", "Answer"),
    "inputs": Picture("claim.xlsx", "Inputs"),
    "cost": Picture("claim.xlsx", "Cost per ton"),
    "contract": Picture("claim.xlsx", "Contract"),
    "risk": Picture("claim.xlsx", "Risk", page=2),
}
WRITE = ["new claim.xlsx --example"]
FILL = ["risk claim.xlsx --seed 1"]


def run(commands, folder):
    """Run commands as a user would, in a folder."""
    for command in commands:
        words = [
            str(folder / word) if word.endswith(".xlsx") else word
            for word in command.split()
        ]
        done = CliRunner().invoke(app, words)
        assert done.exit_code == 0, (command, done.output)


def sources():
    """A digest of what each picture shows: the texts and figures of its sheet."""
    with tempfile.TemporaryDirectory() as work:
        run(WRITE, Path(work))
        books = {
            name: load_workbook(Path(work) / name, read_only=True, data_only=True)
            for name in {picture.book for picture in PICTURES.values()}
        }
        found = {
            name: _digest(books[picture.book][picture.sheet])
            for name, picture in PICTURES.items()
        }
        for book in books.values():
            book.close()
    return found


def _digest(sheet):
    shown = [
        f"{value:.6g}" if isinstance(value, float) else str(value)
        for row in sheet.iter_rows(values_only=True)
        for value in row
        if value is not None
    ]
    return hashlib.sha256("\n".join(shown).encode()).hexdigest()[:16]


def page_of(picture, pages):
    """The page of the printed book that shows the picture, from the pages' feet."""
    text = subprocess.run(
        ["pdftotext", "-layout", str(pages), "-"], capture_output=True, text=True
    ).stdout
    feet = re.findall(rf"{re.escape(picture.sheet)}\s+(\d+)/\d+$", text, re.MULTILINE)
    return int(feet[picture.page - 1])


def draw(office, work, books):
    """Print each book, and draw the pages that are wanted."""
    for book in books:
        office.print_pages(work / book, work / f"{book}.pdf")
    for name, picture in PICTURES.items():
        pages = work / f"{picture.book}.pdf"
        number = str(page_of(picture, pages))
        one_page = ["-f", number, "-l", number, "-singlefile"]
        command = [pictures.PROGRAM, "-png", *WITHIN_MARGINS, *one_page]
        subprocess.run([*command, str(pages), str(work / name)], check=True)
        shutil.move(work / f"{name}.png", FOLDER / f"{name}.png")
        print(f"docs/pictures/{name}.png")


def main():
    """Draw all pictures, and write down what they show."""
    if lacking := pictures.missing():
        print(lacking)
        return 1
    with tempfile.TemporaryDirectory() as folder, LibreOffice() as office:
        work = Path(folder)
        run(WRITE + FILL, work)
        draw(office, work, sorted({picture.book for picture in PICTURES.values()}))
    text = json.dumps(sources(), indent=2)
    SOURCES.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
