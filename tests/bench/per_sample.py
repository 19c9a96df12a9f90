"""What one sample costs on its way through the program, against recomputing a 60 s window."""

from __future__ import annotations

import gc
import time
from dataclasses import replace
from itertools import islice

import numpy as np
from scipy.spatial import ConvexHull

from swaytrainer.board.arrivals import Received
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, corner_loads
from swaytrainer.sitting.sitting import Sitting
from tests.streams import board_of, setup_for, short_level

WINDOW_S = 60
SAMPLES = 20_000


def live_us() -> tuple[float, Sitting]:
    """Microseconds a sample: bytes to frame, loads, COP, all live measures and the trial."""
    board = board_of()
    setup = setup_for(board, replace(short_level(), seconds=1e6))
    sitting = Sitting(setup)
    # Ten bodies' worth of a minute, over and over: the body is dearer than all that is measured.
    loads = list(
        islice(
            corner_loads(
                Scenario((Empty(2.0), StepOn(), Stand(70.0))), JUNIOR, 80.0, 220.0, 170.0, 1
            ),
            80 * 70,
        )
    )
    lead = loads[: 80 * 10]
    rest = loads[80 * 10 :]
    for n, data in enumerate(board.stream(lead)):
        sitting.feed(Received(n / 80, data))
    assert sitting.in_trial
    many = (rest[n % len(rest)] for n in range(SAMPLES))
    items = [Received(100 + n / 80, data) for n, data in enumerate(board.stream(many))]
    # A real link makes its inputs one by one: those that wait here in a heap are not to be swept
    # over and over at the live path's cost.
    gc.collect()
    gc.freeze()
    begin = time.perf_counter()
    for item in items:
        sitting.feed(item)
    return (time.perf_counter() - begin) / SAMPLES * 1e6, sitting


def recompute_us() -> float:
    """Microseconds for the same measures of the last minute, afresh, in plain NumPy and SciPy."""
    rng = np.random.default_rng(1)
    n = WINDOW_S * 80
    loads = 110.0 + rng.normal(0, 1, (n, 4)).cumsum(axis=0) * 0.05
    where = np.array([[-220.0, 170.0], [220.0, 170.0], [-220.0, -170.0], [220.0, -170.0]])
    best = np.inf
    for _ in range(30):
        begin = time.perf_counter()
        force = loads.sum(axis=1)
        p = loads @ where / force[:, None]
        step = np.diff(p, axis=0)
        measures = [
            np.hypot(step[:, 0], step[:, 1]).sum(),
            np.abs(step).sum(axis=0),
            p.std(axis=0),
            np.ptp(p, axis=0),
            np.sqrt(np.linalg.det(np.cov(p.T))) * np.pi * 5.991,
            ConvexHull(p).volume,
            ((p[:, 1] > -40) & (p[:, 1] < 10)).mean(),
        ]
        best = min(best, time.perf_counter() - begin)
        assert len(measures) == 7
    return best * 1e6


def main() -> dict[str, float]:
    """Measure, print, and return the ratios."""
    recompute = recompute_us()
    live = min(live_us()[0] for _ in range(3))
    print(f"live path a sample               {live:9.2f} µs   (aim: at most 20)")
    print(f"recomputing 60 s with NumPy      {recompute:9.2f} µs")
    print(f"  ratio                          {recompute / live:9.1f}      (aim: at least 50)")
    return {"recompute_over_live": recompute / live}


if __name__ == "__main__":
    main()
