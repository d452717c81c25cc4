"""Numbers as other programs save them."""

import pytest


def fifteen_digits(value):
    """As precise as some programs save a number; equal to others to that."""
    return value if isinstance(value, str) else pytest.approx(value, rel=1e-14)


def as_saved(inputs):
    """Inputs that are equal to those read from a file of another program."""
    return {name: fifteen_digits(value) for name, value in inputs.items()}
