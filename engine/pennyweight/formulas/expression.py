"""The tree that a traced function builds: constants, references, operations."""

from dataclasses import dataclass

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from ..errors import CannotTrace


class Expression(NDArrayOperatorsMixin):
    """Something that stands for a spreadsheet value not yet known.

    Attributes
    ----------
    kind : {"number", "truth", "text"}
        What the value will be.
    spread : bool
        Whether it stands for a range of cells rather than for one value.
    """

    __formula__ = True
    kind = "number"
    spread = False

    def __array_ufunc__(self, ufunc, method, *inputs, **options):
        from .tracing import trace_ufunc

        return trace_ufunc(ufunc, method, inputs, options)

    def __array_function__(self, function, types, args, options):
        from .tracing import trace_function

        return trace_function(function, args, options)

    def __bool__(self):
        raise CannotTrace(
            f"{self!r} has no truth value while its formula is being written: "
            "use np.where, np.logical_and, np.logical_or or np.logical_not."
        )

    def _refuse(self, *_):
        raise CannotTrace(
            f"{self!r} is not a number yet: keep to NumPy functions, "
            "without float(), int(), len(), iteration or indexing."
        )

    __float__ = __int__ = __complex__ = __index__ = __len__ = __iter__ = _refuse
    __round__ = __getitem__ = _refuse
    __hash__ = None

    def __repr__(self):
        from .writing import text

        return text(self)


@dataclass(eq=False, repr=False)
class Constant(Expression):
    """A number, a truth value or a text written into the formula."""

    value: object

    def __post_init__(self):
        if isinstance(self.value, str | np.str_):
            self.kind = "text"
        elif isinstance(self.value, bool | np.bool_):
            self.kind = "truth"


@dataclass(eq=False, repr=False)
class Reference(Expression):
    """A defined name, a cell address or a range of cells.

    Parameters
    ----------
    address : str
        As it stands in a formula: ``"Gold_price"``, ``"B7"``, ``"'Cash flow'!F9:F20"``.
    kind : {"number", "truth", "text"}
    spread : bool
        True for a range of cells.
    across : bool
        Whether a range runs across the sheet rather than down.
    """

    address: str
    kind: str = "number"
    spread: bool = False
    across: bool = False


@dataclass(eq=False, repr=False)
class Operation(Expression):
    """An operator or a spreadsheet function applied to expressions."""

    symbol: str
    operands: tuple
    kind: str = "number"
    spread: bool = False


def express(value):
    """Turn a plain value into an expression; expressions pass through.

    Parameters
    ----------
    value : float, int, bool, str or Expression

    Returns
    -------
    expression : Expression

    Raises
    ------
    CannotTrace
        For arrays and other things that have no place in one cell.
    """
    if isinstance(value, Expression):
        return value
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return express(value.item())
    if isinstance(value, bool | int | float | str | np.generic):
        if isinstance(value, np.generic):
            value = value.item()
        if isinstance(value, float) and np.isinf(value):
            raise CannotTrace("An infinite number cannot stand in a formula.")
        return Constant(value)
    raise CannotTrace(f"A {type(value).__name__} cannot stand in a formula: {value!r}")
