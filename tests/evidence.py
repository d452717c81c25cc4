"""What each check of a trade function rests on, counted at the end of a run.

    @evidence("bond_energy", "read", "Bond 1961, Brit. Chem. Eng. 6, 378")
    def test_...

Labels: ``read`` (inputs and answer seen in the publication), ``memory`` (recalled
from it, not seen again), ``package`` (an independent library), ``derived`` (from
geometry or algebra, worked in the test), ``built`` (our own vector: consistency or
a limit only), ``practice`` (common practice without a source).
"""

from collections import defaultdict

import pytest

LABELS = ("read", "package", "derived", "memory", "practice", "built")


def evidence(function, label, source):
    """Mark a test as evidence for a trade function.

    Parameters
    ----------
    function : str
        Name of the trade function.
    label : str
        One of `LABELS`.
    source : str
        Publication with page, package, or how the number came about.
    """
    if label not in LABELS:
        raise ValueError(f"{label!r} is none of {LABELS}")
    return pytest.mark.evidence(function, label, source)


def pytest_configure(config):
    config.addinivalue_line("markers", "evidence(function, label, source): see there")


def pytest_collection_modifyitems(items):
    for item in items:
        for mark in item.iter_markers("evidence"):
            item.user_properties.append(("evidence", list(mark.args)))


def pytest_terminal_summary(terminalreporter):
    """Count functions by the best kind of evidence that passed."""
    passed = defaultdict(set)
    for report in terminalreporter.stats.get("passed", []):
        for name, value in report.user_properties:
            if name == "evidence":
                passed[value[0]].add(value[1])
    if not passed:
        return
    best = [min(labels, key=LABELS.index) for labels in passed.values()]
    counts = ", ".join(f"{label} {best.count(label)}" for label in LABELS)
    terminalreporter.write_line(f"trade functions by best evidence: {counts}")
