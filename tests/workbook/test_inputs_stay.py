"""No command replaces an input file, by whatever name, even with --force."""

import os

import pytest

from pennyweight.errors import CallError
from pennyweight.workbook.files import open_elsewhere, write_whole
from tests.books import book_at
from tests.commands import pennyweight

PRICES = "date,price\n2026-07-14,3400\n"
COMMANDS = {
    "new": ("new", "{}", "--from", "book.xlsx"),
    "compare": ("compare", "book.xlsx", "second.xlsx", "-o", "{}"),
    "quote": ("quote", "book.xlsx", "-o", "{}"),
    "settle": ("settle", "book.xlsx", "-o", "{}"),
    "risk": ("risk", "book.xlsx", "--trials", "256", "-o", "{}"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("inputs")
    for name in ("book.xlsx", "second.xlsx"):
        book_at(folder / name)
    (folder / "link.xlsx").symlink_to("book.xlsx")
    os.link(folder / "book.xlsx", folder / "twin.xlsx")
    return folder


@pytest.mark.parametrize("name", ["book.xlsx", "link.xlsx", "twin.xlsx"])
def test_the_workbook_is_no_output_by_any_name(name, folder):
    _refused(folder, COMMANDS["quote"], name)


@pytest.mark.parametrize("command", COMMANDS)
def test_the_workbook_is_not_an_output(command, folder):
    _refused(folder, COMMANDS[command], "book.xlsx")


def _refused(folder, words, name):
    before = (folder / "book.xlsx").read_bytes()
    words = [word.format(name) for word in words]
    done = pennyweight(*words, "--force", cwd=folder)
    assert done.returncode == 2 and "is the input file" in done.stderr, done.stderr
    assert (folder / "book.xlsx").read_bytes() == before


def test_the_audit_copy_does_not_replace_the_prices(folder):
    """The copy beside the statement has the statement's name, with .csv."""
    prices = folder / "prices.csv"
    prices.write_text(PRICES)
    words = ("--prices", "prices.csv", "--price-day", "2026-07-14", "--force")
    given = ("settle", "book.xlsx", "-o", "prices.xlsx", *words)
    done = pennyweight(*given, cwd=folder)
    assert done.returncode == 2 and "is the input file" in done.stderr, done.stderr
    assert prices.read_text() == PRICES and not (folder / "prices.xlsx").exists()


def test_devices_and_pipes_are_not_read(folder):
    """A pipe would be waited for, and a device has no end."""
    os.mkfifo(folder / "pipe.xlsx")
    for name in ("pipe.xlsx", "/dev/zero"):
        done = pennyweight("inspect", name, cwd=folder)
        assert done.returncode == 3 and "a device or a pipe" in done.stdout


def test_a_file_name_may_be_as_long_as_a_name_can_be(tmp_path):
    name = "x" * 250 + ".xlsx"
    assert write_whole(tmp_path / name, b"new").read_bytes() == b"new"
    assert open_elsewhere(tmp_path / name) is None
    with pytest.raises(CallError, match="longer than 255 bytes"):
        write_whole(tmp_path / f"x{name}", b"new")
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_table_of_100_000_columns_is_refused_at_once(folder):
    (folder / "wide.csv").write_text(",".join(["1"] * 100_000) + "\n")
    words = ("settle", "book.xlsx", "--lots", "wide.csv", "-o", "ledger.xlsx")
    done = pennyweight(*words, cwd=folder)
    assert done.returncode == 2 and "100,000 columns" in done.stderr
