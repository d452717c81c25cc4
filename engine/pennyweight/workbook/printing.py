"""Print settings of the sheets: print area, page breaks, orientation and scale."""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .answer_sheet import COLUMNS
from .entry_cells import OWN_HIGH
from .front_sheets import SOURCE
from .job_view import hidden_rows, shown_sheets
from .layout import (
    FIRST,
    HEAD,
    LABEL,
    NOTE,
    START,
    TABLES,
    UNIT,
    Block,
    layout,
)
from .line_sheets import FITTING, runs_over
from .risk_sheet.layout import LAST_COLUMN, TRIALS, chart_places, placed
from .start_sheet import FIGURE_UNIT, last_printed_row
from .style import ROW_PIXELS

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

    from .book import Book
    from .sheets import Sheet

PAPER = {"us": (1, 8.5, 11.0), "metric": (9, 8.27, 11.69)}
"""Number of the paper format, width and height in inches."""
SIDE, TOP, BOTTOM = 0.25, 0.35, 0.45
"""Margins, inches."""
PIXELS, ACROSS, DOWN = 96, 0.93, 0.98
"""Pixels per inch; the parts of a page to fill. LibreOffice prints columns 6% wider
than their pixels on the screen, and printers differ."""
SMALLEST = 80
"""Least scale in percent if possible: text of 10 points prints in 8 points."""
MONTHS_ON_A_PAGE = 12
FULL = 2 / 3
"""Part of a page below which it takes rows of the next section."""
REPEATED = {"Cash flow": LABEL, "Years": UNIT}
"""Sheets of periods, and the last of the columns repeated on each page."""
WHOLE = (START, "Answer", "About")
"""Sheets whose title is not repeated."""


@dataclass(frozen=True)
class Pages:
    """A way to print a sheet: fewer pages are better, then larger letters."""

    count: int
    scale: int
    landscape: bool
    breaks: tuple[int, ...]

    @property
    def rank(self) -> tuple[int, int, int]:
        """Sort key; the least is best."""
        if self.scale < SMALLEST:
            return (1, -self.scale, self.count)
        return (0, self.count, -self.scale)


def set_up_printing(sheet: Worksheet, entry: Sheet, book: Book) -> None:
    """Set paper, area, scale, page breaks and the panes of a finished sheet.

    Parameters
    ----------
    sheet : xlsxwriter.worksheet.Worksheet
    entry : Sheet
    book : Book
    """
    name, job = entry.name, book.inputs["job"]
    sheet.set_paper(PAPER[book.units][0])
    sheet.set_margins(SIDE, SIDE, TOP, BOTTOM)
    sheet.set_footer(
        "&L&8Estimates; not a mineral reserve, not advice&R&8&A  &P/&N",
        {"margin": 0.25},
    )
    sheet.freeze_panes(HEAD + 1, 1 if entry.frozen else 0)
    if name not in shown_sheets(job):  # LibreOffice prints hidden sheets with an area
        return
    printed = _Printed(sheet, entry, book)
    best = printed.best()
    if best.landscape:
        sheet.set_landscape()
    sheet.set_print_scale(best.scale)
    sheet.set_h_pagebreaks(best.breaks)
    sheet.print_area(printed.top, printed.left, printed.bottom, printed.right)
    if name not in WHOLE:
        sheet.repeat_rows(0, HEAD)
    if name in REPEATED:
        sheet.repeat_columns(LABEL, REPEATED[name])
        sheet.set_v_pagebreaks(printed.page_columns()[1:])


class _Printed:
    """The printed part of a sheet, and the ways to put it on pages."""

    def __init__(self, sheet: Worksheet, entry: Sheet, book: Book) -> None:
        self.sheet, self.name, self.book = sheet, entry.name, book
        self.hidden = hidden_rows(book.inputs["job"])[entry.name]
        blocks = [block for block in layout().blocks if block.sheet == entry.name]
        titles = [block.title for block in blocks]
        self.ends = [block.heading for block in blocks[1:]]
        self.ends.append(layout().rows.get(entry.name, 0))
        self.top, self.left = 0, LABEL
        if entry.printed_from:
            self.top = blocks[titles.index(entry.printed_from)].heading
        if entry.name in REPEATED:
            self.left = FIRST + 1
        if entry.name == "Risk":
            self.top = TRIALS  # hidden until the sheet is filled: no page
        last = titles.index(entry.printed_to) if entry.printed_to else -1
        row = self.ends[last] - 2 if entry.printed_to else sheet.dim_rowmax
        self.bottom, self.right = self._end(entry, blocks, row)
        self.headings, self.rows = self._starts(blocks)

    def _end(self, entry: Sheet, blocks: list[Block], row: int) -> tuple[int, int]:
        """Last printed row and column."""
        name, book = entry.name, self.book
        if name == START:
            return last_printed_row(book.inputs["job"]), FIGURE_UNIT
        if name == "Answer":
            return max(end for _, end, _ in self._charts()), COLUMNS - 1
        if name == "Inputs":
            tables = next(block for block in blocks if block.title == TABLES)
            return tables.heading - 2, OWN_HIGH
        if name == "Risk":
            return placed(book.units)[0]["histogram"].title - 1, LAST_COLUMN
        if name in REPEATED:
            periods = int(book.values["last_cash_month"].item())
            years = name == "Years"
            return row, FIRST + (math.ceil(periods / 12) if years else periods)
        if name == "Sources":
            return row, SOURCE
        if not entry.lines:
            return row, self.sheet.dim_colmax
        if entry.printed_across:
            place = layout().places[entry.printed_across]
            return place.row + max(10, _filled(book)) - 1, place.column
        right = self._last_column(blocks, row)
        charts = [end for _, end, column in self._charts() if column <= right]
        return max([row, *charts]), right

    def _last_column(self, blocks: list[Block], row: int) -> int:
        """Last column of the tables and notes that the job shows."""
        found = [NOTE]
        longest = 0
        for block in blocks:
            if not self.top <= block.heading <= row or block.heading in self.hidden:
                continue
            notes = (line.note for line in (*block.singles, *block.across))
            longest = max([longest, *map(len, notes)])
            for line in (*block.across, *block.down):
                place = layout().places[line.name]
                found.append(place.at(*(length - 1 for length in place.lengths))[1])
        if runs_over(self.name):
            wide, reach = 7 * longest / FITTING, range(NOTE, self.sheet.dim_colmax + 9)
            found.append(
                next(c for c in reach if self._pixels(range(NOTE, c + 1)) >= wide)
            )
        return max(found)

    def _charts(self) -> list[tuple[int, int, int]]:
        """First row, last row and column of each chart of the sheet."""
        return [
            (row, row + math.ceil(chart.height / ROW_PIXELS), column)
            for row, column, chart, *_ in self.sheet.charts
        ]

    def _starts(self, blocks: list[Block]) -> tuple[list[int], list[int]]:
        """Rows that should begin a page, headings, and rows that may.

        None is within a chart. A list of single lines may be split; a table may not,
        since its heads are not repeated.
        """
        headings = [block.heading for block in blocks]
        if self.name == "Risk":
            headings = [at.title for at in placed(self.book.units)[0].values()]
            headings += [row for _, row, _ in chart_places(self.book.units)]
            return self._free(headings, []), []
        if self.name in ("Inputs", "Sources"):  # lists, which may be split anywhere
            below = {heading + 1 for heading in headings}
            rows = [*{*range(HEAD + 2, self.bottom + 1)} - below]
        else:
            rows = [
                layout().places[line.name].row
                for block in blocks
                if not block.across and not block.down
                for line in block.singles[2:]
            ]
        charts = [chart for chart in self._charts() if chart[2] <= self.right]
        return self._free(headings, charts), self._free(rows, charts)

    def _free(self, rows: list[int], charts: list[tuple[int, int, int]]) -> list[int]:
        """The printed rows that are not within a chart."""
        return [
            row
            for row in sorted({*rows})
            if max(self.top, HEAD) < row <= self.bottom
            and row not in self.hidden
            and not any(first < row < last for first, last, _ in charts)
        ]

    def _height(self, first: int, last: int) -> int:
        """Height of rows in pixels, without hidden ones."""
        return int(self._tops[last] - self._tops[first])

    @functools.cached_property
    def _tops(self) -> np.ndarray:
        """Height in pixels above each row."""
        rows = range(max(self.bottom, HEAD) + 1)
        heights = [
            0 if row in self.hidden else self.sheet._size_row(row, 4) for row in rows
        ]
        return np.cumsum([0, *heights])

    def _width(self) -> int:
        """Width of the widest page in pixels."""
        edges = [*self.page_columns(), self.right + 1]
        widest = max(self._pixels(range(*ends)) for ends in itertools.pairwise(edges))
        return widest + self._pixels(range(REPEATED.get(self.name, -1) + 1))

    def _pixels(self, columns: range) -> int:
        return sum(self.sheet._size_col(column) for column in columns)

    def page_columns(self) -> list[int]:
        """First column of each page; a last single month is on the page before."""
        if self.name not in REPEATED:
            return [self.left]
        return [*range(self.left, max(self.right, self.left + 1), MONTHS_ON_A_PAGE)]

    def best(self) -> Pages:
        """The best way to print the sheet."""
        _, *paper = PAPER[self.book.units]
        ways = []
        for landscape in (False, True):
            wide, high = reversed(paper) if landscape else paper
            room = ACROSS * PIXELS * (wide - 2 * SIDE)
            most = min(100, int(100 * room / self._width()))
            high = DOWN * PIXELS * (high - TOP - BOTTOM)
            for scale in range(min(most, SMALLEST), most + 1):
                breaks, count = self._pages(100 * high / scale)
                ways.append(Pages(count, scale, landscape, breaks))
        return min(ways, key=lambda pages: pages.rank)

    def _pages(self, room: float) -> tuple[tuple[int, ...], int]:
        """Page breaks, and the number of pages, for a page height in pixels."""
        room -= self._height(0, HEAD + 1)
        start, breaks = max(self.top, HEAD + 1), []
        while self._height(start, self.bottom + 1) > room:
            start = self._next_page(start, room)
            breaks.append(start)
        return tuple(breaks), len(breaks) + 1

    def _next_page(self, start: int, room: float) -> int:
        """Row that begins the page after one that begins at ``start``."""
        ends = range(start + 1, self.bottom + 1)
        full = max(row for row in ends if self._height(start, row) <= room)
        heading, row = (
            max((row for row in rows if start < row <= full), default=start)
            for rows in (self.headings, self.rows)
        )
        if self._height(start, heading) >= FULL * room:
            return heading
        furthest = max(heading, row)
        return furthest if furthest > start else full


def _filled(book: Book) -> int:
    """Number of rows of the table of samples down to the last used one."""
    used = np.flatnonzero(book.values["sample_used"])
    return int(np.max(used, initial=-1)) + 1
