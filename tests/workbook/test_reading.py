"""Returned workbooks: changed, saved again, broken. None is ever changed."""

import dataclasses
import math
import re
import shutil
import zipfile

import pytest

from pennyweight.errors import CallError, WorkbookError
from pennyweight.model.entries import answer, answer_list
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook import read as reader
from pennyweight.workbook import write
from pennyweight.workbook.entry_cells import OWN_LOW
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.write import write_book
from tests.books import book_at, made_book, typed_at
from tests.fuzz.files import packed, unpacked
from tests.oracles.package import defined_names, write_changed
from tests.oracles.values import ErrorValue
from tests.thorough import sampled

BOOK = "xl/workbook.xml"


@pytest.fixture(scope="module")
def pristine(tmp_path_factory):
    path = tmp_path_factory.mktemp("pristine") / "book.xlsx"
    book_at(path)
    return path


@pytest.fixture
def book(pristine, tmp_path):
    return shutil.copy(pristine, tmp_path / "book.xlsx")


def without_names(book, *names):
    parts = unpacked(book.read_bytes())
    for name in names:
        pattern = rb'<definedName name="%s">[^<]*</definedName>' % name.encode()
        parts[BOOK], count = re.subn(pattern, b"", parts[BOOK])
        assert count == 1
    book.write_bytes(packed(parts))
    return book


def typed(book, name, value):
    """Type a value into the yellow cell of an input; None empties it."""
    return put(book, layout().entered.get(name) or layout().places[name], value)


def put(book, place, value):
    before = book.with_name("before.xlsx")
    shutil.move(book, before)
    write_changed(before, book, {(place.sheet, place.cell()): value})
    return book


def refused(path, *words):
    """The book is refused in these words, and not a byte of it changes."""
    before = path.read_bytes()
    with pytest.raises(WorkbookError) as caught:
        read_book(path)
    assert path.read_bytes() == before
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize("units", sampled(["us", "metric"], 2))
def test_what_is_written_is_read(units, tmp_path):
    made = made_book({"gold_price": 2750.5, "power_source": "grid"}, units)
    made.statuses["gold_price"] = "measured"
    made.bases["gold_price"] = "Today's fixing"
    reading = read_book(write_book(made, tmp_path / "a.xlsx"))
    for name, value in made.inputs.items():  # the file holds sixteen digits
        kept = value if isinstance(value, str) else pytest.approx(value, rel=1e-15)
        assert reading.inputs[name] == kept, name
    assert (reading.units, reading.version) == (units, made.version)
    assert reading.statuses["gold_price"] == "measured"
    assert reading.bases["gold_price"] == "Today's fixing"


def test_choices_in_other_letters_are_understood(book):
    typed(book, "mill_kind", "Hammer Mill")
    assert read_book(book).inputs["mill_kind"] == "hammer mill"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("lots", ("'lots' is not a number",)),
        (-5, ("-$5/oz is out of range", "$200/oz to $50,000/oz")),
        (1e300, ("out of range",)),
    ],
)
def test_a_bad_input_is_named_with_its_cell(book, value, words):
    place = layout().entered["gold_price"]
    said = f"Gold price ({place.sheet}!{place.cell()})"
    refused(typed(book, "gold_price", value), said, *words)


def test_true_and_an_error_are_no_numbers(book):
    typed(book, "gold_price", True)
    typed(book, "crew", ErrorValue("#DIV/0!"))
    refused(book, "is not a number", "shows the error #DIV/0!")


def test_every_bad_input_is_named_at_once(book):
    typed(book, "gold_price", "x")
    refused(typed(book, "crew", -1), "Gold price", "Operators per shift")


def test_a_half_month_is_not_a_whole_number(book):
    refused(typed(book, "build_months", 2.5), "Construction time", "whole number")


def test_inputs_that_contradict_one_another(book):
    refused(typed(book, "feed_f80", 200), "F80 (Inputs!", "coarse")


def test_a_missing_sheet(book):
    parts = unpacked(book.read_bytes())
    parts[BOOK], count = re.subn(rb'<sheet name="Inputs"[^>]*/>', b"", parts[BOOK])
    assert count == 1
    book.write_bytes(packed(parts))
    refused(book, "Inputs")


def test_a_missing_name(book):
    refused(without_names(book, "Crew_entered", "Crew"), "Crew")


def test_another_layout(book):
    """Its inputs are read by name."""
    before = read_book(book)
    mark = defined_names(book).cell("Book_layout")
    shutil.move(book, old := book.with_name("old.xlsx"))
    write_changed(old, book, {(mark.sheet, mark.corner): 0})
    reading = read_book(without_names(book, "Crew"))
    assert before.current and not reading.current
    assert reading.inputs == before.inputs  # the label finds what has lost its name
    assert reading.places["crew"] == before.places["crew"] and not reading.note


def test_an_empty_cell_is_not_given(book):
    assert "wage" in read_book(book).given
    reading = read_book(typed(book, "wage", None))
    assert "wage" not in reading.given and "crew" in reading.given
    assert reading.inputs["wage"] == INPUTS["wage"].value("us", "estimate")
    assert "wage" not in reading.missing and not reading.note


def test_another_version_may_have_had_another_estimate(book, monkeypatch):
    typed(book, "wage", None)
    put(book, layout().places["wage"], 27.25)  # where the formula stood
    estimate = INPUTS["wage"].value("us", "estimate")
    assert read_book(book).inputs["wage"] == estimate != 27.25
    monkeypatch.setattr(reader, "__version__", "9.9.9")
    assert read_book(book).inputs["wage"] == 27.25
    put(book, layout().places["wage"], "soon")
    assert read_book(book).inputs["wage"] == estimate


def test_the_users_own_range_is_read(book):
    low_cell = dataclasses.replace(layout().places["wage"], column=OWN_LOW)
    low, high = read_book(put(book, low_cell, 24)).ranges["wage"]
    assert low == 24.0 and math.isnan(high)


def test_a_text_file(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_text("ore, 12 tons")
    refused(path, "not an .xlsx workbook")


def test_a_locked_or_old_file(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"0" * 600)
    refused(path, "password", ".xls")


@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.98])
def test_a_truncated_file(book, share):
    content = book.read_bytes()
    book.write_bytes(content[: int(len(content) * share)])
    refused(book, "damaged")


def test_a_zip_that_is_not_a_workbook(tmp_path):
    path = tmp_path / "book.xlsx"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("letter.txt", "hello")
    refused(path, "not an .xlsx workbook")


def test_a_missing_file(tmp_path):
    with pytest.raises(WorkbookError, match="no file"):
        read_book(tmp_path / "none.xlsx")


@pytest.mark.parametrize("lock", ["~$book.xlsx", ".~lock.book.xlsx#"])
def test_a_book_open_elsewhere(book, lock):
    book.with_name(lock).write_text("someone")
    refused(book, "open in another program", "save and close")


@pytest.fixture
def ready(monkeypatch):
    """Where a book goes does not depend on what is in it."""
    monkeypatch.setattr(write, "book_bytes", lambda book: b"a new book")


def test_an_existing_file_is_kept(book, ready):
    before = book.read_bytes()
    with pytest.raises(CallError, match="--force"):
        write_book(None, book)
    assert book.read_bytes() == before
    write_book(None, book, force=True)
    assert book.read_bytes() == b"a new book"


def test_a_missing_folder(tmp_path, ready):
    with pytest.raises(WorkbookError, match="does not exist"):
        write_book(None, tmp_path / "nowhere" / "a.xlsx")


def test_nothing_is_written_beside_an_open_book(book, ready):
    book.with_name("~$book.xlsx").write_text("someone")
    before = book.read_bytes()
    with pytest.raises(WorkbookError, match="open in another program"):
        write_book(None, book, force=True)
    assert book.read_bytes() == before
    assert sorted(p.name for p in book.parent.iterdir()) == ["book.xlsx", "~$book.xlsx"]


def test_what_is_missing_is_reported_with_what_cannot_be_used(tmp_path):
    path = typed_at(tmp_path / "both.xlsx", gold_price=None, ore_grade="0,37")
    with pytest.raises(WorkbookError) as told:
        read_book(path)
    assert "'0,37' is not a number" in str(told.value)
    assert str(told.value).endswith("Missing, too: Gold price.")


@pytest.mark.parametrize(
    ("missing", "wrong", "told"),
    [
        (1, 5, "not yet: 1 figure is missing; 5 entries cannot be used"),
        (2, 0, "not yet: 2 figures are missing"),
        (0, 1, "not yet: 1 entry cannot be used"),
    ],
)
def test_the_answer_counts_the_missing_and_the_unusable(missing, wrong, told):
    assert str(answer("pays", missing, wrong)) == told
    listed = str(answer_list(missing, "A" * missing, wrong, "B" * wrong, ""))
    assert ("Missing: A" in listed) == bool(missing)
    assert ("Cannot be used: B" in listed) == bool(wrong)
