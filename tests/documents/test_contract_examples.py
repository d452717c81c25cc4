"""The worked examples of contracts, and the cases by hand of docs/contracts.md."""

import csv
import itertools
import os
from pathlib import Path

import pytest

import pennyweight as pw
from pennyweight.cli.main import main
from pennyweight.documents.ledger import WHAT
from pennyweight.documents.lots import read_lots
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.csv_file import read_csv
from pennyweight.workbook.layout import layout
from tests.books import book_at, typed_at
from tests.thorough import sampled

from ..commands import pennyweight
from .ledgers import ledger
from .test_statement import HAND, LOTS

ROOT = Path(__file__).parents[2]
EXAMPLES = ("one-off-lot", "season-contract", "purchase-on-assay")


def example(name):
    """Inputs of a worked example, and its page."""
    folder = ROOT / "workbooks" / name
    with (folder / "inputs.csv").open() as file:
        rows = {row["name"]: row["value"] for row in csv.DictReader(file)}
    inputs = {n: float(v) if INPUTS[n].numeric else v for n, v in rows.items()}
    return inputs, (folder / "README.md").read_text("utf-8")


@pytest.mark.parametrize("name", sampled(EXAMPLES, 3))
def test_an_example_runs_through_the_command(name, tmp_path, capsys):
    inputs, text = example(name)
    book = typed_at(tmp_path / "book.xlsx", **inputs)
    main(["quote", str(book), "-o", str(tmp_path / "quote.xlsx")])
    told, plan = capsys.readouterr().err, pw.read(book)
    assert f"a lot: {plan.money(plan.results['agreed_margin'])} if every" in told
    left = plan.contracts.loc[plan.inputs["contract_kind"], "season_margin_left"]
    assert ("Warning: the mill loses money if" in told) == (left < 0)
    main(["settle", str(book), "-o", str(tmp_path / "statement.xlsx")])
    net = make_statement(inputs, "us").values["printed_net"]
    assert f"The mill pays the owner ${net:,.2f}." in capsys.readouterr().out
    assert (tmp_path / "statement.csv").exists()
    assert make_quote(inputs, "us").values["says"] == "the mill pays you"
    if name != "season-contract":
        assert f"${net:,.2f}" in text


def test_the_ledger_of_the_season(tmp_path, capsys):
    inputs, text = example("season-contract")
    lots = ROOT / "workbooks" / "season-contract" / "lots.csv"
    book = typed_at(tmp_path / "book.xlsx", **inputs)
    out = tmp_path / "ledger.xlsx"
    main(["settle", str(book), "--lots", str(lots), "-o", str(out)])
    rows = read_csv(lots, WHAT)
    _, owed = ledger(inputs, "us", read_lots(rows, "us"))
    _, before = ledger(inputs, "us", read_lots(rows[:-1], "us"))
    assert f"The mill owes ${owed:,.2f} over all lots." in capsys.readouterr().out
    assert f"${owed:,.2f}" in text and f"${before - owed:,.2f}" in text


def test_the_command_settles_the_others_and_says_that_a_lot_is_held(tmp_path, capsys):
    inputs, _ = example("season-contract")
    lots = ROOT / "workbooks" / "season-contract" / "lots.csv"
    table, out = tmp_path / "lots.csv", tmp_path / "ledger.xlsx"
    table.write_text(lots.read_text("utf-8").replace(",239.6,", ",0.2396,"), "utf-8")
    book = typed_at(tmp_path / "book.xlsx", **inputs)
    with pytest.raises(SystemExit) as stop:
        main(["settle", str(book), "--lots", str(table), "-o", str(out)])
    assert stop.value.code == 3
    told = capsys.readouterr()
    assert f"Written: {out}" in told.out
    assert "Held, not in the ledger: Lot 1: gold found" in told.err
    assert len(out.with_suffix(".csv").read_text("utf-8").splitlines()) == 3


def test_nothing_is_overwritten_unasked(tmp_path):
    book = book_at(tmp_path / "book.xlsx")
    for output in ("book.xlsx", "quote.ods"):
        with pytest.raises(SystemExit) as stop:
            main(["quote", str(book), "-o", str(tmp_path / output)])
        assert stop.value.code == 2
    (tmp_path / "statement.csv").write_text("mine")
    with pytest.raises(SystemExit):
        main(["settle", str(book), "-o", str(tmp_path / "statement.xlsx")])
    assert (tmp_path / "statement.csv").read_text() == "mine"
    assert not (tmp_path / "statement.xlsx").exists()


def refused(*arguments):
    with pytest.raises(SystemExit) as stop:
        main([*map(str, arguments), "--force"])
    assert stop.value.code == 2


@pytest.fixture
def inputs(tmp_path, monkeypatch):
    """Workbooks and a table, some with a second name; they stay as they are."""
    monkeypatch.chdir(tmp_path)
    files = [book_at("book.xlsx"), book_at("other.xlsx"), Path("lots.csv")]
    files[2].write_text(LOTS)
    Path("linked.xlsx").symlink_to(files[0])
    os.link("book.xlsx", "hard.xlsx")
    os.link("book.xlsx", "statement.csv")
    os.link("lots.csv", "ledger.xlsx")
    before = [path.read_bytes() for path in files]
    yield
    assert [path.read_bytes() for path in files] == before


COMMANDS = ("quote book", "settle book", "compare other book", "compare book other")
NAMES = ("book", "linked", "hard")


@pytest.mark.parametrize(
    ("command", "output"), sampled(itertools.product(COMMANDS, NAMES), 4)
)
def test_no_output_replaces_an_input(inputs, command, output, capsys):
    """Not by another name either: files count as the same by identity."""
    words = command.split()
    refused(words[0], *(f"{name}.xlsx" for name in words[1:]), "-o", f"{output}.xlsx")
    assert "is the input file" in capsys.readouterr().err


@pytest.mark.parametrize(
    "more", [("--lots", "lots.csv", "-o", "ledger.xlsx"), ("-o", "statement.xlsx")]
)
def test_no_statement_or_its_copy_replaces_an_input(inputs, more, capsys):
    refused("settle", "book.xlsx", *more)
    assert "is the input file" in capsys.readouterr().err


def test_statement_and_audit_copy_are_written_together(tmp_path, monkeypatch):
    book = book_at(tmp_path / "book.xlsx")
    page, copy = tmp_path / "statement.xlsx", tmp_path / "statement.csv"
    page.write_bytes(b"old page")
    copy.mkdir()
    with pytest.raises(SystemExit):
        main(["settle", str(book), "-o", str(page), "--force"])
    assert page.read_bytes() == b"old page"
    copy.rmdir()
    copy.write_bytes(b"old copy")
    real = os.replace

    def fail(source, target):
        if Path(target) == copy and Path(source).read_bytes() != b"old copy":
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(SystemExit):
        main(["settle", str(book), "-o", str(page), "--force"])
    assert (page.read_bytes(), copy.read_bytes()) == (b"old page", b"old copy")
    left = {path.name for path in tmp_path.iterdir()}
    assert left == {"book.xlsx", "statement.xlsx", "statement.csv"}


def test_the_cases_by_hand_are_those_of_the_page():
    text = (ROOT / "docs" / "contracts.md").read_text("utf-8")
    first = make_statement(HAND, "us").values["printed_net"]
    owes = make_statement({**HAND, "settle_melt_mass": 20.0}, "us", "agreed").values
    bought = make_statement(example("purchase-on-assay")[0], "us").values
    assert f"**${first:,.2f}**" in text
    assert f"**${-owes['printed_net']:,.2f}**" in text
    assert f"**${bought['settle_metal']:,.2f}**" in text


def test_a_lot_that_was_never_milled_is_not_settled(tmp_path, capsys):
    """In a new workbook the figures of the lot are stand-ins."""
    lot = [n for n in layout().entered if n.startswith("settle_")]
    blank = {n: None for n in lot if n != "settle_wet_tons"}
    book = typed_at(tmp_path / "book.xlsx", contract_kind="purchase", **blank)
    with pytest.raises(SystemExit) as stop:
        main(["settle", str(book), "-o", str(tmp_path / "statement.xlsx")])
    told = capsys.readouterr().err
    assert stop.value.code == 3 and INPUTS["settle_mill_assay"].label in told
    assert INPUTS["settle_wet_tons"].label not in told
    assert not (tmp_path / "statement.xlsx").exists()


def test_a_paper_given_as_a_workbook_is_named(tmp_path):
    lots, plan = tmp_path / "lots.csv", pw.example()
    lots.write_text(LOTS)
    plan.quote(tmp_path / "q.xlsx")
    plan.settle(tmp_path / "s.xlsx")
    plan.settle(tmp_path / "p.xlsx", provisional=True)
    plan.ledger(tmp_path / "l.xlsx", lots)
    plan.charges("9%", path=tmp_path / "c.xlsx")
    for name, what in (
        ("q.xlsx", "a milling quote"),
        ("s.xlsx", "a settlement statement"),
        ("p.xlsx", "a provisional statement"),
        ("l.xlsx", "a ledger of lots"),
        ("c.xlsx", "a table of what to charge"),
    ):
        done = pennyweight("judge", name, cwd=tmp_path)
        assert done.returncode == 3
        assert f"is {what}" in " ".join(done.stderr.split())
