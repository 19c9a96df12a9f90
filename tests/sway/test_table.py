from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
from scipy import signal

from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop
from swaytrainer.sway.table import (
    FOOT_MEASURES,
    MEASURES,
    foot_measures,
    measure_sway,
    notes,
    sway_measures,
)
from tests.sway.made import PLACES, circle, loads

FEET = Feet(-70.0, 50.0, -80.0, 80.0)
SPECTRAL = [key for key in MEASURES if key.startswith(("median_", "edge_"))]
ENTROPY = [key for key in MEASURES if key.startswith("sample_entropy_")]
DIFFUSION = [key for key in MEASURES if key.startswith(("diffusion_", "critical_"))]
ENTROPY_NOTE = "Sample entropy is of 20 values a second, each the mean of a twentieth of a second."


def wander(seconds: float = 60.0, rate_hz: float = 100.0) -> tuple[np.ndarray, np.ndarray]:
    n = round(seconds * rate_hz)
    steps = np.random.default_rng(6).normal(scale=0.3, size=(2, n))
    xy = signal.lfilter([1.0], [1.0, -0.995], steps, axis=1)
    return np.arange(n) / rate_hz, xy


def trace_of(time_s: np.ndarray, xy: np.ndarray, force_n: float = 600.0) -> Trace:
    return trace_from_cop(time_s, np.full(time_s.size, force_n), xy[0].copy(), xy[1].copy())


def test_every_key_has_a_value_and_a_meaning() -> None:
    trace = trace_of(*wander())
    values = sway_measures(trace)
    assert list(values) == list(MEASURES)
    assert all(math.isfinite(value) for value in values.values())
    assert list(foot_measures(trace, FEET, 35.0, 50.0)) == list(FOOT_MEASURES)
    for measure in (*MEASURES.values(), *FOOT_MEASURES.values()):
        assert measure.unit
        assert measure.meaning
        assert measure.source
    assert notes(trace) == [ENTROPY_NOTE]
    result = measure_sway(trace)
    assert (result.values, list(result.notes)) == (values, notes(trace))


def test_circle_through_loads_and_without_a_filter() -> None:
    """The closed forms of a circle, all the way from corner loads; centre at (12, -8) mm."""
    walk = circle(radius_mm=10.0, turns_hz=0.5, rate_hz=100.0, seconds=60.0)
    four = loads(walk.x_mm + 12.0, walk.y_mm - 8.0)
    values = sway_measures(prepare(walk.time_s, four, PLACES, cutoff_hz=None))
    path_mm = 2.0 * 10.0 * math.sin(math.pi * 0.5 / 100.0) * 5999
    expected = {
        "path_length_mm": path_mm,
        "mean_speed_mm_s": path_mm / 59.99,
        "rms_ml_mm": 10.0 / math.sqrt(2.0),
        "rms_ap_mm": 10.0 / math.sqrt(2.0),
        "mean_distance_mm": 10.0,
        "range_ml_mm": 20.0,
        "range_ap_mm": 20.0,
        "ellipse_area_mm2": -2.0 * math.log(0.05) * math.pi * 50.0 * 6000 / 5999,
        "hull_area_mm2": 0.5 * 200 * 100.0 * math.sin(2.0 * math.pi / 200),
        "sway_area_rate_mm2_s": 0.5 * 100.0 * 100.0 * math.sin(2.0 * math.pi * 0.5 / 100.0),
        "mean_frequency_hz": path_mm / 59.99 / (2.0 * math.pi * 10.0),
    }
    assert {key: values[key] for key in expected} == pytest.approx(expected, rel=1e-9)
    # Speeds along an axis: the mean of |sin| is 2/π, but for the sampling.
    assert values["mean_speed_ml_mm_s"] == pytest.approx(20.0, rel=1e-3)
    assert values["median_frequency_ml_hz"] == pytest.approx(0.5, abs=1e-3)


def test_feet_of_a_circle() -> None:
    """Toe share of y = -10 + 12·sin: mean 50 %, inside 45-55 % for 2·asin(½)/π of the time."""
    walk = circle(radius_mm=12.0, turns_hz=0.25, rate_hz=100.0, seconds=60.0)
    trace = trace_of(walk.time_s, np.stack([walk.x_mm + 8.0, walk.y_mm - 10.0]))
    values = foot_measures(trace, FEET, 45.0, 55.0)
    assert values["toe_share_percent"] == pytest.approx(50.0, abs=1e-9)
    assert values["right_share_percent"] == pytest.approx(55.0, abs=1e-9)
    assert values["time_in_band_percent"] == pytest.approx(100.0 / 3.0, abs=0.05)
    assert values["longest_spell_s"] == pytest.approx(4.0 / 6.0, abs=1e-3)


def test_a_gap_counts_in_nothing_and_spectra_take_the_longest_piece() -> None:
    time_s, xy = wander()
    keep = np.ones(6000, dtype=np.bool_)
    keep[2000:2100] = False
    broken = trace_of(time_s[keep], xy[:, keep])
    values = sway_measures(broken)
    first = sway_measures(trace_of(time_s[:2000], xy[:, :2000]))
    second = sway_measures(trace_of(time_s[2100:], xy[:, 2100:]))
    both = first["path_length_mm"] + second["path_length_mm"]
    assert values["path_length_mm"] == pytest.approx(both, rel=1e-12)
    assert values["mean_speed_mm_s"] == pytest.approx(values["path_length_mm"] / (19.99 + 38.99))
    offline = [*SPECTRAL, *ENTROPY, *DIFFUSION]
    assert {key: values[key] for key in offline} == pytest.approx(
        {key: second[key] for key in offline}
    )
    assert any("longest piece without a gap, 39.0 s" in note for note in notes(broken))
    assert any("1.67 % of the samples are lost" in note for note in notes(broken))


def test_no_spectra_entropy_or_diffusion_of_scraps() -> None:
    time_s, xy = wander(40.0)
    xy[:, 1950] = xy[:, 3900] = math.nan
    trace = trace_of(time_s, xy)
    values = sway_measures(trace)
    assert all(math.isnan(values[key]) for key in (*SPECTRAL, *ENTROPY, *DIFFUSION))
    assert math.isfinite(values["mean_frequency_hz"])
    for name, least in (("spectra", 20), ("entropy", 20), ("diffusion", 30)):
        expected = f"No {name}: {least} s without a gap are needed, the longest piece has 19.5 s."
        assert expected in notes(trace)


def test_a_middling_piece_has_spectra_and_entropy_but_no_diffusion() -> None:
    trace = trace_of(*wander(25.0))
    values = sway_measures(trace)
    missing = {key for key, value in values.items() if math.isnan(value)}
    assert missing == set(DIFFUSION)
    assert any("No diffusion: 30 s" in note for note in notes(trace))


def test_a_slow_board_has_no_spectra_and_no_entropy_but_the_rest() -> None:
    trace = trace_of(*wander(60.0, 8.0))
    values = sway_measures(trace)
    missing = {key for key, value in values.items() if math.isnan(value)}
    assert missing - {key for key in DIFFUSION if "critical" in key} == {*SPECTRAL, *ENTROPY}
    assert any("cannot show the band" in note for note in notes(trace))
    assert any("cannot give 20 values a second" in note for note in notes(trace))
    assert any("at least 25 s and 50 Hz" in note for note in notes(trace))


def test_uneven_stamps_are_put_on_an_even_grid_for_spectra_only() -> None:
    """A 1 Hz sine on stamps that are off by up to 0.24 of an interval keeps its frequency."""
    n = 4000
    shake = np.random.default_rng(8).uniform(-0.24, 0.24, size=n)
    time_s = (np.arange(n) + shake) / 100.0
    xy = np.stack([5.0 * np.sin(2.0 * np.pi * time_s), np.cos(2.0 * np.pi * time_s)])
    trace = trace_of(time_s, xy)
    assert not trace.breaks[1:].any()
    assert sway_measures(trace)["median_frequency_ml_hz"] == pytest.approx(1.0, abs=2e-3)
    assert any("even grid" in note for note in notes(trace))


def test_loads_in_kilograms_are_suspected() -> None:
    time_s, xy = wander(30.0)
    assert any("kilograms" in note for note in notes(trace_of(time_s, xy, 55.0)))


def test_standing_like_a_statue_is_zeros_and_nan_where_nothing_is_defined() -> None:
    time_s = np.arange(3000) / 100.0
    values = sway_measures(trace_of(time_s, np.full((2, 3000), 12.3)))
    undefined = {*SPECTRAL, *ENTROPY, *DIFFUSION, "mean_frequency_hz", "ellipse_angle_deg"}
    assert {key for key, value in values.items() if math.isnan(value)} == undefined
    assert {value for key, value in values.items() if key not in undefined} == {0.0}


def test_measuring_loads_no_slow_library() -> None:
    """SciPy's signal and statistics take seconds to import; ``analyse`` must not wait for them."""
    script = (
        "import sys, numpy as np\n"
        "from swaytrainer.sway.cop import CellPlaces\n"
        "from swaytrainer.sway.prepare import prepare\n"
        "from swaytrainer.sway.table import sway_measures\n"
        "loads = 150.0 + np.random.default_rng(1).normal(size=(3000, 4))\n"
        "places = CellPlaces.rectangle(220.0, 170.0)\n"
        "sway_measures(prepare(np.arange(3000) / 100.0, loads, places))\n"
        "print(sorted(name for name in sys.modules if name.startswith('scipy')))\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
