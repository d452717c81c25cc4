"""Hostile packages: refused with a message, within limits of time and memory.

They are read by another process, so that its memory can be measured.
"""

import io
import json
import os
import re
import struct
import subprocess
import sys
import threading
import zipfile
import zlib

import pytest

from pennyweight.errors import WorkbookError
from pennyweight.workbook.package.validation import inspect_package
from pennyweight.workbook.read import read_book

from ..fuzz.files import issued, packed, unpacked
from ..thorough import sampled

SECONDS, MEGABYTES = 5.0, 500
"""Allowed for one file; seconds of the processor, whatever else the machine does."""

READER = """
import json, sys, time
from pennyweight.workbook.inspection.inspect import inspect_book
from tests.memory import peak_megabytes
for line in sys.stdin:
    start = time.process_time()
    found = inspect_book(line.rstrip("\\n"))
    print(json.dumps({
        "outcome": found.outcome,
        "reason": found.reason,
        "seconds": time.process_time() - start,
        "megabytes": peak_megabytes(),
    }), flush=True)
"""


@pytest.fixture(scope="module")
def reader():
    """A process that inspects the files that it is told of, one after the other."""
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    with subprocess.Popen([sys.executable, "-c", READER], env=alone, **pipes) as reader:
        yield reader


def asked(reader, path):
    """What it says of a file; it is ended where it takes more than a minute."""
    guard = threading.Timer(60, reader.kill)
    guard.start()
    reader.stdin.write(f"{path}\n")
    reader.stdin.flush()
    said = reader.stdout.readline()
    guard.cancel()
    assert said, "the reader ended"
    return json.loads(said)


@pytest.fixture
def refused(reader, tmp_path):
    """Refused in these words, by a process that stays within its bounds.

    Its memory is that of all files until now: the bound holds for each of them.
    """

    def refuse(content, *words, suffix=".xlsx"):
        path = tmp_path / f"book{suffix}"
        path.write_bytes(content)
        found = asked(reader, path)
        assert found["outcome"] == "cannot be used", found
        assert all(word in found["reason"] for word in words), found["reason"]
        assert "Error" not in found["reason"]
        assert found["seconds"] < SECONDS and found["megabytes"] < MEGABYTES, found
        assert path.read_bytes() == content

    return refuse


def with_part(name, content):
    return packed({**unpacked(issued("us")), name: content})


def with_sheet(change):
    """The issued book with its sheet of inputs changed."""
    parts = unpacked(issued("us"))
    name = "xl/worksheets/sheet3.xml"
    parts[name] = change(parts[name])
    return packed(parts)


def with_book(change):
    parts = unpacked(issued("us"))
    parts["xl/workbook.xml"] = change(parts["xl/workbook.xml"])
    return packed(parts)


def rows(cells):
    return lambda content: re.sub(
        rb"<sheetData>.*</sheetData>",
        lambda _: b"<sheetData>" + cells + b"</sheetData>",
        content,
        flags=re.DOTALL,
    )


ENTITY = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "%s">]>'
QUADRATIC = ENTITY % (b"b" * 100_000)
OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]>'
ATTRIBUTES = b"<x a='11' b='22' c='33' d='44'/>"


def swelling(prolog, inner):
    def change(content):
        body = content.split(b"?>", 1)[1]
        return prolog + body.replace(b"<sheetData>", b"<sheetData>" + inner, 1)

    return change


HOSTILE = {
    "bomb in a sheet": (
        lambda: with_sheet(rows(b'<row r="1"/>' * 20_000_000)),
        ("unpacks to more",),
    ),
    "bomb in a part of no meaning": (
        lambda: with_part("xl/x.xml", b"<a>" + b" " * 280_000_000 + b"</a>"),
        ("unpacks to more",),
    ),
    "bomb in a picture": (
        lambda: with_part("xl/media/a.png", b"\0" * 400_000_000),
        ("unpacks to more",),
    ),
    "quadratic entities": (
        lambda: with_sheet(
            swelling(QUADRATIC, b"<row><c><v>" + b"&b;" * 50_000 + b"</v></c></row>")
        ),
        ("document type",),
    ),
    "external entity": (
        lambda: with_sheet(swelling(OUTSIDE, b"<row><c><v>&b;</v></c></row>")),
        ("document type",),
    ),
    "entity in UTF-16": (
        lambda: with_part("xl/x.xml", OUTSIDE.decode().encode("utf-16")),
        ("document type",),
    ),
    "entity in UTF-16 without its mark": (
        lambda: with_part("xl/x.xml", OUTSIDE.decode().encode("utf-16-le")),
        ("unusual encoding",),
    ),
    "entity in an odd encoding": (
        lambda: with_part(
            "xl/x.xml",
            b"<?xml version='1.0' encoding='utf-7'?>+ADwAIQ-DOCTYPE a+AD4-<a/>",
        ),
        ("unusual encoding",),
    ),
    "a letter code of mainframes": (
        lambda: with_part("xl/x.xml", OUTSIDE.decode().encode("cp037")),
        ("not XML",),
    ),
    "a part that leads out": (
        lambda: with_part("../../../tmp/x.xml", b"<a/>"),
        ("leads out of the file",),
    ),
    "a part that leads out the other way": (
        lambda: with_part("..\\..\\x.xml", b"<a/>"),
        ("leads out of the file",),
    ),
    "a part of the root": (lambda: with_part("/etc/x.xml", b"<a/>"), ("leads out",)),
    "a part of a drive": (lambda: with_part("C:/x.xml", b"<a/>"), ("leads out",)),
    "three million empty elements": (
        lambda: with_sheet(rows(b"<row>" + b"<x/>" * 3_000_000 + b"</row>")),
        ("more than a workbook should",),
    ),
    "two million attributes": (
        lambda: with_part("xl/styles.xml", b"<a>" + ATTRIBUTES * 400_000 + b"</a>"),
        ("more than a workbook should",),
    ),
    "two million attributes in a row": (
        lambda: with_sheet(rows(b"<row>" + ATTRIBUTES * 600_000 + b"</row>")),
        ("more than a workbook should",),
    ),
    "half a million cells": (
        lambda: with_sheet(
            rows(
                b"".join(
                    b"<row>" + b"<c><v>%d</v></c>" % n * 10 + b"</row>"
                    for n in range(45_000)
                )
            )
        ),
        ("filled cells",),
    ),
    "half a million cells in a row": (
        lambda: with_sheet(
            rows(b"<row>" + b"<c><v>1</v></c>" * 450_000 + b"</row>"),
        ),
        ("address",),
    ),
    "all cells claimed": (
        lambda: with_sheet(
            lambda c: re.sub(
                rb'<dimension ref="[^"]*"', b'<dimension ref="A1:XFD1048576"', c
            )
        ),
        ("claims the cells", "delete the empty rows"),
    ),
    "all cells merged": (
        lambda: with_sheet(
            lambda c: c.replace(
                b"</sheetData>",
                b'</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/>'
                b"</mergeCells>",
            )
        ),
        ("claims the cells",),
    ),
    "a cell beyond the last": (
        lambda: with_sheet(rows(b'<row r="9"><c r="XFE9"><v>1</v></c></row>')),
        ("not an address",),
    ),
    "a row beyond the last": (
        lambda: with_sheet(rows(b'<row r="999999999"><c><v>1</v></c></row>')),
        ("row",),
    ),
    "twenty thousand names": (
        lambda: with_book(
            lambda c: c.replace(
                b"</definedNames>",
                b"".join(
                    b'<definedName name="n%d">1</definedName>' % n
                    for n in range(20_000)
                )
                + b"</definedNames>",
            )
        ),
        ("defined names",),
    ),
    "a thousand sheets": (
        lambda: packed(
            unpacked(issued("us"))
            | {f"xl/worksheets/sheet{n}.xml": b"<a/>" for n in range(1000)}
        ),
        ("sheets",),
    ),
    "three thousand parts": (
        lambda: packed(
            unpacked(issued("us")) | {f"x/{n}.bin": b"" for n in range(3000)}
        ),
        ("unpacks to more",),
    ),
    "elements within elements": (
        lambda: with_sheet(rows(b"<a>" * 100_000 + b"</a>" * 100_000)),
        ("more than a workbook should",),
    ),
    "a million shared texts": (
        lambda: with_part(
            "xl/sharedStrings.xml",
            b"<sst xmlns='http://schemas."
            b"openxmlformats.org/spreadsheetml/2006/main'>"
            + b"<si/>" * 900_000
            + b"</sst>",
        ),
        ("texts",),
    ),
    "OpenDocument": (
        lambda: packed(
            {
                "mimetype": b"application/vnd.oasis.opendocument.spreadsheet",
                "content.xml": b"<a/>",
            }
        ),
        (".ods", "save it as .xlsx"),
    ),
    "password": (
        lambda: (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
            + b"\0" * 1000
            + "EncryptedPackage".encode("utf-16-le")
            + b"\0" * 1000
        ),
        ("password", "remove"),
    ),
    "old format": (
        lambda: (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
            + b"\0" * 1000
            + "Workbook".encode("utf-16-le")
            + b"\0" * 1000
        ),
        (".xls", "save it as .xlsx"),
    ),
    "a letter": (lambda: b"Dear partner, here are my figures.", ("not an .xlsx",)),
}


@pytest.mark.parametrize("name", sampled(HOSTILE, 3))
def test_hostile_packages_are_refused(name, refused):
    make, words = HOSTILE[name]
    refused(make(), *words)


def test_sizes_that_lie(refused):
    """The archive says ten bytes; what comes out is counted all the same."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as package:
        for name, part in unpacked(issued("us")).items():
            package.writestr(name, part)
        package.writestr("xl/x.xml", b"<a>" + b" " * 60_000_000 + b"</a>", 8, 9)
    content = bytearray(target.getvalue())
    start = content.rindex(b"PK\x01\x02")
    content[start + 24 : start + 28] = struct.pack("<I", 10)
    refused(bytes(content), "damaged")


def test_members_that_overlap(refused):
    """Many entries of the directory point to one member, which swells each time."""
    kernel = zlib.compressobj(9, zlib.DEFLATED, -15)
    data = b"<a>" + b" " * 20_000_000 + b"</a>"
    packed_data = kernel.compress(data) + kernel.flush()
    crc = zlib.crc32(data)
    names = [f"xl/{n}.xml".encode() for n in range(100)]
    local = struct.pack(
        "<4s5H3I2H",
        b"PK\x03\x04",
        20,
        0,
        8,
        0,
        0,
        crc,
        len(packed_data),
        len(data),
        len(names[0]),
        0,
    )
    body = local + names[0] + packed_data
    central = b"".join(
        struct.pack(
            "<4s6H3I5H2I",
            b"PK\x01\x02",
            20,
            20,
            0,
            8,
            0,
            0,
            crc,
            len(packed_data),
            len(data),
            len(name),
            0,
            0,
            0,
            0,
            0,
            0,
        )
        + name
        for name in names
    )
    end = struct.pack(
        "<4s4H2IH", b"PK\x05\x06", 0, 0, 100, 100, len(central), len(body), 0
    )
    refused(body + central + end, "unpacks to more")


def test_an_encrypted_member(refused):
    content = bytearray(issued("us"))
    start = content.index(b"PK\x01\x02")
    content[start + 8] |= 1
    refused(bytes(content), "password")


def test_truncated_at_every_kilobyte(tmp_path):
    content = issued("us")
    path = tmp_path / "book.xlsx"
    for size in range(0, len(content), 1024):
        path.write_bytes(content[:size])
        with pytest.raises(WorkbookError, match=r"damaged|not an \.xlsx"):
            read_book(path)


def test_a_missing_end_of_a_kilobyte_more(tmp_path):
    """Cut short by single bytes, too, down to the last one."""
    content = issued("us")
    path = tmp_path / "book.xlsx"
    for missing in range(1, 40):
        path.write_bytes(content[:-missing])
        with pytest.raises(WorkbookError):
            inspect_package(path)


def test_the_pristine_book_passes(tmp_path):
    """The bounds are far from a plain book: the tests above refuse for a reason."""
    path = tmp_path / "book.xlsx"
    path.write_bytes(issued("us"))
    assert inspect_package(path) == path
    path.write_bytes(packed(unpacked(issued("us"))))
    assert read_book(path).units == "us"
