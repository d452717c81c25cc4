"""Looking at a file before it is believed to be a workbook."""

import zipfile
from pathlib import Path

from ..errors import WorkbookError

MOST_BYTES = 50_000_000
MOST_UNPACKED = 300_000_000
MOST_PARTS = 2_000
OLD_FORMAT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def inspect_package(path):
    """Raise unless a file is a plain, unencrypted .xlsx of reasonable size.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        Saying what the file is instead, and what to do.
    """
    path = Path(path)
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            start = file.read(8)
    except FileNotFoundError:
        raise WorkbookError(f"There is no file {path}.") from None
    except OSError as error:
        raise WorkbookError(f"Cannot read {path}: {error.strerror}.") from None
    if start == OLD_FORMAT:
        raise WorkbookError(
            f"{path} has a password or is in the old .xls format: open it, remove the "
            "password, and save it as .xlsx."
        )
    if not start.startswith(b"PK") or not zipfile.is_zipfile(path):
        raise WorkbookError(f"{path} is no .xlsx workbook, or it is damaged.")
    if size > MOST_BYTES:
        raise WorkbookError(f"{path} is larger than {MOST_BYTES // 10**6} MB.")
    _inspect_parts(path)
    return path


def _inspect_parts(path):
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
    except (zipfile.BadZipFile, OSError):
        raise WorkbookError(f"{path} is damaged.") from None
    names = [part.filename for part in parts]
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise WorkbookError(f"{path} unpacks to more than a workbook should.")
    if len(set(names)) < len(names) or any(".." in Path(name).parts for name in names):
        raise WorkbookError(f"{path} holds parts that no workbook has.")
    if "[Content_Types].xml" not in names or "xl/workbook.xml" not in names:
        raise WorkbookError(f"{path} is not an .xlsx workbook.")
