"""Sentences with live figures: one template gives the formula and the stored text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from .layout import defined_name

_FIELD = re.compile(r"\{(\w+)(?::([^}]+))?\}")
_FORMATS = {
    # kind: (spreadsheet's format, Python's way)
    "$": ('"$#,##0;-$#,##0"', lambda v: f"{'-' if round(v) < 0 else ''}${abs(v):,.0f}"),
    "$2": (
        '"$#,##0.00;-$#,##0.00"',
        lambda v: f"{'-' if round(v, 2) < 0 else ''}${abs(v):,.2f}",
    ),
    "0": ('"#,##0"', lambda v: f"{v:,.0f}"),
    "1": ('"#,##0.0"', lambda v: f"{v:,.1f}"),
    "2": ('"#,##0.00"', lambda v: f"{v:,.2f}"),
    "3": ('"0.000"', lambda v: f"{v:.3f}"),
    "%": ('"0%"', lambda v: f"{v * 100:.0f}%"),
}


def sentence(template: str, values: Mapping[str, Any]) -> tuple[str, str]:
    """A sentence as a formula, and as the text that it gives.

    Parameters
    ----------
    template : str
        Names of inputs, lines or other named cells in braces, with a format: ``$``,
        ``$2`` (cents), ``0`` to ``3`` (decimals), ``%``; none for a text.
    values : mapping of str to float or str

    Returns
    -------
    formula, text : str

    Examples
    --------
    >>> formula, text = sentence("It costs {capital:$}.", {"capital": 3000})
    >>> formula
    '="It costs "&TEXT(Capital,"$#,##0;-$#,##0")&"."'
    >>> text
    'It costs $3,000.'
    """
    parts, told, end = [], [], 0
    for field in _FIELD.finditer(template):
        parts.append(_quoted(template[end : field.start()]))
        told.append(template[end : field.start()])
        name, kind = field.groups()
        cell, value = defined_name(name), values[name]
        value = value.item() if hasattr(value, "item") else value
        if kind and not isinstance(value, str):
            shape, say = _FORMATS[kind]
            parts.append(f"TEXT({cell},{shape})")
            told.append(say(value))
        else:
            parts.append(cell)
            told.append(str(value))
        end = field.end()
    parts.append(_quoted(template[end:]))
    told.append(template[end:])
    return "=" + "&".join(part for part in parts if part), "".join(told)


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if text else ""
