"""Copies of part of the model, for other values of some inputs.

`Copies` repeats the lines between the inputs that it replaces and the results wanted.
Each copy has the function of its original: the same equation with other arguments.
"""

from dataclasses import dataclass, replace

from ..errors import ModelError


@dataclass(frozen=True)
class Copies:
    """Lines to repeat.

    Attributes
    ----------
    prefix : str
        Prefix of the names of the copies.
    replaced : mapping of str to str
        Lines or inputs, and the replacement of each.
    results : tuple of str
        Names of the lines wanted.
    over : tuple of str
        The axis along which the copies run; empty for single values.
    """

    prefix: str
    replaced: dict
    results: tuple
    over: tuple = ()

    def make(self, section, lines):
        """Make the copies.

        Parameters
        ----------
        section : Section
            Section of the copies.
        lines : mapping of str to Line
            The originals.

        Returns
        -------
        copies : list of Line

        Raises
        ------
        ModelError
            If a line between runs along an axis and cannot be repeated.
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
        """Lines between replaced inputs and results, in order of calculation."""
        depending, found = {}, []

        def depends(name):
            if name in self.replaced:
                return True
            if name not in lines:
                return False
            if name not in depending:
                depending[name] = False  # meanwhile, for lines that read themselves
                reads = [depends(read) for read in lines[name].parameters]
                depending[name] = any(reads)
                found.extend([name] if depending[name] else [])
            return depending[name]

        for result in self.results:
            if not depends(result):
                raise ModelError(
                    f"{result} does not depend on {sorted(self.replaced)}."
                )
        return found
