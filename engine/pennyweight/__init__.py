"""The economics of a small gold mill: trade functions, a model, live workbooks.

The trade's functions stand at this level (`pennyweight.bond_energy`), and in the
module of their topic (`pennyweight.trade.comminution`).
"""

__version__ = "0.1.0"


def __getattr__(name):
    """Find a trade function in its topic; loaded when first asked for."""
    if not name.startswith("_"):
        from .trade.catalogue import catalogue

        if found := catalogue().get(name):
            return found
    raise AttributeError(f"pennyweight has no {name!r}")


def __dir__():
    from .trade.catalogue import catalogue

    return sorted(["__version__", *catalogue()])
