"""Named functions (LAMBDA) added to a copy of a workbook.

Only the part with the defined names changes; every other part stays byte for byte.
"""

import io
import re
import zipfile
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from ..errors import WorkbookError
from ..workbook.files import (
    refuse_inputs,
    refuse_other_ending,
    scratch_folder,
    write_whole,
)
from ..workbook.package.patch import refuse_signed
from ..workbook.package.validation import opened
from .lambdas import lambdas

PART = "xl/workbook.xml"
BEFORE = re.compile(
    "<(?:calcPr|oleSize|customWorkbookViews|pivotCaches|smartTagPr|smartTagTypes"
    "|webPublishing|fileRecoveryPr|webPublishObjects|extLst)[ />]|</workbook>"
)
"""Elements that may follow the defined names in the workbook part."""


def write_with_functions(plan, path, force=False):
    """Write a plan as a workbook with the trade functions as named functions.

    Parameters
    ----------
    plan : Plan
    path : str or Path
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path
    """
    plan.may_write(path, force)
    with scratch_folder() as folder:
        return add_functions(plan.write(folder / "bare.xlsx"), path, force)


def add_functions(path, output, force=False):
    """Write a copy of a workbook with the named functions.

    Parameters
    ----------
    path, output : str or Path
        The workbook, which stays as it is, and the copy.
    force : bool
        Whether a copy that is there already may be replaced.

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        When the file is not a workbook, is signed, or has its defined names in a form
        that cannot be extended.
    """
    refuse_other_ending(Path(output))
    refuse_inputs([output], [path])
    with opened(path) as package:
        refuse_signed(package, path)
        if PART not in package.namelist():
            raise WorkbookError(f"{path}: save it in Excel first, then try again.")
        content = with_functions(package, path)
    return write_whole(output, content, force)


def with_functions(package, path):
    """The bytes of an open package, with the functions among its defined names.

    Parameters
    ----------
    package : zipfile.ZipFile
    path : object
        The workbook, for messages.

    Returns
    -------
    content : bytes
    """
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as copy:
        for item in package.infolist():
            content = package.read(item)
            content = _with_names(content, path) if item.filename == PART else content
            copy.writestr(item, content)
    return target.getvalue()


def _with_names(content, path):
    text = content.decode("utf-8-sig")
    text = re.sub('<definedName name="DWT_[^"]*"[^>]*>[^<]*</definedName>', "", text)
    entries = "".join(
        f"<definedName name={quoteattr(name)} comment={quoteattr(function.comment)}>"
        f"{escape(function.text)}</definedName>"
        for name, function in lambdas().items()
    )
    if "</definedNames>" in text:
        head, _, tail = text.partition("</definedNames>")
        return f"{head}{entries}</definedNames>{tail}".encode()
    text = re.sub("<definedNames */>", "", text)
    place = BEFORE.search(text, max(text.find("</sheets>"), 0))
    if "</sheets>" not in text or place is None:
        raise WorkbookError(f"{path}: save it in Excel first, then try again.")
    listed = f"<definedNames>{entries}</definedNames>"
    return (text[: place.start()] + listed + text[place.start() :]).encode()
