"""Cells of a table that a spreadsheet opens."""

from __future__ import annotations


def neutral(value: object) -> object:
    """A cell that no spreadsheet takes for a formula: a text that begins like one gets a quote.

    >>> neutral("=cmd()"), neutral(-1.5), neutral("Wren")
    ("'=cmd()", -1.5, 'Wren')
    """
    if isinstance(value, str) and value.lstrip().startswith(("=", "+", "-", "@")):
        return "'" + value
    return value
