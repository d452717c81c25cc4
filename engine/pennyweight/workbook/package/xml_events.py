"""Event-driven parsing of the XML parts of a package, without building trees.

Parts come from `part_content` after the checks of `inspect_package`. A document type is
refused here again, so that the parser is safe by itself.
"""

import functools
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
MOST_TAGS = 2_800_000
"""Opening and closing tags; the most cells of a workbook have 2,400,000."""
MOST_DEPTH = 200


class Handler:
    """Base class of handlers; its methods do nothing.

    Names are local names. Elements of foreign namespaces have an empty name; `raw` is
    then the full name. At the end `seen` has the full names of all elements.
    """

    raw = ""
    seen = frozenset()
    _keep = None

    def start(self, name, attributes):
        """An element begins."""

    def end(self, name):
        """An element ends."""

    def text(self, text):
        """Text between the tags; kept if a handler has set `_keep`."""
        if self._keep is not None:
            self._keep.append(text)

    def kept(self):
        """The text that was kept; ends the keeping."""
        text, self._keep = "".join(self._keep), None
        return text


def parse(content, handler, where):
    """Parse a part with a handler.

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
    if content.count(b"<") > MOST_TAGS:
        raise WorkbookError(f"{where} holds more than a workbook should.")
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
    handler.parser, known, depth = parser, _LocalNames(), 0
    begin, finish = handler.start, handler.end

    def start(name, attributes):
        nonlocal depth
        depth += 1
        if depth > MOST_DEPTH:
            raise WorkbookError(f"{where} holds more than a workbook should.")
        local = known[name]
        if not local:
            handler.raw = name
        begin(local, attributes)

    def end(name):
        nonlocal depth
        depth -= 1
        local = known[name]
        if not local:
            handler.raw = name
        finish(local)

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
    handler.seen = frozenset(known)
    return handler


class _LocalNames(dict):
    """Cache of local names by full names."""

    def __missing__(self, name):
        self[name] = local_name(name)
        return self[name]


@functools.lru_cache(maxsize=10_000)
def local_name(name):
    """The name without its namespace; empty for foreign namespaces."""
    space, _, local = name.rpartition(" ")
    return local if not space or space in SPACES else ""


def relation_id(attributes):
    """The relation that an element names, in the strict or transitional format."""
    return next((attributes[name] for name in RELATIONS if name in attributes), "")
