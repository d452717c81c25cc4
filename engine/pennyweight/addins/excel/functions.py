"""The worksheet functions for xlwings, one for each of the registry.

Excel calls them by name through the server of xlwings. On other systems than Windows
they are ordinary functions, so this module can be imported and tested everywhere.
"""

import inspect

import xlwings as xw

from ..registry import registry
from ..sheet_call import answer
from .cells import SheetBlock

PLACE = "place"
"""Last argument, filled in by the macro: the calling cell."""


def make(entry):
    """Make the function that Excel calls for an entry of the registry.

    Parameters
    ----------
    entry : SheetFunction

    Returns
    -------
    function : callable
    """

    def call(*given):
        *arguments, place = (*given, *(None,) * (len(entry.arguments) + 1 - len(given)))
        return answer(entry, arguments, _place(place))

    call.__name__ = call.__qualname__ = entry.name
    call.__doc__ = entry.help
    call.__module__ = __name__
    call.__signature__ = _signature(entry)
    for argument in entry.arguments:
        call = xw.arg(argument.name, convert=SheetBlock, doc=argument.help)(call)
    call = xw.arg(PLACE, convert=SheetBlock, vba='""', doc="The cell that asks.")(call)
    call = xw.ret(convert=SheetBlock)(call)
    return xw.func(category=entry.category)(call)  # last: each arg resets it


def _signature(entry):
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    parameters = [
        inspect.Parameter(argument.name, kind)
        if argument.required
        else inspect.Parameter(argument.name, kind, default=None)
        for argument in entry.arguments
    ]
    return inspect.Signature(
        [*parameters, inspect.Parameter(PLACE, kind, default=None)]
    )


def _place(block):
    """The address of the calling cell, if the macro knew it; else empty."""
    cell = block[0][0] if isinstance(block, tuple) else block
    return cell if isinstance(cell, str) else ""


for _entry in registry().values():
    globals()[_entry.name] = make(_entry)
