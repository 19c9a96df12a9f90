"""What vaulters have done: from the index where it can be used, else from the recordings."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import time
from collections.abc import Callable, Collection
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from swaytrainer.app.index import bar, opened
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.about import RECENT_DAYS
from swaytrainer.store.history import NEWEST, History
from swaytrainer.store.home import Home
from swaytrainer.training.history import Tried
from swaytrainer.training.level import Level
from swaytrainer.words import say

if TYPE_CHECKING:
    from sqlalchemy import Engine

#: The gym waits for no more files than this to be read, nor longer for another program.
GYM_FILES: Final = 24
GYM_PATIENCE_S: Final = 0.2


def read_instead(error: SwaytrainerError) -> str:
    """What is said where the index could not be used."""
    return say(
        "{what} {remedy} The recordings were read instead.", what=error.what, remedy=error.remedy
    )


class Past:
    """Brings the index up to date whenever it is asked, and asks it.

    Args:
        home: the data folder.
        hurry: nobody may be kept waiting (the gym): where much has changed since the index was
            brought up to date, or another program is at it, the recordings are read, as many as
            are needed.

    Attributes:
        note: why the index could not be used, the last time it was asked; None where it was.
    """

    def __init__(self, home: Home, hurry: bool = False) -> None:
        self._home = home
        self._hurry = hurry
        self._recordings = History(home)
        self._engine: Engine | None = None
        self.note: str | None = None

    def of(self, vaulter: str) -> list[Tried]:
        """The vaulter's trials in the newest recordings, oldest first."""
        return self.of_each([vaulter])[vaulter]

    def of_each(
        self,
        vaulters: Collection[str],
        levels: Collection[Level] = (),
        since: datetime | None = None,
        anew: bool = True,
    ) -> dict[str, list[Tried]]:
        """The trials of each of these vaulters in the newest recordings, oldest first.

        Args:
            vaulters: names.
            levels: that the trials will be held against; equal ones come back as these.
            since: only trials of sittings that began later.
            anew: look for new recordings; False where that was done a moment ago.
        """
        self.note = None
        try:
            return self._of_index(vaulters, levels, since, anew)
        except SwaytrainerError as error:
            self.note = read_instead(error)
            known = {name: self._recordings.of(name) for name in vaulters}
            return {
                name: [t for t in mine if since is None or t.made >= since]
                for name, mine in known.items()
            }

    def _of_index(
        self,
        vaulters: Collection[str],
        levels: Collection[Level],
        since: datetime | None,
        anew: bool,
    ) -> dict[str, list[Tried]]:
        from swaytrainer.index.database import begun
        from swaytrainer.index.past import LevelsRead, tried_of

        with begun(self.engine(anew), reads=True) as connection:
            since_s = None if since is None else since.timestamp()
            return tried_of(connection, vaulters, NEWEST, LevelsRead(levels), since_s, lately_s())

    def engine(self, anew: bool = True) -> Engine:
        """The index, up to date.

        Args:
            anew: look for new recordings; False where that was done a moment ago.

        Raises:
            SwaytrainerError: it can't be used now, or nobody may wait for it.
        """
        from swaytrainer.index.building import behind, build
        from swaytrainer.index.database import FILE

        if self._engine is not None and not anew:
            return self._engine
        folder = self._home.path / "recordings"
        if self._engine is None or not (self._home.path / FILE).exists():
            self._engine = opened(self._home, patience_s=GYM_PATIENCE_S if self._hurry else None)
        files = behind(self._engine, folder)
        if files > GYM_FILES and self._hurry:
            raise SwaytrainerError(
                say("The index is {n} files behind.", n=files), say("Run: swaytrainer index")
            )
        if files:
            jobs = 1 if self._hurry else os.cpu_count() or 1
            build(self._engine, folder, self._home.recordings(), jobs=jobs, step=self._step())
        return self._engine

    def _step(self) -> Callable[[int, int], None]:
        return (lambda _done, _all: None) if self._hurry else bar()


def lately_s() -> float:
    """From when on all sittings are read, however many: what is said of four weeks is of all."""
    return time.time() - 86_400.0 * (RECENT_DAYS + 1)


def catch_up(home: Home) -> Callable[[], None]:
    """Beside a gym that must not wait: bring the index up to date in a process of its own.

    Returns:
        What ends it; a process that is ended leaves the index as it was.
    """
    from swaytrainer.index.building import behind

    try:
        engine = opened(home, patience_s=GYM_PATIENCE_S)
        late = behind(engine, home.path / "recordings") > GYM_FILES
    except SwaytrainerError:
        late = False
    if not late:
        return lambda: None
    process = multiprocessing.get_context("spawn").Process(
        target=_bring, args=(home.path,), daemon=True
    )
    process.start()
    return process.terminate


def _bring(path: Path) -> None:
    from swaytrainer.index.building import build

    if hasattr(os, "nice"):
        os.nice(10)  # the picture and the sound go first
    home = Home(path)
    with contextlib.suppress(SwaytrainerError):
        build(opened(home), home.path / "recordings", home.recordings())
