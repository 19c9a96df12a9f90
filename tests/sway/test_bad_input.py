"""What no measure may be made of: every key is NaN with a reason, or the whole is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.band import TimeInBand, time_in_band
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.prepare import Trace, prepare, trace_from_cop
from swaytrainer.sway.table import (
    FOOT_MEASURES,
    MEASURES,
    SwayResult,
    foot_measures,
    measure_sway,
)
from tests.sway.made import PLACES

FEET = Feet(-70.0, 50.0, -80.0, 80.0)
N = 4000
TIME_S = np.arange(N) / 100.0


def walk_mm() -> tuple[np.ndarray, np.ndarray]:
    x, y = np.random.default_rng(3).normal(scale=0.3, size=(2, N)).cumsum(axis=1)
    return x, y


def cop(x_mm: np.ndarray, y_mm: np.ndarray, time_s: np.ndarray = TIME_S) -> Trace:
    return trace_from_cop(time_s[: x_mm.size], np.full(x_mm.size, 600.0), x_mm, y_mm)


def spoilt(where: int, value: float) -> tuple[np.ndarray, np.ndarray]:
    x, y = walk_mm()
    x[where] = y[where] = value
    return x, y


def stamps(where: int, value: float) -> np.ndarray:
    time_s = TIME_S.copy()
    time_s[where] = value
    return time_s


def noisy_loads() -> np.ndarray:
    return 150.0 + np.random.default_rng(4).normal(size=(N, 4))


def spoilt_loads(value: float) -> np.ndarray:
    four = noisy_loads()
    four[70, 2] = value
    return four


REFUSED: dict[str, tuple[Callable[[], Trace], str]] = {
    "infinite COP": (lambda: cop(*spoilt(50, math.inf)), "x_mm is infinite in row 51"),
    "one axis NaN": (lambda: cop(spoilt(50, math.nan)[0], walk_mm()[1]), "Only one of"),
    "nothing": (lambda: cop(np.empty(0), np.empty(0)), "0 samples"),
    "one sample": (lambda: cop(np.zeros(1), np.zeros(1)), "1 samples"),
    "a stamp twice": (lambda: cop(*walk_mm(), stamps(9, TIME_S[8])), "row 10"),
    "a step back": (lambda: cop(*walk_mm(), stamps(9, 0.0)), "does not increase"),
    "all stamps alike": (lambda: cop(*walk_mm(), np.zeros(N)), "the same time"),
    "a stamp NaN": (lambda: cop(*walk_mm(), stamps(9, math.nan)), "row 10"),
    "a stamp infinite": (lambda: cop(*walk_mm(), stamps(-1, math.inf)), "not a number"),
    "milliseconds": (lambda: cop(*walk_mm(), TIME_S * 1000.0), "milliseconds"),
    "a load NaN": (lambda: prepare(TIME_S, spoilt_loads(math.nan), PLACES), "rear_left_n"),
    "a load infinite": (lambda: prepare(TIME_S, spoilt_loads(math.inf), PLACES), "row 71"),
    "an empty board": (lambda: prepare(TIME_S, 0.01 * noisy_loads(), PLACES), "Nobody"),
    "loads upside down": (lambda: prepare(TIME_S, -noisy_loads(), PLACES), "below zero"),
    "too few to filter": (lambda: prepare(TIME_S[:8], noisy_loads()[:8], PLACES), "filter"),
    "kilograms of a child": (lambda: prepare(TIME_S, noisy_loads() / 38.0, PLACES), "newtons"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_a_trial_is_refused_with_a_remedy(name: str) -> None:
    make, what = REFUSED[name]
    with pytest.raises(SwaytrainerError, match=what) as refusal:
        make()
    assert refusal.value.remedy


#: Words of which one must stand in the notes where a key of that beginning is NaN.
WORDS = {
    "path_length_mm": ("No path",),
    "mean_speed": ("No path, speed",),
    "rms_": ("no sample has a COP",),
    "mean_distance_mm": ("no sample has a COP",),
    "range_": ("no sample has a COP",),
    "ellipse_": ("ellipse",),
    "hull_area_mm2": ("areas",),
    "sway_area_rate_mm2_s": ("areas", "swept area"),
    "mean_frequency_hz": ("mean frequency",),
    "median_": ("No spectra", "No spectral frequencies"),
    "edge_": ("No spectra", "No spectral frequencies"),
    "sample_entropy": ("No entropy", "No sample entropy"),
    "diffusion_": ("No diffusion",),
    "critical_": ("No diffusion", "No critical point"),
}


def spoilt_each_second() -> tuple[np.ndarray, np.ndarray]:
    x, y = walk_mm()
    x[::100] = y[::100] = math.nan
    return x, y


def only(indices: np.ndarray, x_mm: np.ndarray) -> np.ndarray:
    return np.where(indices, x_mm, math.nan)


INDEX = np.arange(N)
BARE: dict[str, Callable[[], Trace]] = {
    "no sample with a COP": lambda: cop(np.full(N, math.nan), np.full(N, math.nan)),
    "one sample with a COP": lambda: cop(only(INDEX == 7, TIME_S), only(INDEX == 7, TIME_S)),
    "two samples": lambda: cop(np.array([0.0, 1.0]), np.array([2.0, 5.0])),
    "two samples apart": lambda: cop(*(only(INDEX % 3000 == 7, v) for v in walk_mm())),
    "three samples": lambda: cop(np.array([0.0, 1.0, 3.0]), np.array([2.0, 5.0, 4.0])),
    "every other sample": lambda: cop(*(only(INDEX % 2 == 1, v) for v in walk_mm())),
    "a statue": lambda: cop(np.full(N, 12.3), np.full(N, -4.56)),
    "a statue of dust": lambda: cop(*(1e-13 * np.sign(v) for v in walk_mm())),
    "constant loads": lambda: prepare(TIME_S, np.full((N, 4), 151.7), PLACES),
    "uneven constant loads": lambda: prepare(
        TIME_S, np.tile([151.7, 98.1, 77.7, 120.3], (N, 1)), PLACES
    ),
    "a line along x": lambda: cop(walk_mm()[0], np.full(N, 3.3)),
    "a line along y": lambda: cop(np.full(N, 3.3), walk_mm()[1]),
    "a straight ramp": lambda: cop(2.0 * TIME_S, 3.0 * TIME_S),
    "a short trial": lambda: cop(*(v[:1500] for v in walk_mm())),
    "a slow board": lambda: cop(walk_mm()[0][:300], walk_mm()[1][:300], TIME_S * 20.0),
    "a NaN in each second": lambda: cop(*spoilt_each_second()),
    "one NaN": lambda: cop(*spoilt(1234, math.nan)),
}


@lru_cache
def result(name: str) -> SwayResult:
    return measure_sway(BARE[name]())


@pytest.mark.parametrize("key", MEASURES)
def test_each_key_is_a_number_or_has_a_reason(key: str) -> None:
    [words] = [words for beginning, words in WORDS.items() if key.startswith(beginning)]
    missing = 0
    for name in BARE:
        value = result(name).values[key]
        if math.isnan(value):
            missing += 1
            said = result(name).notes
            assert any(word in note for note in said for word in (*words, "is measured")), name
        else:
            assert math.isfinite(value), name
    assert 0 < missing < len(BARE)


DEFINED_OF_TWO = {"path_length_mm", "mean_speed_mm_s", "mean_speed_ml_mm_s", "mean_speed_ap_mm_s",
                  "rms_ml_mm", "rms_ap_mm", "mean_distance_mm", "range_ml_mm",
                  "range_ap_mm"}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "defined"),
    [
        ("no sample with a COP", set()),
        ("two samples", DEFINED_OF_TWO),
        ("two samples apart", {key for key in DEFINED_OF_TWO if key[:4] in ("rms_", "rang")}),
    ],
)
def test_too_few_samples_give_no_more_than_they_hold(name: str, defined: set[str]) -> None:
    given = {key for key, value in result(name).values.items() if not math.isnan(value)}
    assert given - {"mean_distance_mm"} == defined - {"mean_distance_mm"}


@pytest.mark.parametrize(
    "name", ["a statue", "a statue of dust", "constant loads", "uneven constant loads"]
)
def test_stillness_has_no_frequency_direction_entropy_or_diffusion(name: str) -> None:
    for key, value in result(name).values.items():
        assert math.isnan(value) or abs(value) < 1e-9, key
    assert any("Is the signal frozen?" in note for note in result(name).notes)


@pytest.mark.parametrize("name", BARE)
def test_foot_measures_are_numbers_or_explained(name: str) -> None:
    values = foot_measures(BARE[name](), FEET, 35.0, 50.0)
    assert list(values) == list(FOOT_MEASURES)
    for key, value in values.items():
        if math.isnan(value):
            words = ("nothing is measured", "no two neighbouring samples")
            assert any(word in note for note in result(name).notes for word in words), key


@pytest.mark.parametrize("band", [(50.0, 35.0), (40.0, 40.0), (math.nan, 50.0), (35.0, math.nan)])
def test_a_band_that_holds_nothing_is_refused(band: tuple[float, float]) -> None:
    with pytest.raises(SwaytrainerError, match="holds nothing"):
        time_in_band(TIME_S, 40.0 + walk_mm()[0], *band)
    with pytest.raises(SwaytrainerError, match="holds nothing"):
        TimeInBand(*band)


@pytest.mark.parametrize(
    "bad", [(math.nan, math.nan), (math.inf, 0.0), (0.0, -math.inf), (math.nan, 0.0), (0, math.nan)]
)
def test_live_a_sample_that_is_no_number_is_a_gap(bad: tuple[float, float]) -> None:
    live, gapped = (LiveSway(FEET, 35.0, 50.0) for _ in range(2))
    for i, (x_mm, y_mm) in enumerate(zip(*(v[:300].tolist() for v in walk_mm()), strict=True)):
        if i == 100:
            live.update(CopSample(i / 80.0, 600.0, *bad, 0.0))
            gapped.gap()
        else:
            live.update(CopSample(i / 80.0, 600.0, x_mm, y_mm, 0.0))
            gapped.update(CopSample(i / 80.0, 600.0, x_mm, y_mm, 0.0))
    assert live.get() == gapped.get()
    assert all(math.isfinite(value) for value in live.get().values())


def test_live_two_samples_have_no_area() -> None:
    live = LiveSway(FEET, 35.0, 50.0)
    for i in range(2):
        live.update(CopSample(i / 80.0, 600.0, float(i), 2.0 * i, 0.0))
    values = live.get()
    assert math.isnan(values["hull_area_mm2"])
    assert math.isnan(values["ellipse_area_mm2"])
    assert values["path_length_mm"] == pytest.approx(math.sqrt(5.0))
