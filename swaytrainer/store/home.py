"""The data folder: boards and their calibrations, vaulters, levels, recordings.

::

    HOME/boards/<board id>/calibration-<date>.toml     the newest is in use, older ones are kept
    HOME/boards/<board id>/left-plate-<date>.toml      of a board with two plates, each its own;
    HOME/boards/<board id>/right-plate-<date>.toml     the calibration is made of these
    HOME/vaulters.toml
    HOME/feet.toml                                      heels and balls as they were found
    HOME/coach.toml                                     what coaches said of a vaulter's level
    HOME/levels/*.toml                                  the club's own, beside the shipped ones
    HOME/recordings/<date>/<time>-<level>-<vaulter>.sway
    HOME/index.sqlite                                   made from the recordings, at any time anew
    HOME/erased.json                                    salted hashes of erased persons' names

Nothing here leaves the machine but by a command that is told where to: backup, person, export,
index with a hall's address.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterable
from datetime import UTC, datetime
from operator import attrgetter
from pathlib import Path
from typing import Any, Final

from swaytrainer.board.calibration import Calibration
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.board.pair import BoardCalibration, Plate
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.coach_file import coach_words, with_word
from swaytrainer.store.feet_file import newest_feet, with_feet
from swaytrainer.store.level_shelf import LevelShelf
from swaytrainer.store.recording import SUFFIX, Recorder, glance
from swaytrainer.store.vaulters_file import BORN, added, changed, read_vaulters
from swaytrainer.toml_text import finite_number
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.ladder import CoachWord
from swaytrainer.training.level import Level
from swaytrainer.training.nearest import instead
from swaytrainer.training.vaulter import Vaulter, called
from swaytrainer.words import Name, say

#: Only so many of the newest sittings are asked for the best mark: each is a file to read.
_BEST_OF: Final = 30


class Home:
    """The data folder at ``path``, made when something is first kept in it."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @classmethod
    def usual(cls) -> Home:
        """The platform's usual place for a program's data."""
        import platformdirs

        return cls(Path(platformdirs.user_data_dir("swaytrainer", appauthor=False)))

    # Calibrations -------------------------------------------------------------------------------

    def calibration(self, board_id: str) -> BoardCalibration | None:
        """The newest calibration of a board, or None if it has none.

        Raises:
            SwaytrainerError: the newest file can't be used; older ones are not silently taken.
        """
        files = sorted((self.path / "boards" / board_id).glob("calibration-*.toml"))
        if not files:
            return None
        calibration = from_toml(_text(files[-1]), str(files[-1]))
        if calibration.board_id != board_id:
            raise SwaytrainerError(
                say(
                    "{file} is the calibration of board {board_id}, not {other}.",
                    file=Name(files[-1]),
                    board_id=Name(calibration.board_id),
                    other=Name(board_id),
                ),
                say("Move the file to that board's folder, or calibrate again."),
            )
        return calibration

    def plate(self, board_id: str, which: Plate) -> Calibration | None:
        """The newest calibration of one plate of a board with two, or None if it has none.

        Raises:
            SwaytrainerError: the file can't be used.
        """
        files = sorted((self.path / "boards" / board_id).glob(f"{which}-plate-*.toml"))
        if not files:
            return None
        calibration = from_toml(_text(files[-1]), str(files[-1]))
        if not isinstance(calibration, Calibration):
            raise SwaytrainerError(
                say(
                    "{file} is of a whole board, not of its {which} plate.",
                    file=Name(files[-1]),
                    which=Name(which),
                ),
                say("Calibrate the plate again with --plate {which}.", which=Name(which)),
            )
        return calibration

    def keep_plate(self, which: Plate, calibration: Calibration) -> Path:
        """Keep the calibration of one plate of a board with two; where it is.

        The board can be used once both plates have theirs and ``keep_calibration`` got the pair.
        """
        return self._keep_calibration(f"{which}-plate", calibration)

    def calibrated_boards(self) -> list[str]:
        """The ids of the boards that have a calibration."""
        return sorted({p.parent.name for p in (self.path / "boards").glob("*/calibration-*.toml")})

    def keep_calibration(self, calibration: BoardCalibration) -> Path:
        """Keep a new calibration beside the older ones; where it is."""
        return self._keep_calibration("calibration", calibration)

    def _keep_calibration(self, kind: str, calibration: BoardCalibration) -> Path:
        # In UTC: on a local clock that is set back the older file would be the newest.
        stamp = calibration.made.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
        path = self.path / "boards" / calibration.board_id / f"{kind}-{stamp}.toml"
        text = to_toml(calibration)
        from_toml(text, "just made")  # one that would be refused later must not become the newest
        return _keep(path, text)

    def check_writable(self) -> None:
        """Refuse before the work what ``keep_calibration`` would refuse after it; leaves no trace.

        Raises:
            SwaytrainerError: nothing can be kept here.
        """
        folder = self.path / "boards"
        try:
            while not folder.exists() and folder != folder.parent:
                folder = folder.parent
            with tempfile.TemporaryFile(dir=folder):
                pass
        except OSError as error:
            raise SwaytrainerError(
                say(
                    "Nothing can be kept in the data folder: can't write to {folder}: {why}.",
                    folder=Name(folder),
                    why=Name(error.strerror),
                ),
                say("Give a folder that you may write to with --home."),
            ) from None

    # Vaulters -----------------------------------------------------------------------------------

    @property
    def _vaulters_file(self) -> Path:
        return self.path / "vaulters.toml"

    def vaulters(self) -> list[Vaulter]:
        """All vaulters, in the file's order.

        Raises:
            SwaytrainerError: the file can't be used.
        """
        path = self._vaulters_file
        if not path.exists():
            return []
        return read_vaulters(_text(path), str(path))

    def vaulters_stamp(self) -> Stamp:
        """What is another whenever the vaulters' file is."""
        return stamp_of(self._vaulters_file)

    def vaulter_called(self, name: str) -> Vaulter:
        """The vaulter of this name, however it was typed.

        Raises:
            SwaytrainerError: there is none, or the list can't be used.
        """
        there = {v.name: v for v in self.vaulters()}
        found = called(name, there)
        if found is None:
            raise SwaytrainerError(
                say(
                    "There is no vaulter {name!r}; {instead}.",
                    name=Name(name),
                    instead=instead(name, list(there)),
                ),
                say(
                    "'swaytrainer vaulter' lists all. Add one at the desk, or with: swaytrainer"
                    " vaulter NAME"
                ),
            )
        return there[found]

    def add_vaulter(self, vaulter: Vaulter, year: int = BORN[1]) -> None:
        """Append a vaulter to the file; comments in it stay.

        Args:
            vaulter: to be added.
            year: this one; nobody is born later.

        Raises:
            SwaytrainerError: there is one of that name, or the values can't be.
        """
        path = self._vaulters_file
        text = _text(path) if path.exists() else ""
        replace_file(path, added(text, str(path), vaulter, year))

    def change_vaulter(self, vaulter: Vaulter, year: int = BORN[1]) -> None:
        """Give the vaulter of that name new values; all else in the file stays as it is.

        Raises:
            SwaytrainerError: there is none of that name, or the values can't be.
        """
        path = self._vaulters_file
        text = _text(path) if path.exists() else ""
        replace_file(path, changed(text, str(path), vaulter, year))

    # Feet -----------------------------------------------------------------------------------

    @property
    def _feet_file(self) -> Path:
        return self.path / "feet.toml"

    def found_feet(self, vaulter: str, stance: str) -> FoundFeet | None:
        """What was last found of a vaulter's feet in a stance, None if it never was.

        Raises:
            SwaytrainerError: the file can't be used.
        """
        path = self._feet_file
        return newest_feet(_text(path), str(path), vaulter, stance) if path.exists() else None

    def keep_feet(self, feet: FoundFeet) -> Path:
        """Put found feet behind those found before; the newest count.

        Raises:
            SwaytrainerError: they can't be, or the file can't be used or written.
        """
        feet.check()
        self.found_feet(feet.vaulter, feet.stance)  # behind rubbish it would be lost
        path = self._feet_file
        return replace_file(path, with_feet(_text(path) if path.exists() else "", feet))

    # Levels -------------------------------------------------------------------------------------

    def level_shelf(self) -> LevelShelf:
        """The shipped levels and the club's own, to be read again while the program runs."""
        return LevelShelf(self.path / "levels")

    def levels(self) -> tuple[list[Level], list[str]]:
        """The shipped levels and the club's own, and a sentence for each file that is wrong.

        A club's level with the id of a shipped one takes its place.
        """
        shelf = self.level_shelf()
        return list(shelf.levels), list(shelf.troubles)

    # The coach ----------------------------------------------------------------------------------

    @property
    def _coach_file(self) -> Path:
        return self.path / "coach.toml"

    def coach_words(self, vaulter: str) -> list[CoachWord]:
        """What coaches have said of a vaulter's level, oldest first.

        Raises:
            SwaytrainerError: the file can't be used.
        """
        return self.all_coach_words().get(vaulter, [])

    def all_coach_words(self) -> dict[str, list[CoachWord]]:
        """What coaches have said of each vaulter's level, oldest first.

        Raises:
            SwaytrainerError: the file can't be used.
        """
        path = self._coach_file
        found: dict[str, list[CoachWord]] = {}
        for word in coach_words(_text(path), str(path)) if path.exists() else []:
            found.setdefault(word.vaulter, []).append(word)
        return found

    def keep_word(self, word: CoachWord) -> Path:
        """Put a coach's word behind those said before; the newest is in force.

        Raises:
            SwaytrainerError: it can't be, or the file can't be used or written.
        """
        self.coach_words(word.vaulter)  # behind rubbish it would be lost
        path = self._coach_file
        return replace_file(path, with_word(_text(path) if path.exists() else "", word))

    # Recordings ---------------------------------------------------------------------------------

    def new_recording_path(self, level: Level, vaulter: Vaulter, now: datetime) -> Path:
        """A path for a new recording, its folder made.

        Raises:
            SwaytrainerError: the folder can't be made or written.
        """
        folder = self.path / "recordings" / now.strftime("%Y-%m-%d")
        _make(folder)
        stem = f"{now:%H%M%S}-{level.id}-{slug(vaulter.name)}"
        path, n = folder / (stem + SUFFIX), 1
        while path.exists():
            n += 1
            path = folder / f"{stem}-{n}{SUFFIX}"
        return path

    def new_recorder(self, setup: Setup, now: datetime) -> Recorder:
        """A recorder for a sitting that begins now, with a new file here.

        Raises:
            SwaytrainerError: the file can't be made.
        """
        path = self.new_recording_path(setup.level, setup.vaulter, now)
        return Recorder(path, setup, now.isoformat())

    def recordings(self) -> list[Path]:
        """All recordings, oldest first."""
        return _oldest_first((self.path / "recordings").glob(f"*/*{SUFFIX}"))

    def recordings_of(self, name: str) -> list[Path]:
        """The recordings whose names tell this vaulter's, oldest first; another's may be among."""
        tail = re.compile(rf"-{re.escape(slug(name))}(-\d+)?$")
        there = (self.path / "recordings").glob(f"*/*{SUFFIX}")
        return _oldest_first(path for path in there if tail.search(path.stem))

    def best_mark(self, level: Level, vaulter: Vaulter, rate_hz: float) -> float | None:
        """The best counted mark of the newest sittings on equal terms, None if there is none."""
        tail = re.compile(rf"-{re.escape(level.id)}-{re.escape(slug(vaulter.name))}(-\d+)?$")
        named = [p for p in self.recordings_of(vaulter.name) if tail.search(p.stem)]
        best: float | None = None
        for path in named[-_BEST_OF:]:
            try:
                recording = glance(path)
            except SwaytrainerError:
                continue  # a damaged old file must not keep anybody from training
            if recording.setup.vaulter.name != vaulter.name or recording.setup.level != level:
                continue
            for shown in recording.shown:
                mark = _counted_mark(shown, rate_hz)
                if mark is not None:
                    best = max(best or 0.0, mark)
        return best


def _counted_mark(shown: dict[str, Any], rate_hz: float) -> float | None:
    """The mark of an outcome as it was shown, whatever version wrote it; None if it has none."""
    terms = shown.get("terms")
    if shown.get("counts") is not True or not isinstance(terms, dict):
        return None
    return finite_number(shown.get("mark")) if terms.get("rate_hz") == rate_hz else None


#: What tells a changed file from the same one: time, size, and which file it is; None if absent.
Stamp = tuple[int, int, int] | None


def _oldest_first(recordings: Iterable[Path]) -> list[Path]:
    # By their parts, as paths compare themselves, which takes five times as long.
    return sorted(recordings, key=attrgetter("parts"))


def stamp_of(path: Path) -> Stamp:
    """A file's stamp as it is now."""
    try:
        told = path.stat()
    except OSError:
        return None
    return told.st_mtime_ns, told.st_size, told.st_ino


def slug(name: str) -> str:
    """A name as a part of a file name: letters, digits and dashes only, at most 40.

    >>> slug("Mira / Äpfelchen ✨")
    'Mira-Äpfelchen'
    """
    return re.sub(r"[^\w]+", "-", name).strip("-_")[:40] or "vaulter"


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise SwaytrainerError(
            say("Can't read {path}: {why}.", path=Name(path), why=Name(why)), say("Check the file.")
        ) from None


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SwaytrainerError(
            say(
                "Can't make the folder {folder}: {why}.",
                folder=Name(folder),
                why=Name(error.strerror),
            ),
            say("Give a folder that you may write to with --home."),
        ) from None


def _keep(path: Path, text: str) -> Path:
    if path.exists():
        raise SwaytrainerError(
            say("{path} is already there.", path=Name(path)), say("Wait a second and try again.")
        )
    return replace_file(path, text)


def replace_same(path: Path, was: str, text: str, remedy: str) -> Path:
    """Write a file anew, unless it has been changed since it was read.

    Args:
        path: of the file; one that is not there holds nothing.
        was: what was read.
        text: what is to stand there.
        remedy: what to do about another's change.

    Raises:
        SwaytrainerError: it has been changed, can't be read, or can't be written.
    """
    if (_text(path) if path.exists() else "") != was:
        changed = say("{file} has been changed by somebody else.", file=Name(path.name))
        raise SwaytrainerError(changed, remedy)
    return replace_file(path, text)


def replace_file(path: Path, text: str) -> Path:
    """Write beside and rename: a power cut leaves the old file or the new one, never half."""
    _make(path.parent)
    beside = path.with_name(path.name + ".new")
    try:
        with beside.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Free some space, or give another data folder with --home."),
        ) from None
    return path
