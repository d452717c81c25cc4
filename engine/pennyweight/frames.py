"""Tables of a plan as pandas DataFrames, with units in ``attrs``."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .formulas.functions import EPOCH
from .model.figures import unit_text
from .model.lines.cost.components import BASES, components
from .model.mill_model import MODEL
from .model.units import worded

if TYPE_CHECKING:
    import pandas as pd

Values = Mapping[str, Any]


def frame_of(columns: Mapping[str, Any], index: Any, units: str) -> pd.DataFrame:
    """A table whose columns are lines or inputs of the model.

    Parameters
    ----------
    columns : mapping of str to sequence
        By names of lines and inputs.
    index : sequence or pandas.Index
    units : {"us", "metric"}

    Returns
    -------
    frame : pandas.DataFrame
        ``attrs["units"]`` and ``attrs["labels"]`` have the unit and the label of each
        column.
    """
    import pandas as pd

    frame = pd.DataFrame(dict(columns), index=index)
    known = {name: MODEL.lines.get(name) or MODEL.inputs.get(name) for name in columns}
    frame.attrs["units"] = {
        name: unit_text(entry.unit, "", units) for name, entry in known.items() if entry
    }
    frame.attrs["labels"] = {
        name: worded(entry.label, units) for name, entry in known.items() if entry
    }
    return frame


def along(axis: str, values: Values, units: str) -> pd.DataFrame:
    """Every line along one axis, with a row for each of its elements."""
    import pandas as pd

    columns = {
        name: _dates(values[name]) if line.unit == "date" else values[name]
        for name, line in MODEL.lines.items()
        if line.over == (axis,) and not line.entry
    }
    index = pd.Index(MODEL.axes[axis].values, name=MODEL.axes[axis].label)
    return frame_of(columns, index, units)


def _dates(days: Any) -> Any:
    """Convert serial numbers of days to dates; 0 to no date."""
    import pandas as pd

    return pd.to_datetime(np.where(days > 0, days, np.nan), unit="D", origin=EPOCH)


def costs(values: Values, units: str) -> pd.DataFrame:
    """Cost components: rate, its basis, and cost per ton."""
    import pandas as pd

    names = components()
    lines = [MODEL.lines[name] for name in names]
    per_ton = [MODEL.lines[f"{name}_per_ton"] for name in names]
    frame = pd.DataFrame(
        {
            "component": [line.label for line in per_ton],
            "stage": [line.stage for line in lines],
            "paid_by": [line.paid_by for line in lines],
            "rate": [float(values[name]) for name in names],
            "rate_unit": [
                unit_text(BASES[line.paid_by][0], "", units) for line in lines
            ],
            "cost_per_ton": [float(values[line.name]) for line in per_ton],
        },
        index=pd.Index(names, name="name"),
    )
    frame.attrs["units"] = {"cost_per_ton": unit_text("$/ton", "", units)}
    return frame


def grid(
    moved: Mapping[str, Sequence[float]], results: Values, units: str
) -> pd.DataFrame:
    """Results for every combination of some values of some inputs."""
    import pandas as pd

    index = pd.MultiIndex.from_tuples(combinations(moved), names=list(moved))
    frame = frame_of(results, index, units)
    frame.attrs["units"] |= {
        name: unit_text(MODEL.inputs[name].unit, "", units) for name in moved
    }
    return frame


def combinations(moved: Mapping[str, Sequence[Any]]) -> list[tuple[Any, ...]]:
    """Every combination of the values; the last input varies fastest."""
    return list(itertools.product(*moved.values()))


def columns_of(moved: Mapping[str, Sequence[Any]]) -> dict[str, np.ndarray]:
    """One array of scenarios for each input, over all combinations."""
    rows = zip(*combinations(moved), strict=True)
    return {name: np.array(row) for name, row in zip(moved, rows, strict=True)}
