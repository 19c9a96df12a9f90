"""The live watch against the simulated truth, and what it does when it can't know."""

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.squat_watch import LIVE_LIMIT_S, SquatNow, SquatPhase, SquatWatch
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.squatting import Squat, SquatTrial, squat_trial
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.feet import Feet
from tests.motion.squat_depth import SIZES

RATE_HZ = 80.0
FEET = Feet(-60.0, 80.0, -90.0, 90.0)


def watched(trial: SquatTrial, rate_hz: float = RATE_HZ) -> list[SquatNow]:
    watch = SquatWatch(trial.feet, rate_hz)
    lowpass = CausalLowpass(10.0, rate_hz)
    force = trial.loads_n.sum(axis=1)
    return [
        watch.update(t, lowpass.update(f), 0.0, 0.0)
        for t, f in zip(trial.time_s.tolist(), force.tolist(), strict=True)
    ]


def some_squats(rng: Random) -> list[Squat]:
    """Four deep and a shallow one, each followed by a rest."""
    squats = [
        Squat(
            rng.uniform(110.0, 380.0),
            rng.uniform(0.8, 2.0),
            rng.choice([0.0, 0.3, 1.0]),
            rng.uniform(0.8, 1.5),
            rng.uniform(1.0, 2.0),
        )
        for _ in range(5)
    ]
    squats[2] = Squat(rng.uniform(35.0, 60.0), 1.0, 0.3, 1.0)
    return squats


def test_the_count_is_right_and_the_depth_near() -> None:
    errors = []
    for seed in range(15):
        trial = squat_trial(SIZES[seed % len(SIZES)], some_squats(Random(seed)), RATE_HZ, seed)
        nows = watched(trial)
        assert nows[-1].repetitions == 4
        depth = np.array([now.depth_mm for now in nows])
        late = round(CausalLowpass(10.0, RATE_HZ).biquad.delay_s(RATE_HZ) * RATE_HZ)
        errors.append((depth[late:] - np.maximum(-trial.height_mm, 0.0)[:-late])[100:])
    off = np.concatenate(errors)
    assert float(np.isfinite(off).mean()) > 0.9
    assert float(np.nanpercentile(np.abs(off), 95.0)) < 15.0
    assert float(np.nanmax(np.abs(off))) < 40.0


def test_the_phases_come_in_order() -> None:
    nows = watched(squat_trial(JUNIOR, [Squat(250.0, 1.5, 1.0, 1.5)], RATE_HZ, 1))
    phases = [now.phase for now in nows]
    order = [p for k, p in enumerate(phases) if k == 0 or p is not phases[k - 1]]
    assert order == [
        SquatPhase.WAITING,
        SquatPhase.STANDING,
        SquatPhase.DOWN,
        SquatPhase.BOTTOM,
        SquatPhase.UP,
        SquatPhase.STANDING,
    ]
    assert nows[-1].deepest_mm == pytest.approx(250.0, abs=12.0)


def test_it_is_causal() -> None:
    trial = squat_trial(JUNIOR, [Squat(250.0)], RATE_HZ, 2)
    whole = watched(trial)
    half = len(whole) // 2
    first = SquatTrial(
        trial.time_s[:half],
        trial.loads_n[:half],
        trial.height_mm[:half],
        trial.toe_share_percent[:half],
        trial.squats,
        trial.feet,
        trial.weight_n,
    )
    assert repr(watched(first)) == repr(whole[:half])


def test_too_long_without_a_still_stand_has_no_depth() -> None:
    chain = [Squat(250.0, 1.5, 0.0, 1.5, 0.0)] * 4
    nows = watched(squat_trial(JUNIOR, chain, RATE_HZ, 3))
    late = [now for now in nows if 3.0 + LIVE_LIMIT_S + 0.5 < now.time_s < 14.0]
    assert all(math.isnan(now.depth_mm) and now.phase is SquatPhase.WAITING for now in late)
    assert nows[-1].phase is SquatPhase.STANDING


def test_standing_after_a_squat_is_standing_wherever_it_ends() -> None:
    nows = watched(squat_trial(JUNIOR, [Squat(250.0, end_mm=-40.0)], RATE_HZ, 4))
    assert nows[-1].depth_mm == 0.0
    assert nows[-1].repetitions == 1


def test_the_middle_of_a_slow_way_is_no_still_stand() -> None:
    slow = squat_trial(JUNIOR, [Squat(300.0, 5.0, 0.0, 1.5)], RATE_HZ, 5)
    nows = watched(slow)
    late = round((3.0 + 4.6) * RATE_HZ)
    assert nows[late].depth_mm == pytest.approx(-float(slow.height_mm[late]), abs=35.0)
    # Switched on in the middle of a way nothing is known of the speed: the trend tells.
    slow = squat_trial(JUNIOR, [Squat(300.0, 4.0, 0.0, 1.5)], RATE_HZ, 5)
    watch = SquatWatch(FEET, RATE_HZ)
    inside = (slow.time_s > 4.6) & (slow.time_s < 5.6)
    force = slow.loads_n.sum(axis=1)[inside].tolist()
    for time_s, newtons in zip(slow.time_s[inside].tolist(), force, strict=True):
        assert watch.update(time_s, newtons, 0.0, 0.0).phase is SquatPhase.WAITING


def test_a_little_less_force_is_no_new_weight() -> None:
    watch = SquatWatch(FEET, RATE_HZ)
    for k in range(240):
        watch.update(k / RATE_HZ, 400.0, 0.0, 0.0)
    for k in range(240, 288):
        now = watch.update(k / RATE_HZ, 0.992 * 400.0, 0.0, 0.0)
    assert watch.weight_n == pytest.approx(400.0, rel=5e-4)
    assert now.depth_mm > 10.0


def test_a_gap_waits_for_a_still_stand_and_keeps_the_count() -> None:
    watch = SquatWatch(FEET, RATE_HZ)
    for k in range(120):
        now = watch.update(k / RATE_HZ, 400.0, 0.0, 10.0)
    assert now.phase is SquatPhase.STANDING
    assert now.toe_share_percent == pytest.approx(50.0)
    assert watch.weight_n == 400.0
    watch.gap()
    now = watch.update(2.0, 400.0, 0.0, 10.0)
    assert now.phase is SquatPhase.WAITING
    assert math.isnan(now.depth_mm)
    assert math.isnan(watch.weight_n)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(-0.1, 0.5) | st.just(math.nan),
            st.floats(-1e4, 1e4) | st.sampled_from([math.nan, math.inf, 0.0]),
            st.floats(-300.0, 300.0) | st.just(math.nan),
        ),
        max_size=120,
    )
)
def test_nothing_upsets_it(samples: list[tuple[float, float, float]]) -> None:
    watch = SquatWatch(FEET, RATE_HZ)
    time_s, count = 0.0, 0
    for step, force, x in samples:
        time_s = time_s + step if math.isfinite(step) else time_s
        now = watch.update(time_s, force, x, x)
        assert now.repetitions >= count
        count = now.repetitions
        assert not now.depth_mm < 0.0
        assert now.depth_mm < math.inf or math.isnan(now.depth_mm)
        if not math.isfinite(force):
            assert now.phase is SquatPhase.WAITING


def test_what_cannot_be_is_told() -> None:
    with pytest.raises(SwaytrainerError, match="samples a second"):
        SquatWatch(FEET, 5.0)
    with pytest.raises(SwaytrainerError, match="swaying"):
        SquatWatch(FEET, RATE_HZ, least_depth_mm=math.nan)
