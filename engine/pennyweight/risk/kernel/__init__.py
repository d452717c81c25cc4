"""The model compiled: its lines as one function over many trials.

`make_kernel` traces the lines that the results need, writes them as one loop, and
compiles it with numba. The equations are those of `pennyweight.model`, not a copy.
"""

import functools

import numpy as np

from ...model.allowed import complete
from ...model.inputs import INPUTS
from ...model.mill_model import MODEL
from ...model.run import run
from ..figures import MONEY, MONTHLY
from ..funding_shortfall import SHORTFALL_LINES
from ..ranges import uncertain
from .build import compiled
from .order import NoKernel
from .source import Source

__all__ = ["Kernel", "NoKernel", "make_kernel"]

STANDARD = (*MONEY, *MONTHLY, "verdict", "funding_shortfall")
"""Results of the standard kernel, which is used if it has all results wanted."""

WORTH_COMPILING = 16_384
"""Trials from which compiling saves a report more time than it takes."""


class Kernel:
    """The compiled model for the trials of a study.

    Parameters
    ----------
    study : Study
    results : tuple of str
    funds : float
    wait : bool
        Whether to compile if there is no cached kernel.

    Attributes
    ----------
    source : str
    """

    def __init__(self, study, results, funds=0.0, wait=True):
        self.study, self.asked = study, tuple(results)
        self.results = STANDARD if set(results) <= set(STANDARD) else self.asked
        # One kernel serves all studies in which only inputs with a range vary.
        example = complete({}, study.units)
        usual = set(uncertain(example, study.units)) | {"gold_price"}
        self.inputs = tuple(
            name for name in INPUTS if name in usual or name in study.distributions
        )
        made = _kernel_source(self.inputs, self.results)
        self.source, self.kinds, self.texts = made.text, made.kinds, dict(made.texts)
        self.function = compiled(self.source, wait)
        self._fill(made, funds)

    def _fill(self, made, funds):
        """Calculate beforehand what is the same in all trials."""
        asked = {*made.scalars, *made.rows, *self.results} - self.kinds.keys()
        asked -= {"funds", *SHORTFALL_LINES}
        values = run(self.study.inputs, self.study.units, wanted=asked)
        values["funds"] = funds
        for name, axis in MODEL.axes.items():
            values[name] = np.asarray(axis.values)
        self.fixed = {name: values[name] for name in self.results if name in asked}
        self.scalars = np.array(
            [self._encoded(values[name])[()] for name in made.scalars] or [0.0]
        )
        length = max((len(values[name]) for name in made.rows), default=1)
        self.rows = np.zeros((max(len(made.rows), 1), length))
        for place, name in enumerate(made.rows):
            self.rows[place, : len(values[name])] = self._encoded(values[name])

    def _encoded(self, values):
        """Numbers unchanged; texts by their code."""
        values = np.asarray(values)
        if values.dtype.kind not in "US":
            return values.astype(float)
        codes = [self.texts.setdefault(word, len(self.texts)) for word in values.flat]
        return np.array(codes, float).reshape(values.shape)

    def __call__(self, block):
        """Results of a block of trials; see `evaluate.Evaluator`."""
        values = np.empty((len(self.inputs), block.count))
        for place, name in enumerate(self.inputs):
            values[place] = block.values.get(name, self.study.inputs[name])
        prices = block.prices
        if prices is None:  # the same in every month
            flat = values[self.inputs.index("gold_price")]
            prices = np.tile(flat, (len(MODEL.axes["month"]), 1))
        out = np.empty((len(self.results), block.count))
        rows = np.ascontiguousarray(prices)
        self.function(values, rows, self.scalars, self.rows, out)
        return {
            name: self._result(name, out[place])
            for place, name in enumerate(self.results)
            if name in self.asked
        }

    def _result(self, name, row):
        if name not in self.kinds:
            return np.broadcast_to(self.fixed[name], row.shape)
        if self.kinds[name] != "text":
            return row
        words = np.array(sorted(self.texts, key=self.texts.get))
        return words[row.astype(int)]


@functools.lru_cache(maxsize=8)
def _kernel_source(inputs, results):
    """Source of the kernel for given results."""
    return Source({**MODEL.lines, **SHORTFALL_LINES}, inputs, results)


def make_kernel(study, results, funds, trials):
    """Make a kernel, if it saves time.

    Parameters
    ----------
    study : Study
    results : tuple of str
    funds : float
    trials : int

    Returns
    -------
    kernel : Kernel

    Raises
    ------
    NoKernel
        With the reason.
    """
    if not study.distributions and not study.path:
        raise NoKernel("nothing varies")
    return Kernel(study, results, funds, trials >= WORTH_COMPILING)
