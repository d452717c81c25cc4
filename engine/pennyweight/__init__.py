"""The economics of a small gold mill: trade functions, a model, live workbooks.

`Plan`, `read` and `example` do the whole job. The trade's functions stand at this
level, too (`pennyweight.bond_energy`), and in the module of their topic
(`pennyweight.trade.comminution`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .errors import BadValue as BadValue
from .errors import CallError as CallError
from .errors import OutsideRange as OutsideRange
from .errors import PennyweightError as PennyweightError
from .errors import WorkbookError as WorkbookError

__version__ = "0.2.0"

ERRORS = ("BadValue", "CallError", "OutsideRange", "PennyweightError", "WorkbookError")

if TYPE_CHECKING:
    from .plan import Plan as Plan
    from .plan import example as example
    from .plan import read as read


def __getattr__(name: str) -> Any:
    """Find a public name where it is defined; loaded when first asked for."""
    if name in ("Plan", "example", "read"):
        from . import plan

        return getattr(plan, name)
    if not name.startswith("_"):
        from .trade.catalogue import catalogue

        if found := catalogue().get(name):
            return found
    raise AttributeError(f"pennyweight has no {name!r}")


def __dir__() -> list[str]:
    from .trade.catalogue import catalogue

    return sorted(["Plan", "__version__", "example", "read", *ERRORS, *catalogue()])
