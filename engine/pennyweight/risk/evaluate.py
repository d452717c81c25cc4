"""Evaluate the model over many trials, by NumPy or by the compiled kernel."""

import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np

from ..model.run import run
from .funding_shortfall import SHORTFALL_LINES, add_shortfall, needed_by

PART = 1024
"""Trials that NumPy calculates together: their rows fit the processor's cache."""


class Evaluator:
    """Calculates results of the model for blocks of trials.

    Parameters
    ----------
    study : Study
    results : tuple of str
        Single lines of the model, or of `funding_shortfall.SHORTFALL_LINES`.
    funds : float
        Cash available, $.
    trials : int
        Number of trials to come; compiling does not pay for few.

    Attributes
    ----------
    method : str
        ``kernel`` if numba is installed and it saves time, else ``numpy``; ``reason``
        says why not the kernel.
    """

    def __init__(self, study, results, funds=0.0, trials=10**6):
        from .kernel import NoKernel, make_kernel

        self.study, self.results, self.funds = study, tuple(results), float(funds)
        self.method, self.reason, self.kernel = "kernel", "", None
        try:
            self.kernel = make_kernel(study, self.results, self.funds, trials)
        except NoKernel as error:
            self.method, self.reason = "numpy", str(error)

    def __call__(self, block):
        """Results of a block of trials.

        Parameters
        ----------
        block : draws.Trials

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
        """Compare the kernel with the model on some trials; use NumPy if they differ.

        The model's own functions check their arguments; the kernel does not. This also
        detects inputs that contradict one another.

        Parameters
        ----------
        block : draws.Trials
            Some trials.

        Raises
        ------
        BadValue
            For inputs that the model refuses.
        """
        if self.kernel is None:
            return
        found = self(block)
        expected = self._part(block, slice(None))
        for name in self.results:
            if not _nearly_equal(found[name], expected[name]):
                self.kernel, self.method = None, "numpy"
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
        if any(name in SHORTFALL_LINES for name in self.results):
            add_shortfall(found, self.funds)
        return {name: np.broadcast_to(found[name], (size,)) for name in self.results}


def _nearly_equal(first, second):
    if first.dtype.kind in "US":
        return bool(np.all(first == second))
    size = np.maximum(np.nanmax(np.abs(second), initial=0), 1e-12)
    return np.allclose(first, second, rtol=1e-9, atol=1e-10 * size, equal_nan=True)


def cores():
    """Number of cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def over_cores(task, items, workers=None, processes=False, stop=None):
    """Run a task for every item on several cores; results come in order.

    An interrupt cancels the tasks that have not started.

    Parameters
    ----------
    task : callable
    items : iterable
    workers : int, optional
        Default: all cores; one if each process would run the user's script again.
    processes : bool
        Whether to use processes instead of threads: for tasks that hold the
        interpreter's lock, such as NumPy on small arrays. The kernel releases it.
    stop : threading.Event, optional
        Set after an interrupt, so that running threads can stop.

    Yields
    ------
    answer : object
    """
    if workers is None:
        forked = multiprocessing.get_start_method() == "fork"
        workers = 1 if processes and not forked else cores()
    if workers == 1:
        yield from map(task, items)
        return
    pool = (ProcessPoolExecutor if processes else ThreadPoolExecutor)(workers)
    try:
        yield from pool.map(task, items)
    except BaseException:
        if stop:
            stop.set()
        raise
    finally:
        pool.shutdown(cancel_futures=True)
