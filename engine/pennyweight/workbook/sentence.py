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
_DECIMALS = {"$": 0, "$2": 2, "0": 0, "1": 1, "2": 2, "3": 3, "%": 3}
"""Decimals by format; those of a share are rounded before it is shown as percent."""


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
    '="It costs "&IF(ROUND(Capital,0)<0,"-","")&"$"&FIXED(ABS(Capital),0)&"."'
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
    """Formula of a number in words; the name of a currency stands before it.

    By FIXED, which writes the decimal point or comma of the reader's program; the
    formats of TEXT mean other numbers where a point separates thousands.
    """
    places = _DECIMALS[kind]
    number = f"ROUND({cell},{places})"
    if kind == "%":
        return _percent(number)
    if kind[0] != "$":
        return f"FIXED({number},{places})"
    sign = symbol(currency)
    before = _quoted(sign if sign == "$" else f"{sign} ")
    return f'IF({number}<0,"-","")&{before}&FIXED(ABS({cell}),{places})'


def _percent(share: str) -> str:
    """Formula of a share in percent, with one decimal."""
    return f'FIXED(100*{share},1,TRUE)&"%"'


def _growth(cell: str) -> str:
    """Formula of the words for a yearly change, as in `growth_words`."""
    way = f'IF({cell}>0,"{RISES}","{FALLS}")'
    rate = _percent(f"ROUND(ABS({cell}),3)")
    return f'IF(ABS({cell})<0.0005,"",{way}&{rate}&" per year")'


def _rounded(value: float, kind: str) -> str:
    """A number rounded as in spreadsheets: from 15 digits, half away from zero."""
    step = Decimal(1).scaleb(-_DECIMALS[kind])
    number = Decimal(f"{value:.15g}").quantize(step, ROUND_HALF_UP)
    if kind == "%":
        return f"{number * 100:.1f}%"
    sign = "-" if number < 0 else ""
    return f"{sign}${abs(number):,}" if kind[0] == "$" else f"{sign}{abs(number):,}"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if text else ""
