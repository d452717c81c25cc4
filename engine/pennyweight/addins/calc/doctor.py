"""Diagnosis of the LibreOffice extension: each fault with its fix."""

import os
import subprocess
import sys
from pathlib import Path

from ..diagnosis import check
from . import install

SECONDS = 60
QUESTION = "import numpy, pennyweight; print(pennyweight.__version__)"
SANDBOXED = ("/snap/", "flatpak")
"""Marks in the path of editions that may not start other programs."""


SYSTEM_PLACES = ("/usr/lib/libreoffice/program", "/usr/lib64/libreoffice/program")
"""Where Linux packages install LibreOffice; the path has only a script."""


def examine():
    """Check LibreOffice, its Python, the extension and the engine.

    Returns
    -------
    checks : list of Check
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
    sandboxed = any(mark in real for mark in SANDBOXED)
    return check("sandboxed LibreOffice" if sandboxed else "LibreOffice", program=real)


def _loader(installer):
    """Check the part of LibreOffice that runs components in Python."""
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
    """Check the Python that the component starts, called as the component does."""
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
