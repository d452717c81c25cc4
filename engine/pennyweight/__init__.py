"""The economics of a small gold mill: trade functions, a model, live workbooks.

`Plan`, `read` and `example` do the whole job, and `plots` draws charts. The trade
functions are at this level (`pennyweight.bond_energy`) and in the module of their topic
(`pennyweight.trade.comminution`). Each name is loaded when it is first used. So is
``__all__``, with the trade functions of `trade/functions.json`.
"""

from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

__version__ = "0.2.0"

ERRORS = (
    "BadValue",
    "CallError",
    "OutsideRange",
    "PennyweightError",
    "UnknownName",
    "WorkbookError",
)
OPENING = ("carry_over", "example", "inspect", "read", "renew")
"""Functions that open workbooks, and the example."""
PLACES = {
    "Plan": "plan",
    **dict.fromkeys(ERRORS, "errors"),
    **dict.fromkeys(OPENING, "opening"),
}
"""Public names other than the trade functions, with the module of each."""


def __getattr__(name: str) -> Any:
    """Find a public name where it is defined."""
    if name in ("errors", "plots"):
        return import_module(f".{name}", __name__)
    if name in PLACES:
        return getattr(import_module(f".{PLACES[name]}", __name__), name)
    if name == "__all__":
        return sorted(["__version__", *PLACES, *_trade_functions()])
    if not name.startswith("_") and name in _trade_functions():
        return import_module(".trade.catalogue", __name__).find(name)
    raise AttributeError(f"pennyweight has no {name!r}")


@cache
def _trade_functions() -> frozenset[str]:
    import json

    file = Path(__file__).with_name("trade") / "functions.json"
    return frozenset(json.loads(file.read_text("utf-8")))


def __dir__() -> list[str]:
    return __getattr__("__all__")
