"""What is written into a contest's file: a beginning, a ruling, a stand-off.

A ruling is put behind what is there, letter for letter, so that the coach's comments stay; to take
it back, it is deleted with any editor.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Ruling
from swaytrainer.store.contest_book import contest_text, parsed_contest
from swaytrainer.store.home import Home, replace_file


def begin_contest(path: Path, home: Home, level: str, now: datetime) -> Path:
    """Write a contest of all vaulters, today, to be changed; where it is.

    Args:
        path: of the new file.
        home: the data folder.
        level: id of the level that all do.
        now: the wall clock.

    Raises:
        SwaytrainerError: there is one, nobody to enter, or it can't be written.
    """
    import tomlkit

    names = [v.name for v in home.vaulters()]
    if not names:
        raise SwaytrainerError(
            "There is nobody to enter.", "Add vaulters first: swaytrainer vaulter NAME"
        )
    day, zone = now.date().isoformat(), now.isoformat()[-6:]
    entered = ", ".join(tomlkit.item(name).as_string() for name in names)
    text = f"""# A contest. Change it with any editor; what is recorded in its time are its marks.
title = "Contest of {day}"
level = {tomlkit.item(level).as_string()}
since = {day}T00:00:00{zone}
until = {day}T23:59:59{zone}
seed = {day.replace("-", "")}   # of the draw: a number that anybody may know, and nobody may choose
trials = 3        # of each, the mean counts
warm_up = 1       # of each before them, never counted
team_counts = 2   # so many best members of a team

[[class]]
name = "All"
vaulters = [{entered}]

# Instead, by height (from 1200 up to, and without, 1400 mm) or by year of birth:
# [[class]]
# name = "Under 140 cm"
# height_mm = [1200, 1400]
# [[class]]
# name = "Born 2012 to 2014"
# born = [2012, 2014]

# [[team]]
# name = "Otters"
# vaulters = [{entered}]
"""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise SwaytrainerError(
            f"There is a contest already: {path}.", "Change it with any editor."
        ) from None
    except OSError as error:
        raise SwaytrainerError(
            f"Can't write {path}: {error.strerror}.", "Look at the folder's rights and space."
        ) from None
    return path


def add_ruling(path: Path, home: Home, ruling: Ruling) -> None:
    """Put a ruling behind those that there are.

    Raises:
        SwaytrainerError: it can't be, or the file can't be used or written.
    """
    entry: dict[str, object] = {
        "vaulter": ruling.vaulter,
        "kind": ruling.kind,
        "reason": ruling.reason,
    }
    if ruling.kind == "repeat":
        entry |= {"recording": ruling.recording, "trial": ruling.trial}
    _append(path, home, "ruling", entry)


def add_stand_off(path: Path, home: Home, vaulters: Sequence[str], since: datetime) -> None:
    """Add one more trial of each of these.

    Raises:
        SwaytrainerError: it can't be, or the file can't be used or written.
    """
    _append(path, home, "stand_off", {"vaulters": list(vaulters), "since": since})


def _append(path: Path, home: Home, key: str, entry: dict[str, object]) -> None:
    import tomlkit

    table = tomlkit.table()
    for field, value in entry.items():
        table.add(field, value)
    addition = tomlkit.document()
    addition.add(key, tomlkit.aot())
    addition[key].append(table)
    text = contest_text(path)
    new = text + ("\n" if text.endswith("\n") else "\n\n") + addition.as_string()
    # What can't be read back must not be written.
    parsed_contest(new, path.name, home)
    replace_file(path, new)
