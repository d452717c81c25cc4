"""The checks of a plan: how many hold, and which fail."""

from .mill import MODEL

CHECKS = ("balance", "limit", "measurement")
"""Tables of checks."""


def checks(values):
    """Count the checks, and name the failures.

    Parameters
    ----------
    values : mapping
        From `run`, for one set of inputs.

    Returns
    -------
    checks : dict
        ``passed``, ``failed`` and ``failures``.
    """
    failures = [
        check
        for table in CHECKS
        for check, holds in zip(
            MODEL.axes[table].values, values[f"{table}_holds"], strict=True
        )
        if not holds
    ]
    total = sum(len(MODEL.axes[table]) for table in CHECKS)
    return {
        "passed": total - len(failures),
        "failed": len(failures),
        "failures": failures,
    }
