"""Diagnosis of the Excel add-in: every fault that it knows, with its fix."""

import ast
import inspect
import shutil
import string
import sys

import pytest

from pennyweight.addins.calc import doctor as calc_doctor
from pennyweight.addins.diagnosis import CHECKS, Check
from pennyweight.addins.excel import doctor
from pennyweight.cli.diagnosis_screen import show_checks
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.read import read_book
from tests.books import book_at
from tests.commands import pennyweight


class Windows(doctor.Machine):
    """A Windows machine without a fault."""

    platform, bits, version = "win32", 64, (3, 12, 4)
    executable = r"C:\mill\.venv\Scripts\python.exe"
    prefix = "/mill"
    packages = {"xlwings": "0.33.0", "pywin32": "308"}  # noqa: RUF012
    files = ("/mill/xlwings64-0.33.0.dll",)
    keys = {"Platform": "x64", "AccessVBOM": 1}  # noqa: RUF012

    def package(self, name):
        return self.packages.get(name)

    def exists(self, path):
        return str(path) in self.files

    def registry(self, root, key, name):
        return self.keys.get(name)


def states(machine):
    return {found.what: found.state for found in doctor.examine(machine)}


def test_a_machine_without_a_fault():
    assert set(states(Windows()).values()) == {"ok"}


@pytest.mark.parametrize(
    ("change", "what", "state", "fix"),
    [
        (
            {"executable": r"C:\x\WindowsApps\python.exe"},
            "Python",
            "error",
            "python.org",
        ),
        ({"packages": {"pywin32": "308"}}, "xlwings", "error", "pip install"),
        ({"packages": {"xlwings": "0.33.0"}}, "pywin32", "error", "pywin32"),
        ({"files": ()}, "Library", "error", "reinstall"),
        ({"keys": {"Platform": "x86", "AccessVBOM": 1}}, "Excel", "warning", "32 bit"),
        ({"keys": {"AccessVBOM": 1}}, "Excel", "warning", "Store"),
        ({"keys": {"Platform": "x64"}}, "Trust setting", "warning", "Trust"),
        (
            {"keys": {"Platform": "x64", "AccessVBOM": 0}},
            "Trust setting",
            "warning",
            "Alt",
        ),
        ({"platform": "darwin"}, "System", "warning", "LibreOffice"),
        ({"platform": "linux"}, "System", "error", "LibreOffice"),
    ],
)
def test_each_fault_has_its_fix(change, what, state, fix):
    machine = type("Changed", (Windows,), change)()
    (found,) = [f for f in doctor.examine(machine) if f.what == what]
    assert found.state == state
    assert fix in found.fix


def calls(module):
    """Names of checks and of what was seen, of each call of `check`."""
    for node in ast.walk(ast.parse(inspect.getsource(module))):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "check":
            argument = node.args[0]
            ends = (
                (argument.body, argument.orelse)
                if isinstance(argument, ast.IfExp)
                else (argument,)
            )
            names = {end.value for end in ends if isinstance(end, ast.Constant)}
            yield names, {keyword.arg for keyword in node.keywords}


def test_every_check_has_its_words_and_what_they_show():
    names_called = set()
    for names, seen in (*calls(doctor), *calls(calc_doctor)):
        names_called |= names
        for text in (text for name in names for text in CHECKS[name].values()):
            shown = {field for _, field, *_ in string.Formatter().parse(text)}
            assert shown <= {*seen, None}
    installed = {f"{no}{name}" for no in ("", "no ") for name in Windows.packages}
    assert names_called | installed == set(CHECKS)


def run(*order, folder):
    return pennyweight("excel", *order, cwd=folder)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A folder with a macro workbook that took the inputs of another workbook."""
    folder = tmp_path_factory.mktemp("excel")
    book_at(folder / "mine.xlsx")
    done = run("new", "my_mill.xlsm", "--from", "mine.xlsx", folder=folder)
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture
def folder(made, tmp_path):
    return shutil.copytree(made, tmp_path / "excel")


@pytest.mark.thorough
def test_new_writes_the_example(tmp_path):
    done = run("new", "my_mill.xlsm", "--example", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    inputs = read_book(tmp_path / "my_mill.xlsm").inputs
    assert inputs["ore_grade"] == INPUTS["ore_grade"].example


@pytest.mark.thorough
def test_new_takes_the_inputs_of_a_book(made):
    new, former = (read_book(made / name) for name in ("my_mill.xlsm", "mine.xlsx"))
    assert new.inputs == former.inputs and new.given == former.given != {}


@pytest.mark.thorough
def test_a_workbook_of_this_machine_and_of_another(folder):
    path = folder / "my_mill.xlsm"
    states_here = {f.what: f.state for f in doctor.examine(workbook=path)}
    assert states_here["Interpreter"] == states_here["Macros"] == "ok"
    path.with_suffix(".py").unlink()
    other = type("Other", (Windows,), {"platform": "darwin"})()
    faults = {f.what: f for f in doctor.examine(other, path)}
    assert faults["Interpreter"].state == "error"
    assert "0.33.0" in faults["Macros"].message
    assert "my_mill.py" in faults["Files beside it"].message


def test_a_file_that_is_no_macro_workbook(tmp_path):
    found = doctor.examine(Windows(), tmp_path / "none.xlsm")[-1]
    assert found.state == "error"


def test_checks_show_with_fixes_and_give_a_code(capsys):
    faults = Check("Library", "error", "missing", "Run: fix")
    assert show_checks([faults]) == 3
    assert show_checks([Check("Python", "ok", "3.12")]) == 0
    assert "Run: fix" in capsys.readouterr().out


@pytest.mark.thorough
def test_the_commands(folder):
    (folder / "my_mill.bas").write_text("old")
    done = run("refresh", "my_mill.xlsm", folder=folder)
    assert done.returncode == 0
    assert "Alt+F11" in done.stdout
    assert "DWT_BOND_ENERGY" in (folder / "my_mill.bas").read_text()
    again = run("new", "my_mill.xlsm", "--example", folder=folder)
    assert again.returncode == 2
    assert "exists already" in again.stderr
    missing = run("refresh", "other.xlsm", folder=folder)
    assert missing.returncode == 2
    wrong = run("new", "other.xlsm", "--units", "imperial", folder=folder)
    assert wrong.returncode == 2
    assert "Traceback" not in wrong.stderr


def test_doctor_on_a_machine_without_excel(tmp_path):
    done = run("doctor", folder=tmp_path)
    assert "System" in done.stdout
    assert done.returncode == (0 if sys.platform in ("win32", "darwin") else 3)
