"""Part of the model worked out again, for other values of some inputs.

`Copies` repeats the lines that lie between the inputs that it replaces and the
results that are asked for. Each copy has the function of its original: the same
equation, read with other arguments, beside the plan's own.
"""

from dataclasses import dataclass, replace

from ..errors import ModelError


@dataclass(frozen=True)
class Copies:
    """Lines to be repeated.

    Attributes
    ----------
    prefix : str
        Beginning of the names of the copies.
    replaced : mapping of str to str
        Lines or inputs, and the line or input that takes the place of each.
    results : tuple of str
        Names of the lines wanted.
    over : tuple of str
        The axis along which the copies run; empty for single values.
    """

    prefix: str
    replaced: dict
    results: tuple
    over: tuple = ()

    def made(self, section, lines):
        """Make the copies.

        Parameters
        ----------
        section : Section
            Where the copies stand.
        lines : mapping of str to Line
            The originals.

        Returns
        -------
        copies : list of Line

        Raises
        ------
        ModelError
            When a line between is a table itself and cannot be repeated.
        """
        names, copies = dict(self.replaced), []
        for name in self._between(lines):
            line = lines[name]
            if line.over:
                raise ModelError(
                    f"{name} runs over {line.over}; it cannot be repeated."
                )
            names[name] = f"{self.prefix}_{name}"
            copies.append(
                replace(
                    line,
                    name=names[name],
                    over=self.over,
                    sheet=section.sheet,
                    section=section.title,
                    parameters=tuple(names.get(read, read) for read in line.parameters),
                    stage="",
                    formerly=(),
                )
            )
        return copies

    def _between(self, lines):
        """Lines on the way from replaced inputs to results, in order of reading."""
        touched, found = {}, []

        def depends(name):
            if name in self.replaced:
                return True
            if name not in lines:
                return False
            if name not in touched:
                touched[name] = False  # until known, for lines that read themselves
                reads = [depends(read) for read in lines[name].parameters]
                touched[name] = any(reads)
                found.extend([name] if touched[name] else [])
            return touched[name]

        for result in self.results:
            if not depends(result):
                raise ModelError(
                    f"{result} does not depend on {sorted(self.replaced)}."
                )
        return found
