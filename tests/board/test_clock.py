"""Board time: wraps, losses, restarts; and its tie to host time on built arrivals."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.board.clock import HostClock, StreamClock


@given(
    st.integers(0, 0xFFFF),
    st.integers(0, 0xFFFFFFFF),
    st.lists(st.integers(1, 200), min_size=1, max_size=200),
)
def test_time_and_sequence_unwrap(sequence: int, time_us: int, steps: list[int]) -> None:
    """Each step is a number of sample periods of 12.5 ms; the numbers in between are lost."""
    clock = StreamClock(80.0)
    first = clock.stamp(sequence, time_us, 0.0)
    assert first is not None
    assert first.time_s == 0.0
    total = 0
    for step in steps:
        total += step
        stamp = clock.stamp((sequence + total) & 0xFFFF, (time_us + total * 12_500) % 2**32, 0.0)
        assert stamp is not None
        assert stamp.time_s == pytest.approx(total * 0.0125, abs=1e-9)
        assert stamp.lost == step - 1
        assert stamp.gap == (step > 1)
        assert not stamp.restarted
    assert clock.lost == total - len(steps)


def test_a_wrap_of_the_stamp_is_no_gap() -> None:
    clock = StreamClock(80.0)
    clock.stamp(0xFFFF, 2**32 - 5_000, 0.0)
    stamp = clock.stamp(0, 7_500, 0.0)
    assert stamp is not None
    assert (stamp.time_s, stamp.gap, stamp.lost) == (pytest.approx(0.0125), False, 0)


def test_other_frames_are_part_of_the_sequence() -> None:
    clock = StreamClock(80.0)
    clock.stamp(10, 0, 0.0)
    assert clock.skip(11) == 0
    stamp = clock.stamp(12, 12_500, 0.0)
    assert stamp is not None
    assert clock.lost == 0
    assert clock.skip(15) == 2


@pytest.mark.parametrize("old_us", [3_000_000, 4_000_000_000])
def test_a_restarted_board_goes_on_at_the_hosts_time(old_us: int) -> None:
    clock = StreamClock(80.0)
    clock.stamp(500, old_us, 100.0)
    stamp = clock.stamp(0, 12_500, 103.5)
    assert stamp is not None
    assert stamp.restarted
    assert stamp.gap
    assert stamp.time_s == pytest.approx(3.5)
    assert clock.lost == 0
    after = clock.stamp(1, 25_000, 103.6)
    assert after is not None
    assert after.time_s == pytest.approx(3.5125)


def test_time_never_stands_or_runs_back() -> None:
    clock = StreamClock(80.0)
    clock.stamp(1, 1_000, 5.0)
    assert clock.stamp(1, 1_000, 5.0) is None
    assert clock.late == 1
    # A host clock set back while the board restarted.
    stamp = clock.stamp(20_000, 500, 4.0)
    assert stamp is not None
    assert stamp.time_s > 0.0


def test_a_rate_of_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="positive"):
        StreamClock(0.0)


@pytest.mark.parametrize("drift_ppm", [-200.0, 0.0, 120.0])
def test_drift_offset_and_jitter_are_found(drift_ppm: float) -> None:
    rng = Random(5)
    clock = HostClock()
    for n in range(80 * 120):
        board_s = n / 80
        late_s = rng.expovariate(1 / 0.002)  # 2 ms on average: median 2·ln 2 ms
        clock.observe(board_s, 50.0 + board_s * (1 + drift_ppm * 1e-6) + late_s)
    assert clock.drift_ppm == pytest.approx(drift_ppm, abs=5.0)
    assert clock.jitter_ms == pytest.approx(2 * 0.693, rel=0.3)
    assert clock.host_time_s(120.0) == pytest.approx(
        50.0 + 120.0 * (1 + drift_ppm * 1e-6), abs=1e-3
    )


def test_a_frame_that_comes_late_is_counted_and_changes_nothing() -> None:
    clock = StreamClock(80.0)
    for n in (1, 2, 3):
        clock.stamp(n, n * 12_500, 0.0)
    assert clock.stamp(2, 2 * 12_500, 0.0) is None
    stamp = clock.stamp(4, 4 * 12_500, 0.0)
    assert stamp is not None
    assert (stamp.gap, stamp.lost, stamp.restarted) == (False, 0, False)
    assert (clock.late, clock.lost, clock.restarts) == (1, 0, 0)


def test_a_restart_soon_after_the_start_is_seen_by_the_sequence() -> None:
    """Stamp 2.0 s, then 2.5 s of a new life, eight seconds later: the sequence gives it away."""
    clock = StreamClock(80.0)
    clock.stamp(400, 2_000_000, 100.0)
    stamp = clock.stamp(200, 2_512_500, 108.0)
    assert stamp is not None
    assert stamp.restarted
    assert stamp.time_s == pytest.approx(8.0)
