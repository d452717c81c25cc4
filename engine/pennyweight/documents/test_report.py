"""Report of a test lot: its head grade and recovery, on one page for the owner."""

import numpy as np

from ..errors import WorkbookError
from ..formulas import Reference
from ..model.checks import checks
from ..model.entries import is_reported, needed
from ..model.figures import result_text
from ..model.inputs import INPUTS
from ..model.jobs import TEST
from ..model.mill_model import MODEL
from ..model.reasons import assay_scatter, grind_doubt, head_words, p80_of_tailings
from ..model.run import run
from ..model.units import shown
from ..workbook.layout import defined_name, entry_place
from ..workbook.style import INK
from ..workbook.table import Cell, live
from .dates import date_faults
from .page import COLUMNS, UNITS_IN_WORDS, Page, number, unit_of
from .requirements import refuse_missing
from .terms import told_code

TITLE = "Test lot report"
SCREENED = ("screen_caught_gold", "screen_tails_share", "screen_tails_grade")
TAILINGS = ("screen_tails_share_01", "screen_tails_grade_06")
ORIGIN = ("lot_origin", "lot_taken_by")
WORDS = ("customer_name", "claim_name", "lot_date", "lot_material", *ORIGIN)
PLAIN = {"italic": False, "font_color": INK}
CAUTIONS = (
    "One lot is one sample. A plus or minus counts the scatter of its assays alone, "
    "not that of weights and fineness: other rock of the claim may carry far more or "
    "less. This is not a mineral resource or reserve.",
    "The recovery is that of this mill at this grind. Another plant, another grind or "
    "other rock recovers another share.",
    "Weights and assays are those of the mill. This is not the certificate of an "
    "assayer. Silica dust from quartz damages the lungs.",
)


def make_test_report(inputs, units, given=INPUTS):
    """Make the report of the test lot in a workbook.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}
    given : collection of str, optional
        Inputs for which there is the user's figure; all when left out.

    Returns
    -------
    page : Page

    Raises
    ------
    WorkbookError
        When figures of the lot or the assays of its tailings are missing.
    """
    inputs = {**inputs, "job": TEST}
    values = run(inputs, units)
    used = {name: values[name].item() for name in INPUTS}
    wanted = [n for n in INPUTS if is_reported(n) and needed(n, used)]
    refuse_missing(wanted, given, "A report needs your figures of the test lot")
    if values["lot_tailings_gold"].item() <= 0:
        first, last = map(entry_place, TAILINGS)
        raise WorkbookError(
            "A report needs the mass fractions and assays of the tailings. Enter them "
            f"from {first} to {last}."
        )
    return _Report(values, units, given).page


class _Report:
    """Fills the page from the values of a workbook."""

    def __init__(self, values, units, given):
        columns = (*COLUMNS[:3], *(_plain(COLUMNS[3]) for _ in range(3)))
        self.page, self.units, self.values = Page(TITLE, values, units), units, values
        self.page.columns, self.page.all_digits, self.page.pages = columns, False, 1
        self.given = given
        self._opening()
        self.page.bind("mass_per_ton", "grade_per_ounce", "grams_per_ounce")
        self._weights()
        self._caught()
        self._tailings()
        self._answer()
        self.page.heading("What it cannot tell, and cautions")
        for sentence in (*self._open_questions(), *CAUTIONS):
            self.page.sentence(sentence)
        if not self.page.draft:
            self._issued()

    def _opening(self):
        page, owner = self.page, self.page.found("customer_name")
        claim, day = page.found("claim_name"), page.found("lot_date")
        page.sentence(f"For {owner}", bold=True)
        lot = f"Test lot of {claim or 'ore'}" + (f", milled {day}" if day else "")
        page.sentence(f"{lot}. The mill is {page.by or 'not named'}.", bold=True)
        page.draft = self._draft()
        if page.draft:
            page.sentence(page.draft, bold=True)
        stated = [n for n in (*ORIGIN, "lot_material") if n in self.given]
        told = [f"{INPUTS[name].label}: {page.found(name)}." for name in stated]
        if told:
            page.sentence(" ".join(told))
        page.sentence(
            f"{UNITS_IN_WORDS[self.units]} All weights but the wet weight are dry."
        )
        for name in ("lot_head", "lot_recovery"):
            line = MODEL.lines[name]
            looks = {"bold": True, "font_size": 14}
            looks["num_format"] = number(line.unit, self.units)
            value = self.values[name].item()
            cell = Cell(value, f"={defined_name(name)}", looks=looks)
            words = "The rock carried" if name == "lot_head" else "The tables caught"
            of = unit_of("grade", self.units) if name == "lot_head" else "of its gold"
            margin = self.values[f"{name}_margin"].item()
            shown_margin = result_text(margin, line.unit, self.units)
            sure = f"plus or minus {shown_margin}, by the scatter of the assays"
            sure = "" if np.isnan(margin) else sure
            words = Cell(words, looks={"bold": True, "font_size": 14})
            page.row(words, cell, of, sure)

    def _draft(self):
        """Sentence on figures that are missing or contradict each other; else empty."""
        missing = [] if self.page.by else ["the mill's name"]
        missing += [] if self.page.found("lot_date") else [INPUTS["lot_date"].label]
        parts = [f"Not entered: {'; '.join(missing)}."] if missing else []
        parts += [f"{fault}." for fault in date_faults(self.page.found, ["lot_date"])]
        failures = checks(self.values)["failures"]
        if failures:
            parts.append(f"Its figures fail these checks: {'; '.join(failures)}.")
        return f"Draft. {' '.join(parts)}" if parts else ""

    def _weights(self):
        page = self.page
        page.heading("The lot")
        page.put("lot_wet_mass", "lot_moisture")
        page.lines("lot_dry_tons")
        if "measured_p80" in self.given:
            page.put("measured_p80", note="80% of the product is finer.")
        page.put("lot_first_mass", "lot_second_mass", "lot_middlings_mass")
        page.put("lot_middlings_grade")
        page.lines("lot_product_tons", "lot_tailings_tons")

    def _caught(self):
        page = self.page
        page.heading("Gold recovered")
        page.put("lot_button_mass", "lot_button_fineness")
        page.lines("lot_button_gold")
        page.put("lot_slag_gold", "lot_hold_up")
        page.lines("lot_cleaned_up")
        page.put_positive("lot_carried_in")
        page.lines("lot_caught", bold=True)
        page.lines("lot_middlings_gold")

    def _tailings(self):
        """Enter the screen analysis: one row for each fraction that was weighed."""
        page, screened = self.page, self.values["lot_screened"].item() > 0
        page.heading("Gold by screen size")
        grade = unit_of("grade", self.units)
        heads = ("Fraction", "Tailings, % of mass", f"Tailings, {grade}")
        heads += ("Gold in tailings, g",)
        heads += ("Gold caught, g", "Recovery") if screened else ()
        page.rows.append(("heads", heads, {}))
        rows = [
            at
            for at in range(len(self.values["screen_opening"]))
            if any(self.values[name][at] > 0 for name in SCREENED[:2])
        ]
        first = page.next_row
        shares = self._range(1, first, len(rows), "screen_tails_share", rows)
        page.cells["lot_tails_shares"] = np.sum(shares, axis=0)
        page.values["lot_tails_shares"] = self.values["lot_tails_shares"].item()
        page.bind("lot_screened")
        weighed = np.flatnonzero(self.values["screen_tails_share"] > 0)
        whole = weighed if len(weighed) == 1 else ()
        for at in rows:
            self._fraction(at, at == rows[-1], screened, at in whole)
        ends = {"screen_tails_gold": 3, "screen_caught_gold": 4}
        for name, column in ends.items():
            self._range(column, first, len(rows), name, rows)
        if not screened:
            page.bind("screen_caught_gold", value=0.0)
        page.lines("lot_tailings_gold", "lot_tailings_grade")
        if (size := p80_of_tailings(self.values)) is not None:
            page.sentence(
                f"80% of the tailings is finer than {size:,.3g} "
                f"{shown('um', self.units)}, by these screens."
            )
        if screened:
            page.lines("lot_screened", "lot_screen_gap")

    def _range(self, column, first, count, name, rows):
        """Let the page's lines read a column of the fractions as a range."""
        ends = (self.page.place(column, row) for row in (first, first + count - 1))
        cells = Reference(":".join(ends), spread=True)
        self.page.cells[name], self.page.values[name] = cells, self.values[name][rows]
        return cells

    def _fraction(self, at, last, screened, whole):
        page, sizes = self.page, self.values["screen_opening"]
        words = f"Through {sizes[at]:,g} µm"
        words += "" if last else f", on {sizes[at + 1]:,g} µm"
        if whole:
            words = "All of the tailings"
        places = dict(zip(SCREENED, (4, 1, 2), strict=True))
        values = {**page.values, **{n: self.values[n][at] for n in SCREENED}}
        cells = {
            **page.cells,
            **{n: Reference(page.place(c)) for n, c in places.items()},
        }
        made = {}
        lines = (("tails_gold", 3), ("gold", 5), ("recovery", 5))
        for name, column in lines if screened else lines[:1]:
            line = MODEL.lines[f"screen_{name}"]
            looks = {**PLAIN, "num_format": "0.00" if column == 3 else "0.0%"}
            made[name] = live(
                line.function, values, cells, line.parameters, looks=looks
            )
            values[line.name] = made[name].value
            cells[line.name] = Reference(page.place(column))
            if name == "gold":
                reads = (cells["screen_caught_gold"], cells["screen_tails_gold"])
                cells[line.name] = line.function(*reads)
        share, tails, caught = (
            Cell(float(values[name]), looks={**PLAIN, "num_format": form})
            for name, form in (
                ("screen_tails_share", "0.0%"),
                ("screen_tails_grade", number("grade", self.units)),
                ("screen_caught_gold", "0.00"),
            )
        )
        more = (caught, made["recovery"]) if screened else ()
        page.row(words, share, tails, made["tails_gold"], *more)

    def _answer(self):
        page = self.page
        page.heading("What the rock carries")
        page.lines("lot_gold")
        scatter = assay_scatter(self.values, self.given)
        self._error(scatter)
        page.lines("lot_head", bold=True)
        self._margin("lot_head_margin", scatter)
        if page.found("lot_assay_head") > 0:
            page.put("lot_assay_head", note=f"{head_words(self.values)}.")
            page.lines("lot_assay_factor", note="Its inverse is the mill call factor.")
        page.lines("lot_recovery", bold=True)
        page.lines("lot_button_recovery")
        self._margin("lot_recovery_margin", scatter)
        if page.found("lot_screened") > 0:
            page.lines("lot_recovery_by_size")

    def _error(self, scatter):
        """Enter the error of the gold found, where each assay has a scatter."""
        if scatter:
            note = f"Of each assay, with its sampling: {scatter}."
            self.page.put("lot_assay_deviation", note=note)
            self.page.bind("lot_score")
            self.page.lines("lot_gold_error")

    def _margin(self, name, scatter):
        """Enter a plus or minus, where each assay has a scatter."""
        if scatter:
            sure = f"{self.page.found('sample_confidence'):.0%} confidence"
            self.page.lines(name, note=f"{sure}; scatter {scatter}.")

    def _issued(self):
        """Code of the figures, and a line to sign."""
        figures = {n: self.values[n].item() for n in (*self.page.inputs, *WORDS)}
        for name in SCREENED:
            figures |= {f"{name} {n}": v for n, v in enumerate(self.values[name])}
        self.page.sentence(told_code(figures, "report"))
        self.page.signatures("For the mill", "Received by the owner")

    def _open_questions(self):
        if not all(self.page.found(name) for name in ORIGIN):
            yield (
                "Where the rock was taken, and by whom, is not stated in full: the "
                "page speaks of the rock that came to the mill, not of the claim."
            )
        yield from grind_doubt(self.values, self.units, self.given)
        if self.page.found("lot_assay_head") <= 0:
            yield "The feed was not assayed: nothing else confirms the calculated head."
        if "lot_carried_in" not in self.given:
            yield "Gold left in the mill from the lot before was not measured."


def _plain(column):
    """The note's column without wrapping: a note extends over the next columns."""
    looks = {k: v for k, v in column.looks.items() if k != "text_wrap"}
    return type(column)("", column.number, 16, looks=looks)
