"""From the sample that has arrived to the device's buffer that lets it be heard, in real time.

The program's own loop, drawing and all, with pygame's mixer writing to a pipe instead of a sound
card. Samples arrive eighty times a second, and now and then the weight changes sides: the other
ear, which heard nothing, hears something. The reader notes when each buffer came. What a sound card
keeps beyond that buffer is its own, and is not measured here.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES
from swaytrainer.sound.tones import RATE_HZ

if TYPE_CHECKING:
    from swaytrainer.sitting.view import View

SECONDS = 30.0
RATE_OF_SAMPLES_HZ = 80.0
#: The weight stays so many samples on a side: no whole number of frames or buffers.
STAYS = 29
AIM_MS = 30.0
_FRAME_BYTES = 4


def right_share(sample: int) -> float:
    return 75.0 if sample // STAYS % 2 else 25.0


class _Board:
    """Samples at their times, and a sitting that shows the newest."""

    def __init__(self, began_s: float, view: View) -> None:
        self.began_s = began_s
        self.taken = 0
        self.trouble = None
        self.feet = None
        self.can_abort = False
        self.sitting = self
        self._view = view

    def poll(self) -> list[int]:
        due = int((time.monotonic() - self.began_s) * RATE_OF_SAMPLES_HZ)
        items = list(range(self.taken, due))
        self.taken = max(self.taken, due)
        return items

    def feed(self, item: int) -> list[object]:
        self._view = replace(
            self._view, right_share_percent=right_share(item), phase_s=item / RATE_OF_SAMPLES_HZ
        )
        return []

    def keep_up(self, now_s: float) -> None:
        pass

    def view(self) -> View:
        return self._view


def play_all() -> None:
    """The process that plays: prints when the first sample was due."""
    from swaytrainer.app.play import play
    from swaytrainer.app.window import Window
    from swaytrainer.sitting.view import Phase, Where
    from swaytrainer.sound.player import Player
    from tests.games.scenes import view

    window = Window(off_screen=True)
    player = Player(1.0)
    player.open()
    shown = view(Phase.RUNNING, toe_share_percent=62.0, where=Where.TOES)
    # Sample n has arrived at began + (n + 1) / rate.
    board = _Board(time.monotonic() + 0.5, shown)

    def until(_events: object) -> bool:
        return time.monotonic() - board.began_s > SECONDS

    play(board, board, window, player, 1, time.monotonic, until)  # type: ignore[arg-type]
    player.close()
    print(json.dumps({"began_s": board.began_s}))


def listen() -> tuple[np.ndarray, np.ndarray, float]:
    """Buffers, shape (N, buffer, 2), when each was written (s), and when the samples began.

    SDL writes its file through the C library, which keeps a page of two buffers back until the next
    is written. So the arrival of a page is the time of the buffer after it; those between are
    reckoned from their neighbours.
    """
    size = BUFFER_SAMPLES * _FRAME_BYTES
    pages, times = [], []
    with TemporaryDirectory() as folder:
        pipe = Path(folder) / "sound"
        os.mkfifo(pipe)
        child = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.hearing", "play"],
            env=os.environ
            | {
                "SDL_AUDIODRIVER": "disk",
                "SDL_DISKAUDIOFILE": str(pipe),
                "SDL_VIDEODRIVER": "dummy",
            },
            stdout=subprocess.PIPE,
            text=True,
        )
        with pipe.open("rb") as file:
            while len(page := file.read(2 * size)) == 2 * size:
                times.append(time.monotonic())
                pages.append(page)
        printed, _ = child.communicate()
    buffers = np.frombuffer(b"".join(pages), dtype="<i2").reshape(-1, BUFFER_SAMPLES, 2)
    written = np.interp(np.arange(len(buffers)), 2.0 * (1 + np.arange(len(times))), times)
    return buffers, written, json.loads(printed.splitlines()[-1])["began_s"]


def measure() -> tuple[np.ndarray, int, int]:
    """Delays (ms) of the changes of side, holes in the tone, and buffers that should sound."""
    buffers, times, began_s = listen()
    loud = np.abs(buffers).max(axis=1)  # each ear
    delays = []
    last = int(SECONDS * RATE_OF_SAMPLES_HZ) - STAYS
    for sample in range(2 * STAYS, last, STAYS):
        ear = 1 if right_share(sample) > 50.0 else 0
        arrived_s = began_s + (sample + 1) / RATE_OF_SAMPLES_HZ
        after = np.flatnonzero((times >= arrived_s) & (loud[:, ear] > 0))
        delays.append(times[after[0]] - arrived_s)
    during = (times > began_s + 1.0) & (times < began_s + SECONDS - 0.5)
    return np.array(delays) * 1e3, int((loud[during].max(axis=1) == 0).sum()), int(during.sum())


def main() -> dict[str, float]:
    """Measure, print, and return the ratios."""
    delays, holes, buffers = measure()
    buffer_ms = 1000 * BUFFER_SAMPLES / RATE_HZ
    median, p95, p99 = np.percentile(delays, [50, 95, 99])
    print(f"sample to sound buffer, median   {median:9.2f} ms   ({len(delays)} changes)")
    print(f"sample to sound buffer, p95      {p95:9.2f} ms")
    print(f"sample to sound buffer, p99      {p99:9.2f} ms   (aim: {AIM_MS:g} + {buffer_ms:.1f})")
    print(f"holes in the tone                {holes:9d}      (of {buffers} buffers)")
    return {"hearing_p99_over_aim": p99 / (AIM_MS + buffer_ms)}


if __name__ == "__main__":
    if "play" in sys.argv[1:]:
        play_all()
    else:
        main()
