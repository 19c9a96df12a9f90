"""The evening on the disk: the plan as the coach wrote it, and a line for all that happened.

``squad.toml`` is the coach's. ``evenings/2026-11-25.jsonl`` has a line of JSON for each thing that
happened; a line that was cut off by a power cut is passed over, so the evening goes on where it
was.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection, Sequence
from datetime import date, datetime
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.evening import Evening, Happened, Kind, evening_of
from swaytrainer.squad.plan import FILE, Plan, plan_text, read_plan
from swaytrainer.toml_text import finite_number


class EveningBook:
    """One day's plan and line.

    Args:
        folder: the data folder.
        day: the day at the club's place.
        vaulters, levels: that there are, for the plan's check.

    Attributes:
        evening: as it stands; None where there is no plan.
        trouble: a sentence where the plan or the book can't be used, else None.
    """

    def __init__(
        self, folder: Path, day: date, vaulters: Collection[str], levels: Collection[str]
    ) -> None:
        self._plan_path = folder / FILE
        self._path = folder / "evenings" / f"{day.isoformat()}.jsonl"
        self._vaulters, self._levels = vaulters, levels
        self._plan: Plan | None = None
        self._seen: tuple[int, int] | None = None
        self._happened: list[Happened] = []
        self.trouble: str | None = None
        self.evening: Evening | None = None
        try:
            self._happened = read_happened(self._path)
        except SwaytrainerError as error:
            self.trouble = str(error)
        self.refresh()

    @property
    def plan(self) -> Plan | None:
        """The last good plan."""
        return self._plan

    def refresh(self) -> bool:
        """Read the plan again if its file has changed; whether it had. The last good one stays."""
        try:
            stat = self._plan_path.stat()
            seen = (stat.st_mtime_ns, stat.st_size)
            if seen == self._seen:
                return False
            self._seen = seen
            text = self._plan_path.read_text(encoding="utf-8")
            self._plan = read_plan(text, self._plan_path.name, self._vaulters, self._levels)
            self.trouble = None
        except FileNotFoundError:
            had = self._plan is not None
            self._seen = self._plan = self.evening = None
            return had
        except (OSError, UnicodeDecodeError) as error:
            self.trouble = f"{self._plan_path.name} can't be read: {error}."
        except SwaytrainerError as error:
            self.trouble = str(error)
        if self._plan is not None:
            self.evening = evening_of(self._plan, self._happened)
        return True

    def note(self, happened: Happened) -> None:
        """Something happened: it is kept, and the line changes.

        What can't be written still changes the line; ``trouble`` then says so.
        """
        self._happened.append(happened)
        if self.evening is not None:
            self.evening = self.evening.after(happened)
        line = _json(happened)
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with self._path.open("ab") as file:
                # Behind a line that was cut off a new one begins.
                if file.tell() and not self._path.read_bytes().endswith(b"\n"):
                    file.write(b"\n")
                file.write(json.dumps(line, ensure_ascii=False).encode() + b"\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self.trouble = (
                f"The evening can't be written ({error.strerror}): free some space; it goes on, but"
                " would not be known after a restart."
            )


def _json(happened: Happened) -> dict[str, object]:
    return {
        "kind": happened.kind.value,
        "name": happened.name,
        "at": happened.at.isoformat(),
        "level": happened.level,
        "seconds": happened.seconds,
        "rest_s": happened.rest_s,
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
            f"{path.name} can't be read: {error.strerror}.", "Look at its rights, or move it away."
        ) from None
    found = (_happened(line) for line in lines)
    return [each for each in found if each is not None]


def _happened(line: bytes) -> Happened | None:
    try:
        entry = json.loads(line)
        at = datetime.fromisoformat(entry["at"])
        kind, name, level = Kind(entry["kind"]), entry["name"], entry["level"]
        seconds, rest_s = finite_number(entry["seconds"]), finite_number(entry["rest_s"])
    except (ValueError, KeyError, TypeError):
        return None
    if not (isinstance(name, str) and isinstance(level, str)) or at.tzinfo is None:
        return None
    if seconds is None or rest_s is None:
        return None
    return Happened(kind, name, at, level, seconds, rest_s)


def begin_plan(folder: Path, vaulters: Sequence[str]) -> Path:
    """Write a plan to begin with.

    Raises:
        SwaytrainerError: there is one, nobody to plan for, or it can't be written.
    """
    path = folder / FILE
    if not vaulters:
        raise SwaytrainerError(
            "There is nobody to plan for.", "Add vaulters first: swaytrainer vaulter NAME"
        )
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(plan_text(vaulters))
    except FileExistsError:
        raise SwaytrainerError(
            f"There is a plan already: {path}.", "Change it with any editor."
        ) from None
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write {path}: {error.strerror}.", "Look at the folder's rights and space."
        ) from None
    return path
