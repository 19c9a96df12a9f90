"""A contest on the disk: the coach's file, the recordings that are its truth, and who was missed.

Nothing of a mark, a place or an order is kept: all is found anew from file and recordings, which
therefore may be cut off at any moment. Only who was called and wasn't there can't be found from
them: ``evenings/contest-<day>-<file>.jsonl`` has a line of JSON for each.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Attempt, Call, Contest, Stage, next_up
from swaytrainer.squad.contest_file import read_contest
from swaytrainer.store.erased import FILE as ERASED
from swaytrainer.store.erased import on_list, read_erased
from swaytrainer.store.history import trials_in
from swaytrainer.store.home import Home, Stamp, slug, stamp_of
from swaytrainer.store.recording import SUFFIX, Recording, glance
from swaytrainer.training.history import same_task
from swaytrainer.training.level import Level
from swaytrainer.words import Name, say


class _Glance(NamedTuple):
    """What one recording has to do with the contest, and the file's stamp when it was read."""

    stamp: Stamp
    attempts: tuple[Attempt, ...]
    unread: str


class ContestBook:
    """One contest, as it stands.

    Args:
        home: the data folder.
        path: of the coach's file.

    Attributes:
        contest: the file's last good version.
        level: what all do, as it was when the book was opened; one trial a turn.
        attempts: all trials of the contest's level in its time.
        unread: a sentence for each recording that was left out.
        trouble: a sentence where file or list of the missed can't be used, else None.

    Raises:
        SwaytrainerError: the file can't be used.
    """

    def __init__(self, home: Home, path: Path) -> None:
        self._home = home
        self._path = path
        self._read: dict[Path, _Glance] = {}
        self._seen = self._stamps()
        self.contest = self._parsed()
        levels = {level.id: level for level in home.level_shelf().levels}
        self.level: Level = replace(levels[self.contest.level], trials=1)
        self.trouble: str | None = None
        self.attempts: tuple[Attempt, ...] = ()
        self.unread: tuple[str, ...] = ()
        day = self.contest.since.date().isoformat()
        self._missed_path = home.path / "evenings" / f"contest-{day}-{slug(path.stem)}.jsonl"
        self.missed = _read_missed(self._missed_path)
        self._look()

    @property
    def path(self) -> Path:
        """The coach's file."""
        return self._path

    def refresh(self) -> bool:
        """Read what has changed; whether anything had. The file's last good version stays."""
        before = (self.contest, self.attempts, self.unread, self.trouble)
        seen = self._stamps()
        if seen != self._seen:
            self._seen = seen
            try:
                told = self._parsed()
                if told.level != self.contest.level:
                    raise SwaytrainerError(
                        say("{name} names another level now.", name=Name(self._path.name)),
                        say("The contest goes on with the old one; close and open it to change."),
                    )
                self.contest, self.trouble = told, None
            except SwaytrainerError as error:
                self.trouble = error.told
        self._look()
        return before != (self.contest, self.attempts, self.unread, self.trouble)

    def calls(self) -> list[Call]:
        """Who is to come, in order."""
        return next_up(self.contest, self.attempts, self.missed)

    def note_missed(self, call: Call, at: datetime) -> None:
        """Whoever was called isn't here: it is kept, and the line changes.

        What can't be written still changes the line; ``trouble`` then says so.
        """
        self.missed = (*self.missed, call)
        line = {
            "kind": "missed",
            "name": call.vaulter,
            "at": at.isoformat(),
            "class": call.group,
            "stage": call.stage.value,
            "number": call.number,
        }
        path = self._missed_path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("ab") as file:
                # Behind a line that was cut off a new one begins.
                if file.tell() and not path.read_bytes().endswith(b"\n"):
                    file.write(b"\n")
                file.write(json.dumps(line, ensure_ascii=False).encode() + b"\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self.trouble = (
                f"Who was missed can't be written ({error.strerror}): free some space; it goes on,"
                " but would not be known after a restart."
            )

    def _stamps(self) -> tuple[object, ...]:
        """Of all that says who takes part: the file, the vaulters, and who is erased."""
        erased = stamp_of(self._home.path / ERASED)
        return stamp_of(self._path), self._home.vaulters_stamp(), erased

    def _parsed(self) -> Contest:
        return parsed_contest(contest_text(self._path), self._path.name, self._home)

    def _look(self) -> None:
        found: list[Attempt] = []
        unread = []
        for path in self._paths():
            stamp = stamp_of(path)
            known = self._read.get(path)
            if stamp is None:
                continue
            if known is None or known.stamp != stamp:
                known = self._read[path] = self._glance(path, stamp)
            found += known.attempts
            unread += [known.unread] if known.unread else []
        self.attempts, self.unread = tuple(found), tuple(unread)

    def _paths(self) -> list[Path]:
        """The recordings of the contest's days; folders that tell no day are looked into too."""
        first = self.contest.since.date() - timedelta(days=1)
        last = self.contest.until.date() + timedelta(days=1)
        found: list[Path] = []
        for folder in sorted((self._home.path / "recordings").glob("*")):
            try:
                here = first <= date.fromisoformat(folder.name) <= last
            except ValueError:
                here = True
            if here:
                found += sorted(folder.glob(f"*{SUFFIX}"))
        return found

    def _glance(self, path: Path, stamp: Stamp) -> _Glance:
        try:
            recording = glance(path)
        except SwaytrainerError as error:
            return _Glance(stamp, (), f"Left out: {error.what}")
        if recording.setup.level.id != self.level.id:
            return _Glance(stamp, (), "")
        if not same_task(recording.setup.level, self.level):
            why = f"Left out: {path.name} was made when {self.level.id} asked something else."
            return _Glance(stamp, (), why)
        return _Glance(stamp, attempts_in(recording, path.name, path.parent.name), "")


def attempts_in(recording: Recording, name: str, folder: str = "") -> tuple[Attempt, ...]:
    """The trials of one recording, as they were shown.

    Args:
        recording: at a glance is enough.
        name: of its file.
        folder: that it lies in.
    """
    found = []
    for n, shown in enumerate(recording.shown, start=1):
        number, reason = shown.get("number"), shown.get("reason")
        for tried in trials_in(replace(recording, shown=(shown,))):
            found.append(
                Attempt(
                    recording.setup.vaulter.name,
                    tried.made,
                    tried.mark,
                    name,
                    number if isinstance(number, int) else n,
                    reason if isinstance(reason, str) else "",
                    folder,
                )
            )
    return tuple(found)


def parsed_contest(text: str, where: str, home: Home) -> Contest:
    """The contest that a text tells, among the vaulters, levels and erased of a data folder.

    Raises:
        SwaytrainerError: it can't be used.
    """
    erased = on_list(read_erased(home.path / ERASED))
    levels = [level.id for level in home.level_shelf().levels]
    return read_contest(text, where, home.vaulters(), levels, erased)


def contest_text(path: Path) -> str:
    """The coach's file.

    Raises:
        SwaytrainerError: it can't be read.
    """
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is no text in UTF-8"
        raise SwaytrainerError(
            say("{path} can't be read: {why}.", path=Name(path), why=Name(why)),
            say(
                "Give the contest's file; 'swaytrainer contest {name} begin' writes a new one.",
                name=Name(path.name),
            ),
        ) from None


def _read_missed(path: Path) -> Sequence[Call]:
    """Whole lines only: one that was cut off is passed over."""
    try:
        lines = path.read_bytes().split(b"\n")
    except OSError:
        return ()
    found = []
    for line in lines:
        try:
            entry = json.loads(line)
            number = entry["number"]
            call = Call(entry["class"], entry["name"], Stage(entry["stage"]), number)
        except (ValueError, KeyError, TypeError):
            continue
        if isinstance(call.vaulter, str) and isinstance(number, int):
            found.append(call)
    return tuple(found)
