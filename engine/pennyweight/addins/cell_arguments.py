"""Arguments of worksheet functions, converted cell by cell."""

import numpy as np

from .cell_values import Refused, fault, number, text


class CellArgument:
    """One argument: the value of each cell, and the faults by place."""

    def __init__(self, argument, block):
        self.argument = argument
        cells = [cell for row in block for cell in row]
        self.reasons = {}
        if argument.kind == "number" and all(type(cell) is float for cell in cells):
            values = cells
        else:
            values = [self._value(place, cell) for place, cell in enumerate(cells)]
        shape = (len(block), len(block[0]))
        number_like = argument.kind == "number" and None not in values
        self.values = np.empty(len(cells), float if number_like else object)
        self.values[:] = values
        self.values = self.values.reshape(shape)
        marks = np.zeros(len(cells), int)
        if self.reasons:
            marks[list(self.reasons)] = 1 + np.arange(len(self.reasons))
        self.marks = marks.reshape(shape)

    def _value(self, place, cell):
        """A cell's value; a faulty number is noted and replaced by 1."""
        argument = self.argument
        if cell is None and not argument.required:
            return argument.default
        try:
            if argument.kind == "number":
                return number(cell, argument.name)
            if argument.kind == "switch":
                return truth(cell, argument.name)
            return choice(cell, argument)
        except Refused as refusal:
            self.reasons[place] = refusal
            return 1.0 if argument.kind == "number" else None


def truth(cell, name):
    """A cell as TRUE or FALSE; 1 and 0 count as such."""
    if isinstance(cell, bool):
        return cell
    if isinstance(cell, int | float) and cell in (0, 1):
        return bool(cell)
    marker, _ = fault(cell, name)
    raise Refused(marker, f"{name} must be TRUE or FALSE.")


def choice(cell, argument):
    """A cell as one of the choices, in upper or lower case."""
    word = text(cell, argument.name)
    for allowed in argument.terms.choices:
        if word.lower() == allowed.lower():
            return allowed
    raise Refused(
        "#VALUE!",
        f"{argument.name} is {word!r}; it must be one of "
        f"{', '.join(argument.terms.choices)}.",
    )


def read_cells(entry, blocks):
    """Every argument that was given, cell by cell, and their common shape."""
    read = [
        CellArgument(argument, block)
        for argument, block in zip(entry.arguments, blocks, strict=True)
        if block is not None
    ]
    try:
        shape = np.broadcast_shapes(*(cells.values.shape for cells in read))
    except ValueError:
        shapes = ", ".join(
            f"{cells.argument.name} {cells.values.shape[0]} by {cells.values.shape[1]}"
            for cells in read
        )
        raise Refused("#VALUE!", f"the blocks do not fit together: {shapes}.") from None
    return read, shape or (1, 1)
