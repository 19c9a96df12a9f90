"""What a frame of each game costs: poll, feed, draw, show, at 1280 × 720 in software.

A simulated vaulter stands a trial of a level of each game, through the program's own loop. Frames
follow each other without waiting, each with the samples of a sixtieth of a second.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime

import numpy as np
import pygame

from swaytrainer.app.play import play
from swaytrainer.app.window import FRAMES_A_SECOND, SIZE, Window
from swaytrainer.board.arrivals import Received
from swaytrainer.games.catalogue import GAMES
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, corner_loads
from swaytrainer.sitting.view import Event, Phase, View
from swaytrainer.sound.player import Player
from swaytrainer.store.session import Session
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from tests.streams import board_of, setup_for

SECONDS = 20.0
#: A frame may cost this, so that one in a hundred late ones still leaves half of its time.
AIM_MS = 8.0


class _Frames:
    """The board's frames, a sixtieth of a second at each poll."""

    def __init__(self) -> None:
        board = board_of()
        there = Scenario((Empty(2.0), StepOn(), Stand(SECONDS + 40.0)))
        self._lines: Iterator[bytes] = iter(
            board.stream(corner_loads(there, JUNIOR, 80.0, 220.0, 170.0, 1))
        )
        self._time_s = self._sent_s = 0.0

    def poll(self) -> Iterable[Received]:
        self._time_s += 1.0 / FRAMES_A_SECOND
        while self._sent_s < self._time_s:
            self._sent_s += 1.0 / 80.0
            yield Received(self._sent_s, next(self._lines))


class _Unhurried(Window):
    """Does not wait for the next beat; notes what each frame of a running trial took."""

    def __init__(self, size: tuple[int, int]) -> None:
        super().__init__(off_screen=True)
        self.surface = pygame.display.set_mode(size)
        self.took_ms: list[float] = []
        self.running = False
        self._begin = 0.0

    def wait(self) -> None:
        self._begin = time.perf_counter()

    def show(self) -> None:
        super().show()
        if self.running:
            self.took_ms.append(1e3 * (time.perf_counter() - self._begin))


def level_of(game: str) -> Level:
    """A level of the game that shows a picture."""
    levels = [level for level in shipped_levels() if level.game == game]
    seen = [level for level in levels if level.feedback == "full" and level.eyes == "open"]
    return replace((seen or levels)[len(seen) // 2], seconds=SECONDS, trials=1)


def measure(game: str, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Milliseconds of each frame of a trial."""
    window = _Unhurried(size)
    session = Session(setup_for(board_of(), level_of(game)), None, datetime.now)

    def on_frame(_events: list[Event], view: View) -> None:
        window.running = view.phase is Phase.RUNNING

    def until(events: list[Event]) -> bool:
        return any(e.outcome is not None for e in events)

    play(session, _Frames(), window, Player(volume=0.0), 1, time.monotonic, until, on_frame)
    window.close()
    return np.array(window.took_ms)


def main() -> dict[str, float]:
    """Measure, print, and return the ratio of the worst game's p99 to a frame."""
    sizes = [SIZE, (3840, 2160)] if "--4k" in sys.argv else [SIZE]
    worst_ms = 0.0
    for size in sizes:
        for game in GAMES:
            median, p99 = np.percentile(measure(game, size), [50, 99])
            print(
                f"frame of {game:<13} {size[0]:5} wide {median:7.2f} ms median, {p99:.2f} ms p99"
                f"   (aim: {AIM_MS:.0f})"
            )
            worst_ms = max(worst_ms, p99) if size == SIZE else worst_ms
    return {"frame_p99_of_worst_game": worst_ms * FRAMES_A_SECOND / 1e3}


if __name__ == "__main__":
    main()
