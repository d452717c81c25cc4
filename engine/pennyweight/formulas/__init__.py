"""Python functions in, spreadsheet formulas out.

Call a plain NumPy function with `Reference` objects in place of numbers, and it
answers with an `Expression`; `formula` writes that as spreadsheet text.

>>> import numpy as np
>>> from pennyweight.formulas import Reference, formula
>>> wi, f80, p80 = (Reference(n) for n in ("Work_index", "Feed_F80", "Product_P80"))
>>> formula(10 * wi * (1 / np.sqrt(p80) - 1 / np.sqrt(f80)))
'=10*Work_index*(1/SQRT(Product_P80)-1/SQRT(Feed_F80))'
"""

from .expression import Expression, Reference, formula
from .functions import (
    is_blank,
    is_number,
    is_text,
    joined,
    lookup,
    month_start,
    rounded,
    smallest,
)

__all__ = [
    "Expression",
    "Reference",
    "formula",
    "is_blank",
    "is_number",
    "is_text",
    "joined",
    "lookup",
    "month_start",
    "rounded",
    "smallest",
]
