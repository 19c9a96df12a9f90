"""What a whole trial's measures cost, beside the same in plain NumPy and SciPy.

60 s at 100 samples a second; processor time of the best of many runs. Ours and theirs take turns of
ten runs, so that a busy moment meets both, and each finds its caches warm. Each run has a rate of
its own, as each trial has, so that the filter's matrices are made afresh. Their values are compared
with ours on the way.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import count

import numpy as np
from scipy import signal
from scipy.spatial import ConvexHull

from swaytrainer.sway.about_mean import mean_distance_mm, mean_frequency_hz, sway_area_rate_mm2_s
from swaytrainer.sway.butterworth import zero_phase
from swaytrainer.sway.cop import Array, CellPlaces
from swaytrainer.sway.ellipse import CHI2_95_2, prediction_ellipse
from swaytrainer.sway.entropy import block_means
from swaytrainer.sway.extent import extent
from swaytrainer.sway.hull import hull_area_mm2
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import prepare, trace_from_cop
from swaytrainer.sway.spread import spread
from swaytrainer.sway.table import sway_measures

COUNT, RATE_HZ, TURNS = 6000, 100.0, 20
PLACES = CellPlaces.rectangle(220.0, 170.0)

_RATES = count()
rng = np.random.default_rng(6)
time_s = np.arange(COUNT) / RATE_HZ
x_mm, y_mm = signal.lfilter([1.0], [1.0, -0.995], rng.normal(scale=0.3, size=(2, COUNT)), axis=1)
right, front = x_mm / 220.0, y_mm / 170.0
loads_n = 150.0 * np.stack(
    [1 - right + front, 1 + right + front, 1 - right - front, 1 + right - front], axis=1
)
trace = trace_from_cop(time_s, np.full(COUNT, 600.0), x_mm.copy(), y_mm.copy())
x_mm, y_mm = trace.x_mm, trace.y_mm


def core() -> list[float]:
    """Filter, path, speeds, rms, ranges, ellipse, hull, area rate, mean frequency: ours."""
    smooth = zero_phase(loads_n, 10.0, RATE_HZ * (1.0 + 1e-14 * next(_RATES)))
    walked = path(time_s, x_mm, y_mm, trace.breaks)
    about = spread(x_mm, y_mm)
    middle_mm = (about.mean_x_mm, about.mean_y_mm)
    return [
        float(smooth[-1, 0]),
        *walked,
        about.rms_ml_mm,
        about.rms_ap_mm,
        *extent(x_mm, y_mm),
        prediction_ellipse(about.covariance_mm2).ellipse_area_mm2,
        hull_area_mm2(x_mm, y_mm),
        sway_area_rate_mm2_s(time_s, x_mm, y_mm, trace.breaks, middle_mm),
        mean_frequency_hz(walked.mean_speed_mm_s, mean_distance_mm(x_mm, y_mm, middle_mm)),
    ]


def plain_core() -> list[float]:
    """The same, as one writes it down."""
    b, a = signal.butter(2, 10.0, fs=RATE_HZ)
    smooth = signal.filtfilt(b, a, loads_n, axis=0)
    p = np.stack([x_mm, y_mm], axis=1)
    step, seconds = np.diff(p, axis=0), time_s[-1] - time_s[0]
    length = np.hypot(step[:, 0], step[:, 1]).sum()
    about = p - p.mean(axis=0)
    swept = 0.5 * np.abs(about[:-1, 0] * about[1:, 1] - about[1:, 0] * about[:-1, 1]).sum()
    turn_mm = 2.0 * np.pi * np.hypot(about[:, 0], about[:, 1]).mean()
    return [
        smooth[-1, 0],
        length,
        length / seconds,
        *(np.abs(step).sum(axis=0) / seconds),
        *p.std(axis=0),
        *np.ptp(p, axis=0),
        np.pi * CHI2_95_2 * np.sqrt(np.linalg.det(np.cov(p.T))),
        ConvexHull(p).volume,
        swept / seconds,
        length / seconds / turn_mm,
    ]


def every() -> list[float]:
    """From loads to every measure, with filter, checks and notes: ours."""
    prepare(time_s * (1.0 + 1e-14 * next(_RATES)), loads_n, PLACES)
    return list(sway_measures(trace).values())


def plain_entropy(x: Array) -> float:
    """Every pair at once, in a matrix."""
    near = np.abs(x[:, None] - x[None, :]) <= 0.2 * x.std()
    templates = x.size - 2
    both = near[:templates, :templates] & near[1:-1, 1:-1]
    short = both.sum() - templates
    return float(-np.log(((both & near[2:, 2:]).sum() - templates) / short))


def plain_spectral() -> list[float]:
    """SciPy's spectra; quantiles by cumulative trapezoids."""
    found = []
    d = np.hypot(x_mm - x_mm.mean(), y_mm - y_mm.mean())
    for series in (d, x_mm, y_mm):
        f, density = signal.welch(series, RATE_HZ, nperseg=COUNT // 2)
        grid = np.concatenate([[0.15], f[(f > 0.15) & (f < 5.0)], [5.0]])
        p = np.interp(grid, f, density)
        power = np.concatenate([[0.0], np.cumsum(0.5 * (p[1:] + p[:-1]) * np.diff(grid))])
        found += [float(np.interp(share * power[-1], power, grid)) for share in (0.5, 0.95)]
    return found


def plain_diffusion() -> list[float]:
    """Each lag by itself; lines by polyfit."""
    lag_s = np.arange(1, 1001) / RATE_HZ
    curve = [
        np.mean((x_mm[k:] - x_mm[:-k]) ** 2) + np.mean((y_mm[k:] - y_mm[:-k]) ** 2)
        for k in range(1, 1001)
    ]
    steep, low = np.polyfit(lag_s[:50], curve[:50], 1)
    flat, high = np.polyfit(lag_s[249:], curve[249:], 1)
    cross_s = (high - low) / (steep - flat)
    return [steep / 2.0, flat / 2.0, cross_s, low + steep * cross_s]


def plain_every() -> list[float]:
    """Those of the core, spectra, entropy and planar diffusion."""
    blocks = [block_means(v, RATE_HZ) for v in (x_mm, y_mm)]
    return [*plain_core(), *plain_spectral(), *map(plain_entropy, blocks), *plain_diffusion()]


def best_ms(turns: int, *work: Callable[[], object]) -> list[float]:
    """Processor time (ms) of the fastest run of each."""
    best = [np.inf] * len(work)
    for _ in range(turns):
        for i, once in enumerate(work):
            for _ in range(10):
                begin = time.process_time()
                once()
                best[i] = min(best[i], time.process_time() - begin)
    return [1e3 * seconds for seconds in best]


def check() -> float:
    """The largest relative difference between ours and theirs."""
    values = sway_measures(trace)
    keys = ["median_frequency_hz", "edge_frequency_95_hz", "median_frequency_ml_hz",
            "edge_frequency_95_ml_hz", "median_frequency_ap_hz", "edge_frequency_95_ap_hz",
            "sample_entropy_ml", "sample_entropy_ap", "diffusion_short_mm2_s",
            "diffusion_long_mm2_s", "critical_time_s", "critical_displacement_mm2"]  # fmt: skip
    ours, theirs = [*core(), *(values[key] for key in keys)], plain_every()
    return max(abs(a / b - 1.0) for a, b in zip(ours, theirs, strict=True))


def main() -> dict[str, float]:
    """Measure, print, and return the ratios."""
    core_ms, plain_core_ms = best_ms(TURNS, core, plain_core)
    every_ms, plain_ms = best_ms(TURNS // 4, every, plain_every)
    print(f"core measures and filter, 60 s   {core_ms:9.3f} ms   (aim: at most 1)")
    print(f"  in plain NumPy and SciPy       {plain_core_ms:9.3f} ms")
    print(f"  ratio                          {plain_core_ms / core_ms:9.2f}")
    print(f"all measures, checks and notes   {every_ms:9.3f} ms   (aim: at most 12)")
    print(f"  in plain NumPy and SciPy       {plain_ms:9.3f} ms")
    print(f"  ratio                          {plain_ms / every_ms:9.2f}")
    print(f"  largest relative difference    {check():9.1e}")
    return {
        "plain_over_core": plain_core_ms / core_ms,
        "plain_over_every": plain_ms / every_ms,
    }


if __name__ == "__main__":
    main()
