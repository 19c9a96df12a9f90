"""``python -m tests.sway.outside``: each measure against its outside check, the largest difference.

The big run behind the tests: more seeds, longer series, all open trials that lie beside the
checkout, and antropy if that is installed (it is no dependency: it weighs a quarter
of a gigabyte). Relative differences, unless it says otherwise.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable, Iterator

import numpy as np
from scipy import signal
from scipy.spatial import ConvexHull

from swaytrainer.sway.about_mean import mean_distance_mm
from swaytrainer.sway.band import time_in_band
from swaytrainer.sway.butterworth import zero_phase
from swaytrainer.sway.diffusion import diffusion, diffusion_of, square_displacement
from swaytrainer.sway.ellipse import finite_sample_factor
from swaytrainer.sway.entropy import block_means, sample_entropy
from swaytrainer.sway.hull import hull_area_mm2
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import prepare
from swaytrainer.sway.spectrum import spectral, welch
from swaytrainer.sway.spread import spread
from swaytrainer.sway.table import sway_measures
from tests import open_data
from tests.sway.made import PLACES, circle, loads
from tests.sway.test_diffusion import brownian, drawn_back, drawn_back_curve
from tests.sway.test_entropy import by_definition

Found = Iterator[tuple[str, str, float]]


def apart(ours: float, theirs: float) -> float:
    """Relative difference."""
    return abs(ours / theirs - 1.0)


def circles() -> Found:
    """Circles of many sizes, speeds and places, from corner loads and without a filter."""
    worst: dict[str, float] = {}
    for radius, hz, rate, x0, y0 in (
        (10.0, 0.5, 100.0, 12.0, -8.0), (0.5, 0.25, 80.0, -90.0, 70.0), (60.0, 1.0, 48.0, 0.0, 3.0),
        (3.0, 2.0, 200.0, 100.0, 100.0),
    ):  # fmt: skip
        walk = circle(radius_mm=radius, turns_hz=hz, rate_hz=rate)
        n, around = walk.time_s.size, round(rate / hz)
        four = loads(walk.x_mm + x0, walk.y_mm + y0)
        values = sway_measures(prepare(walk.time_s, four, PLACES, cutoff_hz=None))
        path_mm = 2.0 * radius * math.sin(math.pi * hz / rate) * (n - 1)
        speed = path_mm / ((n - 1) / rate)
        truth = {
            "path_length_mm": path_mm,
            "mean_speed_mm_s": speed,
            "rms_ml_mm": radius / math.sqrt(2.0),
            "rms_ap_mm": radius / math.sqrt(2.0),
            "mean_distance_mm": radius,
            "range_ml_mm": 2.0 * radius,
            "range_ap_mm": 2.0 * radius,
            "ellipse_area_mm2": -math.log(0.05) * math.pi * radius**2 * n / (n - 1),
            "hull_area_mm2": 0.5 * around * radius**2 * math.sin(2.0 * math.pi / around),
            "sway_area_rate_mm2_s": 0.5 * rate * radius**2 * math.sin(2.0 * math.pi * hz / rate),
            "mean_frequency_hz": speed / (2.0 * math.pi * radius),
        }
        for key, value in truth.items():
            worst[key] = max(worst.get(key, 0.0), apart(values[key], value))
    for key, off in worst.items():
        yield key, "circle, closed form", off


def libraries() -> Found:
    """NumPy and SciPy on 100 random walks."""
    hull = spreads = psd = filters = 0.0
    for seed in range(100):
        x, y = 50.0 + np.random.default_rng(seed).normal(size=(2, 6000)).cumsum(axis=1)
        hull = max(hull, apart(hull_area_mm2(x, y), float(ConvexHull(np.stack([x, y], 1)).volume)))
        ours = np.array(spread(x, y).covariance_mm2)
        cov = np.cov(x, y)
        theirs = np.array([cov[0, 0], cov[1, 1], cov[0, 1]])
        spreads = max(spreads, float(np.abs(ours / theirs - 1.0).max()))
        expected = signal.welch(x, 100.0, nperseg=3000)[1]
        psd = max(psd, float(np.abs(welch(x, 100.0, 3000)[1] - expected).max() / expected.max()))
        b, a = signal.butter(2, 10.0, fs=100.0)
        smooth = signal.filtfilt(b, a, x)
        filters = max(filters, float(np.abs(zero_phase(x, 10.0, 100.0) / smooth - 1.0).max()))
    yield "hull_area_mm2", "SciPy ConvexHull, 100 walks", hull
    yield "rms, ellipse (covariance)", "numpy.cov, 100 walks", spreads
    yield "spectra", "scipy.signal.welch, of the largest", psd
    yield "filter", "scipy.signal.filtfilt, 100 walks", filters


def noises() -> Found:
    """White noise: path, speed and distance have closed forms (a sample of 10⁶: 0.1 %)."""
    x, y = np.random.default_rng(5).normal(scale=2.0, size=(2, 1_000_000))
    time_s = np.arange(x.size) / 100.0
    walked = path(time_s, x, y)
    yield (
        "mean_speed_mm_s",
        "white noise √π·σ·rate",
        apart(walked.mean_speed_mm_s, math.sqrt(math.pi) * 2.0 * 100.0),
    )
    along = 2.0 * 2.0 / math.sqrt(math.pi) * 100.0
    yield "mean_speed_ml_mm_s", "white noise 2σ/√π·rate", apart(walked.mean_speed_ml_mm_s, along)
    yield "mean_speed_ap_mm_s", "white noise 2σ/√π·rate", apart(walked.mean_speed_ap_mm_s, along)
    rayleigh = 2.0 * math.sqrt(math.pi / 2.0)
    yield "mean_distance_mm", "white noise σ√(π/2)", apart(mean_distance_mm(x, y), rayleigh)


def sines() -> Found:
    """Median frequency of sines; time in band of a slow swing."""
    time_s = np.arange(6000) / 100.0
    off = max(
        abs(spectral(np.sin(2.0 * np.pi * hz * time_s), 100.0).median_frequency_hz - hz)
        for hz in (0.3, 0.5, 1.0, 2.5, 4.0)
    )
    yield "median frequencies", "sines, off by Hz", off
    share = 50.0 + 10.0 * np.sin(2.0 * np.pi * 0.1 * time_s)
    inside = 200.0 * math.asin(0.5) / math.pi
    off = apart(time_in_band(time_s, share, 45.0, 55.0).time_in_band_percent, inside)
    yield "time_in_band_percent", "sine, 2·asin(½)/π", off


def entropies() -> Found:
    """Definition, closed forms of noise, antropy."""
    defined = white = flat = 0.0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        short = rng.normal(size=120).cumsum()
        r = 0.2 * float(short.std())
        defined = max(defined, abs(sample_entropy(short) - by_definition(short, r)))
        white += sample_entropy(rng.normal(size=6000)) / 20
        flat += sample_entropy(rng.uniform(size=6000), 0.1) / 20
    yield "sample_entropy", "definition, every pair, off by", defined
    yield "sample_entropy", "Gauss noise -ln erf(r/2)", apart(white, -math.log(math.erf(0.1)))
    yield "sample_entropy", "even noise -ln(2r - r²)", apart(flat, -math.log(0.19))
    try:
        theirs: Callable[..., float] = importlib.import_module("antropy").sample_entropy
    except ImportError:
        return
    off, name = 0.0, "antropy, 100 walks and noises"
    pieces = [np.random.default_rng(s).normal(size=1200) for s in range(50)]
    pieces += [piece.cumsum() for piece in pieces]
    if open_data.folder().is_dir():
        name += " and 48 open series"
        for trial in open_data.STANDING_TRIALS:
            trace = prepare(*open_data.standing(trial), open_data.PLACES)
            pieces += [block_means(v, trace.rate_hz) for v in (trace.x_mm, trace.y_mm)]
    for x in pieces:
        r = 0.2 * float(x.std())
        off = max(off, apart(sample_entropy(x), theirs(x, 2, tolerance=r)))
    yield "sample_entropy", name, off


def diffusions() -> Found:
    """Definition; random walks; springs in honey: means of 20 series of an hour each."""
    x = brownian(5.0, 100.0, 6000, 1)
    plain = np.array([np.mean((x[k:] - x[:-k]) ** 2) for k in range(1, 1001)])
    yield (
        "diffusion",
        "definition, 1,000 lags",
        float(np.abs(square_displacement(x, 1000) / plain - 1.0).max()),
    )
    short, long, spring = [], [], []
    curve = drawn_back_curve(4.0, 1.0, 50.0)
    for seed in range(20):
        walk = brownian(5.0, 50.0, 180_000, seed)
        values = diffusion(walk, walk, 50.0)[1]
        short.append(values.diffusion_short_mm2_s)
        long.append(values.diffusion_long_mm2_s)
        back = drawn_back(4.0, 1.0, 50.0, 180_000, seed)
        spring.append(square_displacement(back, curve.size))
    yield "diffusion_short", "random walk, D = 5", apart(float(np.mean(short)), 5.0)
    yield "diffusion_long", "random walk, D = 5", apart(float(np.mean(long)), 5.0)
    mean = np.mean(spring, axis=0)
    off = float(np.abs(mean / curve - 1.0).max())
    yield "mean square displacement", "spring 2σ²(1 - e^(-t/τ))", off
    ours, theirs = diffusion_of(mean, 50.0), diffusion_of(curve, 50.0)
    yield (
        "critical_time_s",
        "spring, lines on the curve",
        apart(ours.critical_time_s, theirs.critical_time_s),
    )
    yield (
        "critical_displacement_mm2",
        "spring, lines on the curve",
        apart(ours.critical_displacement_mm2, theirs.critical_displacement_mm2),
    )


def people() -> Found:
    """The published results of 24 open trials (Santos & Duarte 2016, PeerJ 4:e2648)."""
    if not open_data.folder().is_dir():
        return
    speed = area = 0.0
    rows = open_data.published()
    for trial in open_data.STANDING_TRIALS:
        trace = prepare(*open_data.standing(trial), open_data.PLACES, cutoff_hz=None)
        values, n = sway_measures(trace), trace.time_s.size
        theirs = 10.0 * float(rows[trial]["cop_speed_cm_s"])
        speed = max(speed, apart(values["path_length_mm"] / (n / trace.rate_hz), theirs))
        theirs = 100.0 * float(rows[trial]["cop_area_cm2"])
        area = max(area, apart(values["ellipse_area_mm2"] * finite_sample_factor(n), theirs))
    yield "path, mean speed", "published, 24 open trials", speed
    yield "ellipse_area_mm2", "published, 24 open trials", area


def main() -> None:
    """Print the table."""
    for part in (circles, libraries, noises, sines, entropies, diffusions, people):
        for measure, check, off in part():
            print(f"{measure:28s} | {check:44s} | {off:8.1e}", flush=True)


if __name__ == "__main__":
    main()
