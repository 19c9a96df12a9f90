"""What the coach's window costs, an hour in: ``python -m tests.bench.scope [RATE ...]``.

Redraws: the window off screen with an hour of made-up samples, 300 events and 60 notes; each frame
takes in what a thirtieth of a second brings, and paints all that is due. It follows the newest, or
looks back by half a width at each frame, as with a key held down. Wall time, and this thread's CPU
time beside it, for a busy machine. Beside it the same curves as plain pyqtgraph plots of every
sample.

Opening: a real recording of so many minutes, from opening to the first picture and until all is
read, and how long the window was deaf at most.
"""

from __future__ import annotations

import gc
import os
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from swaytrainer.scope.curves import Values
from swaytrainer.scope.notes import Note
from swaytrainer.scope.watched import CURVES, Watched
from swaytrainer.sitting.view import Event, Happening
from swaytrainer.sway.cop import Array
from tests.streams import board_of, setup_for, short_level

HOUR_S = 3600
FRAMES = 400
PLAIN_FRAMES = 3
AIM_MS = 16.0
OPENED_MIN = {80.0: 60, 1000.0: 5}


def hour(rate_hz: float, seconds: int = HOUR_S) -> tuple[Array, Values]:
    """Made-up values under ``CURVES``: shapes (N,) and (N, curves)."""
    rng = np.random.default_rng(1)
    n = int(rate_hz * seconds)
    t = np.arange(n) / rate_hz
    rows = np.full((n, len(CURVES)), np.nan, dtype=np.float32)
    middles = (450.0, 0.0, -30.0, 42.0, 50.0, 8.0, 110.0, 112.0, 109.0, 111.0, 1.8, 60.0)
    for i, middle in enumerate(middles):
        rows[:, i] = middle + 2.0 * np.sin(0.7 * t + i) + rng.normal(0.0, 0.7, n)
    return t, rows


class Filled:
    """A source whose hour is there already, and which brings a thirtieth of a second at a time."""

    trouble = ""
    catching_up = False
    quiet_s = 0.0

    def __init__(self, rate_hz: float, path: Path) -> None:
        self.path = path
        self.watched = watched = Watched(setup_for(board_of(), short_level()))
        self.tail = SimpleNamespace(
            recording=SimpleNamespace(made="2026-09-12T17:30", damage=[]), share_read=1.0
        )
        notes = [Note(20.0 + 60.0 * n, f"note {n}") for n in range(60)]
        self.notes = SimpleNamespace(notes=lambda: notes)
        watched.events += [Event(Happening.STEPPED_ON, 12.0 * n) for n in range(300)]
        self._t, self._rows = hour(rate_hz, HOUR_S + 60)
        self._at = int(rate_hz * HOUR_S)
        self._step = max(1, round(rate_hz / 30.0))
        self._due = False
        watched.begin_s = 0.0
        watched._rate_hz = rate_hz
        self._take(slice(0, self._at))

    def _take(self, part: slice) -> None:
        self.watched.curves.extend(self._t[part], self._rows[part])
        self.watched._newest_s = float(self._t[part][-1])

    def come(self) -> None:
        """A thirtieth of a second is over."""
        self._due = True

    def poll(self) -> bool:
        """As ``Source.poll``."""
        if not self._due:
            return False
        self._due = False
        self._take(slice(self._at, self._at + self._step))
        self._at += self._step
        return True


def _application() -> Any:
    from PySide6 import QtWidgets

    return QtWidgets.QApplication.instance() or QtWidgets.QApplication([])


def redraw_ms(rate_hz: float, width_s: float, back: bool, two: bool) -> tuple[Array, Array, float]:
    """Milliseconds of each frame (wall, CPU), and by how many MB memory grew over all of them."""
    from swaytrainer.scope.gaze import Gaze
    from swaytrainer.scope.window import ScopeWindow

    application = _application()
    filled = [Filled(rate_hz, Path(name)) for name in ("a", "b")[: 1 + two]]
    made: Iterator[Any] = iter(filled)
    window = ScopeWindow([f.path for f in filled], lambda _: next(made))
    window.show()
    window.showing.look_at(Gaze(width_s))
    for _ in range(3):
        window.tick()
        application.processEvents()
    wall, cpu = [], []
    gc.collect()
    gc.freeze()  # the made-up hour is not to be swept at the window's cost
    for n in range(FRAMES):
        for source in filled:
            source.come()
        begin, begin_cpu = time.perf_counter(), time.thread_time()
        if back:
            window.move_by(-0.5 if n % 40 else 1e6)
        window.tick()
        application.processEvents()  # paints what was changed
        wall.append(1e3 * (time.perf_counter() - begin))
        cpu.append(1e3 * (time.thread_time() - begin_cpu))
        if n == FRAMES // 4:
            before = _memory_mb()
    grown = _memory_mb() - before
    window.close()
    window.deleteLater()
    application.processEvents()
    gc.unfreeze()
    return np.array(wall), np.array(cpu), grown


def plain_ms(rate_hz: float, width_s: float) -> float:
    """Milliseconds of a frame of plain plots that are given every sample of the same stretch."""
    import pyqtgraph as pg
    from PySide6 import QtWidgets

    application = _application()
    t, rows = hour(rate_hz)
    shown = int(rate_hz * min(width_s, HOUR_S))
    t, rows = t[-shown:], rows[-shown:]
    page = QtWidgets.QWidget()
    column = QtWidgets.QVBoxLayout(page)
    lines = []
    for group in ((3, 4), (5,), (0,), (6, 7, 8, 9)):
        plot = pg.PlotWidget(background="w")
        column.addWidget(plot)
        lines += [(i, plot.plot(pen="k")) for i in group]
    page.resize(770, 760)
    page.show()
    application.processEvents()
    took = []
    for n in range(PLAIN_FRAMES):
        begin = time.process_time()
        for i, line in lines:
            line.setData(t + n / 30.0, rows[:, i])
        application.processEvents()
        took.append(1e3 * (time.process_time() - begin))
    page.close()
    return float(np.median(took))


def recorded(path: Path, rate_hz: float, minutes: int) -> None:
    """Write a recording of one sitting: a minute's bodies, over and over."""
    from dataclasses import replace
    from itertools import cycle, islice

    from swaytrainer.board.arrivals import Received
    from swaytrainer.simulate.athlete import JUNIOR
    from swaytrainer.simulate.board import BoardMake
    from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn, corner_loads
    from swaytrainer.store.recording import Recorder

    board = board_of(make=replace(BoardMake(), rate_hz=rate_hz))
    once = Scenario((Empty(4.0), StepOn(), Stand(50.0), StepOff(), Empty(4.0)))
    loads = list(corner_loads(once, JUNIOR, rate_hz, 220.0, 170.0, 1))
    many = islice(cycle(loads), int(60.0 * minutes * rate_hz))
    recorder = Recorder(path, setup_for(board, short_level(trials=10)), "2026-09-12T17:30")
    waiting = b""
    for n, data in enumerate(board.stream(many)):
        waiting += data
        if n % max(1, round(rate_hz / 80.0)) == 0:  # an arrival is what a poll of the port gives
            recorder.append(Received(100.0 + n / rate_hz, waiting))
            waiting = b""
    recorder.close()


def opening(rate_hz: float, minutes: int) -> tuple[float, float, float]:
    """Seconds until the first picture, until all is read; milliseconds of the longest tick."""
    from swaytrainer.scope.source import Source
    from swaytrainer.scope.window import ScopeWindow

    application = _application()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.sway"
        recorded(path, rate_hz, minutes)
        begin = time.perf_counter()
        window = ScopeWindow([path], Source)
        window.show()
        first_s = longest_ms = 0.0
        while window.showing.catching_up or not first_s:
            tick = time.perf_counter()
            window.tick()
            application.processEvents()
            longest_ms = max(longest_ms, 1e3 * (time.perf_counter() - tick))
            if window.sources[0].trouble:
                raise RuntimeError(window.sources[0].trouble)
            if not first_s and np.isfinite(window.newest_s):
                first_s = time.perf_counter() - begin
        whole_s = time.perf_counter() - begin
        window.close()
    return first_s, whole_s, longest_ms


def _memory_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def _three(took: Array) -> str:
    return f"{np.median(took):5.1f} {np.quantile(took, 0.99):5.1f} {took.max():5.1f}"


def main(arguments: list[str] | None = None) -> dict[str, float]:
    """Print the tables; the ratios."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    rates = [float(arg) for arg in arguments or ()] or [80.0, 1000.0]
    ratios = {}
    print(f"a redraw, ms (aim: p99 at most {AIM_MS:g})          wall p50   p99   max | CPU p50 ...")
    for rate_hz in rates:
        for width_s in (60.0, 3600.0):
            for two in (False, True):
                for back in (False, True):
                    wall, cpu, grown = redraw_ms(rate_hz, width_s, back, two)
                    name = f"{rate_hz:5.0f} Hz, {width_s:4.0f} s of an hour"
                    how = f"{'two' if two else 'one'}, {'back' if back else 'following'}"
                    print(
                        f"  {name}, {how:<15} {_three(wall)} | {_three(cpu)}  +{grown:.1f} MB",
                        flush=True,
                    )
                    if not two and not back:
                        median = float(np.median(cpu))
            plain = plain_ms(rate_hz, width_s)
            print(f"    plain plots of every sample {plain:7.1f} ms, {plain / median:.0f} times")
            ratios[f"scope redraw {rate_hz:.0f} Hz {width_s:.0f} s, plain over ours"] = (
                plain / median
            )
    for rate_hz in rates:
        minutes = OPENED_MIN.get(rate_hz, 10)
        first_s, whole_s, longest_ms = opening(rate_hz, minutes)
        print(
            f"opening {minutes} min at {rate_hz:.0f} Hz: first picture after {first_s:.2f} s, all"
            f" after {whole_s:.1f} s ({60.0 * minutes / whole_s:.0f} times as fast as it was),"
            f" longest tick {longest_ms:.0f} ms",
            flush=True,
        )
        ratios[f"scope opening {rate_hz:.0f} Hz, real time over ours"] = 60.0 * minutes / whole_s
    return ratios


if __name__ == "__main__":
    main(sys.argv[1:])
