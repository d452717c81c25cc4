"""Reading the XML parts of a package as trees.

Parts come from `part_content` after the checks of `inspect_xml`, which refuse document
types.
"""

import contextlib
import io
import itertools
from xml.etree import ElementTree

from ...errors import WorkbookError

TRANSITIONAL = "http://schemas.openxmlformats.org/"
STRICT = "http://purl.oclc.org/ooxml/"
RELATIONS = (
    f"{{{TRANSITIONAL}officeDocument/2006/relationships}}id",
    f"{{{STRICT}officeDocument/relationships}}id",
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
MOST_HELD = 1_000_000
"""Elements and attributes held at once, which take up to 170 MB."""
MOST_DEPTH = 200


def tree(content, where, names=None):
    """Read a part as a whole.

    Parameters
    ----------
    content : bytes
    where : str
        File and part, for the message.
    names : LocalNames, optional
        Gets the names of all elements.

    Returns
    -------
    root : xml.etree.ElementTree.Element
        Names are local names; those of foreign namespaces stay ``{namespace}name``.

    Raises
    ------
    WorkbookError
        When it is not well-formed, too large or too deep.
    """
    if not _fits(content):
        raise _too_much(where)
    names = LocalNames() if names is None else names
    with _well_formed(where):
        root = ElementTree.XML(content)
    for element in root.iter():
        element.tag = names[element.tag]
    _refuse_depth(root, where)
    return root


def elements(content, where, item, names=None):
    """Read a part item by item; a large one with little memory.

    Parameters
    ----------
    content, where, names
        As of `tree`.
    item : str
        Local name of the elements to yield by themselves.

    Yields
    ------
    element : xml.etree.ElementTree.Element
        Each item when it ends; it is emptied afterwards. At last the root, with
        everything else.
    """
    if content.count(b"<") > MOST_TAGS:
        raise _too_much(where)
    if _fits(content):  # several times faster
        root = tree(content, where, names)
        for element in list(root.iter(item)):
            yield element
            element.clear()
        yield root
        return
    parsing, held = ElementTree.iterparse(io.BytesIO(content)), 0
    names = LocalNames() if names is None else names
    with _well_formed(where):
        for _, element in parsing:
            element.tag = name = names[element.tag]
            held += 1 + len(element.attrib)
            if name == item:
                _refuse_depth(element, where)
                yield element
                element.clear()
                held = 0
            elif held > MOST_HELD:
                raise _too_much(where)
    _refuse_depth(parsing.root, where)
    yield parsing.root


def _fits(content):
    """Whether a part may be held as a whole."""
    opened = content.count(b"<") - content.count(b"</")
    return opened + content.count(b"=") <= MOST_HELD


def _too_much(where):
    return WorkbookError(f"{where} holds more than a workbook should.")


@contextlib.contextmanager
def _well_formed(where):
    try:
        yield
    except (ElementTree.ParseError, LookupError, ValueError) as error:
        raise WorkbookError(f"{where} is damaged ({error}).") from None


def _refuse_depth(element, where):
    if not any(map(len, itertools.chain.from_iterable(element))):
        return  # a row of plain cells, as most are
    level = [element]
    for _ in range(MOST_DEPTH):
        level = [child for one in level if len(one) for child in one[:]]
        if not level:
            return
    raise _too_much(where)


class LocalNames(dict):
    """Local names by full names; the full name for foreign namespaces."""

    def __missing__(self, name):
        space, _, local = name.removeprefix("{").rpartition("}")
        self[name] = local if not space or space in SPACES else name
        return self[name]

    def bare(self):
        """All names without their namespaces."""
        return {name.rpartition("}")[2] for name in self}


def drop_namespaces(root):
    """Give foreign elements local names too: newer ones are called as the known."""
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]


def within(root, *names):
    """The elements with these names, and all elements within them."""
    return {e for name in names for one in root.iter(name) for e in one.iter()}


def attributes_within(element):
    """Attributes of an element and of those within it, by their names."""
    return {one.tag: one.attrib for one in element.iter()}


def text_of(element):
    """All text within an element."""
    return "".join(element.itertext())


def relation_id(attributes):
    """The relation that an element names, in the strict or transitional format."""
    return next((attributes[name] for name in RELATIONS if name in attributes), "")
