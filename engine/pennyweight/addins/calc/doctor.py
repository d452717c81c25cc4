"""Looking for what keeps the functions out of Calc, each finding with its mend."""

import os
import subprocess
import sys
from pathlib import Path

from ..findings import Check
from . import install

SECONDS = 60
QUESTION = "import numpy, pennyweight; print(pennyweight.__version__)"
BOXED = ("/snap/", "flatpak")
"""Editions that may not start programs of the system."""


SYSTEM_PLACES = ("/usr/lib/libreoffice/program", "/usr/lib64/libreoffice/program")
"""Where a system's own packages lay LibreOffice, behind a script on the path."""


def examine():
    """Look at LibreOffice, its Python, the extension and the engine.

    Returns
    -------
    findings : list of Check
    """
    installer = install.unopkg()
    findings = [_office(installer)]
    if installer is not None:
        findings += [_loader(installer), _extension(installer)]
    return [*findings, _engine()]


def _office(installer):
    if installer is None:
        return Check(
            "LibreOffice",
            "ill",
            "not found",
            "Install it from libreoffice.org (Debian: apt install libreoffice-calc "
            "python3-uno), or set PENNYWEIGHT_UNOPKG to its program unopkg.",
        )
    real = str(installer.resolve())
    if any(mark in real for mark in BOXED):
        return Check(
            "LibreOffice",
            "ill",
            f"{real} is a boxed edition, which may not start Python",
            "Install LibreOffice from libreoffice.org or the system's own packages.",
        )
    return Check("LibreOffice", "well", real)


def _loader(installer):
    """The part that lets LibreOffice run a component in Python."""
    folder = installer.resolve().parent
    inner = (folder, folder.parent / "Resources", folder.parent / "program")
    places = (*inner, *(Path(place) for place in SYSTEM_PLACES))
    if any((place / "pythonloader.py").exists() for place in places):
        return Check("Python in LibreOffice", "well", "there")
    return Check(
        "Python in LibreOffice",
        "ill",
        "its loader is missing",
        "Debian and Ubuntu: apt install python3-uno. Elsewhere: install LibreOffice "
        "again with all its parts.",
    )


def _extension(installer):
    try:
        done = subprocess.run(
            [str(installer), "list", *install.scope(install.is_root())],
            capture_output=True,
            text=True,
            timeout=SECONDS,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        return Check("Extension", "mind", f"could not be asked for ({error})")
    if "pennyweight.functions" in done.stdout:
        return Check("Extension", "well", "installed")
    return Check("Extension", "ill", "not installed", "Run: pennyweight calc install")


def _engine():
    """The Python that the component starts, asked as the component asks it."""
    python = os.environ.get("PENNYWEIGHT_PYTHON") or install.remembered()
    if python is None:
        return Check(
            "Engine",
            "ill",
            "no Python is written down for it",
            "Run: pennyweight calc install",
        )
    if not Path(python).exists():
        return Check(
            "Engine",
            "ill",
            f"{python} is not there any more",
            "Run: pennyweight calc install, from the Python that has pennyweight.",
        )
    try:
        done = subprocess.run(
            [python, "-c", QUESTION], capture_output=True, text=True, timeout=SECONDS
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        return Check("Engine", "ill", f"{python} does not start ({error})", "")
    if done.returncode != 0:
        last = (done.stderr.strip().splitlines() or ["no word"])[-1]
        return Check(
            "Engine",
            "ill",
            f"{python}: {last}",
            f"Run: {python} -m pip install pennyweight, or pennyweight calc install "
            f"from {sys.executable}.",
        )
    return Check("Engine", "well", f"{done.stdout.strip()}, {python}")
