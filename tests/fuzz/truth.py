"""The contents of a file, read without the engine."""

import io
import posixpath
import re
import zipfile
from xml.etree import ElementTree

from openpyxl.utils import coordinate_to_tuple, get_column_letter

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


def calculated(content):
    """Formula and stored text of every cell that has a formula.

    Parameters
    ----------
    content : bytes
        Of a file that a plain reader can read.

    Returns
    -------
    cells : dict of (str, str) to (str, str, str)
        Formula, type and value as they are spelt, under sheet and address.
    """
    found = {}
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        # Names of parts are the same whatever their case (ECMA-376, part 2).
        parts = {name.lower(): name for name in package.namelist()}
        relations = ElementTree.fromstring(
            package.read(parts["xl/_rels/workbook.xml.rels"])
        )
        targets = {r.get("Id"): r.get("Target") for r in relations}
        book = ElementTree.fromstring(package.read(parts["xl/workbook.xml"]))
        for sheet in book.iter(f"{MAIN}sheet"):
            target = posixpath.join("/xl", targets[sheet.get(RELATION)])[1:]
            part = ElementTree.fromstring(package.read(parts[target.lower()]))
            for address, cell in _addressed(part):
                formula = cell.find(f"{MAIN}f")
                if formula is not None:
                    found[sheet.get("name"), address] = (
                        re.sub(r"\s", "", formula.text or ""),
                        cell.get("t", "n"),
                        cell.findtext(f"{MAIN}v") or "",
                    )
    return found


def _addressed(part):
    """Cells with their addresses; one without its own stands behind the last."""
    row = 0
    for line in part.iter(f"{MAIN}row"):
        row, column = int(line.get("r", row + 1)), 0
        for cell in line.iter(f"{MAIN}c"):
            given = cell.get("r")
            column = coordinate_to_tuple(given)[1] if given else column + 1
            yield given or f"{get_column_letter(column)}{row}", cell


def same_numbers(one, other):
    """Whether two tellings of a file agree, but for the spelling of numbers."""
    if one.keys() != other.keys():
        return False
    return all(_same(one[key], other[key]) for key in one)


def _same(one, other):
    if one == other:
        return True
    try:
        close = abs(float(one[2]) - float(other[2])) <= 1e-8 * abs(float(one[2])) + 1e-5
    except ValueError:
        return False
    return one[:2] == other[:2] and close
