"""The checklist of a good model workbook, in both unit systems."""

import ast
import inspect
import re
from collections import defaultdict

import numpy as np
import openpyxl
import pytest
from openpyxl.formula import Tokenizer
from openpyxl.utils import coordinate_to_tuple
from xlsxwriter.utility import xl_rowcol_to_cell

import pennyweight
from pennyweight.model import lines as line_modules
from pennyweight.model.entries import has_range
from pennyweight.model.indifference import indifference_grades
from pennyweight.model.inputs import INPUTS, STATUSES
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.trade.function_contract_terms import contract_of
from pennyweight.workbook.book import make_book
from pennyweight.workbook.cell_formulas import formulas_of
from pennyweight.workbook.contract_sheet import TITLE
from pennyweight.workbook.entry_cells import (
    BASIS,
    LEAST,
    MEANING,
    MOST,
    OWN_HIGH,
    OWN_LOW,
    STATE,
    STATUS,
)
from pennyweight.workbook.front_sheets import source_in_words, used_equations
from pennyweight.workbook.layout import (
    FIRST,
    HEAD,
    LABEL,
    LINE_SHEETS,
    SHEETS,
    layout,
    listed,
)
from pennyweight.workbook.line_sheets import widths
from pennyweight.workbook.style import ROW_HEIGHT, number_format
from pennyweight.workbook.write import book_bytes
from tests.books import book_at, content, made_book
from tests.thorough import sampled

from ..oracles.package import formula_cells, stored_cells

SHARED = (
    "IF AND OR NOT SUM MIN MAX ABS SUMPRODUCT INDEX MATCH SMALL EXP LN LOG10 SQRT INT "
    "MOD TINV NORMSINV COUNTIF COUNTA COUNT AVERAGE SIN COS ACOS "
    "ISBLANK ISNUMBER ISTEXT CONCATENATE FIXED LEFT ROUND DATE"
)
"""Functions that Excel 2010, LibreOffice and Gnumeric share, as far as used."""


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def path(request, tmp_path_factory):
    path = tmp_path_factory.mktemp(request.param) / "book.xlsx"
    book_at(path, request.param)
    return path


@pytest.fixture(scope="module")
def book(path):
    return openpyxl.load_workbook(path)


@pytest.fixture(scope="module")
def formulas(book):
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def words_of(sheet):
    return " ".join(
        str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value
    )


def test_01_first_sheet_says_what_it_is(book):
    said = words_of(book.worksheets[0])
    for word in ("Does this claim pay", "Colours", "figures are your own"):
        assert word in said
    said = words_of(book["About"])
    for word in ("Unit system", "Layout", "Colours", "Cautions"):
        assert word in said
    cells = (cell for row in book.worksheets[0].iter_rows() for cell in row)
    links = {cell.hyperlink.location for cell in cells if cell.hyperlink}
    assert {f"'{name}'!A1" for name in SHEETS[1:]} <= links


def test_02_inputs_workings_results_and_checks_are_apart(book):
    assert book.sheetnames == list(SHEETS)
    for sheet in ("Inputs", "Answer", "Cash flow", "Checks"):
        assert sheet in book.sheetnames


def test_03_nothing_is_hidden(book):
    for sheet in book:
        assert sheet.sheet_state == "visible"
        # The tables of the sheet Risk show when risk has filled them.
        hidden = any(part.hidden for part in sheet.row_dimensions.values())
        assert not hidden or sheet.title == "Risk"
        assert not any(part.hidden for part in sheet.column_dimensions.values())


def test_04_columns_mean_the_same_on_every_sheet(book):
    for name in LINE_SHEETS:
        heads = [book[name].cell(HEAD + 1, column).value for column in range(2, 5)]
        assert heads == ["Value", "Unit", "Note"]


def test_05_one_timeline_in_the_frozen_pane(book):
    sheet = book["Cash flow"]
    assert sheet.freeze_panes == f"B{HEAD + 2}"
    place = layout().axes["month"]
    months = [sheet.cell(HEAD + 1, place.column + 1 + m).value for m in (0, 1, 119)]
    assert months == [1, 2, 120]


def test_06_rows_read_upwards_or_their_own_past(formulas):
    """Along the months a row reads this month or the one before, never a later one."""
    for (sheet, cell), formula in formulas.items():
        if sheet != "Cash flow" or coordinate_to_tuple(cell)[1] < 6:
            continue
        here = coordinate_to_tuple(cell)[1]
        for found in re.findall(r"(?<![A-Za-z_'!$.])([A-Z]{1,3}\d+)\b", formula):
            assert here - 1 <= coordinate_to_tuple(found)[1] <= here, (cell, formula)


def test_07_the_overall_check_is_on_every_sheet(book):
    for sheet in book:
        shown = sheet["A3"].value
        assert all(name in shown for name in ("Answer", "Checks_flag"))


def test_08_money_and_its_date_are_stated(book):
    said = words_of(book["About"])
    assert "Prices and costs of" in said and "real: nothing is inflated" in said


def test_09_every_input_is_explained(book):
    sheet = book["Inputs"]
    for name, entry in listed():
        row = layout().places[name].row + 1
        label, meaning, basis, status = (
            sheet.cell(row, column + 1).value
            for column in (LABEL, MEANING, BASIS, STATUS)
        )
        assert label == entry.label and meaning and basis and status in STATUSES
        if entry.numeric:
            assert sheet.cell(row, LEAST + 1).value is not None
            assert sheet.cell(row, MOST + 1).value is not None


def test_10_only_inputs_are_unlocked(book):
    # What the workbook is for is chosen when it is written.
    entered = {n: place for n, place in layout().entered.items() if n != "job"}
    places = {(p.sheet, p.cell()) for p in entered.values()}
    places |= {
        ("Inputs", xl_rowcol_to_cell(layout().places[name].row, column))
        for name, entry in listed()
        for column in (
            BASIS,
            STATUS,
            *((OWN_LOW, OWN_HIGH) if has_range(entry) else ()),
        )
    }
    unlocked = {
        (sheet.title, cell.coordinate)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if not cell.protection.locked
    }
    assert unlocked == places
    assert all(sheet.protection.sheet for sheet in book)
    assert not any(sheet.protection.password for sheet in book)


def test_11_validation_equals_the_bounds(book):
    units = book["About"][
        book.defined_names["Book_units"].attr_text.split("!")[1].replace("$", "")
    ].value
    rules = {
        (sheet.title, str(rule.sqref)): rule
        for sheet in book
        for rule in sheet.data_validations.dataValidation
    }
    for name, entry in INPUTS.items():
        place = layout().entered[name]
        if entry.kind == "text":
            continue
        rule = rules[place.sheet, place.cell()]
        assert rule.prompt and rule.error
        if entry.kind == "choice":
            assert rule.formula1.strip('"').split(",") == list(entry.choices)
        else:
            ending = "*Exchange_rate" if entry.is_money else ""
            assert rule.formula1.endswith(ending) and rule.formula2.endswith(ending)
            bounds = [
                float(one.removesuffix(ending))
                for one in (rule.formula1, rule.formula2)
            ]
            assert bounds == pytest.approx(entry.within(units), rel=1e-12)


def test_12_each_input_appears_once(book):
    assert len({entry.label + entry.section for entry in INPUTS.values()}) == len(
        INPUTS
    )
    assert len({str(layout().entered[name]) for name in INPUTS}) == len(INPUTS)


def test_13_every_input_says_whose_it_is(book, formulas):
    for name in ("Own", "Estimated", "Missing", "Unusable", "Odd"):
        sheet, cell = next(book.defined_names[f"{name}_figures"].destinations)
        assert "COUNTIF" in formulas[sheet, cell.replace("$", "")]
    for name, _ in listed():
        place = layout().places[name]
        state = xl_rowcol_to_cell(place.row, STATE)
        assert "IF(" in formulas[place.sheet, state]


def relative(formula, cell):
    """The formula with plain addresses as distances, as a copy along a row keeps."""
    row, column = coordinate_to_tuple(cell)

    def distance(match):
        there = coordinate_to_tuple(match[0])
        return f"R{there[0] - row}C{there[1] - column}"

    return re.sub(r"(?<![A-Za-z_!$.])[A-Z]{1,3}\d+\b", distance, formula)


def test_14_one_row_one_formula(formulas):
    for line in MODEL.lines.values():
        if line.over not in (("month",), ("year",)) or line.gathers:
            continue
        place = layout().places[line.name]
        kinds = {
            relative(formulas[place.sheet, place.cell(step)], place.cell(step))
            for step in range(place.lengths[0])
        }
        assert len(kinds) == 1, line.name


def test_15_no_number_stands_in_a_line_of_ours():
    """Numbers in formulas come from published equations in trade, or are 0 and 1."""
    for module in line_modules.MODULES:
        tree = ast.parse(inspect.getsource(module))
        for function in ast.walk(tree):
            if not isinstance(function, ast.FunctionDef):
                continue
            for node in ast.walk(ast.Module(function.body, [])):
                if isinstance(node, ast.Constant) and isinstance(
                    node.value, int | float
                ):
                    assert node.value in (0, 1, True, False), (module, function.name)


def depth_of_if(formula):
    deepest = depth = 0
    stack = []
    for token in Tokenizer(formula).items:
        if token.subtype == "OPEN":
            stack.append(token.value == "IF(")
            depth += stack[-1]
            deepest = max(deepest, depth)
        elif token.subtype == "CLOSE":
            depth -= stack.pop()
    return deepest


def test_16_formulas_are_short_enough_to_read():
    for name, line in MODEL.lines.items():
        if not line.entry:
            text = formulas_of(name)[0]
            assert len(text) < 500, name
            assert depth_of_if(text) <= 3, name  # two, and one inside an equation's own


def test_17_only_shared_functions_and_nothing_volatile(formulas):
    used = {
        token.value[:-1]
        for formula in {relative(text, cell) for (_, cell), text in formulas.items()}
        for token in Tokenizer(formula).items
        if token.type == "FUNC" and token.subtype == "OPEN"
    }
    assert used <= set(SHARED.split(" "))


def test_18_discounting_by_a_visible_factor_row(formulas):
    place = layout().places["discount_factor"]
    assert "Discount_rate" in formulas[place.sheet, place.cell(5)]
    assert not any("NPV(" in formula for formula in formulas.values())


@pytest.mark.parametrize("units", sampled(["us", "metric"], 2))
def test_19_no_circle(units, recalculated, libreoffice):
    _, values = recalculated(libreoffice, units)
    assert not any(
        type(value).__name__ == "ErrorValue"
        for cells in values.values()
        for value in cells.values()
    )


def test_20_no_rounding_in_the_chain(formulas):
    """Sentences round what they show; nothing reads them."""
    shown = re.compile(r"FIXED\((100\*)?ROUND\(|IF\(ROUND\(")
    assert not any("ROUND" in shown.sub("", text) for text in formulas.values())


def test_21_no_links_no_macros_no_merged_workings(book, path):
    import zipfile

    names = zipfile.ZipFile(path).namelist()
    assert not any(
        word in n for n in names for word in ("external", "vba", "connection")
    )
    for name in (*LINE_SHEETS, "Inputs"):
        assert not book[name].merged_cells.ranges


def test_23_sign_convention_is_declared(book):
    assert "Money in is positive" in book["Cash flow"]["A2"].value


def test_24_to_28_every_check_has_is_wanted_and_passes(book):
    values = run()
    for table in ("balance", "limit"):
        applies = values.get(f"{table}_counts", np.ones(len(MODEL.axes[table])))
        wanted = np.where(applies, 1, 2)
        assert values[f"{table}_holds"].tolist() == wanted.tolist()
        assert applies.sum() >= len(applies) - 1  # hours of a contract's lots
        assert layout().places[f"{table}_actual"].sheet == "Checks"
    said = " ".join(MODEL.axes["balance"].values)
    for word in ("Gold sold", "cumulative cash", "NPV", "IRR", "cost"):
        assert word in said


def test_29_and_38_no_calculated_cell_is_empty_or_an_error(path, formulas):
    stored = stored_cells(path)
    for sheet, cell in formula_cells(path):
        value, formula = stored[sheet].get(cell), formulas[sheet, cell]
        # Lists of labels may be empty; their formulas say so.
        assert value is not None or '""' in formula or "_list" in formula, cell
        assert not str(value).startswith("#")


@pytest.mark.parametrize(
    ("inputs", "check"),
    [
        ({"mill_motor": 5.0}, "Mill power is at most the rating of the motor"),
        ({"crew": 1.0}, "Operators required are at most operators per shift"),
        ({"mill_speed": 38.0}, "Mill speed is at most 90% of critical"),
        ({"ore_tons": 90_000.0}, "All ore is milled within the plan"),
        (
            {"generator_rating": 20.0},
            "Power required is at most the rating of the generator",
        ),
    ],
)
@pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
def test_30_broken_inputs_trip_the_flag(inputs, check):
    values = run(inputs)
    place = MODEL.axes["limit"].values.index(check)
    assert values["limit_holds"][place] == 0
    assert values["checks_flag"] == check


def test_30_a_broken_balance_trips_the_flag():
    agrees = MODEL.lines["balance_holds"].function
    assert agrees(100.0, 100.0, 1e-6) == 1
    assert agrees(100.0, 100.1, 1e-6) == 0
    flag = MODEL.lines["checks_flag"].function
    passed, failed = (0, [1], ["a check"]), (1, [1, 0], ["sums", "agrees"])
    assert flag(*passed, *passed, *passed) == "none"
    assert flag(*failed, *failed, *failed) == "agrees"
    assert flag(*passed, *passed, 1, [0], ["limit"]) == "limit"


def test_31_to_36_content_is_there(book):
    said = {sheet.title: words_of(sheet) for sheet in book}
    for word in (
        "Discount rate",
        "Income tax rate",
        "Royalty",
        "Contingency",
        "refiner pays",
    ):
        assert word.lower() in said["Inputs"].lower()
    assert "low end" in said["Capital"] and "Contingency" in said["Capital"]
    for word in ("before tax", "discounted", "Peak funding"):
        assert word in said["Results"]
    assert "Net cash flow after tax" in said["Years"]
    table = r"Operating margin per ton(ne)? at other grades and gold prices"
    assert re.search(table, said["Return per ton"])


def test_37_disclaimer(book):
    said = words_of(book["About"])
    for word in ("not a mineral resource or reserve", "qualified person", "advice"):
        assert word in said


def test_39_same_inputs_same_bytes():
    assert book_bytes(made_book()) == content("us", frozenset())


def test_40_version_and_counts_on_the_first_sheet(book):
    said = words_of(book["About"])
    assert "Formulas that differ" in said and "Checks" in said
    sheet, cell = next(book.defined_names["Book_version"].destinations)
    assert book[sheet][cell.replace("$", "")].value == pennyweight.__version__


def test_sources_name_each_published_equation(book):
    said = words_of(book["Sources"])
    sources = defaultdict(list)
    for _, function in used_equations("everything"):
        source = contract_of(function).sections["Source"].replace("\n", " ")
        sources[source_in_words(source)].append(1)
    assert len(sources) > 8
    assert all(source in said for source in sources)


def test_notes_beside_tables_are_not_cut_off(book):
    """A note runs over into empty cells; beside a table there are none."""
    beside = [
        line
        for line in MODEL.lines.values()
        if line.over and not MODEL.axes[line.over[0]].down
    ]
    assert beside
    for line in beside:
        fits = 1.22 * widths(line.sheet)["note"]  # letters of the small italic print
        row = book[line.sheet].row_dimensions[layout().places[line.name].row + 1]
        high = row.height or ROW_HEIGHT
        assert high >= ROW_HEIGHT * len(line.note) / fits, (line.name, line.note)


def test_no_page_begins_within_a_table(book):
    """A list of single lines may go on; the heads of a table are not repeated."""
    for name in ("Plant", "Contract"):
        blocks = [block for block in layout().blocks if block.sheet == name]
        may = {block.heading for block in blocks}
        lists = [block for block in blocks if not (block.across or block.down)]
        may |= {layout().places[x.name].row for b in lists for x in b.singles[2:]}
        breaks = {found.id for found in book[name].row_breaks.brk}
        assert breaks and breaks <= may, name


def test_the_risk_sheet_prints_nothing_before_it_is_filled(book):
    first, last = map(int, re.findall(r"\d+", book["Risk"].print_area))
    rows = book["Risk"].row_dimensions
    assert all(rows[row].hidden for row in range(first, last + 1))


def test_the_search_for_the_rate_of_return_is_not_printed(book):
    last = int(re.findall(r"\d+", book["Years"].print_area)[-1])
    rows = {name: layout().places[name].row for name in ("sales_in_year", "crossing")}
    assert rows["sales_in_year"] < last < rows["crossing"]


def test_the_indifference_grade_stands_as_solved_without_workings(book):
    sheet = book["Contract"]
    labels = {row[0].value: row for row in sheet.iter_rows()}
    assert "Indifference grade: workings" not in labels
    (head,) = (cells[0].row for label, cells in labels.items() if label == TITLE)
    assert "Changed_inputs=0" in sheet.cell(head + 1, 1).value
    grades = [cell.value for cell in labels["Indifference grade"][FIRST:]]
    about = {row[0].value: row[1].value for row in book["About"].iter_rows()}
    solved = indifference_grades({}, about["Unit system"])
    for grade, expected in zip(grades, solved, strict=False):
        told = "n/a" if np.isnan(expected) else pytest.approx(expected)
        assert grade == told


@pytest.mark.parametrize(
    ("unit", "number"),
    [("$/year", "231,678"), ("ton", "0.048"), ("oz", "0.13"), ("hour", "20.8")],
)
def test_a_lot_and_a_season_have_decimals_of_their_size(unit, number, libreoffice):
    value = {"$/year": 231678.04, "ton": 0.0482, "oz": 0.1285, "hour": 20.811}[unit]
    text = f'=TEXT({value},"{number_format(unit, "us")}")'
    assert list(libreoffice.evaluate([text])) == [number]


def test_no_figure_below_ten_is_shown_rounded_to_a_whole_number():
    """Before, 15 days to the refiner's payment were 0 months, and 2.5 operators 3."""
    plan = pennyweight.example().change(refiner_days=15.0, shipments_per_month=0.5)
    for name, line in MODEL.lines.items():
        values = np.asarray(plan.values[name])
        if values.dtype.kind == "f" and not line.unit.startswith("$"):
            small = values[np.abs(values) < 10]
            whole = number_format(line.unit, "us", name) in ("0", "#,##0")
            assert not whole or np.allclose(small, np.round(small)), line.label
    assert plan.text("lag", plan.results["lag"]) == "0.49 months"


def test_the_figures_of_your_own_are_counted_once():
    """Before, Start left the unusual ones out, and `judge` did not."""
    plan = pennyweight.example().change(ore_grade=0.01)
    judged, book = plan.judge(), make_book(plan)
    own = len(judged.in_state("yours", "unusual"))
    assert len(judged.look_again) == 1 and book.counts["own_figures"] == own
