"""What a vaulter has done so far, from the recordings: nothing of it is kept anywhere else."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.store.recording import Recording, glance
from swaytrainer.toml_text import finite_number
from swaytrainer.training.history import Tried

#: Only so many of a vaulter's newest sittings are read: at two a week those of half a year.
NEWEST: Final = 60


class History:
    """Reads recordings at a glance, each once: a file that has not grown is not read again."""

    def __init__(self, home: Home) -> None:
        self._home = home
        self._read: dict[Path, tuple[int, tuple[str, tuple[Tried, ...]]]] = {}

    def of(self, vaulter: str) -> list[Tried]:
        """The vaulter's trials in the newest recordings, oldest first.

        A damaged recording, or one without a date, is passed over: it must not keep anybody from
        training.
        """
        found: list[Tried] = []
        for path in self._home.recordings_of(vaulter)[-NEWEST:]:
            name, tried = self._glance(path)
            if name == vaulter:
                found += tried
        return sorted(found, key=lambda t: t.made)

    def _glance(self, path: Path) -> tuple[str, tuple[Tried, ...]]:
        try:
            size = path.stat().st_size
        except OSError:
            return "", ()
        kept = self._read.get(path)
        if kept is not None and kept[0] == size:
            return kept[1]
        try:
            recording = glance(path)
            read = (recording.setup.vaulter.name, trials_in(recording))
        except SwaytrainerError:
            read = ("", ())
        self._read[path] = (size, read)
        return read


def trials_in(recording: Recording) -> tuple[Tried, ...]:
    """The trials of one recording, as they were shown; none if it does not tell its date."""
    try:
        made = datetime.fromisoformat(recording.made)
    except ValueError:
        return ()
    if made.tzinfo is None:
        return ()
    found = (_tried(recording, made, shown) for shown in recording.shown)
    return tuple(tried for tried in found if tried is not None)


def _tried(recording: Recording, made: datetime, shown: dict[str, Any]) -> Tried | None:
    """One outcome as it was shown, whatever version wrote it; None if it lacks its terms."""
    terms = shown.get("terms")
    if not isinstance(terms, dict):
        return None
    seconds, rate_hz = finite_number(terms.get("seconds")), finite_number(terms.get("rate_hz"))
    feedback, name = terms.get("feedback"), terms.get("filter")
    if seconds is None or rate_hz is None:
        return None
    if not isinstance(feedback, str) or not isinstance(name, str):
        return None
    off_s = finite_number(shown.get("off_board_s")) or 0.0
    mark = finite_number(shown.get("mark")) if shown.get("counts") is True else None
    return Tried(
        made=made,
        level=recording.setup.level,
        mark=mark,
        on_board_s=min(max(seconds - off_s, 0.0), seconds),
        feedback=feedback,
        rate_hz=rate_hz,
        filter=name,
        body_n=finite_number(shown.get("body_n")),
    )
