"""The add-in for Excel, part by part, and its jobs with a stand-in for Excel."""

import importlib.metadata
import io
import sys
import zipfile
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest

from pennyweight.addins.excel import addin, jobs, macro_workbook, open_book
from pennyweight.addins.excel.doctor import Machine, examine, stored_settings
from pennyweight.errors import CallError, WorkbookError
from pennyweight.plan import Plan
from pennyweight.workbook.risk_sheet.fill import sheet_figures
from pennyweight.workbook.risk_sheet.layout import SHEET
from tests.addins.test_excel_workbook import FakeWindow, OpenBook, enter
from tests.addins.vba_project import modules
from tests.books import book_at

RIBBON_SPACE = "{http://schemas.microsoft.com/office/2009/07/customui}"
RELATION = "http://schemas.microsoft.com/office/2007/relationships/ui/extensibility"
ATTRIBUTES = {
    "customUI": set(),
    "ribbon": set(),
    "tabs": set(),
    "tab": {"id", "label"},
    "group": {"id", "label"},
    "button": {"id", "label", "size", "imageMso", "onAction", "screentip", "supertip"},
}
"""What the ribbon uses of MS-CUSTOMUI2, element by element."""


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    monkeypatch.setenv("PENNYWEIGHT_XLSTART", str(tmp_path / "XLSTART"))
    return tmp_path


@pytest.fixture
def parts():
    with zipfile.ZipFile(io.BytesIO(addin.addin_bytes())) as package:
        assert package.testzip() is None
        return {name: package.read(name) for name in package.namelist()}


def test_every_part_is_well_formed_and_has_its_type(parts):
    types = ElementTree.fromstring(parts["[Content_Types].xml"])
    stated = {part.get("PartName") for part in types if part.get("PartName")}
    endings = {part.get("Extension") for part in types if part.get("Extension")}
    for name, content in parts.items():
        assert f"/{name}" in stated or name.rpartition(".")[2] in endings, name
        if name.endswith((".xml", ".rels")):
            ElementTree.fromstring(content)
    assert all(name.lstrip("/") in parts for name in stated)


def test_the_macros_are_those_of_xlwings_byte_for_byte(parts):
    with zipfile.ZipFile(macro_workbook.xlwings_folder() / addin.SOURCE) as package:
        assert parts["xl/vbaProject.bin"] == package.read("xl/vbaProject.bin")
    sources = modules(parts["xl/vbaProject.bin"])
    version = importlib.metadata.version("xlwings")
    assert f'XLWINGS_VERSION As String = "{version}"' in sources["xlwings"]
    run = sources["RibbonMyAddin"]
    assert "Sub RunMain(control As IRibbonControl)" in run
    assert '".main()"' in run and "VBProject" not in run
    assert "BSD" in sources["xlwings"] and "MIT" in sources["Dictionary"]


def test_the_ribbon_uses_known_elements_and_its_macro_is_there(parts):
    root = ElementTree.fromstring(parts[addin.RIBBON_PART])
    identifiers = []
    for element in root.iter():
        kind = element.tag.removeprefix(RIBBON_SPACE)
        assert set(element.attrib) <= ATTRIBUTES[kind], kind
        identifiers += filter(None, [element.get("id")])
        tips = [element.get("screentip", ""), element.get("supertip", "")]
        assert max(map(len, tips)) <= 1024
    assert len(identifiers) == len(set(identifiers))
    (button,) = root.iter(f"{RIBBON_SPACE}button")
    module, _, macro = button.get("onAction").partition(".")
    assert f"Sub {macro}(" in modules(parts["xl/vbaProject.bin"])[module]
    links = ElementTree.fromstring(parts["_rels/.rels"])
    targets = {link.get("Type"): link.get("Target") for link in links}
    assert targets[RELATION] == addin.RIBBON_PART


def test_nobody_elses_paths_are_left(parts):
    rest = b"".join(c for n, c in parts.items() if n != "xl/vbaProject.bin")
    assert b"Users\\" not in rest and b"absPath" not in rest


def test_install_doctor_and_uninstall(home, monkeypatch):
    path, script = addin.places()
    assert "Restart Excel" in addin.install()[1]
    told = stored_settings(path, addin.SETTINGS_SHEET)
    assert told["PYTHONPATH"] == str(script.parent)
    assert sys.executable in told.values()
    compile(script.read_text(), script, "exec")
    machine = SimpleNamespace(**{n: getattr(Machine, n) for n in ("bits", "prefix")})
    machine.platform, machine.executable = "darwin", sys.executable
    machine.version, machine.exists = (3, 11, 0), Machine().exists
    machine.package = Machine().package
    found = {one.what: one for one in examine(machine)}
    assert found["Add-in"].state == "ok"
    script.unlink()
    assert {one.what: one for one in examine(machine)}["Add-in"].state == "error"
    addin.install()
    assert len(addin.uninstall()) == 2 and not path.exists()
    assert addin.uninstall() == ["The add-in was not installed."]
    assert "none" in {one.what: one for one in examine(machine)}["Add-in"].message


def test_an_open_add_in_is_left_alone(home):
    path, _ = addin.places()
    addin.install()
    path.with_name(f"~${path.name}").write_bytes(b"")
    for call in (addin.install, addin.uninstall):
        with pytest.raises(WorkbookError, match="close Excel"):
            call()


def test_without_excel_it_says_so(monkeypatch):
    monkeypatch.delenv("PENNYWEIGHT_XLSTART", raising=False)
    monkeypatch.setattr(addin.sys, "platform", "linux")
    with pytest.raises(CallError, match="no Excel on this system"):
        addin.install()


@pytest.fixture(scope="module")
def as_opened(tmp_path_factory):
    return OpenBook(book_at(tmp_path_factory.mktemp("book") / "mine.xlsx"))


@pytest.fixture
def book(as_opened):
    opened = as_opened.copy()
    for sheet in opened.sheets:
        sheet.api = SimpleNamespace(ProtectContents=True, Protect=lambda: None)
        sheet.api.Unprotect = lambda s=sheet: setattr(s.api, "ProtectContents", False)
    return opened


@pytest.mark.thorough
def test_risk_fills_the_sheet_in_the_open_workbook_and_nothing_else(book, monkeypatch):
    reports, analysis = [], Plan.risk

    def risk(self, *given, **named):
        reports.append(analysis(self, *given, **named))
        return reports[-1]

    monkeypatch.setattr(Plan, "risk", risk)
    enter(book, "Gold_price", 3300.0)
    book.sheets[SHEET].content[900, 12] = "a note of mine"
    before = {sheet.name: dict(sheet.content) for sheet in book.sheets}
    window = FakeWindow("risk")
    jobs.run(book, window)
    assert "See the sheet Risk" in window.said
    plan = open_book.read_open(book)
    assert plan.inputs["gold_price"] == 3300.0
    wanted = sheet_figures(reports[0], plan)
    content = book.sheets[SHEET].content
    for (row, column), value in wanted.items():
        assert content.pop((row + 1, column + 1), None) == value
        before[SHEET].pop((row + 1, column + 1), None)
    assert {sheet.name: sheet.content for sheet in book.sheets} == before


def test_no_risk_is_entered_while_a_figure_is_missing(book):
    enter(book, "Wage", None)
    before, window = dict(book.sheets[SHEET].content), FakeWindow("risk")
    jobs.run(book, window)
    assert window.said.endswith("Hourly wage")
    assert book.sheets[SHEET].content == before


def test_cancel_changes_nothing(book):
    before = {sheet.name: dict(sheet.content) for sheet in book.sheets}
    window = FakeWindow("risk", cancel=True)
    jobs.run(book, window)
    assert window.said.startswith("Stopped")
    for job in ("compare", "quote", "settle"):
        jobs.run(book, FakeWindow(job))
    jobs.run(book, FakeWindow(None))
    assert {sheet.name: sheet.content for sheet in book.sheets} == before


def test_a_sheet_with_moved_headings_is_left_alone(book):
    book.sheets[SHEET].content = {
        (row + 1, column): cell
        for (row, column), cell in book.sheets[SHEET].content.items()
    }
    before, window = dict(book.sheets[SHEET].content), FakeWindow("risk")
    jobs.run(book, window)
    assert "no results were entered" in window.said
    assert book.sheets[SHEET].content == before


def test_papers_and_comparison_of_the_open_workbook(book, tmp_path):
    enter(book, "Gold_price", 3300.0)
    for job, name in (("quote", "quote.xlsx"), ("settle", "statement.xlsx")):
        window = FakeWindow(job, tmp_path / name)
        jobs.run(book, window)
        assert window.said == f"Written: {tmp_path / name}", window.said
        assert (tmp_path / name).exists()
    other = book_at(tmp_path / "theirs.xlsx")
    window = FakeWindow("compare", str(other))
    jobs.run(book, window)
    assert "sheet Comparison" in window.said
    jobs.run(book, window := FakeWindow("judge"))
    assert window.said == "Pays. See the sheet Judgement."
    book.app = SimpleNamespace(calculate=lambda: None)
    jobs.run(book, window := FakeWindow("renew"))
    assert "worked out again" in window.said
