"""The noise floor against closed forms, and against a simulated dead weight and vaulter."""

import math

import numpy as np
import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.sway.noise import (
    EmptySpell,
    cop_noise_mm,
    near_floor,
    noise_floor,
    white_path_mm_s,
)
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import prepare

PLACES = CellPlaces.rectangle(220.0, 220.0)
RATE_HZ, SIGMA_N = 80.0, 0.018


def white(n: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    return np.arange(n) / RATE_HZ, rng.normal(0.0, SIGMA_N, (n, 4))


def test_the_briefs_figures() -> None:
    """σ_x = 2aσ/F = 0.016 mm for 0.018 N, 220 mm and 500 N; about 2 mm/s before filtering."""
    sigma_x = cop_noise_mm(SIGMA_N, 220.0, 500.0)
    assert sigma_x == pytest.approx(0.016, abs=2e-4)
    assert white_path_mm_s(sigma_x, RATE_HZ) == pytest.approx(2.2, abs=0.1)


def test_white_noise_unfiltered_is_the_closed_form() -> None:
    time_s, noise = white(40_000)
    floor = noise_floor(time_s, noise, PLACES, 500.0, cutoff_hz=None)
    expected = white_path_mm_s(cop_noise_mm(SIGMA_N, 220.0, 500.0), RATE_HZ)
    # 40,000 steps of a relative spread of 0.52 each, neighbours correlated by a half.
    assert floor.mean_speed_mm_s == pytest.approx(expected, rel=0.02)
    assert floor.cell_noise_n == pytest.approx(SIGMA_N, rel=0.02)


def test_it_falls_as_one_over_the_force_and_rises_away_from_the_middle() -> None:
    time_s, noise = white(8_000)
    at_500 = noise_floor(time_s, noise, PLACES, 500.0)
    at_250 = noise_floor(time_s, noise, PLACES, 250.0)
    assert at_250.mean_speed_mm_s == pytest.approx(2 * at_500.mean_speed_mm_s, rel=1e-3)
    # At x the force's own noise counts too: σ_x² = σ²·Σ(x_i - x)²/F², so a rise by √(1 + x²/a²).
    aside = noise_floor(time_s, noise, PLACES, 500.0, x_mm=110.0)
    rise = aside.mean_speed_ml_mm_s / at_500.mean_speed_ml_mm_s
    assert rise == pytest.approx(math.sqrt(1 + 0.25), rel=0.03)


@pytest.mark.parametrize("mass_kg", [28.0, 51.0])
def test_the_empty_boards_noise_foretells_the_path_under_a_dead_weight(mass_kg: float) -> None:
    """Verified on the simulated board: the weight's own path, never told to the floor."""
    board = SimulatedBoard(BoardMake(), 4)
    calibration = board.true_calibration()
    force = mass_kg * 9.80665

    def loads(load_n: float, n: int) -> tuple[np.ndarray, np.ndarray]:
        rows = []
        for _ in range(n):
            seen = board.observe((load_n / 4,) * 4)
            assert seen is not None
            rows.append(calibration.loads(seen.counts))
        return np.arange(n) / 80.0, np.array(rows)

    floor = noise_floor(*loads(0.0, 800), calibration.places, force)
    trace = prepare(*loads(force, 4_000), calibration.places)
    real = path(trace.time_s, trace.x_mm, trace.y_mm, trace.breaks).mean_speed_mm_s
    assert floor.mean_speed_mm_s == pytest.approx(real, rel=0.1)


def test_noise_of_a_third_lengthens_by_a_twentieth() -> None:
    """Random sway and random noise add as the sides of a right angle."""
    rng = np.random.default_rng(5)
    n = 40_000
    time_s = np.arange(n) / RATE_HZ
    sway, noise = rng.normal(0.0, 1.0, (n, 2)), rng.normal(0.0, 1 / 3, (n, 2))
    alone = path(time_s, *sway.T).path_length_mm
    both = path(time_s, *(sway + noise).T).path_length_mm
    assert both / alone == pytest.approx(1.054, abs=0.004)
    assert near_floor(alone, 0.34 * alone)
    assert not near_floor(alone, 0.32 * alone)


def test_what_cannot_be_measured_is_told() -> None:
    time_s, noise = white(100)
    with pytest.raises(SwaytrainerError, match="under 0 N"):
        noise_floor(time_s, noise, PLACES, 0.0)
    with pytest.raises(SwaytrainerError, match="too few"):
        noise_floor(time_s[:5], noise[:5], PLACES, 500.0)


def spell_of(parts: list[tuple[float, float]], gaps: tuple[int, ...] = ()) -> EmptySpell:
    spell, n = EmptySpell(), 0
    for seconds, force in parts:
        for _ in range(round(seconds * RATE_HZ)):
            spell.update(n / RATE_HZ, (force / 4,) * 4, n in gaps)
            n += 1
    return spell


def test_the_longest_untouched_stretch_is_kept() -> None:
    found = spell_of([(2.0, 0.0), (3.0, 400.0), (5.0, 0.0), (1.0, 20.0), (3.0, 0.0)]).get()
    assert found is not None
    time_s, loads = found
    assert (time_s[0], time_s[-1]) == pytest.approx((5.25, 9.74), abs=0.02)
    assert loads.shape == (time_s.size, 4)
    # A gap ends a stretch.
    found = spell_of([(4.0, 0.0)], gaps=(200,)).get()
    assert found is not None
    assert found[0][-1] == pytest.approx(2.24, abs=0.02)
    assert spell_of([(1.0, 0.0), (9.0, 400.0)]).get() is None
    assert EmptySpell().get() is None


def test_the_kept_stretch_is_bounded() -> None:
    found = spell_of([(300.0, 0.0)]).get()
    assert found is not None
    assert found[0].size < 31 * RATE_HZ
