"""Where functions cross zero, all of them narrowed together.

A run of the model takes about as long for a hundred values as for one. So each round
tries many values in every bracket, most of them close about the secant's estimate.
"""

import numpy as np

EVEN = np.linspace(0, 1, 17)
"""Places between the ends that the first round tries."""
LADDER = 2.0 ** -np.array([3, 5, 8, 12, 17, 23, 30, 38, 47])
"""How far about the estimate later rounds try, as parts of the bracket."""
SIEVE = np.linspace(0, 1, 9)
"""Places that later rounds try besides, for functions that jump."""
CLOSE = 4 * np.finfo(float).eps
"""Width of a bracket, as part of its ends, that is narrow enough."""
SMALLEST = np.finfo(float).tiny
"""Width that cannot be divided any more, where a function jumps beside zero."""


def crossings(function, low, high):
    """Find where functions cross zero between two ends.

    Parameters
    ----------
    function : callable
        Takes values and, in an array of the same length, which bracket each is of.
    low, high : array
        Ends of the brackets; at them the signs differ.

    Returns
    -------
    values, left : ndarray
        The crossings, and the function's values there; not-a-number for a bracket
        whose ends have the same sign.
    """
    ends = np.column_stack([low, high]).astype(float)
    which = np.arange(len(ends))
    values, left = np.full((2, len(ends)), np.nan)
    tried = _at(ends, np.tile(EVEN, (len(ends), 1)))
    found = _all_of(function, tried, which)
    found[np.sign(found[:, 0]) * np.sign(found[:, -1]) > 0] = np.nan
    while True:
        ends, errors = _narrowed(tried, found)
        rows, nearer = np.arange(len(which)), np.argmin(np.abs(errors), axis=1)
        values[which], left[which] = ends[rows, nearer], errors[rows, nearer]
        wide = np.ptp(ends, axis=1) > CLOSE * np.abs(values[which]) + SMALLEST
        wide &= np.all(np.abs(errors) > 0, axis=1)
        if not np.any(wide):
            return values, left
        which, errors = which[wide], errors[wide]
        tried = _at(ends[wide], _shares(errors))
        found = _all_of(function, tried, which)


def _all_of(function, tried, which):
    """The functions' values at a table of places, one row a bracket."""
    of_rows = np.repeat(which, tried.shape[1])
    return np.reshape(function(tried.ravel(), of_rows), tried.shape)


def _narrowed(tried, found):
    """Two neighbours in each row between which the sign first changes, if it does."""
    signs = np.sign(found)
    change = signs[:, :-1] * signs[:, 1:] <= 0
    first = np.argmax(change, axis=1)[:, None] + [0, 1]
    ends, errors = (np.take_along_axis(t, first, axis=1) for t in (tried, found))
    met = np.any(change, axis=1, keepdims=True)
    return np.where(met, ends, np.nan), np.where(met, errors, np.nan)


def _shares(errors):
    """Parts of each bracket to try, in rising order, its two ends among them."""
    # Half of each, so that the difference of two large errors stays finite.
    half = errors / 2
    estimate = half[:, :1] / (half[:, :1] - half[:, 1:])
    even = np.broadcast_to(SIEVE, (len(errors), len(SIEVE)))
    shares = np.hstack([estimate - LADDER, estimate, estimate + LADDER, even])
    return np.sort(np.clip(np.nan_to_num(shares), 0, 1), axis=1)


def _at(ends, shares):
    """Values at some parts of each bracket."""
    low, high = ends[:, :1], ends[:, 1:]
    return np.clip(low + (high - low) * shares, low, high)
