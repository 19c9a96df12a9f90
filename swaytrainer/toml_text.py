"""TOML texts that people edit, read without surprises."""

from __future__ import annotations

import tomllib
from typing import Any

from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import Name, say


def parse_toml(text: str, what: str, remedy: str) -> dict[str, Any]:
    """The table of a TOML text.

    Args:
        text: of the file.
        what: how to call it in an error.
        remedy: what to do about a broken one.

    Raises:
        SwaytrainerError: it is no TOML, with the place if the parser tells one.
    """
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError, OverflowError) as error:
        # Besides its own error (a ValueError) the parser lets out what numbers of thousands of
        # digits and thousands of brackets make Python raise.
        why = str(error).rstrip(".") or "it is nested too deep"
        told = say("{file} is not valid TOML: {why}.", file=Name(what), why=Name(why))
        raise SwaytrainerError(told, remedy) from None


def finite_number(value: object) -> float | None:
    """The value as a float, if it is a number of a sensible size; None for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if abs(number) < float("inf") else None


def text_in(value: object) -> str:
    """The value, which must be a text.

    Raises:
        TypeError: it is something else.
    """
    if not isinstance(value, str):
        raise TypeError
    return value


def number_in(value: object) -> float:
    """The value as a float, which must be a number of a sensible size.

    Raises:
        TypeError: it is something else.
    """
    number = finite_number(value)
    if number is None:
        raise TypeError
    return number
