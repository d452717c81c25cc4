"""Turn a workbook into pictures of its printed pages, so that people can look.

``python -m tests.oracles.pictures BOOK FOLDER``
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.oracles.libreoffice import LibreOffice
from tests.oracles.libreoffice import missing as office_missing
from tests.oracles.values import OracleFailed

PROGRAM = "pdftoppm"
DOTS_PER_INCH = 70
SECONDS = 300


def missing() -> str | None:
    """Say what to install where no pictures can be made, None where they can."""
    if shutil.which(PROGRAM) is None:
        return "pdftoppm is missing: install Poppler (Debian's poppler-utils)."
    return office_missing()


def render(
    book: Path | str, folder: Path | str, office: LibreOffice | None = None
) -> list[Path]:
    """Draw every page that ``book`` prints as a PNG in ``folder``.

    Paper, orientation, scaling, print areas and repeated rows are the book's own;
    hidden and empty sheets have no page. Pictures of the same book from before
    are replaced. Gives the pictures in the order of the pages.
    """
    book, folder = Path(book), Path(folder)
    if office is None:
        with LibreOffice() as own:
            return render(book, folder, own)
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="pictures-") as work:
        pages = Path(work) / "pages.pdf"
        office.print_pages(book, pages)
        _draw(pages, Path(work) / book.stem)
        return _replace(book.stem, Path(work), folder)


def _draw(pages: Path, start: Path) -> None:
    command = [PROGRAM, "-r", str(DOTS_PER_INCH), "-png", str(pages), str(start)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS)
    if done.returncode:
        raise OracleFailed(f"pdftoppm: {done.stderr.strip()}")


def _replace(stem: str, work: Path, folder: Path) -> list[Path]:
    """Move new pictures in; an older, longer set must not leave pages behind."""
    for old in folder.glob("*.png"):
        if re.fullmatch(re.escape(stem) + r"-\d+\.png", old.name):
            old.unlink()
    made = sorted(work.glob("*.png"))
    if not made:
        raise OracleFailed("the book printed no page")
    return [Path(shutil.move(page, folder / page.name)) for page in made]


def main(arguments: list[str]) -> int:
    """Draw the book given on the command line and say what was written."""
    if len(arguments) != 2:
        print(__doc__)
        return 2
    lacking = missing()
    if lacking:
        print(lacking)
        return 1
    for picture in render(*arguments):
        print(picture)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
