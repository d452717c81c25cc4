"""Triangular draws compiled: the same steps as `triangular_quantile`, row by row."""

import functools

from .build import ARRAY, compiled

SOURCE = '''"""Quantiles of triangular distributions, row by row."""

import math


def kernel(chances, corners, values):
    for row in range(chances.shape[0]):
        low, mode, high = corners[row, 0], corners[row, 1], corners[row, 2]
        width, left, right = high - low, mode - low, high - mode
        for k in range(chances.shape[1]):
            chance = chances[row, k]
            falls = chance * width >= left
            beyond = 1 - chance if falls else chance
            beyond = math.sqrt(beyond * ((right if falls else left) * width))
            values[row, k] = high - beyond if falls else low + beyond
'''


@functools.cache
def compiled_triangles():
    """Give the compiled function: chances and corners in, values filled."""
    signature = f"void({ARRAY}, {ARRAY}, {ARRAY})"
    return compiled(SOURCE, signature=signature)
