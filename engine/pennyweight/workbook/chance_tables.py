"""The tables of the report on chance: fan, ranks, shares, grid, inputs."""

import numpy as np

from ..chance.report import share_label
from ..model.inputs import INPUTS
from ..model.units import shown
from . import chance_charts
from .chance_page import HEAD, TOP, Page
from .style import BAD, GOOD, input_format, number_format

SHOWN = 12
"""Ranked bars in a chart; the table has more."""

CHART_ROWS = 26
"""Rows that a chart above a table covers."""


class Tables(Page):
    """Writes the sheets of tables."""

    def fan(self, sheet):
        """Cumulative cash by month."""
        sheet.set_column(0, 0, 12)
        self.heads(
            sheet,
            HEAD,
            "Month",
            "1 in 10 below",
            "Half below",
            "9 in 10 below",
            "As planned",
            "Money at hand",
        )
        planned = self.risk.planned["closing_owner"]
        months = self.risk.fan.shape[1]
        for month in range(months):
            row = TOP + month
            sheet.write_number(row, 0, month, self.formats(align="left"))
            for column, value in enumerate(self.risk.fan[:, month], 1):
                self.number(sheet, row, column, value)
            self.number(sheet, row, 4, float(planned[month]))
            self.number(sheet, row, 5, -self.risk.funds)
        chart = chance_charts.fan(self.package, "Cash fan", TOP, TOP + months - 1)
        sheet.insert_chart(HEAD, 7, chart, {"x_offset": 12, "y_offset": 4})
        sheet.set_column(7, 14, 11)

    def effects(self, sheet):
        """Ranked bars, and the figures behind them."""
        ranked = _worth_showing(
            self.risk.ranked, lambda effect: effect.size("net_present_value")
        )
        head = HEAD + CHART_ROWS
        self.heads(
            sheet,
            head,
            "Input",
            "Low",
            "Planned",
            "High",
            "NPV at low, $",
            "NPV at high, $",
            "Margin at low",
            "Margin at high",
            "Change at low, $",
            "Change at high, $",
        )
        planned = float(self.risk.planned["net_present_value"])
        for row, effect in enumerate(ranked, head + 1):
            entry, low, high = INPUTS[effect.name], effect.at_low, effect.at_high
            number = input_format(effect.name, self.units)
            unit = shown(entry.unit, self.units)
            label = f"{entry.label}, {unit}" if unit else entry.label
            sheet.write_string(row, 0, label, self.formats())
            for column, value in enumerate(
                (effect.low, effect.planned, effect.high), 1
            ):
                self.number(sheet, row, column, value, number)
            for column, value in (
                (4, low["net_present_value"]),
                (5, high["net_present_value"]),
                (8, low["net_present_value"] - planned),
                (9, high["net_present_value"] - planned),
            ):
                self.number(sheet, row, column, value)
            for column, end in ((6, low), (7, high)):
                self.number(sheet, row, column, end["margin_per_ton"], "#,##0.00")
        if ranked:
            last = head + min(len(ranked), SHOWN)
            place = ("One at a time", head + 1, last)
            bars = chance_charts.ranked_bars(self.package, *place)
            sheet.insert_chart(HEAD, 0, bars, {"x_offset": 4})

    def shares(self, sheet):
        """Shares of the variance, and the worth of knowing more."""
        shown_shares = _worth_showing(self.report.shares, lambda share: share.total)
        head = HEAD + CHART_ROWS
        self.heads(sheet, head, "Input", "Alone", "± error", "With others", "± error")
        for row, share in enumerate(shown_shares, head + 1):
            sheet.write_string(row, 0, share_label(share), self.formats())
            for column, value in enumerate(
                (share.alone, share.alone_error, share.total, share.total_error), 1
            ):
                self.number(sheet, row, column, value, "0.0%")
        if shown_shares:
            last = head + min(len(shown_shares), SHOWN)
            bars = chance_charts.shares(self.package, "Shares", head + 1, last)
            sheet.insert_chart(HEAD, 0, bars, {"x_offset": 4})
        at = HEAD
        for what, knowing in self.report.knowing.items():
            at = self._knowing(sheet, at, 6, what, knowing) + 2

    def _knowing(self, sheet, row, column, what, knowing):
        heads = (f"More {what}", "Gain, $", "Cost, $", "Net, $")
        sheet.set_column(column, column, 22)
        for place, head in enumerate(heads):
            align = {"align": "right"} if place else {}
            sheet.write_string(row, column + place, head, self.formats.head(**align))
        rows = zip(
            knowing.counts, knowing.gains, knowing.costs, knowing.net, strict=True
        )
        for values in rows:
            row += 1
            label = f"{values[0]}{'  best' if values[0] == knowing.best else ''}"
            sheet.write_string(row, column, label, self.formats())
            for place, value in enumerate(values[1:], 1):
                self.number(sheet, row, column + place, value)
        row += 1
        sheet.write_string(row, column, "knowing it exactly", self.formats())
        self.number(sheet, row, column + 1, knowing.perfect)
        return row

    def grid(self, sheet):
        """Net present value, margin and verdict over price and grade."""
        prices, grades, results = self.report.grid
        ton, grade = shown("$/ton", self.units), shown("grade", self.units)
        row = HEAD
        for name, label, number in (
            ("net_present_value", "Net present value, $", "#,##0"),
            ("margin_per_ton", f"Margin of a ton, {ton}", "#,##0.00"),
            ("verdict", "Verdict", "@"),
        ):
            corner = f"{label}; grade down ({grade}), gold price across ($/oz)"
            sheet.write_string(row, 0, corner, self.formats.section())
            for column, price in enumerate(prices, 1):
                style = self.formats.head(num_format="#,##0", align="right")
                sheet.write_number(row, column, price, style)
            for place, grade_value in enumerate(grades, 1):
                style = self.formats(
                    num_format=number_format("grade", self.units), align="left"
                )
                sheet.write_number(row + place, 0, grade_value, style)
                for column, value in enumerate(results[name][place - 1], 1):
                    self._cell(sheet, row + place, column, value, number)
            row += len(grades) + 2
        sheet.set_column(1, len(prices), 13)

    def _cell(self, sheet, row, column, value, number):
        if isinstance(value, str):
            colour = GOOD if value == "pays" else BAD
            wrapped = self.formats(font_color=colour, text_wrap=True, font_size=8)
            sheet.set_row(row, 34)
            sheet.write_string(row, column, str(value), wrapped)
        else:
            colour = GOOD if value >= 0 else BAD
            style = self.formats(num_format=number, font_color=colour)
            sheet.write_number(row, column, value, style)

    def inputs(self, sheet):
        """The inputs that the figures belong to."""
        self.heads(
            sheet,
            HEAD,
            "Input",
            "Planned",
            "Unit",
            "Drawn from",
            "1 in 10 below",
            "Half below",
            "9 in 10 below",
        )
        row = HEAD
        for name, entry in INPUTS.items():
            if entry.family:
                continue
            row += 1
            value = self.study.inputs[name]
            sheet.write_string(row, 0, entry.label, self.formats())
            number = input_format(name, self.units)
            if entry.numeric:
                self.number(sheet, row, 1, float(value), number)
            else:
                sheet.write_string(row, 1, str(value), self.formats(align="right"))
            sheet.write_string(
                row, 2, shown(entry.unit, self.units), self.formats.unit()
            )
            how = self.study.spreads.get(name)
            if how is not None:
                sheet.write_string(row, 3, type(how).__name__.lower(), self.formats())
                ends = how.quantile(np.array([0.1, 0.5, 0.9]))
                for column, end in enumerate(ends, 4):
                    self.number(sheet, row, column, float(end), number)


def _worth_showing(ranked, size):
    """What brings at least a thousandth of the first."""
    most = max((size(entry) for entry in ranked), default=0)
    return [entry for entry in ranked if size(entry) >= most / 1000 and most > 0]
