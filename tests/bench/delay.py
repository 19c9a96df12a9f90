"""From the byte on the wire to the drawn frame, on a real pseudo-terminal, in real time.

The board runs in a process of its own and notes when it writes each sample; this process runs the
program's own loop and notes when the frame that shows it has been handed to the display. Both use
the system's monotonic clock.
"""

from __future__ import annotations

import multiprocessing
import os
import select
import time
from dataclasses import replace
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from swaytrainer.app.play import play
from swaytrainer.app.window import FRAMES_A_SECOND, Window, display_missing
from swaytrainer.board.link import Link, find_board
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, corner_loads
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Event, Phase, View
from swaytrainer.sound.player import Player
from swaytrainer.store.recording import Recorder
from swaytrainer.store.session import Session
from tests.streams import board_of, setup_for, short_level

SECONDS = 20.0


def serve(pipe: Connection) -> None:
    """The board's process."""
    import pty
    import tty

    master, slave = pty.openpty()
    tty.setraw(slave)
    pipe.send(os.ttyname(slave))
    board = board_of()
    loads = corner_loads(
        Scenario((Empty(2.0), StepOn(), Stand(SECONDS + 8.0))), JUNIOR, 80.0, 220.0, 170.0, 1
    )
    lines = list(board.stream(loads))
    select.select([master], [], [])
    os.read(master, 100)
    written = []
    due = time.monotonic()
    for line in lines:
        due += 1 / 80
        time.sleep(max(due - time.monotonic(), 0.0))
        written.append(time.monotonic())
        os.write(master, line)
    pipe.send(written)
    pipe.recv()


class _TimedWindow(Window):
    """Notes when each frame was shown and how many samples it had taken in."""

    def __init__(self, off_screen: bool) -> None:
        super().__init__(off_screen)
        self.session: Session | None = None
        self.shown: list[tuple[float, int, bool]] = []
        self.drawn_s: list[float] = []
        self._begin = 0.0
        self.running = False

    def wait(self) -> None:
        super().wait()
        self._begin = time.monotonic()

    def show(self) -> None:
        super().show()
        now = time.monotonic()
        assert self.session is not None
        self.shown.append((now, self.session.sitting.samples, self.running))
        if self.running:
            self.drawn_s.append(now - self._begin)


def measure() -> tuple[np.ndarray, np.ndarray]:
    """Delays of samples and times of frames during the trial, in ms."""
    ours, theirs = multiprocessing.Pipe()
    child = multiprocessing.get_context("spawn").Process(target=serve, args=(theirs,))
    child.start()
    url = ours.recv()
    window = _TimedWindow(off_screen=display_missing())
    player = Player(volume=1.0)
    player.open()
    link = Link(find_board([url], time.monotonic), time.monotonic, lambda: [url])
    with TemporaryDirectory() as folder:

        def recorder(setup: Setup, now: datetime) -> Recorder:
            return Recorder(Path(folder) / "a.sway", setup, now.isoformat())

        setup = setup_for(board_of(), replace(short_level(), seconds=SECONDS))
        session = Session(setup, recorder, lambda: datetime.now().astimezone())
        window.session = session

        def on_frame(_events: list[Event], view: View) -> None:
            window.running = view.phase is Phase.RUNNING

        def until(events: list[Event]) -> bool:
            return any(e.outcome is not None for e in events)

        play(session, link, window, player, 1, time.monotonic, until, on_frame)
        session.close()
    link.close()
    player.close()
    written = ours.recv()
    ours.send("done")
    child.join()
    window.close()
    delays = []
    taken = 0
    for shown_s, samples, running in window.shown:
        if running:
            delays += [shown_s - written[n] for n in range(taken, samples)]
        taken = samples
    return np.array(delays) * 1e3, np.array(window.drawn_s) * 1e3


def main() -> dict[str, float]:
    """Measure, print, and return the ratios."""
    delays, frames = measure()
    frame_ms = 1000 / FRAMES_A_SECOND
    median, p99 = np.percentile(delays, [50, 99])
    print(f"byte to drawn frame, median      {median:9.2f} ms   ({len(delays)} samples)")
    print(f"byte to drawn frame, p99         {p99:9.2f} ms   (aim: {frame_ms + 2:.2f})")
    print(f"  ratio of p99 to one frame      {p99 / frame_ms:9.2f}")
    median, p99_frame = np.percentile(frames, [50, 99])
    print(f"frame: poll, feed, draw, show    {median:9.2f} ms median, {p99_frame:.2f} ms p99")
    print(f"  share of a frame, p99          {p99_frame / frame_ms:9.2f}")
    return {
        "delay_p99_over_frame": p99 / frame_ms,
        "draw_p99_over_frame": p99_frame / frame_ms,
    }


if __name__ == "__main__":
    main()
