"""The stories' own physics: impulses, flights, places, and the same floats for the same seed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import ADULT, CHILD
from swaytrainer.simulate.incidents import (
    HEAVIEST_KG,
    LIGHTEST_KG,
    Story,
    Told,
    some_vaulter,
    tell,
)

RATE = 80.0


def shares(told: Told, mass_kg: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    values: np.ndarray[tuple[int], np.dtype[np.float64]] = np.array(
        [s.force_n for s in told.states]
    ) / (mass_kg * STANDARD_GRAVITY)
    return values


@pytest.mark.parametrize("story", list(Story))
def test_the_same_seed_tells_the_same(story: Story) -> None:
    one, again, other = (tell(story, CHILD, RATE, seed) for seed in (3, 3, 4))
    assert one.states == again.states
    assert one.states != other.states
    assert len(one.states) == 20 * RATE
    assert all(s.force_n >= 0.0 for s in one.states)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("story", [Story.STEP, Story.HOP, Story.NOTHING])
def test_what_nobody_carries_comes_back_to_rest(story: Story, seed: int) -> None:
    """Over a whole trial the force is the weight on average: m·Δv = 0."""
    told = tell(story, ADULT, RATE, seed, seconds=30.0)
    speed_m_s = STANDARD_GRAVITY * (shares(told, ADULT.mass_kg) - 1.0).sum() / RATE
    assert speed_m_s == pytest.approx(0.0, abs=0.12)


@pytest.mark.parametrize("seed", range(4))
def test_a_hop_flies_as_long_as_it_says(seed: int) -> None:
    told = tell(Story.HOP, ADULT, RATE, seed, size=0.4)
    force = shares(told, ADULT.mass_kg)
    assert (force == 0.0).sum() / RATE == pytest.approx(0.4, abs=1.5 / RATE)
    assert force.max() > 1.8


@pytest.mark.parametrize("seed", range(4))
def test_a_hand_carries_what_it_says(seed: int) -> None:
    told = tell(Story.SUPPORT, ADULT, RATE, seed, size=0.2, lasting_s=4.0)
    n = slice(round((told.start_s + 1.0) * RATE), round((told.end_s - 1.0) * RATE))
    assert 1.0 - shares(told, ADULT.mass_kg)[n].mean() == pytest.approx(0.2, abs=0.04)


@pytest.mark.parametrize("seed", range(4))
def test_a_step_moves_the_middle_by_what_it_says(seed: int) -> None:
    told = tell(Story.STEP, ADULT, RATE, seed, seconds=30.0)
    stretches = (slice(0, round(told.start_s * RATE)), slice(round(told.end_s * RATE), None))
    at = [np.array([s[1:] for s in told.states[when]]).mean(axis=0) for when in stretches]
    assert math.dist(*at) == pytest.approx(told.size, abs=12.0)


@pytest.mark.parametrize("story", [Story.STEP_OFF, Story.FALL])
def test_off_is_off(story: Story) -> None:
    told = tell(story, CHILD, RATE, 1)
    assert all(s.force_n == 0.0 for s in told.states[math.ceil(told.end_s * RATE) :])
    assert told.states[round((told.start_s - 0.1) * RATE)].force_n > 200.0


def test_vaulters_are_of_all_weights() -> None:
    masses = [some_vaulter(n).mass_kg for n in range(300)]
    assert LIGHTEST_KG <= min(masses) < 28.0
    assert 90.0 < max(masses) <= HEAVIEST_KG


def test_too_short_a_trial_holds_no_story() -> None:
    with pytest.raises(ValueError, match="16 s"):
        tell(Story.HOP, CHILD, RATE, 1, seconds=8.0)
