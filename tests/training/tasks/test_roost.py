"""The roost's rules on built jumps whose truth is known."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.board.arrivals import Received
from swaytrainer.players import roost as player
from swaytrainer.players import visits
from swaytrainer.simulate.athlete import CHILD, JUNIOR, Athlete
from swaytrainer.simulate.jumping import EMPTY_S, Jump, Jumping
from swaytrainer.simulate.scenario import CornerLoads, Empty, Scenario, Stand, StepOn, corner_loads
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sound.cues_roost import CUES
from swaytrainer.sound.tones import CUE_PEAK
from swaytrainer.sway.cop import CopSample
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally, part_earned
from swaytrainer.training.tasks.roost import MISSED, ROOST, SIDES, RoostScene, RoostTask
from swaytrainer.training.tasks.task import Cue, Ground
from tests.streams import board_of, run, setup_for

LEVEL = visits.level_of("roost-low-branch")
LEVELS = [level for level in shipped_levels() if level.game == "roost"]
GOOD = Jump(
    120.0, True, lag_s=0.01, ball_s=0.1, heel_s=0.14, heel_after_s=0.06, settle_s=0.12,
    stray_mm=5.0, stray_s=0.25, stand_s=4.6,
)  # fmt: skip


def called(cues: list[Cue]) -> list[str]:
    assert {cue.word for cue in cues} <= set(CUES)
    return [cue.word.removeprefix("roost ") for cue in cues]


def with_numbers(**numbers: float) -> Level:
    return replace(LEVEL, task=tuple((dict(LEVEL.task) | numbers).items()))


def ground(level: Level = LEVEL, athlete: Athlete = JUNIOR, seed: int = 1) -> Ground:
    return Ground(level, visits.feet_of(athlete), 80.0, visits.weight_of(athlete), seed)


def rows_of(jumps: list[Jump], athlete: Athlete = JUNIOR, rate_hz: float = 80.0) -> list[CopSample]:
    """Unfiltered samples of a board on which these jumps land, and then nobody is."""
    loads = Jumping(athlete, jumps, seed=1, quiet_s=1.5).sample(rate_hz, 1)
    found = []
    for t, (fl, fr, rl, rr) in zip(loads.time_s.tolist(), loads.loads_n.tolist(), strict=True):
        f = fl + fr + rl + rr
        if f < 20.0:
            found.append(CopSample(t, f, math.nan, math.nan, 0.0))
        else:
            x, y = 220.0 * (fr + rr - fl - rl) / f, 220.0 * (fl + fr - rl - rr) / f
            found.append(CopSample(t, f, x, y, 0.0))
    return found


def played(
    jumps: list[Jump], level: Level = LEVEL, athlete: Athlete = JUNIOR, rate_hz: float = 80.0
) -> tuple[RoostTask, list[Cue], list[RoostScene]]:
    task = RoostTask(replace(ground(level, athlete), rate_hz=rate_hz))
    cues: list[Cue] = []
    scenes: list[RoostScene] = []
    for sample in rows_of(jumps, athlete, rate_hz):
        cues += task.update(sample, sample.time_s, False)
        scenes.append(task.scene)
        if task.done:
            break
    return task, cues, scenes


@pytest.mark.parametrize("athlete", [CHILD, JUNIOR])
@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
def test_a_landing_is_measured_as_it_was(athlete: Athlete, rate_hz: float) -> None:
    jumps = [replace(GOOD, right_share=0.6)] * 3
    task, cues, scenes = played(jumps, athlete=athlete, rate_hz=rate_hz)
    truths = Jumping(athlete, jumps, seed=1, quiet_s=1.5).truths()
    measures = task.measures()
    assert task.done
    assert measures["roost_landings"] == 3
    assert measures["roost_peak_bw"] == pytest.approx(
        sum(t.peak_bw for t in truths) / 3, rel=0.06 if rate_hz < 100 else 0.01
    )
    # 60 against 40; the first 10 ms bear on the left foot alone.
    assert measures["roost_difference_percent"] == pytest.approx(20.0, abs=4.0)
    assert measures["roost_lag_ms"] == pytest.approx(10.0, abs=8.0)
    settled = sum(t.force_settled_s - t.contact_s for t in truths) / 3
    assert settled - 0.05 <= measures["roost_still_s"] < 1.2
    assert called(cues) == ["behind", "hop", "land", "still"] * 3 + ["over"]
    assert {s.step for s in scenes} == {"off", "hop", "hold", "landed", "over"}
    assert max(s.lean for s in scenes if s.step == "hold" and s.lean == s.lean) > 0.15


def test_uneven_feet_and_late_feet_are_told_apart() -> None:
    even, lopsided = played([GOOD] * 3)[0], played([replace(GOOD, right_share=0.75)] * 3)[0]
    late = played([replace(GOOD, lag_s=0.06)] * 3)[0]
    assert even.measures()["roost_difference_percent"] < 6.0
    assert lopsided.measures()["roost_difference_percent"] == pytest.approx(50.0, abs=6.0)
    assert lopsided.measures()["roost_lag_ms"] < 25.0
    assert late.measures()["roost_lag_ms"] == pytest.approx(66.0, abs=15.0)


@pytest.mark.parametrize(
    ("fault", "jump"),
    [
        ("one foot", replace(GOOD, lag_s=0.15)),
        ("left", replace(GOOD, stand_s=0.6, settle_s=0.4)),
    ],
)
def test_what_does_not_count_as_a_landing_counts_as_missed(fault: str, jump: Jump) -> None:
    task, _, scenes = played([GOOD, jump, GOOD])
    done = task.scene.done or scenes[-1].done
    assert [one.fault for one in done] == ["", fault, ""]
    good = played([GOOD] * 3)[0].measures()
    measures = task.measures()
    assert measures["roost_landings"] == 2
    assert measures["roost_peak_bw"] == pytest.approx(good["roost_peak_bw"] * 2 / 3 + 2.0, rel=0.05)
    assert measures["roost_still_s"] == pytest.approx(
        good["roost_still_s"] * 2 / 3 + 4 / 3, rel=0.1
    )


def test_a_hand_on_a_rail_is_no_landing_on_two_feet() -> None:
    task = RoostTask(ground())
    for sample in rows_of([GOOD] * 3):
        task.update(sample._replace(force_n=0.87 * sample.force_n), sample.time_s, False)
    assert [one.fault for one in task.scene.done] == ["held on"] * 3
    assert task.measures()["roost_landings"] == 0


def test_a_step_onto_the_board_leaves_the_call_standing() -> None:
    task = RoostTask(ground())
    heard: list[Cue] = []
    weight_n = visits.weight_of(JUNIOR)
    for n in range(400):
        t = n / 80
        force = weight_n * min(max(t - 1.5, 0.0) / 0.4, 1.0)
        x = 0.0 if force >= 20.0 else math.nan
        heard += task.update(CopSample(t, force, x, x, 0.0), t, False)
    assert task.scene.fault == "stepped"
    assert task.scene.step == "off"
    assert task.scene.done == ()
    assert called(heard) == ["behind", "hop", "land", "again"]


def test_hopping_on_the_spot_is_not_coming_from_outside_and_the_other_way_round() -> None:
    spot, _, _ = played([replace(GOOD, from_outside=False)] * 3)
    assert spot.scene.fault == "early"
    assert spot.scene.done == ()
    knees = with_numbers(kneels=3)
    rising, cues, _ = played([replace(GOOD, from_outside=False)] * 3, knees)
    assert rising.measures()["roost_landings"] == 3
    assert called(cues[:2]) == ["kneel", "land"]
    outside, _, _ = played([GOOD] * 3, knees)
    assert outside.scene.done == ()


def test_landings_left_out_are_missed_and_nobody_gives_no_number() -> None:
    task, _, _ = played([GOOD])
    one = task.measures()
    assert one["roost_landings"] == 1
    assert one["roost_lag_ms"] > 400 / 3
    empty = RoostTask(ground())
    for n in range(800):
        empty.update(CopSample(n / 80, 0.0, math.nan, math.nan, 0.0), n / 80, False)
    measures = empty.measures()
    assert all(math.isnan(value) for value in measures.values())
    part = part_earned(LEVEL.parts[0], math.nan)
    tally = Tally(40.0, 0.0, 0.0, 0.0, 40.0, 0.0, 0.0, 0)
    assert "Nobody" in ROOST.explain(LEVEL, part, measures, tally)


def test_a_gap_in_a_landing_calls_for_it_again() -> None:
    task = RoostTask(ground())
    heard: list[Cue] = []
    for n, sample in enumerate(rows_of([GOOD] * 2)):
        if not 1.6 <= sample.time_s < 1.9:
            heard += task.update(sample, sample.time_s, n > 0 and 1.9 <= sample.time_s < 1.905)
    assert called(heard[:4]) == ["behind", "hop", "land", "again"]
    assert len(task.scene.done) == 1
    assert EMPTY_S == 1.5


@pytest.mark.parametrize("sides", [1, 2, 3, 4])
def test_sides_are_those_of_the_level_and_never_twice_in_a_row(sides: int) -> None:
    level = with_numbers(landings=6, sides=sides, kneels=1)
    for seed in range(20):
        task = RoostTask(ground(level, seed=seed))
        called = [task.side]
        for _ in range(5):
            task._done.append(MISSED)
            called.append(task.side)
        assert called[0] == "kneel"
        assert set(called[1:]) <= set(SIDES[:sides])
        if sides > 1:
            assert all(a != b for a, b in pairwise(called[1:]))


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_each_level_is_passed_by_the_skilled_and_failed_by_the_unskilled(level: Level) -> None:
    skilled = visits.mark_of(player.outcome(0.95, 1, None, level))
    clumsy = visits.mark_of(player.outcome(0.1, 1, None, level))
    assert skilled >= level.pass_mark
    assert clumsy < level.pass_mark
    assert level.base == "firm"
    assert level.spotter
    assert any("proof test" in caution for caution in level.cautions)
    assert any("60 kg" in caution and "400 mm" in caution for caution in level.cautions)


def test_a_replay_gives_the_same_mark_to_the_last_bit() -> None:
    assert player.outcome(0.6, 5).measures == player.outcome(0.6, 5).measures


def test_every_call_has_a_sound_that_neither_clicks_nor_shouts() -> None:
    assert {*SIDES, "kneel", "hop", "land", "still", "again", "over"} == {
        word.removeprefix("roost ") for word in CUES
    }
    sounds = [make() for make in CUES.values()]
    for sound in sounds:
        assert sound[0] == pytest.approx(0.0, abs=1e-6)
        assert sound[-1] == pytest.approx(0.0, abs=1e-3)
        assert 0.1 < float(np.abs(sound).max()) <= CUE_PEAK
    assert len({sound.tobytes() for sound in sounds}) == len(sounds)


def test_the_lesson_is_short_enough_to_read_and_to_play() -> None:
    assert ROOST.lesson[-1][0] <= 20.0
    assert all(len(words) <= 50 for _, words in ROOST.lesson)


_NUMBER = st.floats(allow_nan=True, allow_infinity=True, width=32)


@given(
    rows=st.lists(
        st.tuples(
            st.one_of(st.just(0.0125), st.floats(-0.1, 2.0)), st.one_of(_NUMBER, st.just(0.0)),
            _NUMBER, _NUMBER, st.booleans(),
        ),
        max_size=80,
    ),
    seed=st.integers(0, 100),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_whatever_comes_the_count_and_the_shares_stay_in_range(
    rows: list[tuple[float, float, float, float, bool]], seed: int
) -> None:
    task = RoostTask(ground(with_numbers(kneels=seed % 3), seed=seed))
    now_s = 0.0
    for step_s, force_n, x_mm, y_mm, gap in rows:
        now_s += step_s
        task.update(CopSample(now_s, force_n, x_mm, y_mm, 0.0), now_s, gap)
        scene = task.scene
        assert 0.0 <= scene.wobble <= 1.0
        assert math.isnan(scene.lean) or -1.0 <= scene.lean <= 1.0
        assert len(scene.done) <= scene.landings
    measures = task.measures()
    assert set(ROOST.measures) <= set(measures)
    for value in measures.values():
        assert math.isnan(value) or 0.0 <= value <= 200.0


@given(st.integers(0, 10_000))
@settings(max_examples=8, deadline=None)
def test_a_better_landing_never_marks_lower(seed: int) -> None:
    rng = Random(seed)
    worse = replace(GOOD, right_share=0.5 + 0.3 * rng.random(), settle_s=0.2 + 0.2 * rng.random())
    low, high = played([worse] * 3)[0].measures(), played([GOOD] * 3)[0].measures()
    for part in (*LEVELS[0].parts, *LEVELS[1].parts):
        earned = part_earned(part, high[part.measure]).earned
        if part.measure != "roost_peak_bw":  # the swing into standing has a part in the peak
            assert earned >= part_earned(part, low[part.measure]).earned - 1e-9


def test_a_whole_sitting_gives_the_rules_unfiltered_samples() -> None:
    level = replace(LEVEL, trials=1)
    board = board_of()
    make = board.make
    half = make.half_width_mm, make.half_depth_mm
    standing = Scenario((Empty(2.5), StepOn(), Stand(6.6)))
    jumps = [GOOD] * 3
    jumping = Jumping(JUNIOR, jumps, seed=1)
    hops = jumping.sample(make.rate_hz, 1, *half).loads_n.tolist()
    rows = [*corner_loads(standing, JUNIOR, make.rate_hz, *half, 1), *map(tuple, hops)]
    sitting = Sitting(setup_for(board, level))
    events = run(
        sitting,
        [
            Received(100.0 + (n + 1) / make.rate_hz, data)
            for n, data in enumerate(board.stream(CornerLoads(*row) for row in rows))
            if data
        ],
    )
    outcome = next(e.outcome for e in events if e.outcome is not None)
    assert outcome.counts
    assert outcome.measures["roost_landings"] == 3
    peaks = [truth.peak_bw for truth in jumping.truths()]
    # The live filter would take a third off.
    assert outcome.measures["roost_peak_bw"] == pytest.approx(sum(peaks) / 3, rel=0.08)
    assert "roost still" in [event.word for event in events]
