"""Look up inputs and lines by name or label, present or former, in any case."""

import difflib
import functools
import json
import re
from importlib.resources import files

from ..errors import UnknownName, nearest

_WORD = re.compile(r"\w+")


def names_of(name):
    """The present name of an input, then its former names.

    Cells of issued workbooks have the name of their time.

    Parameters
    ----------
    name : str
        Present name.

    Yields
    ------
    name : str

    Examples
    --------
    >>> list(names_of("ore_grade"))
    ['ore_grade', 'head_grade']
    """
    from .inputs import INPUTS

    yield name
    if name in INPUTS:
        yield from filter(_is_name, INPUTS[name].formerly)


def _is_name(word):
    return word.isidentifier() and word.islower()


def called(words, table, what):
    """Name of an entry of a table, by its name or label, present or former.

    Parameters
    ----------
    words : str
        In any case; "tonne" is the same as "ton". Of several entries with one label, it
        means the one without an axis.
    table : mapping of str to object
        Entries under their names, with ``label``, ``formerly`` and ``over``.
    what : str
        Kind of the entries, for the message.

    Returns
    -------
    name : str

    Raises
    ------
    UnknownName
        If there is no such entry, or more than one.
    """
    if not isinstance(words, str):
        raise UnknownName(
            f"Give the name or label of the {what} as text, not {words!r:.60}."
        )
    if words in table:
        return words
    present, former = _index(tuple(table.items()))
    same = present.get(_plain(words)) or former.get(_plain(words), [])
    if len(same) > 1:
        same = [name for name in same if not table[name].over] or same
    if len(same) == 1:
        return same[0]
    if same:
        labels = " or ".join(f"{table[name].label} ({name})" for name in same)
        raise UnknownName(f"{words!r} may mean {labels}. Use one of these names.")
    raise unknown(words, table, what)


@functools.lru_cache(maxsize=8)
def _index(entries):
    """Names of entries by each present and each former name or label."""
    present, former = {}, {}
    for name, entry in entries:
        for word in {_plain(name), _plain(entry.label)}:
            present.setdefault(word, []).append(name)
        for word in {_plain(word) for word in entry.formerly}:
            former.setdefault(word, []).append(name)
    return present, former


def _plain(words):
    return words.strip().lower().replace("tonne", "ton")


def unknown(words, table, what):
    """Error for words that name no entry; proposes similar labels or names."""
    hint = nearest(words, table) if "_" in words else _labels_like(words, table)
    return UnknownName(f"There is no {what} named {words}.{hint}")


def _labels_like(words, table):
    """The nearest label, and up to three others that have all the words."""
    single = [entry for entry in table.values() if not entry.over]
    wanted = set(_plain(words).split())
    found = [
        entry
        for entry in table.values()
        if wanted <= set(_WORD.findall(_plain(entry.label)))
    ]
    found.sort(key=lambda e: (bool(e.over), e.label.count(","), len(e.label)))
    found = [entry.label for entry in found if not entry.over or found[0].over]
    spoken = {entry.name.replace("_", " "): entry.label for entry in single}
    spoken |= {entry.label.lower(): entry.label for entry in single}
    near = difflib.get_close_matches(words.lower(), list(spoken), 1)
    likely = list(dict.fromkeys([*found, *(spoken[word] for word in near)]))[:3]
    several = "one of: " * (len(likely) > 1)
    return f" Did you mean {several}{'; '.join(likely)}?" if likely else ""


@functools.cache
def former_labels():
    """Former labels of lines, so that old commands and tables can be read.

    Returns
    -------
    labels : dict of str to tuple of str
    """
    text = files(__package__).joinpath("former_labels.json").read_text("utf-8")
    return {name: tuple(labels) for name, labels in json.loads(text).items()}
