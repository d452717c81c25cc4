"""Formats of cells: colours, number formats, widths."""

from ..model.inputs import INPUTS

INK = "#2B3A42"
"""Text and headings."""
RULE = "#9AA7AE"
FAINT = "#CBD3D7"
MUTED = "#5B6B73"
INPUT_FILL = "#FFF4D6"
INPUT_INK = "#1F4E8C"
START_FILL = "#EEF1F3"
GOOD = "#2E7D4F"
BAD = "#B3372B"
ACCENT = "#B07D1A"
PALE_GOOD, PALE_BAD, PALE_WAIT = "#E3F1E7", "#F7E3E1", "#FBF1DC"
"""Background colours of the answer: it pays, it does not, in between."""
SERIES = ("#B07D1A", "#3E6D8E", "#7A8B52", "#8C4A3C")

FONT = "Calibri"
ROW_HEIGHT, ROW_PIXELS = 13.5, 18
"""Height of a row with one line of text: in points, and in pixels of the screen."""
WIDTHS = {"label": 41, "value": 14, "unit": 11, "note": 55, "period": 11}

MONEY = "#,##0;[Red]-#,##0;0"
_NUMBER = {
    "$": MONEY,
    "$/year": MONEY,
    "oz": "[<0.005]0;[<100]0.00;#,##0.0",
    "oz/ton": "0.0000",
    "g": "[<1000]0.00;#,##0",
    "hour": "#,##0.0",
    "ton": "[<0.0005]0;[<10]0.000;#,##0.0",
    "ton/ton": "0.000#",
    "ton/hour": "0.00",
    "ton/day": "#,##0.0",
    "oz/day": "0.000",
    "mass/day": "#,##0.0",
    "ton/month": "#,##0",
    "ton/year": "#,##0",
    "share": "0.0%",
    "1/year": "0.0%",
    "1/month": "0.00%",
    "count": "0",
    "count/year": "#,##0.0",
    "check": '[=0]"look here";[=1]"holds";"does not apply"',
    "month": "0",
    "date": "mmm yyyy;;;",
    "year": "0.0##",
    "kW": "#,##0.0",
    "kWh/ton": "0.00",
    "1/minute": "0.0",
    "um": "[<10]0.0;#,##0",
    "size": "0.0#",
    "mass": "#,##0.0",
    "mass/month": "#,##0.0",
    "volume/ton": "#,##0",
    "volume/hour": "#,##0",
    "volume/kWh": "0.000",
    "volume": "#,##0",
    "hour/month": "#,##0.0",
}


TEXTS = ("@", "General")
"""Formats of cells whose text may extend over empty cells beside it."""

PARTS = ("lag", "lag_after_1", "lag_after_2", "lag_after_3", "attention_needed")
PARTS += ("sample_effective_count",)
"""Lines of months and counts that are not whole."""


def number_format(unit, units, name=""):
    """Number format of a line, or of its unit alone, in a unit system."""
    if name in PARTS:
        return "0.0#"
    if unit == "grade":
        return "0.000" if units == "us" else "#,##0.00"
    if unit in _NUMBER:
        return _NUMBER[unit]
    return "#,##0.00;[Red]-#,##0.00;0.00" if unit.startswith("$") else "#,##0.000"


NONE_AT_ZERO = ("settle_owner_assay", "settle_umpire_assay")
"""Inputs for which 0 means that there is none; the cell shows "none" then."""


def none_at_zero(name, number):
    """A number format that shows "none" at 0 for an input of `NONE_AT_ZERO`."""
    return f'{number};-{number};"none"' if name in NONE_AT_ZERO else number


def input_format(name, units):
    """Number format of an input in a unit system."""
    return none_at_zero(name, bound_format(INPUTS[name], units))


def bound_format(entry, units):
    """Number format of an input's bounds, where 0 is an ordinary number."""
    if not entry.numeric:
        return "@"
    if entry.kind == "share":
        return "0.0#%" if entry.estimate >= 0.01 or not entry.estimate else "0.00##%"
    if entry.kind == "whole":
        return "#,##0" if entry.maximum >= 10_000 else "0"
    if entry.unit.startswith("$"):
        small = entry.estimate and entry.estimate < 1
        return "#,##0" if entry.unit == "$" else "#,##0.00##" if small else "#,##0.00"
    if entry.unit == "grade":
        return "0.000" if units == "us" else "0.00"
    return "#,##0.####" if entry.estimate < 1 else "#,##0.0##"


def mark(sheet, place, look, criteria, **rule):
    """Give cells a look under a condition: a formula, unless a type is given."""
    rule = {"type": "formula", "criteria": criteria, "format": look, **rule}
    sheet.conditional_format(*place, rule)


class Formats:
    """Formats of one workbook, each made once."""

    def __init__(self, book):
        self._book = book
        self._made = {}

    def __call__(self, **properties):
        """Give the format with these properties."""
        properties = {
            "font_name": FONT,
            "font_size": 10,
            "font_color": INK,
            "valign": "vcenter",
            **properties,
        }
        if properties.get("num_format", "@") not in TEXTS:
            # Large amounts become smaller letters, never ####.
            properties.setdefault("shrink", not properties.get("text_wrap"))
        key = frozenset(properties.items())
        if key not in self._made:
            self._made[key] = self._book.add_format(properties)
        return self._made[key]

    def colour(self, colour):
        """A conditional format that only colours the text."""
        return self._book.add_format({"font_color": colour})

    def banner(self, colour, ground):
        """A conditional format for the answer."""
        return self._book.add_format(
            {"font_color": colour, "bg_color": ground, "bold": True}
        )

    def link(self):
        """A link to another sheet."""
        return self(font_color=INPUT_INK, underline=1)

    def title(self):
        """The title of a sheet."""
        return self(bold=True, font_size=15)

    def head(self, **more):
        """Heads of columns."""
        look = {"bold": True, "bottom": 2, "bottom_color": INK, "text_wrap": True}
        return self(**(look | more))

    def section(self):
        """Heading of a section."""
        return self(bold=True, font_size=11, font_color=ACCENT, top=1, top_color=RULE)

    def heading(self, sheet, row, last, text):
        """Write the heading of a section, with its rule up to the last column."""
        for column in range(last + 1):
            sheet.write_blank(row, column, None, self.section())
        sheet.write_string(row, 0, text, self.section())

    def entry(self, number="@", **more):
        """A cell for an entry of the user."""
        return self(
            num_format=number,
            bg_color=INPUT_FILL,
            font_color=INPUT_INK,
            border=1,
            border_color=RULE,
            locked=False,
            **more,
        )

    def unit(self):
        """The unit beside a value."""
        return self(font_color="#5B6B73", indent=1, shrink=True)

    def note(self, **more):
        """Small explanations."""
        return self(font_color="#5B6B73", italic=True, **more)
