"""Checks of a file before it is read as a workbook.

Nothing is unpacked to disk, and no part is parsed before these checks. They limit the
unpacked size, whatever the zip archive declares, and refuse XML entities, with which a
small file can exhaust memory or read other files.
"""

import codecs
import contextlib
import re
import stat
import zipfile
import zlib
from pathlib import Path

from ...errors import WorkbookError, unreadable

MOST_BYTES = 50_000_000
MOST_UNPACKED = 300_000_000
MOST_PARTS = 2_000
MOST_XML = 100_000_000
MOST_PART = 40_000_000
"""Most bytes of one XML part; the largest of a plain workbook has below one million."""
MOST_SHEETS = 250
MOST_RATIO = 250
"""Largest compression ratio. Sheets have 10 to 50; the limit of deflate is 1032."""

OLD_FORMAT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ENCODINGS = (b"utf-8", b"us-ascii", b"ascii", b"iso-8859-1", b"utf-16")
BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError)
_DECLARED = re.compile(rb"<\?xml[^>]*?encoding\s*=\s*[\"']([^\"']*)[\"']")
_ENCODING = re.compile(r"^(<\?xml[^>]*?encoding\s*=\s*[\"'])[^\"']*")
_CHUNK = 1 << 20


def inspect_package(path):
    """Raise unless a file is a plain, unencrypted .xlsx of reasonable size.

    Every XML part is unpacked once with a limit on its size, and searched for document
    types and entities. Pictures and other parts are not.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        With what the file is instead, and what to do.
    """
    path = Path(path)
    _check_file(path)
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
            _inspect_names(parts, path)
            total = 0
            for part in parts:
                if is_xml(part.filename):
                    content = part_content(package, part, path)
                    total += len(content)
                    inspect_xml(content, part.filename, path)
                    if total > MOST_XML:
                        raise WorkbookError(_too_much(path))
    except (*BROKEN, RuntimeError, ValueError) as error:
        raise _damaged(path, error) from None
    return path


@contextlib.contextmanager
def opened(path):
    """Open a package that passes `inspect_package`, for reading.

    Parameters
    ----------
    path : str or Path

    Yields
    ------
    package : zipfile.ZipFile

    Raises
    ------
    WorkbookError
        As `inspect_package`, and when it turns out damaged while it is read.
    """
    try:
        with zipfile.ZipFile(inspect_package(path)) as package:
            yield package
    except BROKEN as error:
        raise _damaged(path, error) from None


def _damaged(path, error):
    return WorkbookError(f"{path} is damaged ({error}): have it sent again.")


def is_xml(name):
    """Whether a part is XML, by the ending of its name."""
    return name.lower().endswith((".xml", ".rels", ".vml"))


def part_content(package, part, path):
    """Unpack a part, at most `MOST_PART` bytes of it.

    Parameters
    ----------
    package : zipfile.ZipFile
    part : zipfile.ZipInfo or str
    path : Path
        For the message.

    Returns
    -------
    content : bytes
    """
    pieces, length = [], 0
    with package.open(part) as stream:
        while piece := stream.read(_CHUNK):
            pieces.append(piece)
            length += len(piece)
            if length > MOST_PART:
                raise WorkbookError(_too_much(path))
    return b"".join(pieces)


def _check_file(path):
    try:
        status = path.stat()
        size = status.st_size
        if not stat.S_ISREG(status.st_mode) and not stat.S_ISDIR(status.st_mode):
            raise WorkbookError(f"{path} is a device or a pipe, not a file.")
        with path.open("rb") as file:
            start = file.read(4096)
    except OSError as error:
        raise WorkbookError(unreadable(path, error)) from None
    except ValueError as error:
        raise WorkbookError(f"Cannot read {path}: {error}.") from None
    if start.startswith(OLD_FORMAT):
        raise WorkbookError(_compound_words(path))
    if not size:
        raise WorkbookError(
            f"{path} is empty, so it is not an .xlsx workbook. Have it sent again."
        )
    if not start.startswith(b"PK"):
        raise WorkbookError(f"{path} is not an .xlsx workbook. Save it as .xlsx.")
    if size > MOST_BYTES:
        raise WorkbookError(f"{path} is larger than {MOST_BYTES // 10**6} MB.")
    if not zipfile.is_zipfile(path):
        raise WorkbookError(
            f"{path} is damaged, its end is missing: have it sent again."
        )


def _compound_words(path):
    """The message for an encrypted .xlsx or an old .xls: both are compound files."""
    with path.open("rb") as file:
        content = file.read(MOST_BYTES)
    if "EncryptedPackage".encode("utf-16-le") in content:
        return (
            f"{path} has a password: open it in a spreadsheet program, remove the "
            "password, and save it again."
        )
    return (
        f"{path} is in the old .xls format, has a password or is damaged: open it "
        "in a spreadsheet program and save it as .xlsx, without a password."
    )


def _inspect_names(parts, path):
    names = [part.filename for part in parts]
    if "mimetype" in names and "content.xml" in names:
        raise WorkbookError(f"{path} is an OpenDocument file (.ods): save it as .xlsx.")
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise WorkbookError(_too_much(path))
    folded = {name.lower() for name in names}
    if len(folded) < len(names):
        raise WorkbookError(
            f"{path} holds parts that no workbook has: {_twice(names)!r} is there "
            "twice. Do not use it."
        )
    for part in parts:
        _inspect_part(part, path)
    if not {"[content_types].xml", "xl/workbook.xml"} <= folded:
        raise WorkbookError(f"{path} is not an .xlsx workbook: save it as .xlsx.")
    if sum(name.startswith("xl/worksheets/sheet") for name in folded) > MOST_SHEETS:
        raise WorkbookError(f"{path} has more than {MOST_SHEETS} sheets.")


def _inspect_part(part, path):
    name = part.filename
    steps = name.replace("\\", "/").split("/")
    if ".." in steps or name.startswith(("/", "\\")) or ":" in name or "\0" in name:
        raise WorkbookError(
            f"{path} holds parts that no workbook has: {name!r} leads out of the "
            "file. Do not use it."
        )
    if part.flag_bits & 1:
        raise WorkbookError(f"{path} has a password: save it again without one.")
    if part.file_size > 1_000_000 and part.file_size > MOST_RATIO * part.compress_size:
        raise WorkbookError(_too_much(path))
    if is_xml(name) and part.file_size > MOST_PART:
        raise WorkbookError(_too_much(path))


def _twice(names):
    seen = set()
    return next(
        name for name in names if name.lower() in seen or seen.add(name.lower())
    )


def _too_much(path):
    return (
        f"{path} unpacks to more than a workbook should. Delete sheets and pictures "
        "that do not belong to it, or do not use it."
    )


def as_utf8(content, where):
    """Convert a part from the encoding that it declares to UTF-8.

    Parameters
    ----------
    content : bytes
    where : str
        For the message.

    Returns
    -------
    content : bytes
        Unchanged if it is in UTF-8 already.

    Raises
    ------
    WorkbookError
        When it is not in the encoding that it declares.
    """
    declared = _DECLARED.match(content.removeprefix(codecs.BOM_UTF8))
    encoding = declared[1].lower().decode("ascii", "replace") if declared else "utf-8"
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    if encoding == "utf-8" or content.startswith(codecs.BOM_UTF8):
        return content
    try:
        text = content.decode(encoding)
    except (LookupError, UnicodeError):
        raise WorkbookError(
            f"{where} is damaged: it is not in the encoding {encoding}."
        ) from None
    return _ENCODING.sub(r"\1UTF-8", text, count=1).encode()


def inspect_xml(content, name, path):
    """Refuse document types, entities, and encodings that could hide them."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        content = content.decode("utf-16", "replace").encode()
    elif b"\0" in content:
        raise WorkbookError(f"{path} holds {name} in an unusual encoding.")
    declared = _DECLARED.match(content.removeprefix(codecs.BOM_UTF8))
    if declared and declared[1].lower() not in ENCODINGS:
        raise WorkbookError(f"{path} holds {name} in an unusual encoding.")
    if content and content.removeprefix(codecs.BOM_UTF8).lstrip()[:1] != b"<":
        raise WorkbookError(f"{path} is damaged: {name} is not XML.")
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise WorkbookError(
            f"{path} holds {name} with a document type, which no spreadsheet program "
            "writes: do not use it."
        )
