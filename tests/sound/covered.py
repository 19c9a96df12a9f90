"""A whole hands-free trial with the screen covered: simulated bytes in, recorded sound out.

The same code as on a real device, on the test's clock: bytes arrive when the simulated board sent
them, frames are drawn sixty times a second, and the player's thread is a call every 3 ms.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from swaytrainer.board.arrivals import Received
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import BoardMake
from swaytrainer.simulate.body import ORDINARY
from swaytrainer.simulate.scenario import (
    CornerLoads,
    Empty,
    LeanToes,
    Scenario,
    Stand,
    StepOff,
    StepOn,
    corner_loads,
)
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sitting.view import Event, View
from swaytrainer.sound.player import Player
from swaytrainer.training.level import Level
from tests.sound.tape import Tape
from tests.streams import board_of, setup_for, short_level

FRAME_S: Final = 1.0 / 60.0
TOP_UP_S: Final = 0.003


@dataclass(frozen=True)
class Covered:
    """What happened and what was heard, on one clock (s)."""

    tape: Tape
    events: tuple[tuple[float, Event], ...]
    views: tuple[tuple[float, View], ...]

    def time_of(self, happening: str, number: int = 0) -> float:
        return next(
            t
            for t, e in self.events
            if e.happening == happening and (not number or e.number == number)
        )


def level_for_ears() -> Level:
    return replace(short_level(16.0), feedback="sound", eyes="closed")


def scenario() -> Scenario:
    return Scenario(
        (
            Empty(3.0),
            StepOn(),
            Stand(7.5, ORDINARY),
            LeanToes(4.5, toe_share_percent=72.0),
            LeanToes(4.5, toe_share_percent=18.0),
            Stand(14.0, ORDINARY),
            StepOff(),
            Empty(5.0),
        )
    )


def swaying(loads: Iterable[CornerLoads], rate_hz: float) -> Iterator[CornerLoads]:
    """The same loads, some of them moved from one side to the other and back, slowly."""
    for n, (front_left, front_right, rear_left, rear_right) in enumerate(loads):
        share = 0.12 * math.sin(math.tau * n / rate_hz / 3.7)
        front, rear = share * front_left, share * rear_left
        yield CornerLoads(
            front_left - front, front_right + front, rear_left - rear, rear_right + rear
        )


def covered(
    language: str = "en", level: Level | None = None, script: Scenario | None = None
) -> Covered:
    board = board_of(make=BoardMake())
    sitting = Sitting(setup_for(board, level or level_for_ears()))
    make = board.make
    loads = corner_loads(
        script or scenario(), JUNIOR, make.rate_hz, make.half_width_mm, make.half_depth_mm, 1
    )
    items = [
        Received(100.0 + (n + 1) / make.rate_hz, data)
        for n, data in enumerate(board.stream(swaying(loads, make.rate_hz)))
        if data
    ]
    tape = Tape()
    player = Player(1.0, tape, language, threaded=False)
    player.open()
    events: list[tuple[float, Event]] = []
    views: list[tuple[float, View]] = []
    begin_s, now_s, frame_s = items[0].host_s, 0.0, 0.0
    end_s = items[-1].host_s - begin_s
    taken = 0
    while now_s < end_s:
        tape.run_to(now_s)
        if now_s >= frame_s:
            frame_s += FRAME_S
            while taken < len(items) and items[taken].host_s - begin_s <= now_s:
                for event in sitting.feed(items[taken]):
                    events.append((now_s, event))
                    player.notice(event)
                taken += 1
            view = sitting.view()
            views.append((now_s, view))
            player.tick(view, now_s)
        else:
            player.top_up()
        now_s += TOP_UP_S
    return Covered(tape, tuple(events), tuple(views))


def main() -> None:
    """Tell what happened, and keep the sound to listen to."""
    import sys
    import wave
    from pathlib import Path

    done = covered(sys.argv[1] if len(sys.argv) > 1 else "en")
    for time_s, event in done.events:
        print(f"{time_s:7.2f} s  {event.happening.value} {event.number or ''}")
    heard = np.round(np.clip(done.tape.heard, -1, 1) * 32767).astype("<i2")
    path = Path("covered.wav")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(44_100)
        file.writeframes(heard.tobytes())
    print(f"Kept as {path}: peak {np.abs(done.tape.heard).max():.2f}")


if __name__ == "__main__":
    main()
