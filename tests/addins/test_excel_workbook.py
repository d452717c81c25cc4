"""The macro workbook, its buttons, and the command that makes it."""

import ast
import copy
import json
import subprocess
import sys
import zipfile
from pathlib import Path
from types import SimpleNamespace

import openpyxl
import pytest
from xlsxwriter.utility import xl_cell_to_rowcol

import pennyweight
from pennyweight.addins.excel import buttons, macro_workbook, open_book
from pennyweight.errors import CallError, WorkbookError
from pennyweight.model.judgement import judge
from pennyweight.plan import Plan
from pennyweight.workbook.read import read_book
from tests.books import made_book, typed_at

SOURCES = Path(pennyweight.__file__).parent


@pytest.fixture(scope="module")
def book():
    return made_book({"gold_price": 3210.0})


@pytest.fixture(scope="module")
def made(book, tmp_path_factory):
    path = tmp_path_factory.mktemp("excel") / "my_mill.xlsm"
    return macro_workbook.new_workbook(book, path)


def test_three_files_are_written(made):
    assert [path.name for path in made] == ["my_mill.xlsm", "my_mill.py", "my_mill.bas"]
    assert "def main" not in made[1].read_text()
    names = {
        alias.name
        for node in ast.parse(made[1].read_text()).body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert names == {"main"}


def test_it_is_a_macro_workbook_with_xlwings_own_macros(made):
    with zipfile.ZipFile(made[0]) as package:
        types = package.read("[Content_Types].xml").decode()
        assert "application/vnd.ms-excel.sheet.macroEnabled.main+xml" in types
        assert package.read("xl/vbaProject.bin") == macro_workbook.macro_project()
        drawing = package.read("xl/drawings/vmlDrawing1.vml").decode()
    assert "SampleCall" in drawing
    assert "ImportPythonUDFs" in drawing


def test_settings_name_this_python_and_our_functions(made):
    book = openpyxl.load_workbook(made[0], read_only=True)
    rows = dict(book[macro_workbook.SETTINGS_SHEET].iter_rows(values_only=True))
    assert rows["UDF Modules"] == "pennyweight.addins.excel.functions"
    assert sys.executable in rows.values()
    assert "LICENSE_KEY" not in {key.upper() for key in rows}
    assert not any(name.endswith(".py") for name in book.sheetnames)


def test_the_model_in_it_reads_as_any_book(made):
    reading = read_book(made[0])
    assert reading.inputs["gold_price"] == 3210.0


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("mill.xlsx", "ends in .xlsm"),
        ("my mill.xlsm", "one word"),
        ("pennyweight.xlsm", "one word"),
    ],
)
def test_names_that_no_button_could_call(book, tmp_path, name, message):
    with pytest.raises(CallError, match=message):
        macro_workbook.new_workbook(book, tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_replaced_unasked(book, made, monkeypatch):
    monkeypatch.setattr(macro_workbook, "book_bytes", lambda *_: b"another")
    before = [path.read_bytes() for path in made]
    with pytest.raises(CallError, match="exists already"):
        macro_workbook.new_workbook(book, made[0])
    assert [path.read_bytes() for path in made] == before


class Range:
    """A range of an open book."""

    def __init__(self, sheet, row, column, height=1, width=1):
        self.sheet, self.at, self.size = sheet, (row, column), (height, width)

    def options(self, accessor):
        """Read through an accessor, as xlwings does."""
        area = SimpleNamespace(
            Value2=self.value,
            Rows=SimpleNamespace(Count=self.size[0]),
            Columns=SimpleNamespace(Count=self.size[1]),
        )
        context = SimpleNamespace(range=SimpleNamespace(api=area), value=None)
        accessor.reader({})(context)
        return context

    @property
    def value(self):
        (row, column), (height, width) = self.at, self.size
        rows = tuple(
            tuple(self.sheet.content.get((r, c)) for c in range(column, column + width))
            for r in range(row, row + height)
        )
        return rows if self.size != (1, 1) else rows[0][0]

    @value.setter
    def value(self, new):
        rows = new if isinstance(new, list) else [[new]]
        for down, cells in enumerate(rows):
            for across, cell in enumerate(cells):
                self.sheet.content[self.at[0] + down, self.at[1] + across] = cell


class Sheet:
    """A sheet of an open book."""

    def __init__(self, name, content):
        self.name, self.content = name, content

    def range(self, first, last=None):
        """Cells by address, or from corner to corner."""
        if isinstance(first, str):
            row, column = xl_cell_to_rowcol(first)
            return Range(self, row + 1, column + 1)
        last = last or first
        height, width = last[0] - first[0] + 1, last[1] - first[1] + 1
        return Range(self, *first, height, width)

    def clear_contents(self):
        """Empty the sheet."""
        self.content.clear()

    def activate(self):
        """Bring it to the front."""


class Sheets(list):
    """Sheets by place or name."""

    def __getitem__(self, key):
        if isinstance(key, str):
            return next(sheet for sheet in self if sheet.name == key)
        return super().__getitem__(key)

    def add(self, name, after):
        """A new sheet at the end."""
        self.append(Sheet(name, {}))
        return self[name]


class OpenBook:
    """A workbook open in Excel, with the values of the file."""

    def copy(self):
        """Another that a test may change."""
        other = copy.copy(self)
        other.sheets = Sheets(Sheet(one.name, dict(one.content)) for one in self.sheets)
        return other

    def __init__(self, path):
        self.name, self.fullname = path.name, str(path)
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        self.names = [
            SimpleNamespace(name=name, refers_to=f"={found.attr_text}")
            for name, found in book.defined_names.items()
        ]
        self.sheets = Sheets(
            Sheet(
                sheet.title,
                {
                    (cell.row, cell.column): float(cell.value)
                    if isinstance(cell.value, int) and not isinstance(cell.value, bool)
                    else cell.value
                    for row in sheet.iter_rows()
                    for cell in row
                    if cell.value is not None
                },
            )
            for sheet in book
        )


@pytest.fixture(scope="module")
def as_opened(made):
    return OpenBook(made[0])


@pytest.fixture
def open_workbook(as_opened):
    return as_opened.copy()


@pytest.fixture
def quick_copy(monkeypatch):
    """The copy for a process has the plan's gold price and is not worked out anew."""

    def write(plan, path):
        return typed_at(path, gold_price=plan.inputs["gold_price"])

    monkeypatch.setattr(Plan, "write", write)


def enter(book, name, value):
    """Type a value into the yellow cell of an input, without saving."""
    reference = next(n.refers_to for n in book.names if n.name == f"{name}_entered")
    sheet, _, cell = reference.lstrip("=").rpartition("!")
    book.sheets[sheet.strip("'")].range(cell.replace("$", "")).value = value


def figures(sheet):
    """Rows of an answer's sheet, from the name to the cells beside it."""
    return {
        cell: sheet.content.get((row, 2))
        for (row, column), cell in sheet.content.items()
        if column == 1
    }


def test_judge_reads_what_is_typed_and_not_yet_saved(open_workbook):
    enter(open_workbook, "Gold_price", 2000.0)
    before = {sheet.name: dict(sheet.content) for sheet in open_workbook.sheets}
    buttons.judge(open_workbook)
    wanted = judge({"gold_price": 2000.0})
    found = figures(open_workbook.sheets["Judgement"])
    assert found["Verdict"] == wanted.verdict == "does not pay"
    margin = wanted.results["margin_per_ton"]["value"]
    assert found["Operating margin per ton"] == pytest.approx(margin, rel=1e-12)
    for name, content in before.items():
        assert open_workbook.sheets[name].content == content


def test_judging_again_takes_the_same_sheet_and_never_a_users(open_workbook):
    open_workbook.sheets.append(Sheet("Judgement", {(1, 1): "my own notes"}))
    buttons.judge(open_workbook)
    buttons.judge(open_workbook)
    names = [sheet.name for sheet in open_workbook.sheets]
    assert names[-2:] == ["Judgement", "Judgement 2"]
    assert open_workbook.sheets["Judgement"].content == {(1, 1): "my own notes"}


def test_a_wrong_input_is_named_with_its_cell(open_workbook):
    enter(open_workbook, "Gold_price", "dear")
    with pytest.raises(WorkbookError, match=r"Gold price \(Start!"):
        buttons.judge(open_workbook)


def test_an_error_in_an_input_is_no_blank(open_workbook):
    enter(open_workbook, "Gold_price", -2146826281)
    with pytest.raises(WorkbookError, match="#DIV/0!"):
        buttons.judge(open_workbook)


def test_the_job_chosen_is_done(open_workbook, monkeypatch):
    monkeypatch.setattr(buttons, "caller", lambda: open_workbook)
    buttons.main()
    assert "Judgement" in [sheet.name for sheet in open_workbook.sheets]
    open_workbook.sheets["Buttons"].range("B5").value = "dig"
    with pytest.raises(WorkbookError, match="'dig'"):
        buttons.main()


@pytest.mark.parametrize(
    ("job", "options"), [("risk", {"trials": 2000, "seed": 1}), ("compare", None)]
)
def test_long_runs_go_to_a_process_of_their_own(
    open_workbook, monkeypatch, quick_copy, job, options
):
    orders = []

    def run(order, **more):
        asked = json.loads(more["input"])
        price = read_book(asked.pop("path")).inputs["gold_price"]
        orders.append((order, asked, price))
        answer = {"said": "See.", "rows": [["mean", 5.0]]}
        return subprocess.CompletedProcess(order, 0, json.dumps(answer), "")

    monkeypatch.setattr(buttons.subprocess, "run", run)
    open_workbook.sheets["Buttons"].range("B6").value = "theirs.xlsx"
    enter(open_workbook, "Gold_price", 2222.0)
    getattr(buttons, job)(open_workbook)
    ((order, asked, price),) = orders
    assert order == [sys.executable, "-m", "pennyweight.addins.sheet_jobs"]
    assert price == 2222.0
    assert asked.pop("job") == job
    if options:
        assert asked == options
    else:
        assert Path(asked["out"]).name == "theirs.xlsx"
    assert figures(open_workbook.sheets[-1])["mean"] == 5.0


def test_the_former_name_of_a_button_is_called_by_older_macros():
    assert buttons.chances is buttons.risk


@pytest.mark.thorough
def test_risk_of_the_open_book(open_workbook):
    open_workbook.sheets["Buttons"].range("B7").value = 256.0
    buttons.risk(open_workbook)
    content = open_workbook.sheets["Risk analysis"].content
    assert content[1, 1] == open_book.MARK
    shown = figures(open_workbook.sheets["Risk analysis"])
    assert len(shown) > 10
    assert shown["Net present value after tax"].lstrip("'-").startswith("$")
    assert any("seed" in str(cell) for cell in content.values())


def test_a_run_that_fails_says_why(open_workbook, monkeypatch, quick_copy):
    failed = subprocess.CompletedProcess([], 3, "", "no such file")
    monkeypatch.setattr(buttons.subprocess, "run", lambda *_, **__: failed)
    with pytest.raises(WorkbookError, match="no such file"):
        buttons.risk(open_workbook)
    with pytest.raises(WorkbookError, match="Buttons!B6"):
        buttons.compare(open_workbook)


def test_a_job_that_is_refused_says_why(open_workbook, quick_copy):
    open_workbook.sheets["Buttons"].range("B6").value = "missing.xlsx"
    with pytest.raises(WorkbookError, match=r"missing\.xlsx"):
        buttons.compare(open_workbook)


def test_text_that_looks_like_a_formula_stays_text(open_workbook):
    open_book.put_sheet(open_workbook, "Out", [["=1+1", "-x", 2.0]])
    content = open_workbook.sheets["Out"].content
    assert content[3, 1] == "'=1+1"
    assert content[3, 2] == "'-x"
    assert content[3, 3] == 2.0


def test_functions_go_in_with_their_help(open_workbook):
    described, removed, brought = {}, [], []

    class Components(list):
        Remove = staticmethod(removed.append)
        Import = staticmethod(brought.append)

    former = SimpleNamespace(Name="Pennyweight")
    parts = Components([former, SimpleNamespace(Name="Module1")])
    open_workbook.api = SimpleNamespace(VBProject=SimpleNamespace(VBComponents=parts))
    options = lambda **given: described.update({given["Macro"]: given})  # noqa: E731
    open_workbook.app = SimpleNamespace(api=SimpleNamespace(MacroOptions=options))
    buttons.install_functions(open_workbook)
    assert removed == [former]
    assert [Path(path).name for path in brought] == ["my_mill.bas"]
    assert "kWh/ton" in described["'my_mill.xlsm'!DWT_BOND_ENERGY"]["Description"]


def test_without_the_trust_setting_the_other_way_is_reported(open_workbook):
    class Shut:
        @property
        def VBProject(self):
            raise RuntimeError("not trusted")

    open_workbook.api = Shut()
    with pytest.raises(WorkbookError, match="Alt\\+F11"):
        buttons.install_functions(open_workbook)


def _imports(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_nothing_imports_the_part_that_needs_a_key():
    sold = ("xlwings.reports", "xlwings.server", "render_template", "LICENSE_KEY")
    for path in SOURCES.rglob("*.py"):
        text = path.read_text("utf-8")
        if "xlwings" in text:
            assert not [n for n in _imports(path) if n.startswith("xlwings.pro")], path
            assert 'mode="r"' not in text, path
        assert not [name for name in sold if name in text], path


def test_everything_works_without_a_key_and_loads_no_windows(tmp_path):
    """The windows are read when the add-in asks, not before."""
    check = (
        "import xlwings, sys; assert xlwings.__pro__ is False;"
        "from pennyweight.addins.excel import functions, buttons, doctor;"
        "from pennyweight.addins.excel import macro_workbook;"
        "import pennyweight.addins.excel.jobs; assert 'tkinter' not in sys.modules;"
        "assert functions.DWT_BOND_ENERGY(14.0, 2000.0, 100.0)[0][0] > 10;"
    )
    bare = {"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", check], env=bare, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
