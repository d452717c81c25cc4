"""The flow sheet of the plant, drawn in cells: boxes, arrows and flows."""

import numpy as np
from xlsxwriter.utility import quote_sheetname

from ..formulas import Live, Reference, live
from ..model.lines.plant.throughput import STAGES
from ..model.units import shown
from .layout import HEAD, layout
from .live_cells import write_live
from .sentence import sentence
from .style import ACCENT, INK, PALE_WAIT, mark

BOX, ARROW = 21, 19
ROWS = (
    # heading, the stage whose load it shows
    (
        ("Ore", None),
        ("Jaw crusher", "jaw crusher"),
        ("Belts", "belts"),
        ("Feeder", "feeder"),
    ),
    (
        ("Mill", "mill"),
        ("Shaking tables", "shaking tables"),
        ("Furnace", None),
        ("Bullion", None),
    ),
)
TOP, BELOW = HEAD + 2, 6
"""First row of the drawing, and rows from one line of boxes to the next."""
TABLES, CLASSIFIER = 2, 4
"""Columns of the shaking tables and of the classifier."""
HOURS = (
    "The mill runs {hours_per_month:0} hours a month: {availability:%} of "
    "{hours_per_day:1} staffed hours on {days_per_month:1} days."
)
HIRED = "The ore is milled by a hired mill: its machines and hours are not shown here."
LIMITS = "bottleneck"


def write_flow_sheet(book, sheet, formats):
    """Draw the plant.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    """
    drawing = _Drawing(book, sheet, formats)
    for column in range(2 * len(ROWS[0])):
        sheet.set_column(column, column, ARROW if column % 2 else BOX)
    for line, boxes in enumerate(ROWS):
        for place, (heading, stage) in enumerate(boxes):
            drawing.box(TOP + BELOW * line, 2 * place, heading, stage)
    drawing.between()
    sheet.write_string(TOP + BELOW - 1, 0, "from the feeder ↓", drawing.arrow)
    middlings, tailings = TOP + 2 * BELOW, TOP + 3 * BELOW
    drawing.aside(middlings, "Middlings", "{middlings_gold_per_day:3} oz gold/day", "↓")
    # The tailings do not come from the middlings above them.
    texts = ("Tailings", "{tailings_gold_per_day:3} oz gold/day", "from the tables ↓")
    drawing.aside(tailings, *texts)
    drawing.box(tailings, CLASSIFIER, "Classifier", "classifier")
    sheet.write_string(tailings + 1, CLASSIFIER - 1, "→", drawing.arrow)
    note = "Gold in fine troy ounces; rock dry; a working day at full output."
    sheet.write_string(tailings + 5, 0, note, formats.note())
    told = live(_whose, book.cell("own_mill"), sentence(HOURS, book.values))
    write_live(sheet, tailings + 6, 0, told, formats.note())


class _Drawing:
    def __init__(self, book, sheet, formats):
        self.book, self.sheet, self.formats = book, sheet, formats
        self.arrow = formats(align="center", font_size=14, font_color=ACCENT)
        self.flow = formats(align="center", text_wrap=True)

    def box(self, row, column, heading, stage):
        """Draw a box: its heading, its load, and whether it is the bottleneck."""
        edges = {"left": 2, "right": 2, "align": "center", "font_color": INK}
        head = self.formats(bold=True, top=2, **edges)
        self.sheet.write_string(row, column, heading, head)
        number = self.formats(num_format='"load "0%', **edges)
        foot = self.formats(bottom=2, bold=True, **edges)
        if stage is None:
            self.sheet.write_blank(row + 1, column, None, number)
            self.sheet.write_blank(row + 2, column, None, foot)
            return
        place = layout().places["stage_load"]
        at = STAGES.index(stage)
        load = self.book.values["stage_load"][at].item()
        cell = Reference(f"{quote_sheetname(place.sheet)}!{place.cell(at)}")
        write_live(self.sheet, row + 1, column, Live(cell, load), number)
        words = live(_limits, self.book.cell("bottleneck"), stage)
        write_live(self.sheet, row + 2, column, words, foot)
        cell, look = (row + 2, column) * 2, self.formats.banner(ACCENT, PALE_WAIT)
        mark(self.sheet, cell, look, "containing", type="text", value=LIMITS)

    def say(self, row, column, template):
        """Write a sentence with live figures."""
        told = sentence(template, self.book.values)
        write_live(self.sheet, row, column, told, self.flow)

    def between(self):
        """Draw the arrows between the boxes, with the flows above and below them."""
        units = self.book.units
        ton = {"us": "tons", "metric": "t"}[units]
        grade = shown("grade", units)
        rock = f"{{rock_per_day:1}} {ton}/day"
        head = f"{{feed_grade:{3 if units == 'us' else 2}}} {grade}"
        fed, caught, poured = (
            f"{{{where}_gold_per_day:3}} oz gold/day"
            for where in ("feed", "caught", "bullion")
        )
        mass = shown("mass/day", units)
        flows = (
            [(rock, head)] * 3,
            [
                (f"{{feed_rate:2}} {ton}/h", fed),
                (f"{{concentrate_per_day:1}} {mass}", caught),
                ("{slag_gold_per_day:3} oz in slag", poured),
            ],
        )
        for line, texts in enumerate(flows):
            row = TOP + BELOW * line
            for place, (above, below) in enumerate(texts):
                column = 2 * place + 1
                self.say(row, column, above)
                self.sheet.write_string(row + 1, column, "→", self.arrow)
                self.say(row + 2, column, below)

    def aside(self, row, heading, template, arrow):
        """Draw a product of the tables below them."""
        self.sheet.write_string(row - 1, TABLES, arrow, self.arrow)
        edges = {"left": 2, "right": 2, "align": "center"}
        head = self.formats(bold=True, top=2, **edges)
        self.sheet.write_string(row, TABLES, heading, head)
        self.sheet.write_blank(row + 1, TABLES, None, self.formats(**edges))
        told = sentence(template, self.book.values)
        foot = self.formats(bottom=2, **edges)
        write_live(self.sheet, row + 2, TABLES, told, foot)


def _whose(own_mill, hours):
    """The hours of an own mill, or that a hired one has other machines."""
    return np.where(own_mill == 1, hours, HIRED)


def _limits(bottleneck, stage):
    return np.where(bottleneck == stage, LIMITS, "")
