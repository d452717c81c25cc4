"""Inputs taken over into a new workbook: by name, by label, from any layout."""

import re
import zipfile

import openpyxl
import pytest

import pennyweight as pw
from pennyweight.cli.main import main
from pennyweight.cli.new import new_plan
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.write import book_bytes, write_book
from tests.books import made_book

from ..oracles.package import write_changed
from .older.build import HERE

STORED = HERE / "us.xlsx"
"""A book of an older layout, which lacks some inputs."""
INPUTS_GIVEN = {"gold_price": 3000.0, "crew": 2.0, "claim_name": "Upper Draw"}


def their_book():
    return made_book(
        INPUTS_GIVEN, statuses={"crew": "measured"}, bases={"crew": "Counted"}
    )


@pytest.fixture(scope="module")
def theirs(tmp_path_factory):
    return write_book(their_book(), tmp_path_factory.mktemp("theirs") / "theirs.xlsx")


def without_names(path, out, *names):
    """Their book without the names of inputs; their labels stay."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for item in old.infolist():
            content = old.read(item)
            if item.filename == "xl/workbook.xml":
                for name in names:
                    called = f"{name[0].upper()}{name[1:]}".encode()
                    pattern = rb'<definedName name="%s(_entered)?">[^<]*</d[^>]*>'
                    content, count = re.subn(pattern % called, b"", content)
                    assert count in (1, 2)
            new.writestr(item, content)
    return out


def place_of(name):
    place = layout().entered.get(name) or layout().places[name]
    return place.sheet, place.cell()


def of_given(read, told):
    """What is told of the inputs that are not empty."""
    return {name: words for name, words in told.items() if name in read.given}


def test_everything_is_carried(theirs):
    carried, read = carry_from(theirs), read_book(theirs)
    assert carried.left_behind == []
    assert carried.inputs == {name: read.inputs[name] for name in carried.inputs}
    assert carried.inputs.keys() >= read.given.keys() and carried.units == "us"
    assert carried.statuses == of_given(read, read.statuses)
    assert carried.bases == of_given(read, read.bases)
    assert carried.bases["crew"] == "Counted"


def test_into_the_other_unit_system(theirs):
    carried = carry_from(theirs, "metric")
    assert carried.units == "metric"
    assert carried.left_behind == []
    ours = run(carried.inputs, "metric")["net_present_value"]
    assert ours == pytest.approx(run(INPUTS_GIVEN)["net_present_value"], rel=1e-9)


def test_estimates_of_the_other_unit_system_are_reported():
    """What the stored book lacks keeps its estimate."""
    kept, moved = (carry_from(STORED, units).left_behind for units in ("us", "metric"))
    (told,) = set(moved) - set(kept)
    assert "round figures of its own units" in told


@pytest.mark.thorough
def test_estimates_of_a_new_workbook_in_the_other_unit_system_are_reported(tmp_path):
    empty = pw.Plan(gold_price=3000).write(tmp_path / "empty.xlsx")
    assert carry_from(empty).left_behind == []
    (told,) = carry_from(empty, "metric").left_behind
    assert "round figures of its own units" in told


def test_an_input_that_has_lost_its_name_is_found_by_its_label(theirs, tmp_path):
    path = without_names(theirs, tmp_path / "changed.xlsx", "gold_price")
    carried = carry_from(path)
    assert carried.inputs["gold_price"] == 3000.0 and carried.left_behind == []


def test_a_label_that_stands_twice_finds_nothing(theirs, tmp_path):
    """Several inputs were labelled Attention: none of them is guessed."""
    names = [name for name, e in INPUTS.items() if "Attention" in e.formerly]
    assert len(names) > 1
    nameless = without_names(theirs, tmp_path / "nameless.xlsx", *names)
    places = [layout().places[name] for name in names]
    labels = {(p.sheet, f"A{p.row + 1}"): "Attention" for p in places}
    write_changed(nameless, tmp_path / "changed.xlsx", labels)
    carried = carry_from(tmp_path / "changed.xlsx")
    assert not carried.inputs.keys() & set(names)
    for name in names:
        said = f"{INPUTS[name].label}: not in that book"
        assert sum(said in s for s in carried.left_behind) == 1


@pytest.mark.thorough
def test_an_older_layout(theirs, tmp_path):
    """Rows elsewhere, an input that we lack, one that they lack, another version.

    `test_upgrade` shows the same of a stored book in every run.
    """
    path, package = tmp_path / "changed.xlsx", openpyxl.load_workbook(theirs)
    sheet, address = next(package.defined_names["Book_layout"].destinations)
    package[sheet][address.replace("$", "")] = 0
    sheet = package["Inputs"]
    sheet["A900"], sheet["B900"] = "Hourly wage", 31.0
    package.defined_names["Wage_entered"].attr_text = "Inputs!$B$900"
    package.defined_names["Mules"] = openpyxl.workbook.defined_name.DefinedName(
        "Mules", attr_text="Inputs!$B$901"
    )
    for name in ("Burden", "Burden_entered"):
        package.defined_names.pop(name)
    sheet, address = place_of("burden")
    package[sheet][address].offset(column=-1).value = "Overhead of the crew"
    package.save(path)
    reading = read_book(path)
    assert (reading.inputs["wage"], reading.missing) == (31.0, ("burden",))
    assert (
        "1 input that it does not have keeps its estimate: Wage burden" in reading.note
    )
    carried = carry_from(path)
    assert carried.inputs["wage"] == 31.0 and carried.inputs["gold_price"] == 3000.0
    assert "burden" not in carried.inputs and "burden" not in carried.statuses
    told = " ".join(carried.left_behind)
    assert "Wage burden: not in that book" in told
    assert "Mules: not an input of this version" in told


def add_theirs(package, _formats):
    """A sheet, a note and a cell of theirs."""
    package.add_worksheet("Our notes").write_string("A1", "ask about the road")
    sheet, address = place_of("cost_per_ton")
    package.get_worksheet_by_name(sheet).write_comment(address, "too low?")
    package.get_worksheet_by_name("Answer").write_string("Z9", "seen by the bank")


@pytest.fixture(scope="module")
def noted(tmp_path_factory):
    path = tmp_path_factory.mktemp("noted") / "noted.xlsx"
    path.write_bytes(book_bytes(their_book(), add_theirs))
    return path


def test_what_is_theirs_is_named(noted, tmp_path):
    changed = tmp_path / "changed.xlsx"
    typed = {place_of("crew"): "three", place_of("burden"): "a third"}
    write_changed(noted, changed, typed)
    carried = carry_from(changed)
    told = " ".join(carried.left_behind)
    assert "'three' is not a number" in told and "200. It stays empty." in told
    assert "'a third' is not a number" in told and "It keeps its estimate" in told
    assert "Our notes" in told and "too low?" in told
    assert "crew" not in carried.inputs


def test_cells_and_altered_formulas_are_reported(noted, tmp_path):
    changed = tmp_path / "changed.xlsx"
    write_changed(noted, changed, {place_of("cost_per_ton"): 100})
    told = " ".join(carry_from(changed).left_behind)
    assert "Answer!Z9: cell added (seen by the bank)" in told
    assert f"Altered formulas: 1, {'!'.join(place_of('cost_per_ton'))};" in told


def test_inputs_that_contradict_one_another(theirs, tmp_path):
    changed = tmp_path / "changed.xlsx"
    sizes = {place_of("product_p80"): 5000, place_of("feed_f80"): 200}
    write_changed(theirs, changed, sizes)
    with pytest.raises(WorkbookError, match="contradict"):
        carry_from(changed)


def test_a_strangers_book(tmp_path):
    path = tmp_path / "book.xlsx"
    package = openpyxl.Workbook()
    package.active["A1"] = "Gold price"
    package.save(path)
    with pytest.raises(WorkbookError, match="not a pennyweight workbook"):
        carry_from(path)


@pytest.mark.thorough
def test_the_command(theirs, tmp_path, capsys):
    fresh = tmp_path / "fresh.xlsx"
    fresh.write_bytes(b"an earlier one")
    with pytest.raises(SystemExit) as stopped:
        main(["new", str(fresh), "--from", str(theirs)])
    assert stopped.value.code == 2 and fresh.read_bytes() == b"an earlier one"
    main(["new", str(fresh), "--from", str(theirs), "--force"])
    assert "Not carried over" not in capsys.readouterr().out
    assert read_book(fresh).inputs == read_book(theirs).inputs
    assert new_plan("metric", False, theirs).units == "metric"


def test_a_dragged_cell_is_told(tmp_path):
    """Its name goes with it; before, a gold price became the mining cost in silence."""
    sent, dragged = tmp_path / "sent.xlsx", tmp_path / "dragged.xlsx"
    pw.example().change(job="claim").write(sent)
    (_, price), (_, mining) = map(place_of, ("gold_price", "mining_cost"))
    with zipfile.ZipFile(sent) as old, zipfile.ZipFile(dragged, "w") as new:
        for item in old.infolist():
            content = old.read(item)
            if item.filename == "xl/workbook.xml":
                content = moved_name(content, "Mining_cost_entered", "#REF!")
                there = f"Start!$B${mining[1:]}"
                content = moved_name(content, "Gold_price_entered", there)
            new.writestr(item, content)
    told = " ".join(carry_from(dragged).left_behind)
    row = f"Start!{mining}, in the row of another input"
    assert f"Gold price: its name stands at {row}; Start!{price}, beside" in told
    assert f"Mining cost: its name is lost; Start!{mining} was taken" in told


def moved_name(content, name, there):
    pattern = rb'(<definedName name="%s">)[^<]*' % name.encode()
    content, count = re.subn(pattern, rb"\g<1>" + there.encode(), content)
    assert count == 1
    return content
