"""Compiling a kernel's source, and keeping what was compiled for the next time."""

import functools
import hashlib
import importlib.util
import os
import sys
import tempfile
from pathlib import Path

from .order import NoKernel


def folder():
    """Where compiled kernels are kept: the user's cache."""
    if os.environ.get("PENNYWEIGHT_CACHE"):
        return Path(os.environ["PENNYWEIGHT_CACHE"])
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "pennyweight" / "kernels"


ARRAY = "f8[:, ::1]"
SIGNATURE = f"void({ARRAY}, {ARRAY}, f8[::1], {ARRAY}, {ARRAY})"
"""Of a kernel: varied inputs, prices, scalars, rows, and room for the results."""


def compiled(source, wait=True, signature=SIGNATURE):
    """Compile a source, or take what was compiled before.

    Parameters
    ----------
    source : str
        With one function, ``kernel``.
    wait : bool
        Whether to compile where nothing is kept.
    signature : str
        Of the function, in numba's words.

    Returns
    -------
    kernel : callable

    Raises
    ------
    NoKernel
        Where numba is missing, or nothing is kept and ``wait`` is false.
    """
    if importlib.util.find_spec("numba") is None:
        raise NoKernel("numba is not installed (pip install 'pennyweight[fast]')")
    name = "kernel_" + hashlib.sha256(source.encode()).hexdigest()[:20]
    place = folder() / f"{name}.py"
    if not wait and not any((folder() / "__pycache__").glob(f"{name}*.nbi")):
        raise NoKernel("so few trials are not worth compiling for")
    try:
        _keep(place, source)
        return _loaded(place, signature)
    except Exception:  # a folder that cannot be written, or what was kept is spoilt
        return _compile(in_memory(source), signature, cache=False)


@functools.lru_cache(maxsize=8)
def _loaded(place, signature):
    """What is kept, loaded once: a report asks for the same kernel several times."""
    return _compile(_module(place).kernel, signature, cache=True)


def _compile(function, signature, cache):
    import numba

    options = {"nogil": True, "error_model": "numpy", "fastmath": False}
    return numba.njit(signature, cache=cache, **options)(function)


def _keep(place, source):
    """Write the source, whole or not at all; another process may do so too."""
    if place.exists() and place.read_text("utf-8") == source:
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    handle, scratch = tempfile.mkstemp(".part", place.stem, place.parent)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(source)
    os.replace(scratch, place)


def _module(place):
    spec = importlib.util.spec_from_file_location(place.stem, place)
    module = importlib.util.module_from_spec(spec)
    # What numba kept asks for the module by this name.
    sys.modules[place.stem] = module
    spec.loader.exec_module(module)
    return module


def in_memory(source):
    """The function of a source as Python runs it: slow, and the same."""
    names = {}
    exec(compile(source, "<kernel>", "exec"), names)
    return names["kernel"]
