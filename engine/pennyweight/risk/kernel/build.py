"""Compile a kernel's source, and cache it on disk."""

import functools
import hashlib
import importlib.util
import os
import sys
import tempfile
from pathlib import Path

from .order import NoKernel


def folder():
    """Folder of compiled kernels, in the user's cache."""
    if os.environ.get("PENNYWEIGHT_CACHE"):
        return Path(os.environ["PENNYWEIGHT_CACHE"])
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "pennyweight" / "kernels"


ARRAY = "f8[:, ::1]"
SIGNATURE = f"void({ARRAY}, {ARRAY}, f8[::1], {ARRAY}, {ARRAY})"
"""Arguments of a kernel: varied inputs, prices, scalars, rows, results."""


def compiled(source, wait=True):
    """Compile a source, or load it from the cache.

    Parameters
    ----------
    source : str
        With one function, ``kernel``.
    wait : bool
        Whether to compile if there is nothing in the cache.

    Returns
    -------
    kernel : callable

    Raises
    ------
    NoKernel
        If numba is missing, or nothing is cached and ``wait`` is false.
    """
    if importlib.util.find_spec("numba") is None:
        raise NoKernel("numba is not installed (pip install 'pennyweight[fast]')")
    name = "kernel_" + hashlib.sha256(source.encode()).hexdigest()[:20]
    place = folder() / f"{name}.py"
    if not wait and not any((folder() / "__pycache__").glob(f"{name}*.nbi")):
        raise NoKernel("so few trials are not worth compiling for")
    try:
        _write(place, source)
        return _loaded(place)
    except Exception:  # the folder cannot be written, or the cache is damaged
        return _compile(in_memory(source), cache=False)


@functools.lru_cache(maxsize=8)
def _loaded(place):
    """A cached kernel, loaded once: a report needs the same one several times."""
    return _compile(_module(place).kernel, cache=True)


def _compile(function, cache):
    import numba

    options = {"nogil": True, "error_model": "numpy", "fastmath": False}
    return numba.njit(SIGNATURE, cache=cache, **options)(function)


def _write(place, source):
    """Write the source atomically; another process may do the same."""
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
    # Numba's cache looks for the module by this name.
    sys.modules[place.stem] = module
    spec.loader.exec_module(module)
    return module


def in_memory(source):
    """The function of a source, run by Python: slow, but with the same results."""
    names = {}
    exec(compile(source, "<kernel>", "exec"), names)
    return names["kernel"]
