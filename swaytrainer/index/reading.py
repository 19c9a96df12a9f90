"""One recording as rows of the index.

What a recording keeps of its outcomes is taken as it was shown: that costs a hundredth of a replay,
and the index tells what the vaulter saw. A recording that keeps none (an old one, or one whose
program was killed) is replayed. ``checked`` computes all again and names what differs.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import fields
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.recording import Recording, glance, outcome_json, read_recording
from swaytrainer.store.trials import difference_words, only_shown, trials_of
from swaytrainer.toml_text import finite_number
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import level_text
from swaytrainer.training.outcome import Terms
from swaytrainer.words import Name, listed, say

#: Row of a table: column → value.
Row = dict[str, Any]

_NUMBERS: Final = ("mark", "deduction", "off_board_s", "lost_s", "body_n")
#: No sitting has so many trials; a larger number is rubbish, and no server would take it.
_MOST_TRIALS: Final = 1_000_000


class Read(NamedTuple):
    """What one file gave.

    Attributes:
        path: relative to the recordings' folder, with ``/`` on every system.
        size, modified_ns: when it was read.
        sitting: the row of the sitting; None if the file is no recording.
        board, level: the rows that it refers to.
        trials: their rows.
        trouble: why it can't be used; None if it can.
    """

    path: str
    size: int
    modified_ns: int
    sitting: Row | None
    board: Row | None = None
    level: Row | None = None
    trials: tuple[Row, ...] = ()
    trouble: str | None = None


def sitting_key(recording: Recording) -> str:
    """The sitting's own key, 32 hexadecimal digits, from what its head says of itself.

    Two sittings never share a board, a vaulter and the microsecond of their beginning.
    """
    setup = recording.setup
    said = [recording.made, setup.board.board_id, setup.vaulter.name, setup.level.id, setup.tare_n]
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()[:32]


def name_in(folder: Path, path: Path) -> str:
    """How the index calls a file: relative, with ``/``, and what is no Unicode spelled out."""
    return storable_path(path.relative_to(folder).as_posix())


def storable_path(name: str) -> str:
    """A file's name as every database takes it."""
    return os.fsencode(name).decode("utf-8", "backslashreplace")


def read_file(folder: Path, path: Path) -> Read:
    """The rows of one file; never raises for what is wrong with it.

    Args:
        folder: the recordings' folder.
        path: of the file.
    """
    name = name_in(folder, path)
    try:
        told = path.stat()
    except OSError as error:
        return Read(name, -1, -1, None, trouble=f"Can't read {name}: {error.strerror}.")
    size, modified = told.st_size, told.st_mtime_ns
    try:
        recording = glance(path)
        shown = recording.shown
        if not shown:
            shown = tuple(outcome_json(t.outcome) for t in trials_of(read_recording(path)))
    except SwaytrainerError as error:
        return Read(name, size, modified, None, trouble=str(error).replace(str(path), name))
    key = sitting_key(recording)
    setup = recording.setup
    level = _level_row(setup.level)
    rows = {row["number"]: row for row in (_trial_row(key, o) for o in shown) if row is not None}
    sitting = {
        "id": key,
        "vaulter": _storable(setup.vaulter.name),
        "board": _storable(setup.board.board_id),
        "level": level["hash"],
        "path": name,
        "made": _storable(recording.made),
        "made_s": _made_s(recording.made),
        "version": _storable(recording.version),
    }
    board = {"id": sitting["board"], "cells": setup.board.cells}
    return Read(name, size, modified, sitting, board, level, tuple(rows.values()))


def checked(path: Path) -> list[str]:
    """Sentences on damage, and on outcomes that this version computes otherwise than was shown."""
    try:
        recording = read_recording(path)
        trials = trials_of(recording)
    except SwaytrainerError as error:
        return [listed((error.what, error.remedy), " ")]
    name = Name(path.name)
    return [
        *(say("{file}: {what}", file=name, what=sentence) for sentence in recording.damage),
        *(
            say(
                "{file}, trial {n}: {what}",
                file=name,
                n=t.outcome.number,
                what=difference_words(t, recording),
            )
            for t in trials
            if t.same_as_shown is False
        ),
        *(say("{file}: {what}", file=name, what=what) for what in only_shown(recording, trials)),
    ]


@lru_cache(maxsize=256)
def _level_row(level: Level) -> Row:
    text = level_text(level)
    return {
        "hash": hashlib.sha256(text.encode()).hexdigest(),
        "id": level.id,
        "game": level.game,
        "title": level.title,
        "text": text,
    }


def _made_s(made: str) -> float | None:
    try:
        when = datetime.fromisoformat(made)
    except ValueError:
        return None
    return None if when.tzinfo is None else when.timestamp()


def _trial_row(key: str, outcome: dict[str, Any]) -> Row | None:
    """An outcome as it was shown, whatever version wrote it; None if it has no number."""
    number = outcome.get("number")
    if not isinstance(number, int) or isinstance(number, bool) or not 0 < number < _MOST_TRIALS:
        return None
    counts = outcome.get("counts") is True
    terms = outcome.get("terms")
    held = terms if isinstance(terms, dict) else {}
    reason = _words(outcome.get("reason")) or ""
    steps = outcome.get("step_offs")
    measures = outcome.get("measures")
    parts = outcome.get("parts")
    return {
        "sitting": key,
        "number": number,
        "counts": counts,
        "why_not": None if counts else reason or "The recording does not tell why.",
        "ended": _words(outcome.get("ended")) or "",
        "reason": reason,
        "step_offs": steps if isinstance(steps, int) and 0 <= steps < _MOST_TRIALS else None,
        **{name: finite_number(outcome.get(name)) for name in _NUMBERS},
        **{field.name: _term(held, field.name) for field in fields(Terms)},
        "known": known_terms(terms) is not None,
        "parts": _clean(parts) if isinstance(parts, list | tuple) else [],
        "measures": {
            _storable(name): finite_number(value)
            for name, value in (measures.items() if isinstance(measures, dict) else ())
        },
    }


def known_terms(kept: object) -> Terms | None:
    """The terms of a kept outcome; None if they are not as this version knows them."""
    if not isinstance(kept, dict):
        return None
    try:
        terms = Terms(**kept)
    except TypeError:
        return None
    numbers = all(finite_number(v) is not None for v in (terms.rate_hz, terms.seconds))
    words = all(isinstance(getattr(terms, f.name), str | int | float) for f in fields(Terms))
    return terms if numbers and words else None


def _term(held: dict[str, Any], name: str) -> float | str | None:
    value = held.get(name)
    return finite_number(value) if name in ("rate_hz", "seconds") else _words(value)


def _words(value: object) -> str | None:
    return _storable(value) if isinstance(value, str) else None


def _storable(text: str) -> str:
    """A text that every database takes: without NUL and without halves of characters."""
    return text.replace("\0", "\ufffd").encode("utf-8", "replace").decode()


def _clean(value: Any) -> Any:
    if isinstance(value, str):
        return _storable(value)
    if isinstance(value, dict):
        return {_storable(str(k)): _clean(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(v) for v in value]
    if isinstance(value, bool) or value is None:
        return value
    return finite_number(value)
