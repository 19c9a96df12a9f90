"""The levels in use: the shipped ones and the club's own, read again when a file has changed.

A file that was good and is broken now keeps its last good version in use, as long as the program
runs; one that was never good is left out. Either is told, with line, field and reason.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import file_order, read_level, shipped_files

_KEPT: Final = "Its last good version stays in use."
_OUT: Final = "It is left out until then."


class _Stamp(NamedTuple):
    """What changes when a file is written anew."""

    modified_ns: int
    size: int
    inode: int


class LevelShelf:
    """The levels of a data folder.

    Args:
        folder: the club's own level files; it need not exist.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._shipped = shipped_files()
        self._stamps: dict[Path, _Stamp] | None = None
        self._good: dict[Path, Level] = {}
        self._bad: dict[Path, str] = {}
        self.levels: tuple[Level, ...] = ()
        self.troubles: tuple[str, ...] = ()
        self.notes: tuple[str, ...] = ()
        self.refresh()

    def refresh(self) -> bool:
        """Read what was changed, added or taken away; whether anything was."""
        stamps = self._now()
        if stamps == self._stamps:
            return False
        before = self._stamps or {}
        for path in (set(self._good) | set(self._bad)) - set(stamps):
            self._good.pop(path, None)
            self._bad.pop(path, None)
        for path, stamp in stamps.items():
            if before.get(path) != stamp:
                self._read(path)
        self._stamps = stamps
        self._arrange()
        return True

    def _now(self) -> dict[Path, _Stamp]:
        stamps = {}
        for path in sorted(self._folder.glob("*.toml")):
            try:
                told = path.stat()
            except OSError:
                continue  # taken away just now
            stamps[path] = _Stamp(told.st_mtime_ns, told.st_size, told.st_ino)
        return stamps

    def _read(self, path: Path) -> None:
        try:
            self._good[path] = read_level(path.read_text(encoding="utf-8"), path.name)
        except SwaytrainerError as error:
            self._bad[path] = str(error)
        except (OSError, UnicodeDecodeError) as error:
            why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
            self._bad[path] = f"Can't read {path.name}: {why}. Check the file."
        else:
            self._bad.pop(path, None)

    def _arrange(self) -> None:
        """By file name, shipped and own together; an own one replaces a shipped one in place."""
        places = {level.id: (name, level) for name, level in self._shipped}
        owners: dict[str, Path] = {}
        notes, troubles = [], []
        for path, level in sorted(self._good.items()):
            if level.id in owners:
                troubles.append(
                    f"{path.name} has the id {level.id!r} of {owners[level.id].name}: only that"
                    " one is used. Give it an id of its own."
                )
                continue
            owners[level.id] = path
            if level.id in places:
                notes.append(f"{path.name} takes the place of the shipped level {level.id!r}.")
                places[level.id] = (places[level.id][0], level)
            else:
                places[level.id] = (path.name, level)
        for path, why in sorted(self._bad.items()):
            troubles.append(f"{why} {_KEPT if path in self._good else _OUT}")
        # Sorted stably: a shipped file comes before an own one of the same name.
        ordered = sorted(places.values(), key=lambda place: file_order(place[0]))
        self.levels = tuple(level for _, level in ordered)
        self.troubles, self.notes = tuple(troubles), tuple(notes)
