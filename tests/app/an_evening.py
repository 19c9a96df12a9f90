"""A whole evening of a simulated squad through the real gym screen, at several times its pace.

``python -m tests.app.an_evening FOLDER`` plays it and keeps a picture every so often, to be looked
at one by one, and prints how long everything took. One vaulter isn't there when called, comes later,
and the coach presses M; nobody else touches anything.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")

import pygame

from swaytrainer.app.choices import choices
from swaytrainer.app.gym import Gym
from swaytrainer.app.play import open_player
from swaytrainer.app.window import Window
from swaytrainer.simulate.athlete import Athlete
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.body import MANNERS
from swaytrainer.simulate.obliging import obliging_loads
from swaytrainer.simulate.scenario import Scenario, Stand, StepOn, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.evening_file import EveningBook
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

SPEED = 6.0
PICTURE_EVERY_S = 1.5
HALF = (DECENT.half_width_mm, DECENT.half_depth_mm)
#: Name, mass, height, foot, manner.
SQUAD = (
    ("Wren", 34.0, 1.38, 215.0, "ordinary"),
    ("Tarn", 41.0, 1.47, 226.0, "calm"),
    ("Juno", 52.0, 1.61, 240.0, "ordinary"),
    ("Mika", 38.0, 1.43, 221.0, "restless"),
)
PLAN = """\
[[group]]
name = "Juniors"
vaulters = ["Wren", "Tarn"]
levels = ["millpond-shore", "picnic-meadow"]
minutes = 6

[[group]]
name = "Others"
vaulters = ["Juno", "Mika"]
minutes = 2
"""


class Evening:
    """The squad, the board and the coach's one hand."""

    def __init__(self, folder: Path, pictures: Path) -> None:
        self.home = Home(folder)
        for n, (name, _, height, foot, _) in enumerate(SQUAD):
            note = "Old sprain on the left: somebody beside her." if n == 1 else ""
            self.home.add_vaulter(Vaulter(name, foot, 180.0, 1000.0 * height, caution=note))
        (folder / "squad.toml").write_text(PLAN)
        board = SimulatedBoard(DECENT, 7)
        self.home.keep_calibration(board.true_calibration())
        self._bodies = {name: self._body(n) for n, (name, *_) in enumerate(SQUAD)}
        self._wanted = False
        self._late = {"Juno"}
        self._called_s: float | None = None
        loads = obliging_loads(self._standing(), lambda: self._wanted, DECENT.rate_hz)
        self.server = SimulatorServer.on_tcp(board, loads, SPEED)
        self._begun_s = time.monotonic()
        self.window = _Camera(self, pictures)
        there = choices(
            self.home, argparse.Namespace(vaulter=None, level=None, spotter=False, station=None)
        )
        self.room = Gym(
            self.home,
            self.server.url,
            there,
            self.window,
            open_player(mute=True),
            now=self.now,
            on_look=self._look,
        )

    def now(self) -> datetime:
        """The evening's clock, at the board's pace."""
        gone_s = (time.monotonic() - self._begun_s) * SPEED
        return datetime(2026, 11, 27, 18, tzinfo=UTC) + timedelta(seconds=gone_s)

    @property
    def name(self) -> str:
        """Whose turn it is."""
        vaulter = self.room.state.vaulter
        return vaulter.name if vaulter else SQUAD[0][0]

    def _body(self, n: int) -> Iterator[tuple[float, ...]]:
        name, mass, height, foot, manner = SQUAD[n]
        kind = MANNERS.get(manner, MANNERS["ordinary"])
        standing = Scenario((StepOn(), Stand(36000.0, kind)))
        athlete = Athlete(name, mass, height, foot, 180.0)
        loads = corner_loads(standing, athlete, DECENT.rate_hz, *HALF, 11 + n)
        for _ in range(160):
            next(loads)
        return loads

    def _standing(self) -> Iterator[tuple[float, ...]]:
        while True:
            yield next(self._bodies[self.name])

    def _look(self, wanted: bool) -> None:
        self._wanted = wanted and self.name not in self._late

    def presses(self) -> list[pygame.event.Event]:
        """M for whoever doesn't come within ten seconds; the window is closed at the end."""
        if not self.room.state.calls and self.room.state.can_go:
            return [pygame.event.Event(pygame.QUIT)]
        if self.name not in self._late or not self.room.state.called:
            self._called_s = None
            return []
        self._called_s = self._called_s or time.monotonic()
        if (time.monotonic() - self._called_s) * SPEED < 10.0:
            return []
        self._late.discard(self.name)
        return [pygame.event.Event(pygame.KEYDOWN, key=pygame.K_m)]

    def play(self) -> None:
        """All of it."""
        try:
            self.room.run()
        finally:
            self.room.close()
            self.server.close()
            self.window.close()


class _Camera(Window):
    def __init__(self, evening: Evening, folder: Path) -> None:
        super().__init__(off_screen=True)
        self._evening = evening
        self._folder = folder
        self._next_s = 0.0
        self.taken = 0

    def events(self) -> list[pygame.event.Event]:
        super().events()
        return self._evening.presses()

    def show(self) -> None:
        super().show()
        if time.monotonic() >= self._next_s:
            self._next_s = time.monotonic() + PICTURE_EVERY_S
            self.taken += 1
            self.save(str(self._folder / f"{self.taken:03d}.png"))


def main() -> None:
    """Play it and tell."""
    pictures = Path(sys.argv[1])
    pictures.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        evening = Evening(Path(folder), pictures)
        evening.play()
        names = [name for name, *_ in SQUAD]
        levels = [level.id for level in evening.home.level_shelf().levels]
        book = EveningBook(Path(folder), evening.now().date(), names, levels)
        assert book.evening is not None
        for turn in book.evening.turns:
            print(f"{turn.name}: {turn.trained} sets, missed {turn.missed}, done {turn.done}")
        for path in evening.home.recordings():
            print(path.name)
        gone = (evening.now() - datetime(2026, 11, 27, 18, tzinfo=UTC)).total_seconds()
        print(f"{evening.window.taken} pictures, {gone / 60.0:.1f} minutes of the evening")


if __name__ == "__main__":
    main()
