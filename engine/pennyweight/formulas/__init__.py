"""Spreadsheet formulas from Python functions, by tracing.

Called with `Reference` objects instead of numbers, a plain NumPy function returns an
`Expression`, which `formula` writes as spreadsheet text.

>>> import numpy as np
>>> from pennyweight.formulas import Reference, formula
>>> wi, f80, p80 = (Reference(n) for n in ("Work_index", "Feed_F80", "Product_P80"))
>>> formula(10 * wi * (1 / np.sqrt(p80) - 1 / np.sqrt(f80)))
'=10*Work_index*(1/SQRT(Product_P80)-1/SQRT(Feed_F80))'
"""

from .expression import Expression, Reference, formula
from .functions import (
    alike,
    appended,
    begins,
    chosen,
    count_of,
    grouped,
    is_blank,
    is_number,
    is_text,
    joined,
    lookup,
    month_start,
    rounded,
    smallest,
)
from .live import Live, live

__all__ = [
    "Expression",
    "Live",
    "Reference",
    "alike",
    "appended",
    "begins",
    "chosen",
    "count_of",
    "formula",
    "grouped",
    "is_blank",
    "is_number",
    "is_text",
    "joined",
    "live",
    "lookup",
    "month_start",
    "rounded",
    "smallest",
]
