"""Sentences with live figures: one template gives the formula and the stored text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from ..formulas import Live, Reference
from ..model.currency import in_currency, symbol
from ..model.figures import FALLS, RISES, growth_words
from .layout import defined_name

_FIELD = re.compile(r"\{(\w+)(?::([^}]+))?\}")
_FORMATS = {
    # kind: (spreadsheet's format, decimals)
    "$": ('"$#,##0;-$#,##0"', 0),
    "$2": ('"$#,##0.00;-$#,##0.00"', 2),
    "0": ('"#,##0"', 0),
    "1": ('"#,##0.0"', 1),
    "2": ('"#,##0.00"', 2),
    "3": ('"#,##0.000"', 3),
    "%": ('"0.0%"', 3),
}


def sentence(template: str, values: Mapping[str, Any], currency: str = "") -> Live:
    """A sentence with its text.

    Parameters
    ----------
    template : str
        Names of inputs, lines or other named cells in braces, with a format: ``$``,
        ``$2`` (cents), ``0`` to ``3`` (decimals), ``%``, ``growth`` (the yearly
        change of a price, in words); none for a text.
    values : mapping of str to float or str
    currency : str
        Of the amounts; empty for US dollars.

    Returns
    -------
    sentence : Live

    Examples
    --------
    >>> cost = sentence("It costs {capital:$}.", {"capital": 3000})
    >>> cost.formula
    '="It costs "&TEXT(ROUND(Capital,0),"$#,##0;-$#,##0")&"."'
    >>> cost.value
    'It costs $3,000.'
    >>> sentence("It costs {capital:$}.", {"capital": 3000}, "GHS").value
    'It costs GHS 3,000.'
    """
    parts, texts, end = [], [], 0
    for field in _FIELD.finditer(template):
        parts.append(_quoted(template[end : field.start()]))
        texts.append(template[end : field.start()])
        name, kind = field.groups()
        cell, value = defined_name(name), values[name]
        value = value.item() if hasattr(value, "item") else value
        if kind == "growth":
            parts.append(_growth(cell))
            texts.append(growth_words(value))
        elif kind and not isinstance(value, str):
            parts.append(_number(cell, kind, currency))
            texts.append(in_currency(_rounded(value, kind), currency))
        else:
            parts.append(cell)
            texts.append(str(value))
        end = field.end()
    parts.append(_quoted(template[end:]))
    texts.append(template[end:])
    cell = Reference("&".join(part for part in parts if part), "text")
    return Live(cell, "".join(texts))


def _number(cell: str, kind: str, currency: str) -> str:
    """Formula of a number in words; the name of a currency stands before it."""
    shape, places = _FORMATS[kind]
    number, sign = f"ROUND({cell},{places})", symbol(currency)
    if not kind.startswith("$") or sign == "$":
        return f"TEXT({number},{shape})"
    minus, amount = f'IF({number}<0,"-","")', f"TEXT(ABS({number}),{_plain(shape)})"
    return f"{minus}&{_quoted(sign + ' ')}&{amount}"


def _plain(shape: str) -> str:
    """A format of money without its sign."""
    return shape.partition(";")[0].replace("$", "") + '"'


def _growth(cell: str) -> str:
    """Formula of the words for a yearly change, as in `growth_words`."""
    way = f'IF({cell}>0,"{RISES}","{FALLS}")'
    rate = f'TEXT(ROUND(ABS({cell}),3),"0.0%")'
    return f'IF(ABS({cell})<0.0005,"",{way}&{rate}&" per year")'


def _rounded(value: float, kind: str) -> str:
    """A number rounded as in spreadsheets: from 15 digits, half away from zero."""
    step = Decimal(1).scaleb(-_FORMATS[kind][1])
    number = Decimal(f"{value:.15g}").quantize(step, ROUND_HALF_UP)
    if kind == "%":
        return f"{number * 100:.1f}%"
    sign = "-" if number < 0 else ""
    return f"{sign}${abs(number):,}" if kind[0] == "$" else f"{sign}{abs(number):,}"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if text else ""
