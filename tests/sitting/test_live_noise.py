"""The live noise floor agrees with the offline one, and appears in the view."""

import math

import numpy as np
import pytest

from swaytrainer.simulate.board import BoardMake
from swaytrainer.sitting.live_noise import LiveNoise
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sway.noise import noise_floor
from tests.streams import board_of, one_visit, received, setup_for

NOTHING = (0.0, 0.0, 0.0, 0.0)


def test_it_measures_what_the_offline_floor_does_but_for_the_filter() -> None:
    calibration = board_of().true_calibration()
    rng = np.random.default_rng(2)
    noise = rng.normal(0.0, 0.02, (1500, 4)) + np.array([3.0, -1.0, 0.5, 2.0])
    live = LiveNoise(calibration, 80.0)
    assert math.isnan(live.speed_mm_s(500.0))
    for n, row in enumerate(noise):
        live.update(n / 80.0, tuple(row), (3.0, -1.0, 0.5, 2.0))
    offline = noise_floor(np.arange(1500) / 80.0, noise, calibration.places, 500.0)
    # One causal pass lets more noise through than two.
    ratio = live.speed_mm_s(500.0) / offline.mean_speed_mm_s
    assert 1.0 < ratio < 1.5
    assert live.speed_mm_s(250.0) == pytest.approx(2 * live.speed_mm_s(500.0))
    assert math.isnan(live.speed_mm_s(0.0))


def test_somebody_on_the_board_is_no_noise() -> None:
    live = LiveNoise(board_of().true_calibration(), 80.0)
    for n in range(400):
        live.update(n / 80.0, (100.0 + n, 100.0, 100.0, 100.0), NOTHING)
    assert math.isnan(live.speed_mm_s(500.0))
    # A pause (a trial) between two stretches is no step of the noise.
    for n in range(200):
        live.update(10.0 + n / 80.0, NOTHING, NOTHING)
    for n in range(200):
        live.update(50.0 + n / 80.0, (1.0, 0.0, 0.0, 0.0), NOTHING)
    assert live.speed_mm_s(500.0) == pytest.approx(0.0, abs=1e-9)


def test_the_view_tells_it_scaled_to_the_body_that_stands_there() -> None:
    floors = []
    for noise_counts in (38.0, 76.0):
        board = board_of(1, BoardMake(noise_counts=noise_counts))
        sitting = Sitting(setup_for(board))
        assert math.isnan(sitting.view().signal.noise_floor_mm_s)
        for item in received(board, one_visit()):
            sitting.feed(item)
        floors.append(sitting.view().signal.noise_floor_mm_s)
    assert floors[1] == pytest.approx(2 * floors[0], rel=0.25)
    # 45 kg, 0.018 N a cell: 0.018 mm rms across; a causal 10 Hz filter leaves some 0.4 mm/s.
    assert 0.2 < floors[0] < 0.7


@pytest.mark.parametrize("seed", range(3))
def test_a_foot_that_comes_down_is_no_noise(seed: int) -> None:
    """The floor that stands beside a trial is the empty board's, not the step's onto it."""
    board = board_of(seed)
    calibration = board.true_calibration()
    alone, live = LiveNoise(calibration, 80.0), LiveNoise(calibration, 80.0)
    for n in range(480):
        seen = board.observe((0.0,) * 4)
        assert seen is not None
        loads = calibration.loads(seen.counts)
        alone.update(n / 80.0, loads, NOTHING)
        # The same, and in its last sixteenth of a second a foot on the front left corner.
        on_it = max(0, n - 475)
        live.update(n / 80.0, (loads[0] + on_it, *loads[1:]), NOTHING)
    for n in range(480, 560):
        live.update(n / 80.0, (100.0, 100.0, 100.0, 100.0), NOTHING)
    assert live.speed_mm_s(450.0) == pytest.approx(alone.speed_mm_s(450.0), rel=0.05)
