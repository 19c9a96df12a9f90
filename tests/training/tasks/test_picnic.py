"""Picnic's rules, on built ways of the weight with known answers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.corners import corner_shares
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.dice import Dice
from swaytrainer.training.tasks.gusts import (
    CALM_S,
    GLIDE_S,
    HOLD_S,
    LEAD_S,
    QUICK_S,
    WAYS,
    Answer,
    plan,
)
from swaytrainer.training.tasks.picnic import PICNIC, PicnicTask
from swaytrainer.training.tasks.task import Cue, Ground

LEVELS = {level.id: level for level in shipped_levels() if level.game == "picnic"}
LEVEL = LEVELS["picnic-breeze"]
FEET = Feet(-80.0, 40.0, -100.0, 100.0)
BODY_N = 450.0
EVEN = dict(LEVEL.task)["toes_percent"]

Way = Callable[[float, PicnicTask], tuple[float, float, float]]


def task(seed: int = 7, **fields: float) -> PicnicTask:
    return task_of(seed, fields)


def task_of(seed: int, fields: Mapping[str, float]) -> PicnicTask:
    level = replace(LEVEL, task=tuple({**dict(LEVEL.task), **fields}.items()))
    return PicnicTask(Ground(level, FEET, 80.0, BODY_N, seed))


def sample(t: float, side: float, forward: float, force_n: float = BODY_N) -> CopSample:
    """Places in % of the load from even; the closed form of the lever rule, turned round."""
    return CopSample(t, force_n, 2.0 * side, -80.0 + 1.2 * (EVEN + forward), 0.0)


def run(one: PicnicTask, way: Way, rate_hz: float = 80.0) -> list[tuple[float, Cue]]:
    cues = []
    for k in range(round(LEVEL.seconds * rate_hz)):
        t = k / rate_hz
        side, forward, force = way(t, one)
        cues += [(t, cue) for cue in one.update(sample(t, side, forward, force), t, False)]
    return cues


def on_the_plate(_t: float, one: PicnicTask) -> tuple[float, float, float]:
    return one.scene.aim_side, one.scene.aim_forward, BODY_N


def in_the_middle(_t: float, _one: PicnicTask) -> tuple[float, float, float]:
    return 0.0, 0.0, BODY_N


def test_corners_are_the_lever_rule_twice() -> None:
    # Loads put on the four corners: the COP's shares give them back where the feet load alike.
    loads = (0.3 * 0.4, 0.7 * 0.4, 0.3 * 0.6, 0.7 * 0.6)
    y = sum(f * p for f, p in zip(loads, (40.0, 40.0, -80.0, -80.0), strict=True))
    x = sum(f * p for f, p in zip(loads, (-100.0, 100.0, -100.0, 100.0), strict=True))
    shares = corner_shares(FEET.toe_share_percent(y), FEET.right_share_percent(x))
    assert shares == pytest.approx(loads)


def test_who_stays_on_the_plate_earns_all() -> None:
    one = task()
    cues = run(one, on_the_plate)
    values = one.measures()
    assert values["picnic_even_percent"] == pytest.approx(100.0)
    assert values["picnic_gusts_percent"] == pytest.approx(100.0)
    # The answer counts from the end of the glide, to a sample.
    assert values["picnic_recovery_s"] == pytest.approx(GLIDE_S, abs=0.03)
    assert [c.word for _, c in cues].count("picnic gust") == 3
    assert [c.word for _, c in cues].count("picnic held") == 6
    assert one.scene.answers == (1.0,) * 6


def test_standing_through_the_wind_earns_nothing_of_it() -> None:
    for level in LEVELS.values():
        one = task_of(7, dict(level.task))
        run(one, in_the_middle)
        assert one.measures()["picnic_gusts_percent"] == 0.0, level.id
        assert one.measures()["picnic_even_percent"] < 97.0, level.id


def test_evenness_of_a_lean_is_its_poorest_corner() -> None:
    one = task(gusts=0)
    run(one, lambda _t, _one: (10.0, 0.0, BODY_N))
    # 40 % of the load on the left of the 50 that are due, a twentieth forgiven.
    assert one.measures()["picnic_even_percent"] == pytest.approx(100 * 0.8 / 0.95)
    assert one.measures()["picnic_front_right_percent"] == pytest.approx(0.6 * EVEN)
    assert math.isnan(one.measures()["picnic_gusts_percent"])


@pytest.mark.parametrize("borne", [0.97, 0.9, 0.5])
def test_weight_on_a_hand_hold_is_missing_from_the_corners(borne: float) -> None:
    one = task(gusts=0)
    run(one, lambda _t, _one: (0.0, 0.0, borne * BODY_N))
    assert one.measures()["picnic_even_percent"] == pytest.approx(100 * min(borne, borne / 0.95))


def late_by(seconds: float) -> Way:
    """On the plate, but so long after each change; until then where the plate was before."""

    def way(_t: float, one: PicnicTask) -> tuple[float, float, float]:
        scene = one.scene
        if scene.wind_s < seconds:
            at = one._from
            return at[0], at[1], BODY_N
        return scene.aim_side, scene.aim_forward, BODY_N

    return way


@pytest.mark.parametrize("late_s", [1.5, 2.0, 3.0])
def test_a_late_answer_earns_its_straight_line(late_s: float) -> None:
    one = task(lean_percent=24)
    run(one, late_by(late_s))
    values = one.measures()
    assert values["picnic_recovery_s"] == pytest.approx(late_s, abs=0.04)
    last_s = dict(LEVEL.task)["gust_s"]
    expected = 100 * (last_s - late_s) / (last_s - QUICK_S)
    assert values["picnic_gusts_percent"] == pytest.approx(expected, abs=2.0)


def test_only_an_answer_that_stays_is_one() -> None:
    answer = Answer(10.0, 4.0)
    there = [12.0 <= t / 100 < 12.4 or t / 100 >= 13.0 for t in range(1000, 1400)]
    came = [answer.update(10.0 + k / 100, ok, False) for k, ok in enumerate(there)]
    assert came.index(True) == pytest.approx(300 + 100 * HOLD_S, abs=1)
    assert answer.took_s == pytest.approx(3.0)


def test_a_gap_breaks_an_answer_and_a_step_spoils_it() -> None:
    answer = Answer(0.0, 4.0)
    answer.update(1.0, True, False)
    assert not answer.update(1.6, True, True)
    assert answer.update(2.1, True, False)
    assert answer.took_s == pytest.approx(1.6)
    stepped = Answer(0.0, 4.0)
    stepped.spoil()
    assert not stepped.update(2.0, True, False)
    assert stepped.score == 0.0


def test_a_lifted_foot_is_a_step() -> None:
    one = task()

    def hop(t: float, of: PicnicTask) -> tuple[float, float, float]:
        side, forward, force = on_the_plate(t, of)
        return (
            (45.0 if of.scene.wind is not None and of.scene.wind_s < 0.5 else side),
            forward,
            force,
        )

    run(one, hop)
    assert one.measures()["picnic_gusts_percent"] == 0.0


def test_nobody_there_is_nan_and_no_answer() -> None:
    one = task()
    run(one, lambda _t, _one: (math.nan, math.nan, 0.0))
    values = one.measures()
    assert math.isnan(values["picnic_even_percent"])
    assert values["picnic_gusts_percent"] == 0.0
    assert math.isnan(one.scene.side)
    assert all(corner.state == "awake" for corner in one.scene.corners)


def test_a_gap_is_not_counted() -> None:
    one, other = task(gusts=0), task(gusts=0)
    for k in range(800):
        t = k / 80
        one.update(sample(t, 5.0, 0.0), t, False)
        other.update(sample(t, 5.0, 0.0), t, False)
    one.update(sample(15.0, 5.0, 0.0), 15.0, True)
    assert one.measures() == other.measures()


def test_the_same_seed_has_the_same_wind_at_any_rate() -> None:
    ways = []
    for rate in (80.0, 1000.0):
        one = task(seed=3)
        ways.append([c for _, c in run(one, on_the_plate, rate) if c.word == "picnic gust"])
    assert ways[0] == ways[1]
    assert plan(Dice(3), 30.0, 3, 4.0, 18.0, 4) != plan(Dice(4), 30.0, 3, 4.0, 18.0, 4)


def test_splitmix_gives_its_known_number() -> None:
    # First output for seed 1234567, from memory of the widely used test vector.
    assert Dice(1234567).uniform() == (6457827717110365317 >> 11) * 2.0**-53


@given(
    st.integers(0, 2**63),
    st.floats(5.0, 120.0),
    st.integers(0, 8),
    st.floats(2.5, 8.0),
    st.sampled_from([4, 8]),
)
def test_gusts_fit_with_calm_between(
    seed: int, seconds: float, count: int, gust_s: float, ways: int
) -> None:
    gusts = plan(Dice(seed), seconds, count, gust_s, 18.0, ways)
    assert len(gusts) <= count
    ends = [LEAD_S - CALM_S, *(g.end_s for g in gusts)]
    assert all(g.begin_s >= end + CALM_S - 1e-9 for g, end in zip(gusts, ends, strict=False))
    assert not gusts or gusts[-1].end_s + CALM_S <= seconds + 1e-6
    for begin in range(0, len(gusts), ways):
        round_of = [g.way for g in gusts[begin : begin + ways]]
        assert len(set(round_of)) == len(round_of)
        assert set(round_of) <= set(WAYS[:ways])


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(allow_nan=True, allow_infinity=True),
            st.floats(-300, 300) | st.just(math.nan),
            st.floats(allow_nan=True, allow_infinity=True, width=32),
            st.sampled_from([0.0, 0.0125, 0.5, 2.0, -0.01]),
            st.booleans(),
        ),
        max_size=60,
    )
)
def test_whatever_comes_the_measures_stay_in_their_range(
    samples: Sequence[tuple[float, float, float, float, bool]],
) -> None:
    one, t = task(), 0.0
    for force, x, y, step, gap in samples:
        t += step
        one.update(CopSample(t, force, x, y, 0.0), t, gap)
        assert all(0.0 <= corner.full <= 1.0 for corner in one.scene.corners)
    for name in ("picnic_even_percent", "picnic_gusts_percent"):
        value = one.measures()[name]
        assert math.isnan(value) or 0.0 <= value <= 100.0


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 20), st.floats(0, 20), st.integers(0, 99))
def test_nearer_to_even_is_never_less(one: float, other: float, seed: int) -> None:
    def value(side: float) -> float:
        of = task(seed=seed, gusts=0)
        for k in range(200):
            of.update(sample(k / 20, side, 0.0), k / 20, False)
        return of.measures()["picnic_even_percent"]

    near, far = sorted((one, other))
    assert value(near) >= value(far) - 1e-9


def test_every_part_has_its_words() -> None:
    tally = Tally(35.0, 35.0, 0.0, 0.0, 0.0, 0.0, 0.0125, 0)
    one = task()
    run(one, lambda _t, _one: (9.0, 6.0, BODY_N))
    values = one.measures()
    even = PartEarned("picnic_even_percent", values["picnic_even_percent"], 2.0, 5.0)
    assert PICNIC.explain(LEVEL, even, values, tally) == (
        "The left heel was too light, and the hedgehog woke: −3.0."
    )
    assert PICNIC.advise(LEVEL, even, values, tally) == "Let the apple roll nearer to the hedgehog."
    wind = PartEarned("picnic_gusts_percent", 0.0, 0.0, 5.0)
    assert "No gust" in PICNIC.explain(LEVEL, wind, task().measures(), tally)
    for words in ("mean_speed_mm_s", "time_in_band_percent"):
        assert PICNIC.explain(LEVEL, PartEarned(words, 9.0, 1.0, 5.0), values, tally)
    assert all(len(words) <= 50 for _, words in PICNIC.lesson)


def test_every_level_has_room_for_its_gusts() -> None:
    for level in LEVELS.values():
        given = dict(level.task)
        gusts = plan(Dice(1), level.seconds, 99, given["gust_s"], 18.0, 4)
        assert len(gusts) >= given["gusts"], level.id
