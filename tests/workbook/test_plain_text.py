"""Entered text stays text: in workbooks, CSV and on the terminal."""

import csv
import io
import re
import subprocess
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest

import pennyweight as pw
from pennyweight.cli.main import main
from pennyweight.documents.comparison_book import write_comparison
from pennyweight.documents.lots import read_lots
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import audit, make_statement
from pennyweight.errors import BadValue, plain
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.csv_file import csv_rows
from pennyweight.workbook.layout import layout
from pennyweight.workbook.package.text_part import csv_text
from pennyweight.workbook.read import read_book
from pennyweight.workbook.write import write_book
from tests.books import book_at, made_book
from tests.thorough import sampled

from ..documents.ledgers import ledger
from ..documents.test_statement import LOTS
from ..oracles.package import formula_cells, stored_cells, write_changed

NASTY = (
    '=HYPERLINK("http://example.org","win")',
    "+1+1",
    "-1",
    "@SUM(A1:A9)",
    "=cmd|'/c calc'!A0",
    "http://example.org",
    "mailto:a@example.org",
    "<b>bold</b> & <!-- gone -->",
    "[red]red[/red] [link=http://example.org]here[/link]",
    "{=1+1}",
    "&A &P &D",
    "_x0041_ _x000A_",
    "'quoted",
    '"quoted"',
    "]]>",
    "100%",
    "1e5",
    "Zürich 金 🪙",
)


NAMES = [name for name, entry in INPUTS.items() if entry.kind == "text"]
NUMBERS = [name for name, entry in INPUTS.items() if entry.numeric][: len(NAMES)]
IN_ONE_BOOK = [
    dict(zip(NAMES, NASTY[start:], strict=False))
    for start in range(0, len(NASTY), len(NAMES))
]


@pytest.fixture(scope="module", params=IN_ONE_BOOK)
def texts(request):
    return request.param


@pytest.fixture(scope="module")
def bases(texts):
    return dict(zip(NUMBERS, texts.values(), strict=False))


@pytest.fixture(scope="module")
def path(texts, bases, tmp_path_factory):
    made = made_book(texts, bases=bases)
    return write_book(made, tmp_path_factory.mktemp("texts") / "a.xlsx")


def test_a_workbook_keeps_it_as_text(texts, bases, path):
    reading, sheets = read_book(path), openpyxl.load_workbook(path)
    assert bases.items() <= reading.bases.items()
    for name, text in texts.items():
        assert reading.inputs[name] == text
        place = layout().entered[name]
        cell = sheets[place.sheet][place.cell()]
        assert cell.data_type == "s" and cell.hyperlink is None
    with zipfile.ZipFile(path) as package:
        links = [n for n in package.namelist() if n.endswith(".rels")]
        assert b"example.org" not in b"".join(map(package.read, links))


@pytest.mark.thorough
def test_another_program_shows_it_as_text(texts, path, gnumeric):
    shown = gnumeric.recalculate(path)
    for name, text in texts.items():
        place = layout().places[name]
        # Gnumeric does not undo this escape of the format.
        if not text.startswith("_x"):
            assert shown[place.sheet][place.cell()] == text


UNSEEN = ("a\x1b[31mb", "a\nb", "a\ud800", "\u202eback", "\x9b1m")


@pytest.mark.parametrize("text", UNSEEN)
def test_what_cannot_be_shown_is_refused(text):
    with pytest.raises(BadValue, match="cannot be shown"):
        made_book({"claim_name": text})


def test_a_text_too_long_is_refused():
    with pytest.raises(BadValue, match="300 characters; 255"):
        made_book({"claim_name": "x" * 300})


def test_it_cannot_steer_the_terminal(tmp_path, capsys):
    """Control characters come in by the format's escapes, and go no further."""
    mine = book_at(tmp_path / "a.xlsx")
    theirs = tmp_path / "b.xlsx"
    place, other = layout().entered["claim_name"], layout().places["margin_per_ton"]
    nasty = "Tamsel_x001B_[2J_x0007_ [bold]Draw[/bold] \x9b31m\u202e"
    cells = {
        (place.sheet, place.cell()): nasty,
        (other.sheet, other.cell()): nasty,
        ("About", "A6"): nasty,
    }
    write_changed(mine, theirs, cells)
    main(["judge", str(theirs)])
    main(["compare", str(mine), str(theirs)])
    main(["inspect", str(theirs)])
    shown = capsys.readouterr().out
    assert "[bold]Draw[/bold]" in shown
    assert all(sign not in shown for sign in "\x1b\x07\x9b\u202e")


def test_errors_cannot_steer_the_terminal(tmp_path, capsys):
    path = book_at(tmp_path / "a.xlsx")
    changed, place = tmp_path / "b.xlsx", layout().entered["mill_kind"]
    cells = {(place.sheet, place.cell()): "ball_x001B_[2J \x9bmill"}
    write_changed(path, changed, cells)
    with pytest.raises(SystemExit) as stopped:
        main(["judge", str(changed)])
    shown = capsys.readouterr().err
    assert stopped.value.code == 3 and "is not one of the choices" in shown
    assert "\x1b" not in shown and "\x9b" not in shown


def test_a_comparison_keeps_it_as_text(tmp_path):
    plan = pw.example()
    compared = plan.compare(plan.change(claim_name=NASTY[0]))
    found = write_comparison(compared, tmp_path / "c.xlsx")
    assert NASTY[0] in stored_cells(found)["Comparison"].values()
    with zipfile.ZipFile(found) as package:
        part = ElementTree.fromstring(package.read("xl/worksheets/sheet1.xml"))
        formulas = [e.text for e in part.iter() if e.tag.endswith("}f")]
    assert not any("HYPERLINK" in text for text in formulas)


def nasty_inputs(text):
    return {**dict.fromkeys(NAMES, text), "terms_mark": ""}  # a mark has a form


def formulas_and_links(content):
    """Formulas and targets of links in a file of ours."""
    found = []
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        for name in package.namelist():
            if name.startswith("xl/worksheets/"):
                part = ElementTree.fromstring(package.read(name))
                found += [e.text for e in part.iter() if e.tag.endswith("}f")]
                found += [e.tag for e in part.iter() if e.tag.endswith("}hyperlink")]
                found += [v for e in part.iter() for v in [e.get("Target")] if v]
    return found


@pytest.mark.parametrize("text", sampled(NASTY, 5))
@pytest.mark.parametrize("make", [make_quote, make_statement])
def test_quote_and_statement_keep_it_as_text(make, text):
    wanted = formulas_and_links(make({}, "us").content())
    page = make(nasty_inputs(text), "us")
    content = page.content()
    assert formulas_and_links(content) == wanted
    path = io.BytesIO(content)
    shown = openpyxl.load_workbook(path).worksheets[0].iter_rows(values_only=True)
    assert any(text in str(value) for row in shown for value in row if value)


@pytest.mark.parametrize("text", sampled(NASTY, 5))
def test_a_ledger_keeps_it_as_text(text):
    given = read_lots(csv_rows(LOTS, "table"), "us")
    wanted = ledger(nasty_inputs("Tamsel Draw"), "us", given)[0]
    given.columns["settle_lot"][0] = text
    content = ledger(nasty_inputs(text), "us", given)[0]
    assert formulas_and_links(content) == formulas_and_links(wanted)
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Ledger"]
    if not text.startswith("_x"):  # openpyxl undoes the escape of the escape
        kinds = {cell.data_type for cell in sheet["A"] if cell.value == text}
        assert kinds == {"s"}


@pytest.mark.parametrize("text", sampled(NASTY, 3))
def test_the_audit_copy_keeps_it_as_text(text, tmp_path, gnumeric):
    page = make_statement(nasty_inputs(text), "us")
    page.given("typed", text, 1.0, "-")
    page.bind("word", value=text)
    for row in csv.reader(io.StringIO(audit(page).decode())):
        for cell in row:
            number = cell.replace(".", "").replace("-", "").replace("e", "").isdigit()
            assert number or cell[:1] not in tuple("=+-@|%")


def test_a_spreadsheet_program_opens_the_audit_copy_as_text(tmp_path, gnumeric):
    """Nothing in it is calculated, our own formulas neither: they stand to be read."""
    path, back = tmp_path / "audit.csv", tmp_path / "audit.xlsx"
    page = make_statement({}, "us")
    page.given("typed", NASTY[0], 1.0, "-")
    path.write_bytes(audit(page))
    command = ["ssconvert", str(path), str(back)]
    subprocess.run(command, check=True, capture_output=True)
    assert formula_cells(back) == set()


def test_one_module_reads_and_writes_the_csv_of_people():
    """Tables of our own do not count; nobody saves them from a spreadsheet."""
    source = Path(pw.__file__).parent
    doing = re.compile(r"csv\.(writer|reader|Dict)|to_csv")
    found = {p.name for p in source.rglob("*.py") if doing.search(p.read_text())}
    assert found == {"csv_file.py", "diagnosis.py", "inputs.py"}


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@a", "\t=1", "  =1", "\r=1", "|x"])
def test_csv_keeps_it_as_text(text):
    assert csv_text(text).startswith("'")


def test_plain_text_is_left_alone():
    for text in ("Tamsel Draw", "Zürich 金 🪙", "a-b = c"):
        assert plain(text) == text == csv_text(text)
