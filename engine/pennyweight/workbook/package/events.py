"""Reading the parts of a package piece by piece, without building trees.

Parts come from `part_content` after `inspect_package` has passed the file; a
document type is refused here once more, so that the parser alone is safe too.
"""

from xml.parsers import expat

from ...errors import WorkbookError

TRANSITIONAL = "http://schemas.openxmlformats.org/"
STRICT = "http://purl.oclc.org/ooxml/"
RELATIONS = (
    f"{TRANSITIONAL}officeDocument/2006/relationships id",
    f"{STRICT}officeDocument/relationships id",
)
SPACES = frozenset(
    f"{TRANSITIONAL}{space}"
    for space in (
        "spreadsheetml/2006/main",
        "package/2006/relationships",
        "package/2006/content-types",
        "drawingml/2006/main",
        "drawingml/2006/chart",
        "drawingml/2006/spreadsheetDrawing",
    )
) | frozenset(
    f"{STRICT}{space}"
    for space in (
        "spreadsheetml/main",
        "drawingml/main",
        "drawingml/chart",
        "drawingml/spreadsheetDrawing",
    )
)
"""Namespaces whose elements programs read."""
MOST_ELEMENTS = 2_000_000
MOST_DEPTH = 200


class Handler:
    """What is called for every element; the base counts and does nothing else.

    Names are local names. Elements of foreign namespaces have an empty name; `raw`
    holds the whole name of the present element, and `seen` those of all.
    """

    raw = ""
    seen = frozenset()

    def start(self, name, attributes):
        """An element begins."""

    def end(self, name):
        """An element ends."""

    def text(self, text):
        """Text between the tags."""


def parse(content, handler, where):
    """Send a part's elements to a handler.

    Parameters
    ----------
    content : bytes
    handler : Handler
    where : str
        File and part, for the message.

    Returns
    -------
    handler : Handler

    Raises
    ------
    WorkbookError
        When it is not well-formed, too large or too deep.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    handler.parser, seen = parser, set()
    open_names, count = [], 0

    def start(name, attributes):
        nonlocal count
        count += 1
        if count > MOST_ELEMENTS or len(open_names) > MOST_DEPTH:
            raise WorkbookError(f"{where} holds more than a workbook should.")
        local = local_name(name)
        open_names.append(local)
        handler.raw = name
        seen.add(name)
        handler.start(local, attributes)

    def end(name):
        handler.raw = name
        handler.end(open_names.pop())

    def refuse(*_details):
        raise WorkbookError(f"{where} has a document type: do not use the file.")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = handler.text
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, LookupError, UnicodeError) as error:
        raise WorkbookError(f"{where} is damaged ({error}).") from None
    finally:
        handler.parser = None
    handler.seen = frozenset(seen)
    return handler


_LOCAL = {}


def local_name(name):
    """The name without its namespace; empty for namespaces of others."""
    found = _LOCAL.get(name)
    if found is None:
        space, _, local = name.rpartition(" ")
        known = not space or space in SPACES
        found = local if known else ""
        if len(_LOCAL) < 10_000:
            _LOCAL[name] = found
    return found


def relation_id(attributes):
    """The relation that an element names, in either flavour of the format."""
    return next((attributes[name] for name in RELATIONS if name in attributes), "")
