"""The evening on the disk: the plan as the coach wrote it, and a line for all that happened.

``squad.toml`` is the coach's. ``evenings/2026-11-25.jsonl`` has a line of JSON for each thing that
happened; a line that was cut off by a power cut is passed over, so the evening goes on where it
was.
"""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Collection, Sequence
from datetime import date, datetime
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.evening import Evening, Happened, Kind, evening_of
from swaytrainer.squad.plan import FILE, Plan, groups_of, plan_text, read_plan
from swaytrainer.toml_text import finite_number
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say


class EveningBook:
    """One evening's plan and line.

    Several stations may share the folder: each line is appended in one piece, and what others have
    written is read at every ``refresh`` and after every ``note``; the file's order is the order.
    (On a network's folder that does not append in one piece a line of two that are written in the
    same moment may be lost; groups with a station of their own each never meet.)

    Args:
        folder: the data folder.
        day: the evening's, as ``evening_day`` tells it.
        vaulters, levels: that there are, for the plan's check.

    Attributes:
        evening: as it stands; None where there is no plan.
        trouble: a sentence where the plan or the book can't be used, else None.
    """

    def __init__(
        self, folder: Path, day: date, vaulters: Collection[str], levels: Collection[str]
    ) -> None:
        self._folder = folder
        self._plan_path = folder / FILE
        self._vaulters, self._levels = vaulters, levels
        self._plan: Plan | None = None
        self._plan_seen: _Seen = None
        self._plan_trouble: str | None = None
        self.evening: Evening | None = None
        self._open(day)
        self.refresh()

    def _open(self, day: date) -> None:
        self._day = day
        self._path = self._folder / "evenings" / f"{day.isoformat()}.jsonl"
        self._book_seen: _Seen = None
        self._book_trouble: str | None = None
        self._written: list[Happened] = []
        #: What could not be written; it counts as long as the program runs.
        self._unwritten: list[Happened] = []

    @property
    def plan(self) -> Plan | None:
        """The last good plan."""
        return self._plan

    @property
    def trouble(self) -> str | None:
        """What is wrong with the plan, or with the book."""
        return self._plan_trouble or self._book_trouble

    def refresh(self, day: date | None = None, vaulters: Collection[str] | None = None) -> bool:
        """Read what has changed: the plan, and what other stations wrote; whether anything had.

        Args:
            day: another evening's book is opened if it is another day; None for the same.
            vaulters: the names that there are now, if others may have come; None for the same.
        """
        if vaulters is not None and set(vaulters) != set(self._vaulters):
            self._vaulters = vaulters
            self._plan_seen = None  # what was an unknown name may be none any more
        new_day = day is not None and day != self._day
        if day is not None and new_day:
            self._open(day)
        changed = self._read_plan()
        changed = self._read_book() or changed or new_day
        if changed:
            self._reckon()
        return changed

    def _reckon(self) -> None:
        happened = [*self._written, *self._unwritten]
        self.evening = None if self._plan is None else evening_of(self._plan, happened)

    def _read_plan(self) -> bool:
        try:
            seen = _seen(self._plan_path)
            if seen == self._plan_seen:
                return False
            self._plan_seen = seen
            text = self._plan_path.read_text(encoding="utf-8")
            self._plan = read_plan(text, self._plan_path.name, self._vaulters, self._levels)
            self._plan_trouble = None
        except FileNotFoundError:
            had = self._plan is not None or self._plan_trouble is not None
            self._plan_seen = self._plan = self._plan_trouble = None
            return had
        except (OSError, UnicodeDecodeError) as error:
            self._plan_trouble = f"{self._plan_path.name} can't be read: {error}."
        except SwaytrainerError as error:
            self._plan_trouble = error.told
        return True

    def _read_book(self) -> bool:
        try:
            seen = _seen(self._path)
        except OSError:
            seen = None  # not there yet, or reading it tells why
        if seen == self._book_seen and seen is not None:
            return False
        try:
            before, self._written = self._written, read_happened(self._path)
        except SwaytrainerError as error:
            self._book_trouble = error.told
            return False
        self._book_seen = seen
        return before != self._written

    def note(self, happened: Happened) -> None:
        """Something happened: it is kept, and the line changes.

        What can't be written still changes the line; ``trouble`` then says so.
        """
        line = json.dumps(_json(happened), ensure_ascii=False).encode() + b"\n"
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            _append_line(self._path, line)
        except OSError as error:
            self._unwritten.append(happened)
            self._book_trouble = (
                f"The evening can't be written ({error.strerror}): free some space; it goes on, but"
                " would not be known after a restart."
            )
        else:
            self._read_book()
        self._reckon()


#: What tells a changed file from the same one: time, size, and which file it is.
_Seen = tuple[int, int, int] | None


def _seen(path: Path) -> _Seen:
    stat = path.stat()
    return stat.st_mtime_ns, stat.st_size, stat.st_ino


def _append_line(path: Path, line: bytes) -> None:
    """One write at the file's end, whoever else writes there; on the disk when it returns."""
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags, 0o666)
    try:
        if os.lseek(handle, 0, os.SEEK_END):
            os.lseek(handle, -1, os.SEEK_END)
            if os.read(handle, 1) != b"\n":
                line = b"\n" + line  # behind a line that was cut off a new one begins
        if os.write(handle, line) != len(line):
            raise OSError(errno.ENOSPC, "No space left on device")
        os.fsync(handle)
    finally:
        os.close(handle)


def _json(happened: Happened) -> dict[str, object]:
    return {
        "kind": happened.kind.value,
        "name": happened.name,
        "at": happened.at.isoformat(),
        "level": happened.level,
        "seconds": happened.seconds,
        "rest_s": happened.rest_s,
        **({"station": happened.station} if happened.station else {}),
    }


def read_happened(path: Path) -> list[Happened]:
    """What a day's file tells, whole lines only.

    Raises:
        SwaytrainerError: it is there, and can't be read.
    """
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return []
    except OSError as error:
        raise SwaytrainerError(
            say("{name} can't be read: {why}.", name=Name(path.name), why=Name(error.strerror)),
            say("Look at its rights, or move it away."),
        ) from None
    found = (_happened(line) for line in lines)
    return [each for each in found if each is not None]


def _happened(line: bytes) -> Happened | None:
    try:
        entry = json.loads(line)
        at = datetime.fromisoformat(entry["at"])
        kind, name, level = Kind(entry["kind"]), entry["name"], entry["level"]
        seconds, rest_s = finite_number(entry["seconds"]), finite_number(entry["rest_s"])
        station = entry.get("station", "")
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    if not all(isinstance(text, str) for text in (name, level, station)) or at.tzinfo is None:
        return None
    if seconds is None or rest_s is None:
        return None
    return Happened(kind, name, at, level, seconds, rest_s, station)


def begin_plan(folder: Path, vaulters: Sequence[Vaulter]) -> Path:
    """Write a plan to begin with: the groups that the vaulters tell.

    Raises:
        SwaytrainerError: there is one, nobody to plan for, or it can't be written.
    """
    path = folder / FILE
    if not vaulters:
        raise SwaytrainerError(
            say("There is nobody to plan for."),
            say("Add vaulters first, at the desk, or with: swaytrainer vaulter NAME"),
        )
    try:
        # An empty file is no plan that anybody could lose.
        empty = path.is_file() and not path.read_bytes().strip()
        with path.open("w" if empty else "x", encoding="utf-8") as file:
            file.write(plan_text(groups_of(vaulters)))
    except FileExistsError:
        raise SwaytrainerError(
            say("There is a plan already: {path}.", path=Name(path)),
            say("Change it with any editor."),
        ) from None
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Look at the folder's rights and space."),
        ) from None
    return path
