"""What DEVELOPERS.md promises: one function and one input are a new cost component.

They are written into a copy of the package; the order of calculation, the sheets, the
names, the worksheet functions and the way from an older book must follow.
"""

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import pennyweight
from pennyweight.model.run import run
from tests.addins.examples import at_estimates
from tests.books import typed_at
from tests.oracles.package import defined_names, formula_cells, stored_cells

PACKAGE = Path(pennyweight.__file__).parent
COMPONENT = '''\
@component("Night watch", "site", "month")
def cost_of_watch(watch_cost):
    """All year, outside the milling hours."""
    return watch_cost


'''
INPUT = {
    "name": "watch_cost",
    "label": "Night watch",
    "description": "All year, outside the milling hours.",
}
LIKE = "permit_cost"
"""An input that the new one stands beside, and whose unit and range it has."""
COST = 777.0
PRICE = 3333.0
"""In the book from before."""
MONTHS = 12

SCRIPT = """\
import json
from pathlib import Path
import pennyweight
from pennyweight.addins.registry import registry
from pennyweight.addins.sheet_call import answer
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.model.units import convert
from pennyweight.opening import carry_over
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.read import read_book

def cell(name, *given):
    return answer(registry()[name], given)

carried = carry_over("before.xlsx")
carried.change(watch_cost=%(cost)r).write("with.xlsx")
opened, written = read_book("before.xlsx"), read_book("with.xlsx")
figures = "net_present_value", "cost_per_ton", "cost_of_watch_per_ton"
given = {"gold_price": %(price)r, "watch_cost": %(cost)r}
with_it, free = run(given), run({**given, "watch_cost": 0.0})
metric = {
    name: convert(value, INPUTS[name].unit, "us", "metric")
    if INPUTS[name].numeric else value
    for name, value in complete(given, "us").items()
}
Path("found.json").write_text(json.dumps({
    "package": pennyweight.__file__,
    "outcome": inspect_book("with.xlsx").outcome,
    "with": {n: float(with_it[n]) for n in figures},
    "free": {n: float(free[n]) for n in figures},
    "metric": float(run(metric, "metric")["net_present_value"]),
    "paid": sorted(set(with_it["cost_of_watch_paid"].ravel().tolist())),
    "read": written.inputs["watch_cost"],
    "prices": [opened.inputs["gold_price"], written.inputs["gold_price"]],
    "given": [name for name in ("gold_price", "watch_cost") if name in carried.given],
    "listed": [row[:3] for row in cell("DWT_INPUTS") if row[0] == "watch_cost"],
    "figures": [row[0] for row in cell("DWT_FIGURES")],
    "judged": cell(
        "DWT_JUDGE", "watch_cost", %(cost)r, "cost_of_watch_per_ton"
    ),
}))
"""


def extended(folder):
    """A copy of the package with the component and its input."""
    copy = folder / "pennyweight"
    shutil.copytree(PACKAGE, copy)
    lines = copy / "model" / "lines" / "cost" / "components.py"
    text = lines.read_text("utf-8")
    before = '@component("Overhead"'
    assert text.count(before) == 1
    lines.write_text(text.replace(before, COMPONENT + before), "utf-8")
    table = copy / "model" / "inputs.csv"
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    (place,) = [i for i, row in enumerate(rows) if row["name"] == LIKE]
    rows.insert(place + 1, {**rows[place], "formerly": "", **INPUT})
    with table.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return folder


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Where the extended engine has done its work."""
    folder = tmp_path_factory.mktemp("component")
    typed_at(folder / "before.xlsx", gold_price=PRICE)
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT % {"cost": COST, "price": PRICE}],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(extended(folder))},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture(scope="module")
def found(folder):
    found = json.loads((folder / "found.json").read_text())
    assert Path(found["package"]).is_relative_to(folder)
    return found


def test_the_money_follows(found):
    free, with_it = found["free"], found["with"]
    base = run({"gold_price": PRICE})
    assert free["cost_per_ton"] == base["cost_per_ton"]
    assert free["cost_of_watch_per_ton"] == 0
    more = COST * MONTHS / base["tons_per_year"]
    assert with_it["cost_of_watch_per_ton"] == pytest.approx(more)
    assert with_it["cost_per_ton"] == pytest.approx(free["cost_per_ton"] + more)
    assert with_it["net_present_value"] < free["net_present_value"]
    assert found["paid"] == [0.0, COST]
    assert found["metric"] == pytest.approx(with_it["net_present_value"], rel=1e-9)


def test_the_sheets_show_it(folder, found):
    book = folder / "with.xlsx"
    cells, names = stored_cells(book), defined_names(book)
    for name in ("Watch_cost", "Cost_of_watch", "Cost_of_watch_per_ton"):
        area = names.area(name)
        row = cells[area.sheet]
        labels = [row.get(f"{column}{area.top + 1}") for column in "ABC"]
        assert any(str(label).startswith("Night watch") for label in labels), name
    assert names.read(cells, "Watch_cost") == COST
    per_ton = names.cell("Cost_of_watch_per_ton")
    assert (per_ton.sheet, per_ton.corner) in formula_cells(book)
    rows = cells["Cash flow"].values()
    assert sum(text == "Night watch" for text in rows) == 1
    assert found["read"] == COST
    assert found["outcome"] == "as issued"


@pytest.mark.thorough
def test_a_spreadsheet_program_agrees(folder, found, libreoffice):
    wanted = ["Net_present_value", "Cost_of_watch_per_ton"]
    changes = [{}, {"Watch_cost": 0.0}]
    path = folder / "with.xlsx"
    shown, without = libreoffice.scenarios(path, changes, wanted)
    for answer, engine in ((shown, found["with"]), (without, found["free"])):
        for name in wanted:
            assert answer[name] == pytest.approx(engine[name.lower()], rel=1e-9)


def test_the_worksheet_functions_know_it(found):
    assert found["listed"] == [["watch_cost", "Night watch", "$/month"]]
    assert "cost_of_watch_per_ton" in found["figures"]
    per_ton = COST * MONTHS / at_estimates({})["tons_per_year"]
    assert found["judged"] == [[pytest.approx(per_ton)]]


def test_a_book_from_before_opens(found):
    """It is read as it is, and its inputs are carried into a new one."""
    assert found["prices"] == [PRICE, PRICE]
    assert found["given"] == ["gold_price"]
