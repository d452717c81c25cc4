"""The model over many trials: the full one, by NumPy or by the compiled kernel."""

import os
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np

from ..errors import CallError
from ..model.run import run
from .funding_shortfall import SHORTAGE, add_shortage, needed_by

STOP = threading.Event()
"""Set when what was asked for is no longer wanted; tasks look at it."""

PART = 1024
"""Trials worked out together by NumPy: their rows stay in the cache."""

WAYS = ("auto", "numpy", "kernel")


class Evaluator:
    """Gives results of the model for blocks of trials.

    Parameters
    ----------
    study : Study
    results : tuple of str
        Single lines of the model, or of `shortage.SHORTAGE`.
    funds : float
        Money at hand.
    way : {"auto", "numpy", "kernel"}
        ``auto`` takes the kernel where numba is installed and it pays.
    trials : int
        How many trials there will be; few are not worth compiling for.

    Attributes
    ----------
    way : str
        What was taken: ``kernel``, or ``numpy`` and, in ``reason``, why.
    """

    def __init__(self, study, results, funds=0.0, way="auto", trials=10**6):
        if way not in WAYS:
            raise CallError(f"There is no way {way!r}; use {', '.join(WAYS)}.")
        self.study, self.results, self.funds = study, tuple(results), float(funds)
        self.way, self.reason, self.kernel = "numpy", "asked for", None
        if way != "numpy":
            self._take_kernel(way, trials)

    def _take_kernel(self, way, trials):
        from .kernel import NoKernel, make_kernel

        try:
            self.kernel = make_kernel(
                self.study, self.results, self.funds, trials, way == "kernel"
            )
            self.way, self.reason = "kernel", ""
        except NoKernel as error:
            self.reason = str(error)
            if way == "kernel":
                raise CallError(f"No kernel: {error}") from None

    def __call__(self, block):
        """Work out the results of a block of trials.

        Parameters
        ----------
        block : draws.Block

        Returns
        -------
        results : dict of str to ndarray
        """
        if self.kernel is not None:
            return self.kernel(block)
        count = block.count
        parts = [
            self._part(block, slice(start, start + PART))
            for start in range(0, count, PART)
        ]
        return {name: np.concatenate([p[name] for p in parts]) for name in self.results}

    def verify(self, block):
        """Hold the kernel to the model on some trials; leave it if they differ.

        The model's own functions refuse what they cannot take, which the kernel does
        not: so this also tells of inputs that do not go together.

        Parameters
        ----------
        block : draws.Block
            Few trials.

        Raises
        ------
        BadValue
            For what the model cannot take.
        """
        if self.kernel is None:
            return
        found = self(block)
        plain = self._part(block, slice(None))
        for name in self.results:
            if not _alike(found[name], plain[name]):
                self.kernel, self.way = None, "numpy"
                self.reason = f"the kernel's {name} differs from the model's"
                return

    def _part(self, block, place):
        values = {name: value[place] for name, value in block.values.items()}
        size = len(range(*place.indices(block.count)))
        rows = {} if block.prices is None else {"gold_price": block.prices[:, place]}
        found = run(
            {**self.study.inputs, **values},
            self.study.units,
            wanted=needed_by(self.results),
            monthly=rows,
        )
        if any(name in SHORTAGE for name in self.results):
            add_shortage(found, self.funds, self.results)
        return {name: np.broadcast_to(found[name], (size,)) for name in self.results}


def _alike(first, second):
    if first.dtype.kind in "US":
        return bool(np.all(first == second))
    size = np.maximum(np.nanmax(np.abs(second), initial=0), 1e-12)
    return np.allclose(first, second, rtol=1e-9, atol=1e-10 * size, equal_nan=True)


def cores():
    """How many cores there are for us."""
    return (
        len(os.sched_getaffinity(0))
        if hasattr(os, "sched_getaffinity")
        else (os.cpu_count() or 1)
    )


def over_cores(task, items, workers=None, processes=False):
    """Do a task for every item over the cores; the answers come in order.

    An interrupt stops what has not begun.

    Parameters
    ----------
    task : callable
    items : iterable
    workers : int, optional
    processes : bool
        Where the task holds the interpreter's lock: NumPy on small arrays does, the
        kernel does not.

    Yields
    ------
    answer : object
    """
    workers = workers or cores()
    STOP.clear()
    if workers == 1:
        yield from map(task, items)
        return
    pool = (ProcessPoolExecutor if processes else ThreadPoolExecutor)(workers)
    try:
        yield from pool.map(task, items)
    except BaseException:
        STOP.set()
        raise
    finally:
        pool.shutdown(cancel_futures=True)
