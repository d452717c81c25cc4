"""Try the built wheel and source archive: what they hold, and that the wheel works.

``python tests/dist.py DIST``, after ``python -m build``.
"""

import os
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from pathlib import Path

IN_SOURCE = (
    ".ci/run",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "Makefile",
    "README.md",
    "constraints.txt",
    "docs/sharing.md",
    "docs/pictures/answer.png",
    "tests/conftest.py",
    "tests/published/bond_1961.py",
    "tests/books/0.1.0/us.xlsx",
    "workbooks/season-contract/lots.csv",
)


def check_source(archive):
    """The source archive holds all that the tests and the pages need."""
    with tarfile.open(archive) as tar:
        names = {name.partition("/")[2] for name in tar.getnames()}
    lacking = [name for name in IN_SOURCE if name not in names]
    assert not lacking, f"{archive} lacks {', '.join(lacking)}"


def check_wheel(wheel):
    """The wheel holds the package alone, and writes and judges a workbook."""
    with zipfile.ZipFile(wheel) as package:
        names = package.namelist()
    assert "pennyweight/model/inputs.csv" in names
    strange = {name.split("/")[0] for name in names} - {"pennyweight"}
    assert all(name.endswith(".dist-info") for name in strange), strange
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "installed"
        pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps"]
        subprocess.run([*pip, "--target", place, wheel], check=True)
        search = {**os.environ, "PYTHONPATH": str(place)}
        for words in (["new", "claim.xlsx", "--example"], ["judge", "claim.xlsx"]):
            command = [sys.executable, place / "bin" / "pennyweight", *words]
            subprocess.run(
                command, check=True, cwd=folder, env=search, stdout=subprocess.DEVNULL
            )


def main(folder):
    """Check the newest of each in the folder."""

    def newest(pattern):
        return max(Path(folder).glob(pattern), key=lambda path: path.stat().st_mtime)

    check_source(newest("*.tar.gz"))
    check_wheel(newest("*.whl"))
    print("The wheel and the source archive are complete; the wheel works.")


if __name__ == "__main__":
    main(sys.argv[1])
