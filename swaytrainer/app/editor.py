"""A level from the coach's editor: how many of the squad's kind would pass, and a try of it."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from datetime import datetime, timedelta
from pathlib import Path
from statistics import fmean
from typing import Final

from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope.tryout import ENOUGH_MARKS, Record, Tried, try_level
from swaytrainer.store.home import Home
from swaytrainer.training.history import Tried as Trial
from swaytrainer.training.history import equal_terms, in_order
from swaytrainer.training.level import STANCES, Level
from swaytrainer.words import Name, language, say

#: Who has played a game within so many days tells of the squad; of the newest so many marks.
_LATELY: Final = timedelta(days=56)
_MARKS: Final = 5
#: A try that is to end has so long until it is made to, s.
_LAST_S: Final = 2.0


def try_for_squad(folder: Path, level: Level) -> Tried:
    """How many simulated vaulters of the squad's kind would pass.

    Args:
        folder: the data folder.
        level: as it stands in the editor.
    """
    return try_level(level, squad_records(Home(folder), level.game, datetime.now().astimezone()))


def squad_records(home: Home, game: str, now: datetime) -> list[Record]:
    """How those fare who have played a game of late, whoever played last first.

    Marks are put together where they may be compared (``equal_terms``): a level's texts, trials
    and pass mark may have been changed meanwhile, its task may not. Of each vaulter the task is
    taken that was played last among those with ``ENOUGH_MARKS`` or more; without one the task with
    the most marks, and its record says how few they are. So a level that was edited yesterday, with
    one mark since, does not stand for weeks of training. Trials on one leg or in a squat are passed
    over: the simulated vaulters stand on both feet.

    Args:
        home: the data folder; what can't be read of it tells nothing.
        game: as a level names it.
        now: the wall clock.
    """
    try:
        names = [vaulter.name for vaulter in home.vaulters()]
        tried = Past(home).of_each(names, since=now - _LATELY)
    except SwaytrainerError:
        return []
    found: list[tuple[datetime, Record]] = []
    for name in names:
        marked = [
            t
            for t in in_order(tried[name])
            if t.level.game == game and t.level.stance == STANCES[0] and t.mark is not None
        ]
        if marked:
            found.append((marked[-1].made, _record(marked)))
    found.sort(key=lambda each: each[0], reverse=True)
    return [record for _, record in found]


def _record(marked: list[Trial]) -> Record:
    """What one vaulter's marks, oldest first and at least one, tell of her."""
    alike: list[list[Trial]] = []  # the task played last first, each with its newest trial first
    for trial in reversed(marked):
        for group in alike:
            if equal_terms(group[0], trial):
                group.append(trial)
                break
        else:
            alike.append([trial])
    told = next((g for g in alike if len(g) >= ENOUGH_MARKS), max(alike, key=len))
    marks = [t.mark for t in told[:_MARKS] if t.mark is not None]
    return Record(told[0].level, fmean(marks), len(marks))


class Tries:
    """Levels that are tried on the simulator, each in a window and a data folder of its own."""

    def __init__(self) -> None:
        self._begun: list[tuple[subprocess.Popen[bytes], Path]] = []

    def begin(self, level: Level, text: str) -> None:
        """Start ``swaytrainer demo`` on this level.

        Raises:
            SwaytrainerError: the folder can't be made or the process can't be started.
        """
        try:
            folder = Path(tempfile.mkdtemp(prefix="swaytrainer-level-"))
            levels = folder / "home" / "levels"
            levels.mkdir(parents=True)
            # The demo takes the first level of its list, and 0 comes before all that are shipped.
            (levels / f"0-{level.id}.toml").write_text(text, encoding="utf-8")
            self._begun.append((subprocess.Popen(command(level, folder)), folder))
        except OSError as error:
            raise SwaytrainerError(
                say("The simulator can't be started: {why}.", why=Name(error.strerror)),
                say("Free some space and try again."),
            ) from None

    def close(self) -> None:
        """End those that run still; what they kept goes: it was a try."""
        for process, folder in self._begun:
            process.terminate()
            try:
                process.wait(_LAST_S)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            shutil.rmtree(folder, ignore_errors=True)
        self._begun = []


def command(level: Level, folder: Path) -> list[str]:
    """The command line that shows a level in ``folder``."""
    return [
        *(sys.executable, "-m", "swaytrainer", "--home", str(folder / "home"), "--mute"),
        *("--language", language(), "demo", "--calibrated"),
        *("--seconds", f"{level.seconds:g}", "--out", str(folder / "out")),
    ]
