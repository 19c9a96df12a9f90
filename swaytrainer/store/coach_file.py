"""The coach's words as text: in ``coach.toml``, one behind the other, the newest in force."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import parse_toml
from swaytrainer.training.ladder import CoachWord
from swaytrainer.words import Name, say

_REMEDY: Final = "Mend that place, or take it out: the coach can say it again."
_FIELDS: Final = {"vaulter", "level", "made", "note"}


#: Letters of a coach's note, which stands on the vaulter's page.
LONGEST_NOTE: Final = 240


def check_note(note: str) -> None:
    """Whether a note may be said now; what a file holds already may be longer.

    Raises:
        SwaytrainerError: it is too long for the page.
    """
    if len(note) > LONGEST_NOTE:
        raise SwaytrainerError(
            say(
                "The coach's note has {n} letters; a page holds {most}.",
                n=len(note),
                most=LONGEST_NOTE,
            ),
            say("Say it shorter."),
        )


def checked_word(word: CoachWord) -> CoachWord:
    """The word as it may be kept.

    Raises:
        SwaytrainerError: no note, no time zone, or an unprintable one.
    """
    note = word.note.strip()
    if not note or not note.isprintable():
        raise SwaytrainerError(
            say("The coach's word has no note, or one of more than one line."),
            say("Say in one line why: the vaulter and other coaches will read it."),
        )
    if word.made.tzinfo is None:
        raise SwaytrainerError(
            say("The coach's word has no time zone."), say("Give the time with its zone.")
        )
    return CoachWord(word.vaulter, word.level_id, word.made, note)


def coach_words(text: str, name: str) -> list[CoachWord]:
    """All words in a file's text, in its order.

    Args:
        text: the file's text.
        name: how to call the file in an error.

    Raises:
        SwaytrainerError: the text is none, or a word in it can't be.
    """
    entries = parse_toml(text, name, _REMEDY).get("word", [])
    if not isinstance(entries, list):
        raise SwaytrainerError(say("{name}: 'word' must be a list.", name=Name(name)), _REMEDY)
    return [_word(entry, f"{name}, word {n}") for n, entry in enumerate(entries, 1)]


def _word(entry: object, name: str) -> CoachWord:
    if not isinstance(entry, dict) or set(entry) != _FIELDS:
        raise SwaytrainerError(
            say(
                "{name} must hold {fields}.",
                name=Name(name),
                fields=Name(", ".join(sorted(_FIELDS))),
            ),
            _REMEDY,
        )
    if not all(isinstance(value, str) for value in entry.values()):
        raise SwaytrainerError(
            say("{name}: each field must be a text in quotes.", name=Name(name)), _REMEDY
        )
    try:
        made = datetime.fromisoformat(entry["made"])
    except ValueError:
        raise SwaytrainerError(
            say("{name}: {entry!r} is no time.", name=Name(name), entry=Name(entry["made"])),
            _REMEDY,
        ) from None
    return checked_word(CoachWord(entry["vaulter"], entry["level"], made, entry["note"]))


def with_word(text: str, word: CoachWord) -> str:
    """The file's text with this word behind all others, letter for letter."""
    import tomlkit

    values = asdict(checked_word(word))
    entry = tomlkit.table()
    entry.add("vaulter", values["vaulter"])
    entry.add("level", values["level_id"])
    entry.add("made", word.made.isoformat())
    entry.add("note", values["note"])
    addition = tomlkit.document()
    addition.add("word", tomlkit.aot())
    addition["word"].append(entry)
    return text + ("\n" if text and not text.endswith("\n") else "") + addition.as_string()
