"""Found feet as text: in ``feet.toml``, one behind the other, and in a recording's head."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from datetime import datetime
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import number_in, parse_toml, text_in
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.words import Name, say

_REMEDY: Final = "Mend that place, or take it out: the feet can be found again."


def feet_json(feet: FoundFeet) -> dict[str, Any]:
    """Found feet as values for JSON or TOML; the inverse of ``feet_from``."""
    return {**asdict(feet), "made": feet.made.isoformat()}


def feet_from(table: Mapping[str, object]) -> FoundFeet:
    """Found feet from JSON or TOML values.

    Raises:
        ValueError, KeyError, TypeError: a field is missing or of the wrong kind.
    """
    made = datetime.fromisoformat(text_in(table["made"]))
    if made.tzinfo is None:
        raise ValueError("no time zone")
    lengths = [number_in(table[f.name]) for f in fields(FoundFeet) if f.name.endswith("_mm")]
    return FoundFeet(text_in(table["vaulter"]), text_in(table["stance"]), made, *lengths)


def newest_feet(text: str, name: str, vaulter: str, stance: str) -> FoundFeet | None:
    """The last feet in a file's text that are of this vaulter in this stance.

    Args:
        text: the file's text.
        name: how to call the file in an error.
        vaulter, stance: whose, and how they stand.

    Raises:
        SwaytrainerError: the text is none, or feet in it can't be.
    """
    try:
        entries = parse_toml(text, name, _REMEDY).get("feet", [])
        all_feet = [feet_from(entry).check() for entry in entries]
    except (ValueError, KeyError, TypeError, AttributeError):
        raise SwaytrainerError(
            say("{name} holds feet that no version writes.", name=Name(name)), _REMEDY
        ) from None
    theirs = [f for f in all_feet if (f.vaulter, f.stance) == (vaulter, stance)]
    return theirs[-1] if theirs else None


def with_feet(text: str, feet: FoundFeet) -> str:
    """The file's text with these feet behind all others, letter for letter."""
    import tomlkit

    entry = tomlkit.table()
    for field, value in feet_json(feet).items():
        entry.add(field, value)
    addition = tomlkit.document()
    addition.add("feet", tomlkit.aot())
    addition["feet"].append(entry)
    return text + ("\n" if text and not text.endswith("\n") else "") + addition.as_string()
