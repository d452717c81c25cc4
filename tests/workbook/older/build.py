"""Build the books of an older layout that are stored here: ``python -m`` this module.

They hold what `inputs.csv` says, and nothing of today's layout: one table of inputs in
another order and other columns, twenty assays instead of sixty on a sheet of another
name, inputs without a name, under another name, or not there at all. The files are
stored, so that what is written today cannot change them.
"""

import csv
from pathlib import Path

import xlsxwriter

HERE = Path(__file__).parent
MARKS = {"Book_units": None, "Book_version": "0.0.9", "Book_layout": 0}
HEADS = ("Status", "Input", "Basis", "Value")
SAMPLES = "Assays"


def rows():
    """What the older books hold, as strings: one row an input."""
    return list(csv.DictReader((HERE / "inputs.csv").read_text("utf-8").splitlines()))


def value(row, units):
    """The value of a row in a unit system, a text or a number."""
    return float(row[units]) if row["numeric"] == "yes" else row[units]


def build(units, path):
    """Write the older book of a unit system."""
    with xlsxwriter.Workbook(path, {"in_memory": True}) as book:
        about = book.add_worksheet("About")
        for row, (name, mark) in enumerate(MARKS.items()):
            about.write(row, 3, units if mark is None else mark)
            book.define_name(name, f"=About!$D${row + 1}")
        inputs, samples = book.add_worksheet("Inputs"), book.add_worksheet(SAMPLES)
        for column, head in enumerate(HEADS):
            inputs.write(1, column, head)
        places = {"Inputs": 3, SAMPLES: 0}
        for row in rows():
            table = row["table"] == "yes"
            sheet = SAMPLES if table else "Inputs"
            places[sheet] += 1
            at = places[sheet]
            (samples if table else inputs).write(at, 3, value(row, units))
            if not table:
                for column, head in enumerate(("status", "label", "basis")):
                    inputs.write_string(at, column, row[head])
            if row["defined"]:
                book.define_name(row["defined"], f"={sheet}!$D${at + 1}")


if __name__ == "__main__":
    for system in ("us", "metric"):
        build(system, HERE / f"{system}.xlsx")
