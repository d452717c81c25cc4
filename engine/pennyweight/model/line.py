"""A line of the model: one plain function with a label, a unit and a place.

The function's name is the line's name, and its parameters name what it reads:
other lines, inputs, constants, or an axis. Along an axis (months, years, trial
rates) a line reads the lines of the same axis element by element and those of
other axes whole; ``opening_x`` is the previous element's ``closing_x``.
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
        Units are in the words of the book: ``ton``, ``grade``, ``mass``, ``length``
        and ``volume`` are those of its unit system.
    function : callable
        The equation.
    parameters : tuple of str
        What it reads.
    over : tuple of str
        Axes along which the line runs; empty for a single value.
    sheet, section : str
        Where it stands in the workbook.
    start : str
        For a ``closing_`` line: the line or input that its first opening takes;
        empty for zero.
    total : bool
        Whether the sum over the axis means something and is shown.
    note : str
        One sentence for the sheet: the first of the function's docstring.
    gathers : bool
        Whether its elements are single lines, put side by side.
    entry : bool
        Whether its cells are inputs themselves, a column of a table to fill.
    stage, paid_by : str
        Of the unit rate of a cost component: who causes it, and what it is paid by.
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
    """A headed block of a sheet, and its lines in their order.

    Attributes
    ----------
    sheet, title : str
    lines : list of Line or Copies
        `Copies` stand for lines that the model makes when it is assembled.
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
            Gives the names of this line, and of those that it reads, for the names
            in the function: a block of lines may be entered several times.
        start : str, optional
            Line or input with the value before the first element.
        **options
            ``total``, ``note``, ``gathers`` of `Line`.

        Returns
        -------
        decorator : callable
            Leaves the function as it is.
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
        """Enter `Copies` along ``axis`` of the lines that lead to some results."""
        self.lines.append(Copies(axis, replaced, tuple(results), (axis,)))

    def again(self, prefix, replaced, results):
        """Enter `Copies` with single values of the lines that lead to some results."""
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
        """Enter a line along ``axis`` whose elements are the given single lines."""
        options = {"name": name, "reads": lines, "gathers": True, **options}
        self.line(label, unit, axis, **options)(side_by_side)


def add_up(first, *others):
    """Sum of the lines given."""
    for other in others:
        first = first + other
    return first


def side_by_side(*values):
    """The lines given, one beside the other."""
    return values


def closing(name):
    """Name of the line whose last value an ``opening_`` parameter takes."""
    return "closing_" + name.removeprefix("opening_")


def lagged(name):
    """Tell whether a parameter is the previous element of a line."""
    return name.startswith("opening_")


def first_sentence(function):
    """Give the first paragraph of a docstring as one line of text."""
    return (inspect.getdoc(function) or "").split("\n\n")[0].replace("\n", " ")
