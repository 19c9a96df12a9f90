"""A level from the coach's editor: how many of the squad's kind would pass, and a try of it."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from datetime import datetime, timedelta
from pathlib import Path
from statistics import fmean
from typing import Final

from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope.tryout import Record, Tried, try_level
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level

#: Who has played a game within so many days tells of the squad; of the newest so many marks.
_LATELY: Final = timedelta(days=56)
_MARKS: Final = 5


def try_for_squad(folder: Path, level: Level) -> Tried:
    """How many simulated vaulters of the squad's kind would pass.

    Args:
        folder: the data folder.
        level: as it stands in the editor.
    """
    return try_level(level, squad_records(Home(folder), level.game, datetime.now().astimezone()))


def squad_records(home: Home, game: str, now: datetime) -> list[Record]:
    """How those fare who have played a game of late, whoever played last first.

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
        marked = [t for t in tried[name] if t.level.game == game and t.mark is not None]
        if marked:
            alike = [t.mark for t in marked if t.level == marked[-1].level and t.mark is not None]
            record = Record(marked[-1].level, fmean(alike[-_MARKS:]))
            found.append((marked[-1].made, record))
    found.sort(key=lambda each: each[0], reverse=True)
    return [record for _, record in found]


def try_on_simulator(level: Level, text: str) -> subprocess.Popen[bytes]:
    """Start ``swaytrainer demo`` on this level, in a data folder of its own.

    Raises:
        SwaytrainerError: the folder can't be made or the process can't be started.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix="swaytrainer-level-"))
        levels = folder / "home" / "levels"
        levels.mkdir(parents=True)
        # The demo takes the first level of its list, and 0 comes before all that are shipped.
        (levels / f"0-{level.id}.toml").write_text(text, encoding="utf-8")
        return subprocess.Popen(command(level, folder))
    except OSError as error:
        raise SwaytrainerError(
            f"The simulator can't be started: {error.strerror}.", "Free some space and try again."
        ) from None


def command(level: Level, folder: Path) -> list[str]:
    """The command line that shows a level in ``folder``."""
    return [
        *(sys.executable, "-m", "swaytrainer", "--home", str(folder / "home"), "--mute", "demo"),
        *("--seconds", f"{level.seconds:g}", "--out", str(folder / "out")),
    ]
