"""The oracles really recalculate: they are not fooled by what a file has stored."""

from __future__ import annotations

import os
import signal
import subprocess
from pathlib import Path

import pytest
import xlsxwriter

from tests.oracles.libreoffice import LibreOffice
from tests.oracles.oracle import WRONG
from tests.oracles.package import formula_cells, stored_cells
from tests.oracles.values import ErrorValue, OracleFailed
from tests.thorough import sampled

ALL = ("libreoffice", "gnumeric", "iron")
SAVING = ("libreoffice", "gnumeric")


@pytest.fixture(params=ALL)
def oracle(request):
    """Each oracle in turn."""
    return request.getfixturevalue(request.param)


@pytest.fixture(params=SAVING)
def saving(request):
    """Each oracle that saves books, in turn."""
    return request.getfixturevalue(request.param)


@pytest.fixture(params=sampled(("auto", "manual"), 2))
def book(request, tmp_path) -> Path:
    """A small book whose every stored result is wrong, in both calculation modes."""
    return write_book(tmp_path / "book.xlsx", request.param)


def write_book(path: Path, mode: str) -> Path:
    """Write two sheets, named cells and results that are stored wrong."""
    with xlsxwriter.Workbook(path) as workbook:
        workbook.set_calc_mode(mode)
        money = workbook.add_format({"num_format": "#,##0.00"})
        inputs = workbook.add_worksheet("In puts")
        inputs.write_number("B1", 4.0, money)
        inputs.write_string("B2", "ore & water")
        inputs.write_boolean("B3", True)
        inputs.write_blank("B4", None, money)
        results = workbook.add_worksheet("Results")
        for row, formula in enumerate(FORMULAS):
            results.write_formula(row, 0, formula, None, WRONG)
        for name, place in NAMES.items():
            workbook.define_name(name, f"={place}")
    return path


FORMULAS = (
    "=price*2.5",
    "=A1/0",
    '=label&"!"',
    "=price>3",
    '=""',
    '=IF(flag,"on","off")',
    "=price+spare",
)
NAMES = {
    "price": "'In puts'!$B$1",
    "label": "'In puts'!$B$2",
    "flag": "'In puts'!$B$3",
    "spare": "'In puts'!$B$4",
    "product": "Results!$A$1",
    "fault": "Results!$A$2",
    "shout": "Results!$A$3",
    "dear": "Results!$A$4",
    "switch": "Results!$A$6",
    "total": "Results!$A$7",
    "block": "Results!$A$1:$A$3",
    "constant": "0.5",
}


@pytest.mark.parametrize("book", ("auto", "manual"), indirect=True)
def test_a_wrong_stored_value_is_replaced(book, oracle):
    stored = stored_cells(book)["Results"]
    assert set(stored.values()) == {WRONG}
    cells = oracle.recalculate(book)
    assert cells["In puts"] == {"B1": 4.0, "B2": "ore & water", "B3": True}
    assert cells["Results"] == {
        "A1": 10.0,
        "A2": ErrorValue("#DIV/0!"),
        "A3": "ore & water!",
        "A4": True,
        "A5": "",
        "A6": "on",
        "A7": 4.0,
    }
    assert cells["Results"]["A4"] is True
    assert cells["In puts"]["B3"] is True


def test_scenarios_change_answers_and_reset_what_they_leave_out(book, oracle):
    before = book.read_bytes()
    inputs = [
        {"price": 2, "label": "5 < 6", "flag": False, "spare": 1.5},
        {},
        {"price": 1e-9},
        {"label": "=1+1", "spare": None},
        {"flag": True, "price": 0.1},
    ]
    read = ["product", "shout", "dear", "switch", "total"]
    answers = oracle.scenarios(book, inputs, read)
    assert [list(answer.values()) for answer in answers] == [
        [5.0, "5 < 6!", False, "off", 3.5],
        [10.0, "ore & water!", True, "on", 4.0],
        [2.5e-9, "ore & water!", False, "on", 1e-9],
        [10.0, "=1+1!", True, "on", 4.0],
        [0.25, "ore & water!", False, "on", 0.1],
    ]
    assert book.read_bytes() == before


def test_scenarios_read_all_cells_where_no_names_are_given(book, oracle):
    first, second = oracle.scenarios(book, [{"price": 8}, {}], None)
    assert (first["In puts"]["B1"], first["Results"]["A1"]) == (8.0, 20.0)
    assert second == oracle.recalculate(book)


def test_names_of_several_cells_are_read_by_rows(book, oracle):
    answer = oracle.scenarios(book, [{}], ["block", "spare", "PRICE"])[0]
    assert answer["block"] == [[10.0], [ErrorValue("#DIV/0!")], ["ore & water!"]]
    assert answer["spare"] is None
    assert answer["PRICE"] == 4.0


@pytest.mark.parametrize("name", sampled(["nowhere", "constant"], 2))
def test_a_name_without_cells_is_refused(book, oracle, name):
    with pytest.raises(OracleFailed, match=name):
        oracle.scenarios(book, [{}], [name])
    with pytest.raises(OracleFailed, match=name):
        oracle.scenarios(book, [{name: 1.0}], ["price"])


def test_an_input_of_several_cells_is_refused(book, oracle):
    with pytest.raises(OracleFailed, match="block"):
        oracle.scenarios(book, [{"block": 1.0}], ["price"])


@pytest.mark.parametrize("extension", [".xlsx", ".ods"])
def test_a_changed_book_is_saved_with_its_new_result(
    book, saving, libreoffice, tmp_path, extension
):
    out = tmp_path / f"changed{extension}"
    saving.save_changed(book, out, {"price": 6.0, "label": "<new>", "flag": False})
    if extension == ".xlsx":
        assert formula_cells(book) <= formula_cells(out)
        assert stored_cells(out)["Results"]["A1"] == 15.0
    cells = libreoffice.recalculate(out)
    assert cells["In puts"]["B1"] == 6.0
    assert cells["Results"]["A1"] == 15.0
    assert cells["Results"]["A3"] == "<new>!"
    assert cells["Results"]["A6"] == "off"


def test_saving_over_an_existing_file_is_refused(book, saving):
    with pytest.raises(OracleFailed, match="exists"):
        saving.save_changed(book, book, {})


def test_formulas_are_evaluated_beside_cells(oracle):
    cells = {"A1": 3.0, "A2": "three", "A3": True, "B1": "=1", "B2": None}
    formulas = ["=A1^2", "SUM(A1:A2)", "=LEN(B1)", '=A2&""', "=NOT(A3)", "=ISBLANK(B2)"]
    assert oracle.evaluate(formulas, cells) == [9.0, 3.0, 2.0, "three", False, True]
    assert oracle.evaluate(["=2+3"]) == [5.0]
    assert oracle.evaluate([]) == []


def test_every_kind_of_error_is_an_error_value(oracle):
    formulas = ["=1/0", "=SQRT(-1)", '="a"+1', "=NA()", "=nosuchfunction(1)"]
    found = dict(zip(formulas, oracle.evaluate(formulas), strict=True))
    assert not {f: v for f, v in found.items() if not isinstance(v, ErrorValue)}


def test_text_that_looks_like_an_error_or_a_boolean_stays_text(oracle):
    assert oracle.evaluate(['="#N/A"', '="TRUE"']) == ["#N/A", "TRUE"]


def test_hidden_sheets_rows_and_columns_are_read_too(oracle, tmp_path):
    path = tmp_path / "hidden.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        workbook.add_worksheet("Shown").write_number("A1", 1)
        sheet = workbook.add_worksheet("Hidden")
        sheet.hide()
        sheet.set_row(0, None, None, {"hidden": True})
        sheet.set_column("B:B", None, None, {"hidden": True})
        sheet.write_formula("A1", "=1=1", None, WRONG)
        sheet.write_formula("B2", "=Shown!A1=2", None, WRONG)
    assert oracle.recalculate(path)["Hidden"] == {"A1": True, "B2": False}


def living(group: int) -> list[str]:
    """Give the processes of a group that run, without those that only await reaping."""
    listed = subprocess.run(
        ["ps", "-eo", "pgid=,stat=,args="], capture_output=True, text=True, timeout=30
    )
    rows = (line.split(None, 2) for line in listed.stdout.splitlines())
    return [row[2] for row in rows if int(row[0]) == group and row[1][0] != "Z"]


@pytest.fixture(scope="module")
def own_office(libreoffice):
    """Give an office of these tests' own, to be treated badly; it starts again."""
    with LibreOffice() as office:
        yield office


@pytest.fixture
def sound_office(own_office):
    """Give that office where it runs and answers."""
    assert own_office.evaluate(["=1+1"]) == [2.0]
    return own_office


def test_a_locked_cell_that_stays_full_is_told(libreoffice, tmp_path):
    path = tmp_path / "locked.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet("Locked")
        sheet.protect()
        sheet.write_number("A1", 1)
        workbook.define_name("locked", "=Locked!$A$1")
    with pytest.raises(OracleFailed, match="locked"):
        libreoffice.scenarios(path, [{"locked": None}], ["locked"])


def test_no_office_is_left_behind(libreoffice):
    with LibreOffice() as office:
        assert office.evaluate(["=1+1"]) == [2.0]
        inner = office._office
        groups = [inner._office.pid, inner._worker.pid]
        assert all(living(group) for group in groups)
    assert not any(living(group) for group in groups)
    assert not inner.folder.exists()


@pytest.mark.thorough
def test_an_office_that_died_is_started_again(sound_office):
    office = sound_office._office._office
    os.killpg(office.pid, signal.SIGKILL)
    office.wait(30)
    assert sound_office.evaluate(["=1+2"]) == [3.0]


def dying(office, times, monkeypatch):
    """Have the office killed just before it is asked for scenarios, some times."""
    exchange, left = office._exchange, [True] * times

    def exchange_late(task, given):
        if task == "scenarios" and left:
            left.pop()
            os.killpg(office._office.pid, signal.SIGKILL)
        return exchange(task, given)

    monkeypatch.setattr(office, "_exchange", exchange_late)


def test_an_office_lost_on_the_way_is_asked_anew_and_told(sound_office, monkeypatch):
    dying(sound_office._office, 1, monkeypatch)
    with pytest.warns(UserWarning, match=r"lost during scenarios.*exit code -9"):
        assert sound_office.evaluate(["=1+4"]) == [5.0]


@pytest.mark.thorough
def test_an_office_lost_twice_fails(sound_office, monkeypatch):
    dying(sound_office._office, 2, monkeypatch)
    with pytest.warns(UserWarning), pytest.raises(OracleFailed, match="was lost"):
        sound_office.evaluate(["=1+5"])
    assert sound_office.evaluate(["=1+6"]) == [7.0]


def test_an_answer_is_awaited_within_a_bound(sound_office, monkeypatch):
    first = sound_office._office._office.pid
    with monkeypatch.context() as patch:
        patch.setattr("tests.oracles.office.ANSWER_SECONDS", 0.0)
        with pytest.raises(OracleFailed, match="no answer"):
            sound_office.evaluate(["=1"])
    assert not living(first)
    assert sound_office.evaluate(["=1+3"]) == [4.0]


def test_a_file_that_is_no_book_is_refused(oracle, tmp_path):
    path = tmp_path / "broken.xlsx"
    path.write_bytes(b"PK not a book")
    with pytest.raises(OracleFailed):
        oracle.recalculate(path)


def test_pictures_replace_those_from_before(book, render_pages, tmp_path):
    folder = tmp_path / "pictures"
    folder.mkdir()
    (folder / "book-9.png").write_bytes(b"old")
    pages = render_pages(book, folder)
    assert pages == sorted(folder.iterdir())
    assert len(pages) == 2
    assert all(page.read_bytes().startswith(b"\x89PNG") for page in pages)
