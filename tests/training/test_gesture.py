from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.film import Film
from swaytrainer.simulate.gestures import by_the_way, knee_bends, lean, quickest_s, varied
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.gesture import Gesture, GestureWatch, Readiness
from swaytrainer.training.gesture_lean import DWELL_S, Lean, reach_s
from tests.training.false_choices import BASES, RATE_HZ, heard, idle_minutes, said, samples, stand

FEET = Feet(-70.0, 50.0, -80.0, 80.0)


@pytest.fixture(scope="module")
def still() -> Film:
    return stand(3, BASES["firm"], 20.0)


def on(film: Film) -> list[Gesture]:
    return [what for _, what in heard(film)]


def steady(seconds: float, force_n: float = 400.0, x_mm: float = 0.0) -> Iterator[CopSample]:
    for n in range(round(seconds * 80)):
        yield CopSample(n / 80, force_n, x_mm, -10.0, 0.0)


def later(samples_: Iterator[CopSample], by_s: float) -> Iterator[CopSample]:
    return (s._replace(time_s=s.time_s + by_s) for s in samples_)


def test_standing_says_nothing_but_that_somebody_stepped_on(still: Film) -> None:
    assert on(still) == [Gesture.STEP_ON]


@pytest.mark.parametrize(("side", "gesture"), [(-1, Gesture.LEFT), (1, Gesture.RIGHT)])
def test_a_lean_is_understood_once_and_repeats_while_it_is_held(
    still: Film, side: int, gesture: Gesture
) -> None:
    short, long = varied(still, "a", 1.0, 1.0), varied(still, "a", 1.0, 1.0)
    lean(short, 5.0, side, 35.0, 0.5, 0.7)
    lean(long, 5.0, side, 35.0, 0.5, 5.0)
    assert on(short) == [Gesture.STEP_ON, gesture]
    times = [t for t, what in heard(long) if what is gesture]
    assert len(times) == 5
    for before, after, dwell_s in zip(times, times[1:], [*DWELL_S[1:], DWELL_S[-1]], strict=False):
        assert after - before == pytest.approx(dwell_s, abs=2 / RATE_HZ)


def test_a_lean_that_is_no_more_than_a_sway_or_too_short_says_nothing(still: Film) -> None:
    for percent, hold_s in ((15.0, 3.0), (35.0, 0.2)):
        film = varied(still, "b", 1.0, 1.0)
        lean(film, 5.0, 1, percent, 0.3, hold_s)
        assert on(film) == [Gesture.STEP_ON]


@pytest.mark.parametrize("times", [1, 2, 3, 4])
def test_two_knee_bends_are_understood_and_no_other_number(still: Film, times: int) -> None:
    film = varied(still, "c", 1.0, 1.0)
    depth_m = 0.08 * film.athlete.height_m
    knee_bends(film, 5.0, times, depth_m, 1.2 * quickest_s(depth_m), 0.1)
    assert (Gesture.BENDS in on(film)) == (times == 2)


def test_bends_that_are_shallow_or_slow_or_far_apart_say_nothing(still: Film) -> None:
    tall_m = still.athlete.height_m
    for depth_m, half_s, pause_s in (
        (0.02 * tall_m, 0.4, 0.1),
        (0.08 * tall_m, 1.6, 0.1),
        (0.08 * tall_m, 0.5, 2.0),
    ):
        film = varied(still, "d", 1.0, 1.0)
        knee_bends(film, 5.0, 2, depth_m, half_s, pause_s)
        assert on(film) == [Gesture.STEP_ON]


def test_bends_that_follow_a_stumble_say_nothing(still: Film) -> None:
    depth_m = 0.08 * still.athlete.height_m
    for stumbled in (False, True):
        film = varied(still, "i", 1.0, 1.0)
        if stumbled:
            film.kick(4.3, 0.15, 0.12)
            film.kick(4.45, 0.15, -0.12)
        knee_bends(film, 5.0, 2, depth_m, 1.2 * quickest_s(depth_m), 0.1)
        assert (Gesture.BENDS in on(film)) != stumbled


def test_two_hops_are_no_knee_bends(still: Film) -> None:
    film = varied(still, "e", 1.0, 1.0)
    for at_s in (5.0, 6.2):
        t = film.kick(at_s, 0.3, -0.4)
        t = film.kick(t, 0.25, 1.9)
        film.each(t, 0.3, lambda n, _: film.share.__setitem__(n, 0.0))
        film.kick(t + 0.3, 0.25, 1.5)
    assert on(film) == [Gesture.STEP_ON]


def test_progress_grows_to_the_moment_it_is_understood(still: Film) -> None:
    film = varied(still, "f", 1.0, 1.0)
    depth_m = 0.08 * film.athlete.height_m
    knee_bends(film, 5.0, 2, depth_m, 1.2 * quickest_s(depth_m), 0.1)
    athlete = film.athlete
    watch = GestureWatch(
        Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, -120.0), RATE_HZ
    )
    seen = []
    bends = set()
    for sample in samples(film):
        now = watch.update(sample)
        assert 0.0 <= now.progress <= 1.0
        if now.said is Gesture.BENDS:
            break
        if now.saying is Gesture.BENDS:
            seen.append(now.progress)
            bends.add(now.bends)
    assert bends == {0, 1, 2}
    assert seen[-1] > 0.9 > seen[0]


def test_stepping_off_and_on() -> None:
    watch = GestureWatch(FEET, 80.0)
    found = []
    for sample in (
        *steady(4.0),
        *later(steady(2.0, 0.0, NAN), 4.0),
        *later(steady(3.0, 300.0), 6.0),
    ):
        now = watch.update(sample)
        if now.said is not None:
            found.append((round(now.time_s, 1), now.said))
    assert found == [(0.3, Gesture.STEP_ON), (4.7, Gesture.STEP_OFF), (6.3, Gesture.STEP_ON)]
    assert watch.weight_n == pytest.approx(300.0)


def test_a_hop_is_no_step_off() -> None:
    watch = GestureWatch(FEET, 80.0)
    parts = (*steady(4.0), *later(steady(0.55, 0.0, NAN), 4.0), *later(steady(1.0), 4.55))
    assert [n.said for n in map(watch.update, parts) if n.said] == [Gesture.STEP_ON]


def test_a_lean_from_the_start_waits_for_the_middle() -> None:
    """Who steps on with one foot and stays there has said nothing yet."""
    watch = GestureWatch(FEET, 80.0)
    assert [n.said for n in map(watch.update, steady(8.0, x_mm=75.0)) if n.said] == [
        Gesture.STEP_ON
    ]


def test_a_moving_base_is_told_and_not_understood() -> None:
    watch = GestureWatch(FEET, 80.0)
    states = set()
    for sample in steady(10.0):
        t = sample.time_s
        rocking = 0.0 if t < 3.0 else 30.0 * math.sin(2.0 * math.pi * 1.2 * t)
        x_mm = 50.0 if t > 6.0 else 0.0
        now = watch.update(sample._replace(y_mm=rocking, x_mm=x_mm))
        assert now.said in (None, Gesture.STEP_ON)
        states.add(now.state)
    assert {Readiness.READY, Readiness.MOVING} <= states


def test_a_cop_beside_the_feet_is_told_and_not_understood() -> None:
    watch = GestureWatch(FEET, 80.0)
    parts = [*steady(3.0), *later(steady(3.0, x_mm=140.0), 3.0)]
    last = [watch.update(sample) for sample in parts]
    assert [n.said for n in last if n.said] == [Gesture.STEP_ON]
    assert last[-1].state is Readiness.ELSEWHERE


def test_kilograms_or_a_bag_are_nobody() -> None:
    watch = GestureWatch(FEET, 80.0)
    assert {watch.update(s).state for s in steady(5.0, 62.0)} == {Readiness.EMPTY}


def test_another_weight_is_found_anew() -> None:
    watch = GestureWatch(FEET, 80.0)
    for sample in (*steady(4.0), *later(steady(12.0, 520.0), 4.0)):
        watch.update(sample)
    assert watch.weight_n == pytest.approx(520.0)


@pytest.mark.parametrize("rate_hz", [0.0, 10.0, NAN, math.inf])
def test_a_rate_that_is_too_low_is_refused(rate_hz: float) -> None:
    with pytest.raises(SwaytrainerError, match="samples a second"):
        GestureWatch(FEET, rate_hz)


def test_a_gap_drops_what_was_begun() -> None:
    watch = GestureWatch(FEET, 80.0)
    for sample in (*steady(3.0), *later(steady(0.6, x_mm=60.0), 3.0)):
        assert watch.update(sample).said in (None, Gesture.STEP_ON)
    watch.gap()
    found = [watch.update(s).said for s in later(steady(3.0, x_mm=60.0), 3.6)]
    assert not any(found)


NUMBERS = st.floats(allow_nan=True, allow_infinity=True)


@given(st.lists(st.tuples(NUMBERS, NUMBERS, NUMBERS, NUMBERS), max_size=60))
def test_whatever_comes_it_goes_on_and_progress_is_a_share(
    rows: list[tuple[float, float, float, float]],
) -> None:
    watch = GestureWatch(FEET, 80.0)
    for sample in steady(2.5):
        watch.update(sample)
    for row in rows:
        now = watch.update(CopSample(*row, 0.0))
        assert 0.0 <= now.progress <= 1.0
        assert now.said in (None, Gesture.STEP_ON, Gesture.STEP_OFF)


@settings(max_examples=30)
@given(st.lists(st.floats(-60.0, 60.0), min_size=1, max_size=200))
def test_a_lean_never_fires_sooner_than_its_dwell(values: list[float]) -> None:
    watch = Lean()
    last_s = -math.inf
    for n, value in enumerate(values):
        side = watch.update(n / 10, value)
        if side:
            assert n / 10 - last_s >= min(DWELL_S) - 1e-6
            assert side * value > 0.0
            last_s = n / 10


def test_of_fifteen_the_furthest_takes_six_seconds() -> None:
    watch = Lean()
    watch.update(0.0, 0.0)
    fired = [n / 100 for n in range(1, 1000) if watch.update(n / 100, 40.0)]
    assert fired[6] - 0.01 == pytest.approx(reach_s(15), abs=0.05)


@pytest.mark.parametrize("name", ["firm", "foam"])
def test_who_means_something_is_understood(name: str) -> None:
    """More of each in ``python -m tests.training.false_choices``."""
    for gesture in (Gesture.RIGHT, Gesture.BENDS):
        right = list(said(BASES[name], gesture, 6, 900, bodies=2))
        assert sum(right) == 6


@pytest.mark.parametrize("name", list(BASES))
def test_who_means_nothing_takes_nothing(name: str) -> None:
    for found, done in idle_minutes(BASES[name], 5, 40, bodies=1):
        assert found[Gesture.BENDS] == 0, done
        assert found[Gesture.STEP_OFF] == 0


def test_the_bench_really_does_what_must_not_be_heard() -> None:
    """A detector without its guards would take: the bodies bend their knees and lean."""
    film = varied(stand(2, BASES["dome"], 60.0), "g", 2.0, 2.0)
    film.rng = Random("catches")
    names = by_the_way(film, 60.0, 1.0)
    assert names.count("catch") >= 1
    assert min(film.share) < 0.8
    assert max(film.share) > 1.2


def test_the_same_film_can_be_bent_twice(still: Film) -> None:
    before = (list(still.x), list(still.share))
    film = varied(still, "h", 2.0, 1.0)
    lean(film, 5.0, 1, 40.0, 0.5, 1.0)
    assert (still.x, still.share) == before
    assert replace(still.athlete) == film.athlete
