"""Builds the three versions of the exchange, and the figures in the README.

    python workbooks/partner-exchange/build.py

writes sent.xlsx, back.xlsx and agreed.xlsx beside this file.
"""

import csv
import re
import tempfile
from pathlib import Path

import openpyxl
from openpyxl.comments import Comment

import pennyweight as pw
from pennyweight.documents.compare import compare_books
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.layout import layout

HERE = Path(__file__).parent
TYPED_OVER = "cost_of_haulage"
"""The line that the partner typed a number over."""


def build(folder, program=None):
    """Write the three versions.

    Parameters
    ----------
    folder : Path
    program : optional
        What the partner's version is saved with, by its ``save_changed``; with none
        it is as openpyxl leaves it, without calculated values.

    Returns
    -------
    sent, back, agreed : Path
    """
    sent = pw.example().write(folder / "sent.xlsx", force=True)
    back = _by_the_partner(sent, folder / "back.xlsx", program)
    return sent, back, _agreed(back, folder / "agreed.xlsx")


def rows(name):
    """Inputs of a version that its side has changed."""
    with (HERE / name).open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            yield row["name"], float(row["value"]), row["status"], row["basis"]


def _by_the_partner(sent, path, program):
    """Changed inputs with their reasons, a note, a sheet of their own, and a slip."""
    book = openpyxl.load_workbook(sent)
    for name, value, status, basis in rows("back.csv"):
        yellow, place = layout().entered[name], layout().places[name]
        book[yellow.sheet][yellow.cell()] = value
        sheet = book[place.sheet]
        for head, text in (("Status", status), ("Basis", basis)):
            column = next(c.column for c in sheet[4] if c.value == head)
            sheet.cell(place.row + 1, column, text)
    place = layout().places[TYPED_OVER]
    cell = book[place.sheet][place.cell()]
    cell.value = 12.5
    cell.comment = Comment("We haul ourselves. M.", "Partner")
    road = book.create_sheet("Road")
    road["A1"], road["B1"] = "Our share of the road", "=9000*0.5"
    if program is None:
        book.save(path)
        return path
    with tempfile.TemporaryDirectory() as scratch:
        book.save(Path(scratch) / "edited.xlsx")
        path.unlink(missing_ok=True)
        program.save_changed(Path(scratch) / "edited.xlsx", path, {})
    return path


def _agreed(back, path):
    """A fresh book with their inputs, and what both agreed on."""
    agreed = list(rows("agreed.csv"))
    values = {name: value for name, value, _, _ in agreed}
    plan = pw.carry_over(back).change(values, haulage_cost=12.0)
    plan.statuses.update({name: status for name, _, status, _ in agreed})
    plan.bases.update({name: basis for name, _, _, basis in agreed})
    plan.bases["haulage_cost"] = "Partner hauls with his own truck"
    return plan.write(path, force=True)


def table(comparison):
    """The changes and what they did, as a table for the README."""
    lines = ["| changed | from | to | NPV alone, $ | fair share, $ |"]
    lines += ["|---|--:|--:|--:|--:|"]
    for change in comparison.changes:
        alone, share = comparison.effect(change.name, "net_present_value")
        label = INPUTS[change.name].label
        figures = f"{change.before:g} | {change.after:g} | {alone:,.0f} | {share:,.0f}"
        lines.append(f"| {label} | {figures} |")
    before, after = (
        side["net_present_value"] for side in (comparison.before, comparison.after)
    )
    whole = f"{before:,.0f} | {after:,.0f} | | {after - before:,.0f}"
    return "\n".join([*lines, f"| **net present value** | {whole} |"])


def readme(text, tables):
    """The README with its tables put in between their marks."""
    for name, written in tables.items():
        mark = re.compile(rf"(<!-- {name} -->\n).*?(\n<!-- end -->)", re.DOTALL)
        text = mark.sub(lambda m, new=written: m[1] + new + m[2], text)
    return text


def tables(returned, agreed):
    """Both comparisons with what was sent, under the names of their marks."""
    return {"sent and back": table(returned), "sent and agreed": table(agreed)}


if __name__ == "__main__":
    sent, *versions = build(HERE)
    path = HERE / "README.md"
    compared = (compare_books(sent, version) for version in versions)
    text = readme(path.read_text(encoding="utf-8"), tables(*compared))
    path.write_text(text, encoding="utf-8")
    print(sent, *versions, sep="\n")
