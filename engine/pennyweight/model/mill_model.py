"""The model of a small gold mill, assembled from its lines."""

from . import axes, lines
from .model import Model

MODEL = Model.of([axes, *lines.MODULES])
"""The model; read-only."""
