"""Altering a file: its zip archive, its parts, the XML within them."""

import io
import re
import zipfile

from tests.books import content


def issued(units):
    """The bytes of the example's book."""
    return content(units, frozenset())


def mutated_file(content, kind, generator):
    """Alter a file in one of the ways of `FILE_MUTATIONS`.

    Parameters
    ----------
    content : bytes
    kind : str
    generator : random.Random

    Returns
    -------
    content : bytes
    """
    if kind in RAW:
        return RAW[kind](content, generator)
    parts = unpacked(content)
    names = [name for name in parts if name.endswith((".xml", ".rels"))]
    sheets = [name for name in names if name.startswith("xl/worksheets/sheet")]
    if kind in SHEET:
        name = generator.choice(sheets)
        parts[name] = SHEET[kind](parts[name], generator)
    elif kind in PART:
        name = generator.choice([*sheets, *names, "xl/workbook.xml"])
        parts[name] = PART[kind](parts[name], generator)
    else:
        WHOLE[kind](parts, generator)
    return packed(parts)


def unpacked(content):
    """Every part under its name."""
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        return {name: package.read(name) for name in package.namelist()}


def packed(parts):
    """A file of these parts."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return target.getvalue()


def _flip(content, generator):
    content = bytearray(content)
    for _ in range(generator.choice([1, 1, 2, 10])):
        if content:
            content[generator.randrange(len(content))] = generator.randrange(256)
    return bytes(content)


def _cut(content, generator):
    return content[: generator.randrange(len(content))]


def _hole(content, generator):
    start = generator.randrange(len(content))
    return content[:start] + content[start + generator.choice([1, 10, 1000, 50_000]) :]


def _one_of(pattern, change):
    """Change one match of a pattern, chosen at random."""

    def mutate(content, generator):
        found = list(re.finditer(pattern, content, re.DOTALL))
        if not found:
            return content
        match = generator.choice(found)
        new = change(match, generator)
        return content[: match.start()] + new + content[match.end() :]

    return mutate


ODD_VALUES = (
    b"1e999",
    b"nan",
    b"-0",
    b"0x10",
    b"",
    b"12,5",
    b"99999999999999999999",
    b" 7 ",
    b"-1",
    "\u0663".encode(),
)
ODD_FORMULAS = (
    b"1/0",
    b"HYPERLINK(&quot;http://example.org&quot;)",
    b"[1]Sheet1!A1",
    b"cmd|'/c calc'!A0",
    b"(" * 3000 + b"1" + b")" * 3000,
    b"A1:",
    b"&quot;",
)


def _odd(match, generator):
    return match[1] + generator.choice(ODD_VALUES) + match[2]


def _digit(match, generator):
    text = bytearray(match[0])
    places = [i for i, byte in enumerate(text) if byte in b"0123456789"]
    if places:
        text[generator.choice(places)] = generator.choice(b"0123456789")
    return bytes(text)


SHEET = {
    "a digit of a value": _one_of(rb"<v>[^<]+</v>", _digit),
    "a digit of a formula": _one_of(rb"<f>[^<]+</f>", _digit),
    "an odd value": _one_of(rb"(<v>)[^<]*(</v>)", _odd),
    "an odd formula": _one_of(
        rb"<f>[^<]*</f>",
        lambda _m, g: b"<f>" + g.choice(ODD_FORMULAS) + b"</f>",
    ),
    "a cell gone": _one_of(rb"<c [^>]*>.*?</c>", lambda _m, _g: b""),
    "a formula gone": _one_of(rb"<f>[^<]*</f>", lambda _m, _g: b""),
    "a value gone": _one_of(rb"<v>[^<]*</v>", lambda _m, _g: b""),
    "a row gone": _one_of(rb"<row [^>]*>.*?</row>", lambda _m, _g: b""),
    "a row twice": _one_of(rb"<row [^>]*>.*?</row>", lambda m, _g: m[0] * 2),
    "an attribute gone": _one_of(rb' (?:r|t|s|spans)="[^"]*"', lambda _m, _g: b""),
    "another address": _one_of(
        rb'r="[A-Z]+([0-9]+)"',
        lambda m, g: b'r="' + g.choice([b"A", b"ZZ", b"XFE", b"B0", b""]) + m[1] + b'"',
    ),
    "another style": _one_of(
        rb's="[0-9]+"',
        lambda _m, g: b's="' + g.choice([b"0", b"99999", b"-1", b"x"]) + b'"',
    ),
    "a shared formula": _one_of(
        rb"<f>([^<]*)</f>",
        lambda m, g: b'<f t="shared" ref="A1:ZZ999" si="0">' + m[1] + b"</f>",
    ),
}
PART = {
    "bytes of a part": _flip,
    "a part cut": _cut,
    "a hole in a part": _hole,
    "a tag gone": _one_of(rb"<[^>]*>", lambda _m, _g: b""),
    "a document type": lambda content, _g: content.replace(
        b"?>", b'?><!DOCTYPE a [<!ENTITY b "c">]>', 1
    ),
    "a comment": _one_of(rb">", lambda _m, _g: b"><!-- here -->"),
    "an entity": _one_of(rb"<v>", lambda _m, _g: b"<v>&b;"),
    "another space": lambda content, _g: content.replace(b"openxmlformats", b"example"),
    "an empty part": lambda _c, _g: b"",
}


def _without(parts, generator):
    parts.pop(generator.choice(sorted(parts)))


def _renamed(parts, generator):
    name = generator.choice(sorted(parts))
    parts[generator.choice(["../x.xml", "/x.xml", name.upper(), "x"])] = parts.pop(name)


def _swapped(parts, generator):
    one, other = generator.sample(sorted(parts), 2)
    parts[one], parts[other] = parts[other], parts[one]


def _name(parts, generator):
    targets = [b"#REF!", b"Inputs!$B$6", b"A1:B2", b"", b"'Plant'!$B$7", b"1"]
    change = _one_of(
        rb"(<definedName[^>]*>)[^<]*",
        lambda m, g: m[1] + g.choice(targets),
    )
    parts["xl/workbook.xml"] = change(parts["xl/workbook.xml"], generator)


def _hidden(parts, generator):
    change = _one_of(rb"<sheet ", lambda _m, _g: b'<sheet state="hidden" ')
    parts["xl/workbook.xml"] = change(parts["xl/workbook.xml"], generator)


def _macros(parts, _generator):
    parts["xl/vbaProject.bin"] = b"x" * 100


WHOLE = {
    "a part gone": _without,
    "a part renamed": _renamed,
    "parts swapped": _swapped,
    "a name elsewhere": _name,
    "a sheet hidden": _hidden,
    "macros": _macros,
}
RAW = {"bytes of the file": _flip, "the file cut": _cut, "a hole in the file": _hole}
FILE_MUTATIONS = (*SHEET, *PART, *WHOLE, *RAW)
