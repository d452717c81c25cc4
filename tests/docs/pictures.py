"""The pictures of docs/pictures, made from the books that the commands write.

``make pictures`` draws them all, by ``python -m tests.docs.pictures``. Beside them
``sources.json`` keeps what each one shows, so that a test finds those out of date.
"""

import functools
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

import pennyweight as pw
from pennyweight.cli.main import app
from pennyweight.workbook.write import book_bytes
from tests.oracles import office, pictures

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
SOURCES = FOLDER / "sources.json"
WITHIN_MARGINS = ["-r", "110", "-x", "20", "-y", "36"]


@dataclass(frozen=True)
class Picture:
    """One printed page of one sheet of a book."""

    book: str
    sheet: str
    page: int = 1


PAGE = FOLDER.parent / "four-jobs.md"
JOBS = {
    "vein.xlsx": "claim",
    "price.xlsx": "contract",
    "lot.xlsx": "lot",
    "test.xlsx": "test",
}
"""Books of the page of three jobs."""
LOT_TERMS = {"terms_per_ton_01": 310.0}
SCREENS = {
    "screen_caught_gold": [2.6, 3.4, 2.6, 1.1],
    "screen_tails_share": [0.12, 0.33, 0.35, 0.2],
    "screen_tails_grade": [0.06, 0.07, 0.08, 0.12],
}
TERMS = {"lot.xlsx": LOT_TERMS, "test.xlsx": SCREENS}
"""What its words say beside its tables."""
PICTURES = {
    "answer": Picture("claim.xlsx", "Answer"),
    "inputs": Picture("claim.xlsx", "Inputs"),
    "cost": Picture("claim.xlsx", "Cost per ton", page=2),
    "contract": Picture("claim.xlsx", "Contract", page=2),
    "risk": Picture("claim.xlsx", "Risk", page=2),
    "start_claim": Picture("vein.xlsx", "Start"),
    "start_contract": Picture("price.xlsx", "Start"),
    "start_lot": Picture("lot.xlsx", "Start"),
    "quote": Picture("quote.xlsx", "Milling quote"),
    "statement": Picture("statement.xlsx", "Settlement statement"),
    "report": Picture("report.xlsx", "Test lot report"),
}
PAPERS = [
    "quote price.xlsx -o quote.xlsx",
    "settle lot.xlsx -o statement.xlsx",
    "report test.xlsx -o report.xlsx",
]
WRITE = ["new claim.xlsx --example"]
FILL = ["risk claim.xlsx --seed 1"]


def typed(text):
    """What a cell takes: a number, a share of a percentage, or the words."""
    number = text.replace(",", "").removesuffix("%")
    if not re.fullmatch(r"[\d.]+", number):
        return text
    return float(number) / 100 if text.endswith("%") else float(number)


def write_jobs(folder):
    """Write the books of the page of three jobs, with the figures of its tables."""
    for name, content in _jobs().items():
        (folder / name).write_bytes(content)


@functools.cache
def _jobs():
    """The books' bytes by name, made once in each process."""
    parts = PAGE.read_text(encoding="utf-8").split(" | you type |")[1:]
    made = {}
    for (name, job), part in zip(JOBS.items(), parts, strict=True):
        rows = re.findall(r"^\| ([^|]+?) \| ([^|]+?) \|$", part, re.MULTILINE)
        figures = {label: typed(text) for label, text in rows}
        plan = pw.Plan({**figures, **TERMS.get(name, {})}, job=job)
        made[name] = book_bytes(plan.book())
    return made


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
        write_jobs(Path(work))
        run(PAPERS, Path(work))
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
    """The page of the printed book that shows the picture, from the pages' feet.

    A paper for others is one sheet, whose pages have no name at their feet.
    """
    text = subprocess.run(
        ["pdftotext", "-layout", str(pages), "-"], capture_output=True, text=True
    ).stdout
    feet = re.findall(rf"{re.escape(picture.sheet)}\s+(\d+)/\d+$", text, re.MULTILINE)
    return int(feet[picture.page - 1]) if feet else picture.page


def draw(work, books):
    """Print each book, and draw the pages that are wanted.

    By LibreOffice's own converter: the one that tests ask leaves out the colours that
    a rule's formula gives.
    """
    profile = f"-env:UserInstallation={(work / 'profile').as_uri()}"
    command = [office.PROGRAM, "--headless", profile, "--convert-to", "pdf"]
    paths = [str(work / book) for book in books]
    subprocess.run([*command, "--outdir", str(work), *paths], check=True)
    for name, picture in PICTURES.items():
        pages = (work / picture.book).with_suffix(".pdf")
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
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        write_jobs(work)
        run(WRITE + FILL + PAPERS, work)
        draw(work, sorted({picture.book for picture in PICTURES.values()}))
    text = json.dumps(sources(), indent=2)
    SOURCES.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
