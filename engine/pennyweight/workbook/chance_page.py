"""What all sheets of the report on chance share: title, printing, numbers."""

import numpy as np

from ..chance.words import judged
from .style import Formats

HEAD, TOP = 4, 5
PURPOSES = {
    "Chance": "How likely it is that the claim pays.",
    "Cash fan": "The owner's cumulative cash over the months, from the first trials.",
    "One at a time": "Each uncertain input moved alone from its low to its high.",
    "Shares": "What the uncertainty comes from, and what knowing more is worth.",
    "Price and grade": "Gold price and grade moved together, all else as planned.",
    "Inputs": "What these figures belong to: they hold for these inputs only.",
}


class Page:
    """Writes the sheets of one report.

    Parameters
    ----------
    package : xlsxwriter.Workbook
    report : chance.report.Report
    """

    def __init__(self, package, report):
        self.package, self.report = package, report
        self.study, self.risk = report.study, report.risk
        self.formats, self.units = Formats(package), report.study.units

    def sheet(self, name):
        """A sheet with its title and its printing."""
        sheet = self.package.add_worksheet(name)
        sheet.hide_gridlines(2)
        sheet.set_row(0, 26)
        sheet.write_string(0, 0, name, self.formats.title())
        sheet.write_string(1, 0, PURPOSES[name], self.formats.note())
        claim = self.study.inputs["claim_name"] or "The claim"
        state = f"{claim}: {judged(self.report)}"
        sheet.write_string(2, 0, state, self.formats(bold=True))
        sheet.set_landscape()
        sheet.set_paper(1 if self.units == "us" else 9)
        sheet.set_margins(0.5, 0.5, 0.6, 0.6)
        sheet.set_footer(
            "&L&8Chances under the ranges assumed; not a mineral reserve, not advice"
            "&R&8&A  &P/&N"
        )
        sheet.fit_to_pages(1, 0)
        sheet.freeze_panes(TOP, 0)
        sheet.set_column(0, 0, 46)
        sheet.set_column(1, 9, 14)
        return sheet

    def heads(self, sheet, row, *heads):
        """Heads of columns; the first to the left."""
        for column, head in enumerate(heads):
            align = {"align": "right"} if column else {}
            sheet.write_string(row, column, head, self.formats.head(**align))

    def number(self, sheet, row, column, value, number="#,##0"):
        """A number; the word none where there is none."""
        if not np.isfinite(value):
            sheet.write_string(row, column, "none", self.formats(align="right"))
        else:
            sheet.write_number(row, column, value, self.formats(num_format=number))
