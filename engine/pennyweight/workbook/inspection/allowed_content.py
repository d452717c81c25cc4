"""What belongs in a workbook's package: all else is a finding.

Kinds of parts, relations, elements and functions that are known to neither run, fetch
nor start anything. Those that pennyweight does not write itself are written by Excel,
LibreOffice, Gnumeric or libraries, beside comments, pictures and tables.
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
"""The last is what Google Sheets calls its own record, which holds no program."""
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
"""First bytes of what no picture and no printer setting begins with."""
UNKNOWN = "a part of an unknown kind"
FOREIGN = rows_of("foreign_parts.csv", __package__)
"""Part of a kind, a relation or a name; what it is; what to do."""


def in_words(*told):
    """What is foreign, and what to do, from what it says of itself.

    Parameters
    ----------
    *told : str
        Content type, kind of relation, name.

    Returns
    -------
    what, mend : str
    """
    for text in told:
        for row in FOREIGN:
            if row["mark"] in text.lower():
                return row["what"], row["mend"]
    return UNKNOWN, "Delete it, unless you know what it is for."
