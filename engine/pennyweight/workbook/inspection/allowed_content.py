"""Allowed content of a workbook's package; everything else is a finding.

These kinds of parts, relations, elements and functions do not run, fetch or start
anything. Some are written by pennyweight, the others by Excel, LibreOffice, Gnumeric or
libraries, for example with comments, pictures and tables.
"""

import tomllib
from importlib.resources import files

from openpyxl.utils import FORMULAE

from ...model.inputs import rows_of

SOURCE = files(__package__).joinpath("allowed_content.toml").read_text("utf-8")
WORDS = {name: text.split() for name, text in tomllib.loads(SOURCE).items()}

TYPES = frozenset(
    {f"application/vnd.{kind}" for kind in WORDS["types"]}
    | {"application/xml", "text/xml", "application/binary"}
)
"""The last is the type of a record of Google Sheets, which has no program in it."""
PICTURES = tuple(f"image/{kind}" for kind in WORDS["pictures"])
RELATIONS = frozenset(WORDS["relations"])
ELEMENTS = frozenset(WORDS["elements"])
REACHING = frozenset(WORDS["reaching"])
FUNCTIONS = frozenset({*FORMULAE, *WORDS["newer"]} - REACHING)
BEGINNINGS = {
    b"\xd0\xcf\x11\xe0": "an Office file of the old kind, in which macros may be",
    b"MZ": "a program",
    b"\x7fELF": "a program",
    b"PK\x03\x04": "an archive",
    b"#!": "a script",
    b"<scr": "a script",
    b"<htm": "a web page",
}
"""First bytes of files that are neither pictures nor printer settings."""
UNKNOWN = "a part of an unknown kind"
FOREIGN = rows_of("foreign_parts.csv", __package__)
"""A mark in a content type, relation or name; what it is; what to do."""


def in_words(*marks):
    """Name a foreign part by its marks, and say what to do.

    Parameters
    ----------
    *marks : str
        Content type, kind of relation, name.

    Returns
    -------
    what, fix : str
    """
    for text in marks:
        for row in FOREIGN:
            if row["mark"] in text.lower():
                return row["what"], row["fix"]
    return UNKNOWN, "Delete it, unless you know what it is for."
