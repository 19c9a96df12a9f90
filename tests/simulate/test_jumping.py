"""Built jumps keep the physics that they claim."""

from __future__ import annotations

import numpy as np
import pytest

from swaytrainer.simulate.athlete import ATHLETES, JUNIOR, Athlete
from swaytrainer.simulate.jumping import Jump, Jumping

GRAVITY = 9.80665


@pytest.mark.parametrize("athlete", ATHLETES, ids=lambda a: a.name)
@pytest.mark.parametrize("height_mm", [60.0, 400.0])
def test_impulses_of_push_off_and_landing_are_those_of_the_flight(
    athlete: Athlete, height_mm: float
) -> None:
    jumping = Jumping(athlete, [Jump(height_mm, lag_s=0.02, stand_s=6.0)], seed=1, quiet_s=1.0)
    (truth,) = jumping.truths()
    speed = np.sqrt(2.0 * GRAVITY * height_mm / 1000.0)
    assert truth.flight_s == pytest.approx(2.0 * speed / GRAVITY, rel=1e-12)

    def gained(from_s: float, to_s: float) -> float:
        t = np.arange(from_s, to_s, 1e-4)
        net = jumping.force_n(t) - jumping.weight_n
        return float((0.5 * (net[1:] + net[:-1]) * np.diff(t)).sum()) / athlete.mass_kg

    # The heart's waver is a fifth of a per cent of g, for less than a second in one sense.
    assert gained(1.0, truth.takeoff_s) == pytest.approx(speed, abs=0.01)
    second_foot_late = 0.5 * GRAVITY * 0.02  # half of the standing load begins by the lag later
    assert gained(truth.contact_s, truth.contact_s + 5.0) == pytest.approx(
        speed - second_foot_late, abs=0.02
    )
    in_flight = np.linspace(truth.takeoff_s + 1e-6, truth.contact_s - 1e-6, 50)
    assert not jumping.force_n(in_flight).any()


def test_the_same_jump_at_any_rate() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0), Jump(300.0, from_outside=True)], seed=2)
    slow = jumping.sample(100.0, 1, noise_n=0.0)
    fast = jumping.sample(1000.0, 9, noise_n=0.0)
    np.testing.assert_allclose(fast.loads_n[::10][: len(slow.loads_n)], slow.loads_n, atol=1e-9)
    late = jumping.sample(100.0, 1, noise_n=0.0, phase=0.5)
    np.testing.assert_allclose(late.loads_n, fast.loads_n[5::10][: len(late.loads_n)], atol=1e-6)
    assert (slow.loads_n > -1e-9).all()


def test_a_mean_over_the_interval_flattens_and_keeps_the_sum() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0, heel_s=0.03)], seed=2)
    point = jumping.sample(80.0, 1, noise_n=0.0)
    mean = jumping.sample(80.0, 1, noise_n=0.0, averaged=True)
    (truth,) = jumping.truths()
    assert mean.loads_n.sum(axis=1).max() < truth.peak_bw * jumping.weight_n * 0.99
    assert mean.loads_n.sum() == pytest.approx(point.loads_n.sum(), rel=2e-3)


def test_noise_and_saturation() -> None:
    jumping = Jumping(JUNIOR, [Jump(200.0)], seed=2)
    clean = jumping.sample(500.0, 1, noise_n=0.0)
    noisy = jumping.sample(500.0, 1, noise_n=0.5)
    assert (noisy.loads_n - clean.loads_n).std() == pytest.approx(0.5, rel=0.03)
    np.testing.assert_array_equal(noisy.loads_n, jumping.sample(500.0, 1, noise_n=0.5).loads_n)
    ended = jumping.sample(500.0, 1, full_scale_n=300.0)
    assert ended.saturated.any()
    assert not ended.saturated[ended.loads_n.max(axis=1) < 300.0].any()
    assert ended.loads_n.max() == 300.0


def test_impossible_jumps_are_refused() -> None:
    for bad in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="above zero"):
            Jump(bad)
    with pytest.raises(ValueError, match="share"):
        Jump(100.0, right_share=1.0)
    with pytest.raises(ValueError, match="share"):
        Jump(100.0, lag_s=-0.01)
