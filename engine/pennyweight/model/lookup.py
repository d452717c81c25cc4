"""Finding what people mean by a name or a label."""

from ..errors import CallError, nearest


def called(words, table, what):
    """The name of what people call by its name or its label.

    Parameters
    ----------
    words : str
    table : mapping of str to object
        What there is, under its name and with its ``label``.
    what : str
        What they are, for the message.

    Returns
    -------
    name : str

    Raises
    ------
    CallError
        When there is none, or more than one.
    """
    words = words.strip()
    if words in table:
        return words
    same = [name for name, e in table.items() if e.label.lower() == words.lower()]
    if len(same) == 1:
        return same[0]
    if same:
        raise CallError(f"{words!r} may be {' or '.join(same)}: give one of them.")
    raise unknown(words, table, what)


def unknown(words, table, what):
    """The error for words that name nothing there; it proposes the nearest."""
    known = [*table, *(entry.label for entry in table.values())]
    return CallError(f"There is no {what} named {words}.{nearest(words, known)}")
