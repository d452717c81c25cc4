"""Lines of the model: plain functions, each with a label, a unit and a section.

The function's name is the line's name. Its parameters name what it reads: other lines,
inputs, constants or an axis. Along an axis (months, years, trial rates) a line reads
lines of the same axis element by element and lines of other axes as a whole;
``opening_x`` is the previous element of ``closing_x``.
"""

import inspect
from dataclasses import dataclass, field

from .copies import Copies
from .inputs import INPUTS, families
from .lookup import former_labels


@dataclass(frozen=True, eq=False)
class Line:
    """One line of the model.

    Attributes
    ----------
    name, label, unit : str
        Units are in unit words: ``ton``, ``grade``, ``mass``, ``length`` and ``volume``
        depend on the unit system.
    function : callable
        The equation.
    parameters : tuple of str
        Names that it reads.
    over : tuple of str
        Axes along which the line runs; empty for a single value.
    sheet, section : str
        Place in the workbook.
    start : str
        For a ``closing_`` line: line or input with the first opening value; empty for
        zero.
    total : bool
        Whether the sum over the axis is shown.
    note : str
        Sentence for the sheet: the first of the function's docstring.
    gathers : bool
        Whether its elements are other single lines.
    entry : bool
        Whether its cells are inputs: a column of a table to fill.
    stage, paid_by : str
        Of a cost component's unit rate: the stage that causes it, and its basis.
    formerly : tuple of str
        Former labels.
    """

    name: str
    label: str
    unit: str
    function: object
    parameters: tuple
    over: tuple = ()
    sheet: str = ""
    section: str = ""
    start: str = ""
    total: bool = False
    note: str = ""
    gathers: bool = False
    entry: bool = False
    stage: str = ""
    paid_by: str = ""
    formerly: tuple = ()

    @property
    def dated(self) -> bool:
        """Whether its value is a month of the plan, not a number of months."""
        return self.unit == "month" and self.name.endswith(("_month", "_payback"))


@dataclass(frozen=True)
class Section:
    """A section of a sheet, with its lines in order.

    Attributes
    ----------
    sheet, title : str
    lines : list of Line or Copies
        The model makes the lines of `Copies` when it is assembled.
    """

    sheet: str
    title: str
    lines: list = field(default_factory=list, compare=False, repr=False)

    def line(
        self,
        label,
        unit="-",
        over=(),
        name="",
        reads=(),
        rename=str,
        start="",
        **options,
    ):
        """Enter the decorated function as a line.

        Parameters
        ----------
        label, unit : str
        over : str or tuple of str, optional
            Axis or axes along which the line runs.
        name : str, optional
            Instead of the function's own name.
        reads : tuple of str, optional
            Instead of the names of the function's parameters without a default.
        rename : callable, optional
            Function from names in the function to names of lines, so that a block of
            lines can be entered several times.
        start : str, optional
            Line or input with the value before the first element.
        **options
            ``total``, ``note``, ``gathers`` of `Line`.

        Returns
        -------
        decorator : callable
            Returns the function unchanged.
        """

        def enter(function):
            called = name or rename(function.__name__)
            given = inspect.signature(function).parameters.values()
            own = (rename(one.name) for one in given if one.default is one.empty)
            self.lines.append(
                Line(
                    called,
                    label,
                    unit,
                    function,
                    tuple(reads or own),
                    (over,) if isinstance(over, str) else tuple(over),
                    self.sheet,
                    self.title,
                    start=start and rename(start),
                    formerly=former_labels().get(called, ()),
                    **{"note": first_sentence(function), **options},
                )
            )
            return function

        return enter

    def monthly(self, label, unit="-", **options):
        """Enter the decorated function as a row over the months."""
        return self.line(label, unit, over="month", **options)

    def total(self, name, label, unit, lines, **options):
        """Enter a line that is the sum of the given lines."""
        options = {"note": "Sum of the lines above.", **options}
        self.line(label, unit, name=name, reads=lines, **options)(add_up)

    def copies(self, axis, replaced, results):
        """Enter copies, along ``axis``, of the lines that lead to given results."""
        self.lines.append(Copies(axis, replaced, tuple(results), (axis,)))

    def again(self, prefix, replaced, results):
        """Enter copies, as single values, of the lines that lead to given results."""
        self.lines.append(Copies(prefix, replaced, tuple(results)))

    def entries(self, *names):
        """Enter tables of inputs as columns to fill, one for each shared name."""
        for name in names:
            inputs = families()[name]
            first = INPUTS[inputs[0]]
            options = {"note": first.description, "gathers": True, "entry": True}
            label = first.label.rpartition(", ")[0]
            self.line(label, first.unit, first.over, name, inputs, **options)(
                side_by_side
            )

    def gather(self, name, label, unit, axis, lines, **options):
        """Enter a line along ``axis`` whose elements are given single lines."""
        options = {"name": name, "reads": lines, "gathers": True, **options}
        self.line(label, unit, axis, **options)(side_by_side)


def add_up(first, *others):
    """Sum of the lines given."""
    for other in others:
        first = first + other
    return first


def side_by_side(*values):
    """The lines given, as the elements of one."""
    return values


def closing(name):
    """Name of the line whose previous value an ``opening_`` parameter is."""
    return "closing_" + name.removeprefix("opening_")


def lagged(name):
    """Whether a parameter is the previous element of a line."""
    return name.startswith("opening_")


def first_sentence(function):
    """First paragraph of a docstring, as one line of text."""
    return (inspect.getdoc(function) or "").split("\n\n")[0].replace("\n", " ")
