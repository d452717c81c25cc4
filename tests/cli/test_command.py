"""The command line, run as users run it."""

import json
from dataclasses import replace

import pytest

import pennyweight as pw
from pennyweight.cli.inspect import show_inspection
from pennyweight.cli.judge import judge, show_judgement
from pennyweight.cli.screen import console
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.inspection.findings import AFTER, Finding, Inspection
from tests.books import book_at, typed_at
from tests.commands import pennyweight, process
from tests.oracles.package import defined_names, write_changed
from tests.thorough import sampled

NAMED_INPUTS = (
    "gold_price",
    "ore_grade",
    "gravity_recovery",
    "ore_tons",
    "power_price",
    "discount_rate",
    "tax_rate",
    "royalty_rate",
)
NAMED_RESULTS = (
    "net_return_per_ton",
    "cost_per_ton",
    "margin_per_ton",
    "cost_per_ounce",
    "break_even_grade",
    "running_break_even_grade",
    "break_even_gold_price",
    "net_present_value",
    "internal_rate",
    "payback_month",
    "peak_funding",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    path = tmp_path_factory.mktemp("commands")
    book_at(path / "book.xlsx")
    return path


def test_judge_says_it_in_words(folder):
    done = pennyweight("judge", "book.xlsx", cwd=folder)
    assert done.returncode == 0
    assert "Tamsel Draw: pays" in done.stdout
    entered = (n for n, e in INPUTS.items() if not e.over and e.value("us") != "")
    own = len(list(entered)) - 1  # without the job
    passed = pw.example().judge().checks["passed"]
    in_order = (
        "Tamsel Draw: pays",
        f"{own} figures are your own",
        "Operating margin per ton   ",
        "Turns at",
        f"{passed} passed, 0 failed",
        "Measure next",
    )
    places = [done.stdout.index(words) for words in in_order]
    assert places == sorted(places)


def test_judge_tells_a_workbook_that_shows_another_answer(folder):
    cell = defined_names(folder / "book.xlsx").cell("Answer")
    told = "does not pay"
    there = {(cell.sheet, cell.corner): told}
    write_changed(folder / "book.xlsx", folder / "altered.xlsx", there)
    for name, altered in (("book.xlsx", False), ("altered.xlsx", True)):
        shown = " ".join(pennyweight("judge", name, cwd=folder).stdout.split())
        assert "Tamsel Draw: pays" in shown
        assert (f'The workbook itself shows "{told}".' in shown) is altered


def test_judge_names_the_figures_that_a_workbook_shows_otherwise(folder, capsys):
    """Also while the verdict is the same."""
    cells = defined_names(folder / "book.xlsx")
    there = {
        (cells.cell(name).sheet, cells.cell(name).corner): value
        for name, value in (("Net_present_value", 1.9e6), ("Margin_per_ton", 2600.0))
    }
    write_changed(folder / "book.xlsx", folder / "dear.xlsx", there)
    told = "shows Operating margin per ton $2,600.00/ton; Net present value after tax "
    for name, altered in (("book.xlsx", False), ("dear.xlsx", True)):
        judge(folder / name)
        shown = " ".join(capsys.readouterr().out.split())
        assert (f"The workbook itself {told}$1,900,000." in shown) is altered


def test_judge_names_the_entry_that_cannot_be_used(capsys):
    example, narrow = pw.example(), {"dilution": (0.05, 0.1)}
    show_judgement(pw.Plan(example.given, units=example.units, ranges=narrow))
    shown = " ".join(capsys.readouterr().out.split())
    assert "Dilution (waste/ore): the low is 5%, the figure 12%, the high 10%." in shown


def test_inspect_tells_one_of_the_values_that_follow_from_an_altered_formula(capsys):
    altered = Finding("Plant", "B78", "formula overwritten", "=B2*B3", "1.9")
    values = [Finding("Start", f"H{row}", "stored value") for row in range(9)]
    alone = Inspection("something else changed", values)
    after = [replace(finding, mend=AFTER) for finding in values]
    for inspection in (alone, replace(alone, findings=[altered, *after])):
        show_inspection(inspection, console())
    one, other = capsys.readouterr().out.split("Outcome")[1:]
    assert "Start!H5" in one and "stored value: 3 more" in one
    assert "Start!H0" in other and "Start!H1" not in other
    assert "Plant!B78" in other and "stored value: 8 more" in other


def refuse_constants(name):
    raise AssertionError(f"{name} is not JSON")


def test_judge_as_json(folder):
    done = pennyweight("judge", "book.xlsx", "--json", cwd=folder)
    told = json.loads(done.stdout, parse_constant=refuse_constants)
    assert told["verdict"] == "pays"
    assert set(NAMED_INPUTS) <= set(told["inputs"]) == set(INPUTS)
    for name in NAMED_RESULTS:
        assert {"value", "unit"} <= set(told["results"][name])
    assert told["checks"]["failed"] == 0 < told["checks"]["passed"]
    assert all(isinstance(reason, str) for reason in told["reasons"])


@pytest.mark.thorough  # test_main.py has a poorer one every time
def test_json_without_an_answer_is_null_with_a_reason(tmp_path):
    book_at(tmp_path / "poor.xlsx", gold_price=400.0)
    done = pennyweight("judge", "poor.xlsx", "--json", cwd=tmp_path)
    told = json.loads(done.stdout, parse_constant=refuse_constants)
    assert told["verdict"] == "does not pay"
    assert told["results"]["payback_month"]["value"] is None
    assert told["results"]["internal_rate"]["reason"].startswith("none")


@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_new_in_both_unit_systems(tmp_path, units):
    done = pennyweight("new", "b.xlsx", "--units", units, cwd=tmp_path)
    assert done.returncode == 0
    assert [path.name for path in tmp_path.iterdir()] == ["b.xlsx"]
    told = json.loads(pennyweight("judge", "b.xlsx", "--json", cwd=tmp_path).stdout)
    unit = told["results"]["break_even_grade"]["unit"]
    assert unit == {"us": "oz/ton", "metric": "g/t"}[units]


def test_a_process_ends_with_the_code_and_says_why_on_its_error_stream(folder):
    (folder / "letter.xlsx").write_text("hello")
    for arguments, code, words in (
        (("judge", "book.xlsx"), 0, ""),
        (("judge", "letter.xlsx"), 3, "letter.xlsx"),
    ):
        done = process(*arguments, cwd=folder)
        assert done.returncode == code
        assert words in done.stderr and bool(done.stderr) == bool(code)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("nonsense",), "No such command"),
        (("judge",), "Missing argument"),
        (("new", "b.xlsx", "--units", "imperial"), "'--units': 'imperial' is not"),
        (("new", "book.ods"), ".xlsx"),
        (("renew", "book.xlsx", "-o", "copy.txt"), ".xlsx"),
        (("functions", "bond_enrgy"), "Did you mean bond_energy?"),
        (("functions", "-o", "copy.xlsx"), "--add-to"),
    ],
)
def test_wrong_calls_end_with_2(folder, arguments, words):
    done = pennyweight(*arguments, cwd=folder)
    assert done.returncode == 2
    assert words in done.stderr


def test_unusable_books_end_with_3(folder):
    (folder / "letter.xlsx").write_text("hello")
    for name in ("letter.xlsx", "missing.xlsx"):
        done = pennyweight("judge", name, cwd=folder)
        assert done.returncode == 3
        assert name in done.stderr


def test_version(folder):
    from pennyweight import __version__

    done = pennyweight("--version", cwd=folder)
    assert done.stdout.strip() == f"pennyweight {__version__}"


def test_a_function_is_explained_with_its_formula(folder):
    done = pennyweight("functions", "bond_energy", cwd=folder)
    assert "Bond 1952" in done.stdout
    assert "=10*Work_index*(1/SQRT(Product_p80)-1/SQRT(Feed_f80))" in done.stdout


def test_markup_in_a_name_is_shown_as_it_is(tmp_path):
    typed_at(tmp_path / "a.xlsx", claim_name="[bold]Top[/bold]")
    assert "[bold]Top[/bold]" in pennyweight("judge", "a.xlsx", cwd=tmp_path).stdout
