"""Active content of a package: what can run, fetch or start something."""

import functools
import re

from ..package.book_part import ONE_SHEET, resolve
from ..package.sheet_appearance import is_on
from ..package.sheet_part import address_of
from . import allowed_content as allowed
from .findings import Finding

BOOK = "xl/workbook.xml"
EITHER = ("alternatecontent", "choice", "fallback")
"""Elements with alternatives, of which programs read one; a sheet has none."""
PLAIN = ("application/xml", "text/xml")
TYPES_PART = "[content_types].xml"
QUOTED = re.compile(r'"(?:[^"]|"")*"')
SHEET = re.compile(r"'(?:[^']|'')+'!")
CALLED = re.compile(r"([A-Za-z_\\][\w.\\]*)\s*\(")
OTHER_BOOK = re.compile(r"\[[^\[\]]+\][^\[\](),;]*!|\w:\\|file:|https?:|\\\\", re.I)
PROGRAM = re.compile(r"\|")
PREFIXES = ("_XLFN.", "_XLWS.", "_XLUDF.", "COM.SUN.STAR.SHEET.ADDIN.", "ORG.")
STARTS = re.compile(r"(?:_xlnm\.)?auto_(?:open|close|activate|deactivate)", re.I)
MACRO = re.compile(rb"FmlaMacro>\s*[^<\s]")
OBJECT = re.compile(rb"ObjectType=[\"']([^\"']*)")
OWN_RELATIONS = ("hyperlink",)


def acting(contents, pristine):
    """List active content and links to the outside.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written anew from its inputs.

    Yields
    ------
    finding : Finding
    """
    yield from _parts(contents)
    yield from _elements(contents.structure)
    yield from _shapes(contents.structure)
    yield from _controls(contents.structure)
    for owner, kind, target in contents.links:
        grave = kind not in OWN_RELATIONS
        description = f"{kind} to {target} (from {owner})"
        yield Finding("", "", "link to the outside", "", description, grave=grave)
    yield from _formulas(contents, pristine)
    yield from _calculation(contents.structure)


def _parts(contents):
    """Parts of an unexpected kind, or that no known relation leads to."""
    structure = contents.structure
    reached, led_by = _reached(structure)
    reported = set()
    for name in contents.parts:
        kind = structure.types.get(name, "").lower()
        known = kind in allowed.TYPES or kind in allowed.PICTURES
        program = _program(structure.beginnings.get(name, b""))
        relation = led_by.get(name.lower(), "")
        if known and name.lower() in reached and not program:
            continue
        if name.endswith("/") or name.lower() == TYPES_PART:
            continue
        if name.lower().endswith(".rels") and known:
            continue
        what, fix = allowed.in_words(kind if not known else "", relation, name)
        if program and known:
            what = program
        # Programs do not read plain XML to which no relation leads.
        idle = kind in PLAIN and what == allowed.UNKNOWN and name.lower() not in led_by
        if what not in reported and not idle:
            reported.add(what)
            yield Finding("", "", "foreign part", "", f"{what} ({name})", fix)
    for relation in structure.relations:
        if relation.kind.lower() not in allowed.RELATIONS and not relation.outside:
            what, fix = allowed.in_words(relation.kind, relation.target)
            if what not in reported:
                reported.add(what)
                where = f"{what} ({relation.kind} of {relation.owner or 'the file'})"
                yield Finding("", "", "foreign part", "", where, fix)


def _program(beginning):
    """The kind of program, archive or page that first bytes show; else empty."""
    return next(
        (w for b, w in allowed.BEGINNINGS.items() if beginning.startswith(b)), ""
    )


def _reached(structure):
    """Parts that known relations lead to, and other parts with their relation."""
    targets, led_by = {}, {}
    for relation in structure.relations:
        if relation.outside:
            continue
        part = resolve(relation.owner, relation.target).lower()
        if relation.kind.lower() in allowed.RELATIONS:
            targets.setdefault(relation.owner.lower(), []).append(part)
        else:
            led_by[part] = relation.kind
    reached, waiting = set(), [""]
    while waiting:
        for part in targets.get(waiting.pop(), ()):
            if part not in reached:
                reached.add(part)
                waiting.append(part)
    return reached, led_by


def _elements(structure):
    for part, names in structure.elements.items():
        for name in sorted(names):
            either = name.lower() in EITHER and part != BOOK
            if either or name.lower() not in allowed.ELEMENTS:
                what, fix = allowed.in_words(name)
                if what == allowed.UNKNOWN:
                    what = "an element that does not belong"
                description = f"{what} ({name} in {part})"
                yield Finding("", "", "foreign part", "", description, fix)


def _shapes(structure):
    for sheet, shapes in structure.drawings.items():
        for shape in shapes:
            if shape.macro:
                description = f"{shape.kind} that starts {shape.macro}"
                yield Finding(sheet, "", "shape that starts a macro", "", description)
            if shape.graphic and not shape.graphic.endswith(("/chart", "/picture")):
                description = f"{shape.kind} of {shape.graphic}"
                yield Finding(sheet, "", "foreign part", "", description)


def _controls(structure):
    """Controls in the old drawings (VML), which comments use, too."""
    for sheet, drawn in structure.notes_drawn.items():
        if MACRO.search(drawn):
            description = "control that starts a macro"
            yield Finding(sheet, "", "shape that starts a macro", "", description)
        for kind in sorted(set(OBJECT.findall(drawn)) - {b"Note"}):
            what, fix = allowed.in_words("control")
            description = f"{what} ({kind.decode('utf-8', 'replace')})"
            yield Finding(sheet, "", "foreign part", "", description, fix)


def _formulas(contents, pristine):
    """Formulas in cells, rules, sparklines and charts that reach outside."""
    names = {name.partition(ONE_SHEET)[0] for name in contents.names}
    for sheet, cells in contents.sheets.items():
        issued = pristine.sheets.get(sheet, {})
        for place, cell in cells.items():
            known = place in issued and issued[place].formula == cell.formula
            if cell.formula and not known and (kind := reaching(cell.formula, names)):
                where = address_of(place)
                yield Finding(sheet, where, kind, "", cell.formula)
    structure = contents.structure
    others = {sheet: one.formulas for sheet, one in structure.appearances.items()}
    for sheet, charts in structure.charts.items():
        drawn = [formula for chart in charts for formula in chart.formulas]
        others[sheet] = [*others.get(sheet, ()), *drawn]
    for sheet, shapes in structure.drawings.items():
        others[sheet] = [*others.get(sheet, ()), *(s.link for s in shapes if s.link)]
    for sheet, formulas in others.items():
        for formula in dict.fromkeys(formulas):
            if kind := reaching(formula, names):
                description = f"{formula} in a rule or a chart"
                yield Finding(sheet, "", kind, "", description)


def reaching(formula, names=()):
    """The kind of finding for a formula that reaches outside; else empty.

    Parameters
    ----------
    formula : str
    names : collection of str, optional
        Defined names in lower case, which may be functions.

    Returns
    -------
    kind : str

    Examples
    --------
    >>> reaching("=SUM(A1:A3)"), reaching('=WEBSERVICE("http://x")')
    ('', 'formula that reaches outside')
    >>> reaching("=STEAL(A1)"), reaching("='Mill (old)'!A1")
    ('unknown function', '')
    """
    outside, unknown = _read(formula)
    if outside:
        return "formula that reaches outside"
    if unknown and any(name.lower() not in names for name in unknown):
        return "unknown function"
    return ""


@functools.lru_cache(maxsize=40_000)
def _read(formula):
    """Whether a formula reaches outside, and its unknown functions."""
    bare = QUOTED.sub('""', formula)
    called = {_plain(name) for name in CALLED.findall(SHEET.sub("", bare))}
    outside = (
        called & allowed.REACHING or OTHER_BOOK.search(bare) or PROGRAM.search(bare)
    )
    return bool(outside), called - allowed.FUNCTIONS


def _plain(name):
    name = name.upper()
    for prefix in PREFIXES:
        name = name.removeprefix(prefix)
    return name


def starts_macro(contents, name):
    """Whether a defined name starts a macro, perhaps when the workbook opens."""
    bare = contents.spelt[name].partition(ONE_SHEET)[0]
    return name in contents.structure.starting or bool(STARTS.match(bare))


def _calculation(structure):
    """Calculation settings under which figures do not follow their formulas."""
    calc = structure.settings.get("calcPr", {})
    mode = calc.get("calcMode", "auto")
    if mode != "auto":
        yield Finding("", "", "manual calculation", "automatic", mode)
    if "fullPrecision" in calc and not is_on(calc["fullPrecision"]):
        description = ("full precision", "as displayed")
        yield Finding("", "", "precision as displayed", *description)
