"""Conversion of results to plain values, for programs and JSON."""

from __future__ import annotations

from dataclasses import asdict, is_dataclass
from typing import Any

import numpy as np


def plain_values(value: Any) -> Any:
    """Convert to Python's own values: a table to rows, a date to text.

    Not-a-number becomes None, since JSON does not have it.

    Examples
    --------
    >>> plain_values({"grade": np.array([0.25, np.nan]), "lots": (1, "A")})
    {'grade': [0.25, None], 'lots': [1, 'A']}
    """
    if hasattr(value, "iterrows"):  # a DataFrame; pandas is slow to import
        value = value.to_dict("records")
    elif is_dataclass(value) and not isinstance(value, type):
        value = asdict(value)
    if isinstance(value, dict):
        return {str(name): plain_values(part) for name, part in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain_values(part) for part in value]
    if isinstance(value, np.generic):
        value = value.item()
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return None if isinstance(value, float) and not np.isfinite(value) else value
