"""The economics of a small gold mill: trade functions, a model, live workbooks.

The trade's functions stand at this level (`pennyweight.bond_energy`), and in the
module of their topic (`pennyweight.trade.comminution`).
"""

import importlib

__version__ = "0.1.0"

_TOPICS = (
    "units",
    "sizes",
    "crushing",
    "comminution",
    "efficiency",
    "charges",
    "mills",
    "motors",
    "wear",
    "recovery",
    "samples",
    "sampling",
    "bullion",
    "cutoff",
    "deposit",
    "money",
)


def __getattr__(name):
    """Find a trade function in its topic; loaded when first asked for."""
    if not name.startswith("_"):
        for topic in _TOPICS:
            module = importlib.import_module(f".trade.{topic}", __name__)
            if hasattr(module, name) and name not in ("np", "contract", "require"):
                return getattr(module, name)
    raise AttributeError(f"pennyweight has no {name!r}")


def __dir__():
    from .trade.contract import CATALOGUE

    for topic in _TOPICS:
        importlib.import_module(f".trade.{topic}", __name__)
    return sorted(["__version__", "run", *CATALOGUE])
