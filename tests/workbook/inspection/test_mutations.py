"""Two thousand books, each altered a little: every alteration is found, none harms.

The draws are seeded, so that a failure can be repeated. `python -m tests.fuzz` draws
many more, in more than one way at a time, and writes a whole file for each.
"""

import dataclasses
import itertools
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.workbook.answer_sheet import MISSING_AT_ISSUE
from pennyweight.workbook.inspection.expected import (
    beside_issued_places,
    input_places,
    issued_places,
    own_places,
)
from pennyweight.workbook.inspection.inspect import sheet_findings
from tests.thorough import sampled

from ...fuzz.cells import alter_cell
from ...fuzz.files import FILE_MUTATIONS, issued, mutated_file
from ...fuzz.quick import workbook
from ...fuzz.verdicts import fault_of

CELLS = 2000
FILES = len(FILE_MUTATIONS)


@pytest.mark.parametrize(
    ("units", "seed"), sampled(itertools.product(["us", "metric"], range(4)), 8)
)
def test_every_altered_cell_is_found(units, seed):
    """Formulas changed or typed over, stored values and texts changed, cells gone."""
    contents, expected = workbook(units).contents, workbook(units).expected
    generator = random.Random(20260601 + seed)
    cells = ours(contents)
    for number in range(CELLS // 8):
        sheet = sorted(cells)[number % len(cells)]
        place = generator.choice(cells[sheet])
        altered, how = alter_cell(contents.sheets[sheet][place], generator)
        theirs = {**contents.sheets[sheet], place: altered}
        if altered is None:
            del theirs[place]
        sheets = {**contents.sheets, sheet: theirs}
        book = dataclasses.replace(contents, sheets=sheets)
        found = [(f.sheet, f.cell) for f in sheet_findings(sheet, book, expected)]
        assert found == [(sheet, xl_rowcol_to_cell(*place))], (place, how, number)


def ours(contents):
    """Every cell that is not the user's to change, nor a record of the issue."""
    free = input_places().keys() | own_places() | issued_places().keys()
    free |= beside_issued_places().keys()
    free |= {("Answer", MISSING_AT_ISSUE)}
    return {
        sheet: [
            place
            for place in sorted(cells)
            if (sheet, place) not in free and cells[place].value != ""
        ]
        for sheet, cells in contents.sheets.items()
    }


@pytest.mark.thorough
def test_the_larger_run_is_bounded_in_time_and_memory():
    """Altered up to three times each, by a process whose peak of memory is measured."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz", "6", "1000"],
        capture_output=True,
        text=True,
        timeout=300,
        cwd=Path(__file__).parents[3],
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "6 books" in done.stdout and " 0 faults" in done.stdout
    assert float(re.search(r"most memory (\d+) MB", done.stdout)[1]) > 50


@pytest.mark.parametrize("part", sampled(range(8), 8))
def test_no_altered_file_does_harm(part, tmp_path):
    """Zip and XML altered: an outcome each, in time; never an error of Python."""
    for number in range(part, FILES, 8):
        generator = random.Random(number)
        units = ("us", "metric")[number % 2]
        kind = FILE_MUTATIONS[number % len(FILE_MUTATIONS)]
        path = tmp_path / f"{number}.xlsx"
        path.write_bytes(mutated_file(issued(units), kind, generator))
        outcome, fault, _ = fault_of(path, issued(units))
        assert not fault, (number, kind, outcome)
        path.unlink()
