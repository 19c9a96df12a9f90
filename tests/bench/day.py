"""``python -m tests.bench.day [hours]``: a day of standing through the live measures.

80 samples a second for 24 hours are 6.9 million. What a sample costs must stay flat, and the sums
must stay exact: they are compared with ``math.fsum`` over all samples of the day. The body is a
random walk that is drawn back, moved by a little each hour, 100 mm from the plate's centre, with a
gap each 20 minutes.
"""

from __future__ import annotations

import math
import sys
import time

import numpy as np

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.window import WindowSpeed
from tests.sway.standing import FEET, RATE_HZ, Standing, exact, hour


def main(hours: int = 24) -> None:
    """Stand, measure, print."""
    live = LiveSway(FEET, 35.0, 50.0)
    window = WindowSpeed(1.0)
    seconds: list[float] = []
    stood: list[Standing] = []
    for number in range(hours):
        now = hour(number)
        stood.append(now)
        samples = [
            CopSample(t, 600.0, x, y, 0.0)
            for t, x, y in zip(
                now.time_s.tolist(), now.x_mm.tolist(), now.y_mm.tolist(), strict=True
            )
        ]
        begin = time.process_time()
        for sample, gone in zip(samples, now.gap.tolist(), strict=True):
            if gone:
                live.gap()
                window.gap()
            live.update(sample)
            window.update(sample.time_s, sample.x_mm, sample.y_mm)
        seconds.append(time.process_time() - begin)
    each = 1e6 / (3600 * RATE_HZ)
    first, last = seconds[0] * each, seconds[-1] * each
    print(f"samples                          {hours * 3600 * RATE_HZ:9.0f}   in {hours} h")
    print(f"live measures a sample, hour 1   {first:9.2f} µs")
    print(f"  hour {hours:2d}                        {last:9.2f} µs")
    print(f"  ratio of last to first         {last / first:9.3f}   (flat: 1)")
    quickest, slowest = min(seconds) * each, max(seconds) * each
    print(f"  quickest and slowest hour      {quickest:9.2f} µs, {slowest:.2f} µs")
    truth = exact(stood)
    values = live.get()
    worst = 0.0
    for key, value in values.items():
        off = abs(value / truth[key] - 1.0)
        worst = max(worst, off)
        print(f"  {key:30s} {value:18.9f}   off by {off:.1e}")
    end = stood[-1]
    steps = np.hypot(np.diff(end.x_mm[-81:]), np.diff(end.y_mm[-81:])).tolist()
    moment = math.fsum(steps) / float(end.time_s[-1] - end.time_s[-81])
    off = abs(window.get() / moment - 1.0)
    print(f"  {'speed of the last second':30s} {window.get():18.9f}   off by {off:.1e}")
    print(f"largest relative difference      {max(worst, off):9.1e}   (aim: 1e-9)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
