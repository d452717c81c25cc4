"""Looking for what keeps the functions out of Calc, each finding with its mend."""

import os
import subprocess
import sys
from pathlib import Path

from ..findings import check
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
        return check("no LibreOffice")
    real = str(installer.resolve())
    boxed = any(mark in real for mark in BOXED)
    return check("boxed LibreOffice" if boxed else "LibreOffice", program=real)


def _loader(installer):
    """The part that lets LibreOffice run a component in Python."""
    folder = installer.resolve().parent
    inner = (folder, folder.parent / "Resources", folder.parent / "program")
    places = (*inner, *(Path(place) for place in SYSTEM_PLACES))
    there = any((place / "pythonloader.py").exists() for place in places)
    return check("loader" if there else "no loader")


def _extension(installer):
    try:
        done = _run([str(installer), "list", *install.scope(install.is_root())])
    except (OSError, subprocess.TimeoutExpired) as error:
        return check("unknown extension", error=error)
    there = "pennyweight.functions" in done.stdout
    return check("extension" if there else "no extension")


def _engine():
    """The Python that the component starts, asked as the component asks it."""
    python = os.environ.get("PENNYWEIGHT_PYTHON") or install.remembered()
    if python is None:
        return check("no engine")
    if not Path(python).exists():
        return check("engine moved", python=python)
    try:
        done = _run([python, "-c", QUESTION])
    except (OSError, subprocess.TimeoutExpired) as error:
        return check("engine does not start", python=python, error=error)
    if done.returncode != 0:
        last = (done.stderr.strip().splitlines() or ["no word"])[-1]
        here = sys.executable
        return check(
            "engine without pennyweight", python=python, error=last, executable=here
        )
    return check("engine", version=done.stdout.strip(), python=python)


def _run(order):
    return subprocess.run(order, capture_output=True, text=True, timeout=SECONDS)
