"""The macro workbook, its buttons, and the command that makes it."""

import ast
import contextlib
import copy
import subprocess
import sys
import zipfile
from pathlib import Path
from types import SimpleNamespace

import openpyxl
import pytest
from xlsxwriter.utility import xl_cell_to_rowcol

import pennyweight
from pennyweight.addins.excel import buttons, jobs, macro_workbook, open_book
from pennyweight.errors import CallError, WorkbookError
from pennyweight.model.judgement import judge
from pennyweight.plan import Plan
from pennyweight.workbook.read import read_book
from tests.books import made_book

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


class FakeWindow:
    """Answers as a person would."""

    def __init__(self, job, path=None, trials=256, cancel=False):
        self.job, self.path, self.trials, self.cancel = job, path, trials, cancel
        self.said, self.offered = "", []

    def choose(self, jobs_shown):
        """Take the job."""
        self.offered = list(jobs_shown)
        return self.job

    def number(self, words, default):
        """Take the number of trials; of the seed, 7."""
        return self.trials if words == "Trials" else 7

    def open_file(self, words):
        """Take the file."""
        return self.path

    save_file = lambda self, words, path: self.path  # noqa: E731

    def say(self, words):
        """Keep what was said."""
        self.said = words

    @contextlib.contextmanager
    def progress(self, words, total):
        """Press Cancel or not."""

        def tick(done=1):
            if self.cancel:
                raise jobs.Stopped

        yield tick


@pytest.fixture(scope="module")
def as_opened(made):
    return OpenBook(made[0])


@pytest.fixture
def open_workbook(as_opened):
    return as_opened.copy()


def enter(book, name, value):
    """Type a value into the yellow cell of an input, without saving."""
    reference = next(n.refers_to for n in book.names if n.name == f"{name}_entered")
    sheet, _, cell = reference.lstrip("=").rpartition("!")
    book.sheets[sheet.strip("'")].range(cell.replace("$", "")).value = value


def press(book, job, **answers):
    """Choose a job for a book; the window, with what was said."""
    window = FakeWindow(job, **answers)
    jobs.run(book, window)
    return window


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
    press(open_workbook, "judge")
    wanted = judge({"gold_price": 2000.0})
    found = figures(open_workbook.sheets["Judgement"])
    assert found["Verdict"] == wanted.verdict == "does not pay"
    margin = wanted.results["margin_per_ton"]["value"]
    assert found["Operating margin per ton"] == pytest.approx(margin, rel=1e-12)
    for name, content in before.items():
        assert open_workbook.sheets[name].content == content


def test_judging_again_takes_the_same_sheet_and_never_a_users(open_workbook):
    open_workbook.sheets.append(Sheet("Judgement", {(1, 1): "my own notes"}))
    press(open_workbook, "judge")
    press(open_workbook, "judge")
    names = [sheet.name for sheet in open_workbook.sheets]
    assert names[-2:] == ["Judgement", "Judgement 2"]
    assert open_workbook.sheets["Judgement"].content == {(1, 1): "my own notes"}


def test_a_wrong_input_is_named_with_its_cell(open_workbook):
    enter(open_workbook, "Gold_price", "dear")
    assert "Gold price (Start!" in press(open_workbook, "judge").said


def test_an_error_in_an_input_is_no_blank(open_workbook):
    enter(open_workbook, "Gold_price", -2146826281)
    assert "#DIV/0!" in press(open_workbook, "judge").said


@pytest.fixture
def at_the_button(open_workbook, monkeypatch):
    """The button's window, which takes the job that it is given."""
    shown = FakeWindow(None)
    monkeypatch.setattr(jobs, "caller", lambda: open_workbook)
    monkeypatch.setitem(
        sys.modules, f"{jobs.__package__}.window", SimpleNamespace(Window=lambda: shown)
    )
    return shown


def test_the_button_offers_every_job_and_does_the_chosen_one(
    open_workbook, at_the_button
):
    at_the_button.job = "judge"
    buttons.main()
    assert at_the_button.offered == [*jobs.JOBS, "install functions"]
    assert "Judgement" in [sheet.name for sheet in open_workbook.sheets]


def test_a_macro_for_one_job_does_it_without_asking(open_workbook, at_the_button):
    buttons.judge()
    assert at_the_button.offered == []
    assert "Judgement" in [sheet.name for sheet in open_workbook.sheets]


def test_risk_draws_as_the_window_says(open_workbook, monkeypatch):
    asked = []
    monkeypatch.setattr(jobs, "sheet_figures", lambda *_: {})
    monkeypatch.setattr(jobs, "risk_sheet", lambda *_: open_workbook.sheets[0])
    monkeypatch.setattr(jobs, "enter", lambda *_: None)

    def risk(plan, trials, seed, progress):
        asked.append((plan.inputs["gold_price"], trials, seed))
        return SimpleNamespace(summary=lambda: ["It pays."])

    monkeypatch.setattr(Plan, "risk", risk)
    enter(open_workbook, "Gold_price", 2222.0)
    assert press(open_workbook, "risk", trials=2000).said.startswith("It pays.")
    assert asked == [(2222.0, 2000, 7)]


def test_the_former_name_of_a_button_is_called_by_older_macros():
    assert buttons.chances is buttons.risk


def test_risk_of_a_contract_has_a_sheet_of_its_own(tmp_path):
    book = made_book({"job": "contract"})
    path, *_ = macro_workbook.new_workbook(book, tmp_path / "contract.xlsm")
    opened = OpenBook(path)
    assert "See the sheet Risk analysis" in press(opened, "risk").said
    content = opened.sheets["Risk analysis"].content
    assert content[1, 1] == open_book.MARK
    assert len(figures(opened.sheets["Risk analysis"])) > 10
    assert any("seed 7" in str(cell) for cell in content.values())


def test_a_job_that_is_refused_says_why(open_workbook):
    window = press(open_workbook, "compare", path="missing.xlsx")
    assert "missing.xlsx" in window.said


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
