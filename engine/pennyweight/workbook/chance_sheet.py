"""A report on a claim's chances, as a book of values with charts.

Draws cannot be live in a spreadsheet: the report holds values, and the inputs that
they belong to.
"""

import io

import numpy as np
import xlsxwriter

from .. import __version__
from ..chance.words import caution, chances, money_at_hand, trials_told
from ..model.line import LINES
from ..model.units import shown
from . import chance_charts
from .chance_page import TOP
from .chance_tables import Tables
from .files import write_whole
from .style import number_format
from .write import CREATED

SHEETS = ("Chance", "Cash fan", "One at a time", "Shares", "Price and grade", "Inputs")
QUANTILES = (
    "net_present_value",
    "margin_per_ton",
    "life_cash",
    "peak_funding",
    "internal_rate",
    "payback_month",
    "shortage_month",
)


def write_report(report, path, force=False):
    """Write a report book, whole or not at all.

    Parameters
    ----------
    report : chance.report.Report
    path : str or Path
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path
    """
    return write_whole(path, report_bytes(report), force)


def report_bytes(report):
    """Give a report book as bytes; the same report gives the same.

    Parameters
    ----------
    report : chance.report.Report

    Returns
    -------
    content : bytes
    """
    target = io.BytesIO()
    package = xlsxwriter.Workbook(
        target, {"in_memory": True, "nan_inf_to_errors": True}
    )
    package.set_properties(
        {
            "title": "Chances of a small gold mill",
            "subject": report.study.inputs["claim_name"],
            "author": report.study.inputs["prepared_by"],
            "comments": f"Written by pennyweight {__version__}",
            "created": CREATED,
        }
    )
    writer = _Report(package, report)
    for name, write in zip(
        SHEETS,
        (
            writer.chance,
            writer.fan,
            writer.effects,
            writer.shares,
            writer.grid,
            writer.inputs,
        ),
        strict=True,
    ):
        write(writer.sheet(name))
    package.close()
    return target.getvalue()


class _Report(Tables):
    """Writes all sheets."""

    def chance(self, sheet):
        """Sentences, chances, quantiles, histogram."""
        row = TOP - 1
        for sentence in (
            *chances(self.report),
            money_at_hand(self.report),
            *trials_told(self.report),
            caution(),
        ):
            sheet.merge_range(
                row, 0, row, 9, sentence, self.formats(text_wrap=True, valign="top")
            )
            sheet.set_row(row, 15 * (1 + len(sentence) // 165))
            row += 1
        row = self._chances(sheet, row + 1)
        row = self._quantiles(sheet, row + 1)
        self._histogram(sheet, row + 1)

    def _chances(self, sheet, row):
        self.heads(sheet, row, "Chance that", "", "± standard error")
        for name, label in (
            ("pays", "the claim pays: its running cost and its capital"),
            ("margin_positive", "a ton brings more than it costs"),
            ("worth_it", "the net present value is not below zero"),
            ("runs_short", "the money at hand runs out"),
            ("never_back", "the money never comes back within the plan"),
        ):
            row += 1
            figure = self.risk.figures[name]
            sheet.write_string(row, 0, label, self.formats())
            self.number(sheet, row, 1, figure.value, "0.0%")
            self.number(sheet, row, 2, figure.error, "0.00%")
        return row + 1

    def _quantiles(self, sheet, row):
        self.heads(
            sheet,
            row,
            "Over all trials",
            "1 in 10 below",
            "Half below",
            "9 in 10 below",
            "Mean",
            "± half",
            "± mean",
            "As planned",
            "Unit",
        )
        figures = self.risk.figures
        for name in QUANTILES:
            if f"{name}_p50" not in figures:
                continue
            row += 1
            line = LINES.get(name)
            label = line.label if line else "Month in which the money runs out"
            unit = line.unit if line else "month"
            number = number_format(unit, self.units)
            sheet.write_string(row, 0, label, self.formats())
            for column, ending in ((1, "p10"), (2, "p50"), (3, "p90"), (4, "mean")):
                if f"{name}_{ending}" in figures:
                    value = figures[f"{name}_{ending}"].value
                    self.number(sheet, row, column, value, number)
            self.number(sheet, row, 5, figures[f"{name}_p50"].error, number)
            if f"{name}_mean" in figures:
                self.number(sheet, row, 6, figures[f"{name}_mean"].error, number)
            if name in self.risk.planned:
                planned = float(self.risk.planned[name])
                self.number(sheet, row, 7, planned, number)
            sheet.write_string(row, 8, shown(unit, self.units), self.formats.unit())
        return row + 1

    def _histogram(self, sheet, row):
        tally = self.risk.tallies["net_present_value"]
        edges, parts = tally.histogram()
        self.heads(
            sheet, row, "Net present value from, $", "to, $", "Trials", "Trials below"
        )
        below = np.cumsum(parts)
        for place, part in enumerate(parts):
            at = row + 1 + place
            low, high = edges[place], edges[min(place + 1, len(edges) - 1)]
            align = self.formats(num_format="#,##0", align="left")
            sheet.write_number(at, 0, low, align)
            self.number(sheet, at, 1, high)
            self.number(sheet, at, 2, part, "0.0%")
            self.number(sheet, at, 3, below[place], "0.0%")
        first, last = row + 1, row + len(parts)
        bars = chance_charts.histogram(self.package, "Chance", first, last)
        curve = chance_charts.cumulative(self.package, "Chance", first, last)
        sheet.insert_chart(row, 4, bars, {"x_offset": 20, "y_offset": 4})
        sheet.insert_chart(row + 18, 4, curve, {"x_offset": 20, "y_offset": 4})
