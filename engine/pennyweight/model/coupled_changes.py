"""Changes of inputs that can only be made together."""

import numpy as np

from ..errors import BadValue
from .rules import check_rules

MOST = 16
"""Most groups for which all mixtures are checked."""


def coupled_groups(before, after, changed, units):
    """Group changed inputs so that no mixture of old and new contradicts itself.

    Parameters
    ----------
    before, after : mapping of str to float or str
        All inputs of each side, without contradiction.
    changed : tuple of str
    units : {"us", "metric"}

    Returns
    -------
    groups : list of tuple of str
        Most have one input only.

    Raises
    ------
    BadValue
        If the inputs of one side contradict one another.
    """
    check_rules(before, units=units)
    check_rules(after, units=units)
    mixture = _Mixture(before, after, changed, units)
    groups_of = {name: {name} for name in changed}
    for name in changed:
        for base in (frozenset(), frozenset(changed)):
            if not mixture.is_valid(base ^ {name}):
                _merge(groups_of, {name, *_partners(mixture, changed, base, name)})
    ordered = (tuple(sorted(groups_of[name], key=changed.index)) for name in changed)
    groups = list(dict.fromkeys(ordered))
    if len(groups) <= MOST and not mixture.all_valid(groups):
        single = [group for group in groups if len(group) == 1]
        rest = tuple(n for n in changed if (n,) not in single)
        groups = [*single, rest] if rest else [changed]
        if not mixture.all_valid(groups):
            groups = [changed]
    return groups


def _merge(groups_of, names):
    """Merge the groups of these inputs."""
    merged = set().union(*(groups_of[name] for name in names))
    for name in merged:
        groups_of[name] = merged


def _partners(mixture, changed, base, name):
    """Inputs any of which, changed as well, makes the mixture valid; else all."""
    single = [
        other
        for other in changed
        if other != name and mixture.is_valid(base ^ {name, other})
    ]
    return single or changed


class _Mixture:
    """Validity of mixtures: some inputs as after, the rest as before."""

    def __init__(self, before, after, changed, units):
        self.before, self.after = before, after
        self.changed, self.units = changed, units

    def is_valid(self, made):
        """Whether one mixture is valid."""
        return self._valid({name: self.after[name] for name in made})

    def all_valid(self, groups):
        """Whether every mixture of complete groups is valid."""
        masks = np.arange(2 ** len(groups))
        mixed = {
            name: np.where(masks >> place & 1, self.after[name], self.before[name])
            for place, group in enumerate(groups)
            for name in group
        }
        return self._valid(mixed)

    def _valid(self, changes):
        try:
            check_rules({**self.before, **changes}, units=self.units)
        except BadValue:
            return False
        return True
