"""Changes that cannot be made one without the other."""

import numpy as np

from ..errors import BadValue
from .rules import check_rules

MOST = 16
"""Up to so many groups every mixture is looked at; beyond, the rules as met."""


def tied_together(before, after, changed, units):
    """Group changed inputs so that no mixture of old and new contradicts itself.

    Parameters
    ----------
    before, after : mapping of str to float or str
        Complete inputs, each free of contradiction.
    changed : tuple of str
    units : {"us", "metric"}

    Returns
    -------
    groups : list of tuple of str
        Most have one input only.

    Raises
    ------
    BadValue
        When the inputs of one side contradict one another by themselves.
    """
    check_rules(before, units=units)
    check_rules(after, units=units)
    mixture = _Mixture(before, after, changed, units)
    tied = {name: {name} for name in changed}
    for name in changed:
        for base in (frozenset(), frozenset(changed)):
            if not mixture.holds(base ^ {name}):
                _tie(tied, {name, *_mending(mixture, changed, base, name)})
    ordered = (tuple(sorted(tied[name], key=changed.index)) for name in changed)
    groups = list(dict.fromkeys(ordered))
    if len(groups) <= MOST and not mixture.all_hold(groups):
        loose = [group for group in groups if len(group) == 1]
        whole = tuple(n for n in changed if (n,) not in loose)
        groups = [*loose, whole] if whole else [changed]
        if not mixture.all_hold(groups):
            groups = [changed]
    return groups


def _tie(tied, names):
    """Put the groups of all these inputs together."""
    whole = set().union(*(tied[name] for name in names))
    for name in whole:
        tied[name] = whole


def _mending(mixture, changed, base, name):
    """The inputs any of which, changed as well, makes it hold; else all others."""
    single = [
        other
        for other in changed
        if other != name and mixture.holds(base ^ {name, other})
    ]
    return single or changed


class _Mixture:
    """Tells whether some inputs as they are after, the rest before, hold together."""

    def __init__(self, before, after, changed, units):
        self.before, self.after = before, after
        self.changed, self.units = changed, units

    def holds(self, made):
        """Whether one mixture holds."""
        return self._holds({name: self.after[name] for name in made})

    def all_hold(self, groups):
        """Whether every mixture of whole groups holds."""
        masks = np.arange(2 ** len(groups))
        mixed = {
            name: np.where(masks >> place & 1, self.after[name], self.before[name])
            for place, group in enumerate(groups)
            for name in group
        }
        return self._holds(mixed)

    def _holds(self, changes):
        try:
            check_rules({**self.before, **changes}, units=self.units)
        except BadValue:
            return False
        return True
