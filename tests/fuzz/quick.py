"""Inspecting many alterations of one written workbook, each in a fraction of a second.

The expected value of each cell is calculated once; cells are compared on the sheets
whose parts differ. Reading, names, parts and appearance are those of an inspection.
"""

import functools
import io
import zipfile

from pennyweight.errors import WorkbookError
from pennyweight.workbook.inspection.appearance import appearance
from pennyweight.workbook.inspection.expected import Expected
from pennyweight.workbook.inspection.findings import (
    CANNOT_BE_USED,
    Inspection,
    outcome_of,
)
from pennyweight.workbook.inspection.foreign_content import foreign_content
from pennyweight.workbook.inspection.inspect import (
    inspect_contents,
    moved_names,
    sheet_findings,
)
from pennyweight.workbook.layout import SHEETS
from pennyweight.workbook.package.contents import contents_of
from pennyweight.workbook.read import reading_of

from .files import issued, unpacked

TEXTS = "xl/sharedStrings.xml"


def stored(parts):
    """A package of these parts, in memory and not packed."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    target.seek(0)
    return target


class Workbook:
    """One written workbook, and what its alterations are called."""

    def __init__(self, units="us"):
        self.parts = unpacked(issued(units))
        self.contents = self.read(self.parts)
        held = reading_of(self.contents)
        self.expected = Expected(held, held.inputs, self.contents)
        assert inspect_contents(self.contents, held, strict=True).findings == []

    def read(self, parts):
        """The contents of a package of these parts."""
        with zipfile.ZipFile(stored(parts)) as package:
            return contents_of(package, "book.xlsx")

    def inspect(self, parts, strict=True):
        """Inspect the parts of an alteration.

        Parameters
        ----------
        parts : dict of str to bytes
        strict : bool

        Returns
        -------
        inspection : Inspection
        """
        try:
            contents = self.read(parts)
        except WorkbookError as error:
            return Inspection(CANNOT_BE_USED, reason=str(error))
        findings = list(moved_names(contents, self.expected.pristine.names))
        for sheet in SHEETS:
            if sheet in contents.sheets and self._differs(sheet, contents, parts):
                findings += sheet_findings(sheet, contents, self.expected)
        findings += foreign_content(
            contents, self.expected.pristine, self.expected.inputs["job"]
        )
        if strict:
            findings += appearance(contents, self.expected.pristine)
        return Inspection(outcome_of(findings, []), findings)

    def _differs(self, sheet, contents, parts):
        part = contents.sheet_parts[sheet]
        same = parts.get(part) == self.parts.get(part)
        return not same or parts.get(TEXTS) != self.parts.get(TEXTS)


@functools.cache
def workbook(units="us"):
    """One of them, written once in each process."""
    return Workbook(units)
