"""Working out part of the model again, for several values of some inputs.

`along` copies the lines that lie between the inputs it replaces and the results it
is asked for. Each copy has the function of its original and runs along an axis: the
same equation, read with other arguments, and laid out beside the plan's own.
"""

from dataclasses import replace

from ..errors import ModelError
from .line import LINES, add


def along(axis, section, replaced, results):
    """Enter copies of all lines that lead from replaced inputs to results.

    Parameters
    ----------
    axis : str
        Axis of the copies; also the beginning of their names.
    section : Section
        Where they stand.
    replaced : mapping of str to str
        Lines or inputs, and the line along the axis that takes the place of each.
    results : tuple of str
        Names of the lines wanted.

    Returns
    -------
    copies : dict of str to str
        Name of each original, and of what stands for it.

    Raises
    ------
    ModelError
        When a line between is a table itself and cannot be repeated.
    """
    copies = dict(replaced)
    for name in _between(replaced, results):
        line = LINES[name]
        if line.over:
            raise ModelError(f"{name} runs over {line.over}; it cannot be repeated.")
        copies[name] = f"{axis}_{name}"
        add(
            replace(
                line,
                name=copies[name],
                over=(axis,),
                sheet=section.sheet,
                section=section.title,
                parameters=tuple(copies.get(read, read) for read in line.parameters),
            )
        )
    return copies


def _between(replaced, results):
    """Lines on the way from replaced inputs to results, in order of reading."""
    touched, found = {}, []

    def depends(name):
        if name in replaced:
            return True
        if name not in LINES:
            return False
        if name not in touched:
            touched[name] = False  # until known, for lines that read themselves
            reads = [depends(read) for read in LINES[name].parameters]
            touched[name] = any(reads)
            found.extend([name] if touched[name] else [])
        return touched[name]

    for result in results:
        if not depends(result):
            raise ModelError(f"{result} does not hang on {sorted(replaced)}.")
    return found
