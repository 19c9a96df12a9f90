"""What a redraw of the coach's window costs, an hour in: ``python -m tests.bench.scope [RATE]``.

The window follows an hour's sitting off screen; each frame takes in what a thirtieth of a second
brings, and paints all. Times are of this process's CPU, so that a busy machine does not show.
Beside it the same curves as plain pyqtgraph plots of every sample.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from pathlib import Path

import numpy as np

from swaytrainer.scope.curves import Values
from swaytrainer.scope.watched import CURVES
from swaytrainer.sway.cop import Array
from tests.streams import board_of, setup_for, short_level

HOUR_S = 3600
FRAMES = 300
PLAIN_FRAMES = 3


def hour(rate_hz: float, seconds: int = HOUR_S) -> tuple[Array, Values]:
    """Made-up values under ``CURVES``: shapes (N,) and (N, curves)."""
    rng = np.random.default_rng(1)
    n = int(rate_hz * seconds)
    t = np.arange(n) / rate_hz
    rows = np.full((n, len(CURVES)), np.nan, dtype=np.float32)
    middles = (450.0, 0.0, -30.0, 42.0, 50.0, 8.0, 110.0, 112.0, 109.0, 111.0)
    for i, middle in enumerate(middles):
        rows[:, i] = middle + 2.0 * np.sin(0.7 * t + i) + rng.normal(0.0, 0.7, n)
    return t, rows


def redraw_ms(rate_hz: float, width_s: float) -> tuple[Array, float]:
    """Milliseconds of each frame, and by how many MB memory grew over all of them."""
    from PySide6 import QtWidgets

    from swaytrainer.scope.gaze import Gaze
    from swaytrainer.scope.pane import Pane
    from swaytrainer.scope.watched import Watched

    application = QtWidgets.QApplication.instance() or QtWidgets.QApplication([])
    watched = Watched(setup_for(board_of(), short_level()))
    t, rows = hour(rate_hz, HOUR_S + 30)
    first = int(rate_hz * HOUR_S)
    watched.curves.extend(t[:first], rows[:first])
    watched.begin_s, watched._newest_s = 0.0, float(t[first - 1])
    watched._rate_hz = rate_hz
    pane = Pane(watched, "2026-09-12T17:30", [])
    pane.resize(1280, 900)
    pane.show()
    application.processEvents()
    gaze = Gaze(width_s)
    took = []
    step = max(1, round(rate_hz / 30.0))
    for n in range(FRAMES):
        part = slice(first + n * step, first + (n + 1) * step)
        begin = time.process_time()
        watched.curves.extend(t[part], rows[part])
        watched._newest_s = float(t[part][-1])
        shown = pane.look(gaze, pane.newest_s)
        pane.show_it(shown, gaze, pane.newest_s, shown.reaches, pane.spectrum.top(shown.spectra))
        application.processEvents()  # paints what was changed
        took.append(1e3 * (time.process_time() - begin))
        if n == FRAMES // 4:
            before = _memory_mb()
    pane.close()
    return np.array(took), _memory_mb() - before


def plain_ms(rate_hz: float, width_s: float) -> float:
    """Milliseconds of a frame of plain plots that are given every sample of the same stretch."""
    import pyqtgraph as pg
    from PySide6 import QtWidgets

    application = QtWidgets.QApplication.instance() or QtWidgets.QApplication([])
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


def _memory_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def main() -> dict[str, float]:
    """Print the table; the ratios."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    rates = [float(arg) for arg in sys.argv[1:]] or [80.0, 1000.0]
    ratios = {}
    for rate_hz in rates:
        for width_s in (60.0, 3600.0):
            took, grown = redraw_ms(rate_hz, width_s)
            plain = plain_ms(rate_hz, width_s)
            median, p99 = float(np.median(took)), float(np.quantile(took, 0.99))
            print(
                f"{rate_hz:6.0f} Hz, {width_s:5.0f} s shown of an hour: median {median:5.1f} ms,"
                f" p99 {p99:5.1f} ms; plain {plain:7.1f} ms, {plain / median:.1f} times;"
                f" memory +{grown:.1f} MB"
            )
            ratios[f"scope redraw {rate_hz:.0f} Hz {width_s:.0f} s, plain over ours"] = (
                plain / median
            )
    return ratios


if __name__ == "__main__":
    main()
