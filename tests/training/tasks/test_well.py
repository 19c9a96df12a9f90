"""The well's rules on squats whose depth, time and heels are known."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import visits
from swaytrainer.players import well as player
from swaytrainer.simulate.athlete import CHILD, HEAVY_ADULT, JUNIOR, Athlete
from swaytrainer.simulate.squatting import Heels, Squat, squat_trial
from swaytrainer.sound.cues_well import CUES
from swaytrainer.sound.tones import CUE_PEAK
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import CopSample
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally, part_earned
from swaytrainer.training.tasks.task import Cue, Ground
from swaytrainer.training.tasks.well import LEAD_S, WELL, WellScene, WellTask

LEVEL = visits.level_of("well-deeper")
NUMBERS = dict(LEVEL.task)
FLAT = Heels()
BEATS = ("down", "hold", "up", "stand", "down")
LEVELS = [level for level in shipped_levels() if level.game == "well"]


def ground(level: Level = LEVEL, athlete: Athlete = JUNIOR, rate_hz: float = 80.0) -> Ground:
    return Ground(level, visits.feet_of(athlete), rate_hz, visits.weight_of(athlete), 1)


def squat_of(depth_share: float = 1.0, late_s: float = 0.0, athlete: Athlete = JUNIOR) -> Squat:
    feet = visits.feet_of(athlete)
    depth = depth_share * NUMBERS["depth_feet"] * (feet.ball_y_mm - feet.heel_y_mm)
    return Squat(
        depth, NUMBERS["down_s"], NUMBERS["hold_s"], NUMBERS["up_s"], NUMBERS["stand_s"] + late_s
    )


def played(
    squats: list[Squat],
    athlete: Athlete = JUNIOR,
    heels: Heels = FLAT,
    seed: int = 1,
    stand_s: float = LEAD_S,
    level: Level = LEVEL,
) -> tuple[WellTask, list[Cue], list[WellScene]]:
    """A task that has seen these squats, through the live filter."""
    made = squat_trial(athlete, squats, 80.0, seed, heels=heels, stand_s=stand_s)
    task = WellTask(ground(level, athlete))
    lows = [CausalLowpass(10.0, 80.0) for _ in range(3)]
    cues: list[Cue] = []
    scenes: list[WellScene] = []
    for t, (fl, fr, rl, rr) in zip(made.time_s.tolist(), made.loads_n.tolist(), strict=True):
        moments = (fl + fr + rl + rr, 220.0 * (fr + rr - fl - rl), 220.0 * (fl + fr - rl - rr))
        force, mx, my = (low.update(m) for low, m in zip(lows, moments, strict=True))
        cues += task.update(CopSample(t, force, mx / force, my / force, 0.0), t, False)
        scenes.append(task.scene)
        if task.done:
            break
    return task, cues, scenes


@pytest.mark.parametrize("athlete", [CHILD, JUNIOR, HEAVY_ADULT])
def test_squats_on_the_beat_with_heels_down_fill_every_bucket(athlete: Athlete) -> None:
    task, cues, scenes = played([squat_of(athlete=athlete)] * 5, athlete)
    measures = task.measures()
    assert measures["well_heels_percent"] == pytest.approx(100.0, abs=0.5)
    assert measures["well_tempo_percent"] == 100.0
    assert measures["well_squats"] == 4
    asked = squat_of(athlete=athlete).depth_mm
    assert measures["well_depth_mm"] == pytest.approx(asked, rel=0.15)
    assert [cue.word for cue in cues[:5]] == [f"bucket {beat}" for beat in BEATS]
    assert [cue.number for cue in cues if cue.word == "bucket down"] == [1, 2, 3, 4]
    assert task.done
    assert len(scenes[-1].buckets) == 3, "the last one still hangs there when time is up"
    bottom = max(scenes, key=lambda s: s.depth if not math.isnan(s.depth) else 0.0)
    assert bottom.beat in ("hold", "up")
    assert bottom.target > 0.8


@pytest.mark.parametrize(("share", "filled"), [(0.4, 0.0), (0.65, 0.5), (0.9, 1.0)])
def test_a_bucket_fills_with_the_depth(share: float, filled: float) -> None:
    task, _, _ = played([squat_of(share)] * 5)
    # The live depth is good to some 3 cm of 195 mm: 0.15, half the way from empty to full.
    assert task.measures()["well_heels_percent"] / 100 == pytest.approx(filled, abs=0.35)


def test_toes_under_load_spill_what_they_spill_and_no_more() -> None:
    kept = []
    for loss_mm in (None, 150.0, 80.0, 30.0):
        task, _, scenes = played([squat_of()] * 5, heels=Heels(42.0, loss_mm, 55.0))
        kept.append(task.measures()["well_heels_percent"])
        assert any(s.spilling for s in scenes) == (loss_mm is not None)
        assert all(s.lean >= 0.0 for s in scenes if s.spilling), "towards the toes"
    assert kept == sorted(kept, reverse=True)
    assert kept[0] > 99.0
    assert kept[-1] < 25.0


def test_what_is_late_by_half_a_second_earns_two_thirds() -> None:
    for late_s in (0.5, -0.5):
        task, _, scenes = played([squat_of()] * 5, stand_s=LEAD_S + late_s)
        # (1 - 0.5) / (1 - 0.25), and what is left of filter and depth: some 0.05 s.
        assert task.measures()["well_tempo_percent"] == pytest.approx(66.7, abs=8.0)
        last = scenes[-1].last
        assert last is not None
        assert last.late_s == pytest.approx(late_s, abs=0.1)


def test_who_stands_gets_nothing_and_who_never_stands_gets_no_number() -> None:
    standing, _, _ = played([squat_of(0.0001)] * 5)
    assert standing.measures()["well_heels_percent"] == 0.0
    assert standing.measures()["well_tempo_percent"] == 0.0
    task = WellTask(ground())
    rng = Random(1)
    for n in range(400):
        task.update(CopSample(n / 80, 400.0 + 60.0 * rng.random(), 0.0, 0.0, 0.0), n / 80, False)
    assert math.isnan(task.scene.depth)
    measures = task.measures()
    assert set(WELL.measures) <= set(measures)
    assert all(math.isnan(value) for value in measures.values())
    part = part_earned(LEVEL.parts[0], math.nan)
    tally = Tally(28.0, 20.0, 4.0, 4.0, 0.0, 0.0, 0.0, 0)
    assert "stood still" in WELL.explain(LEVEL, part, measures, tally)
    assert part.earned == 0.0


def test_a_gap_ends_the_depth_and_is_booked_to_nobody() -> None:
    made = player.pressed(1.0, 3)
    task, gapped = WellTask(ground()), WellTask(ground())
    for n, (sample, _) in enumerate(visits.samples(0, made)):
        task.update(sample, sample.time_s, False)
        if not 400 <= n < 440:
            gapped.update(sample, sample.time_s, n == 440)
            if n == 440:
                assert math.isnan(gapped.scene.depth)
    whole, torn = task.measures(), gapped.measures()
    # One squat of four is torn: its way up is not seen, so its bucket does not come up.
    assert torn["well_heels_percent"] == pytest.approx(0.75 * whole["well_heels_percent"], abs=2.0)
    assert torn["well_squats"] == 3


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_each_level_is_passed_by_the_skilled_and_failed_by_the_unskilled(level: Level) -> None:
    skilled = visits.mark_of(player.outcome(0.95, 1, None, level))
    clumsy = visits.mark_of(player.outcome(0.1, 1, None, level))
    assert skilled >= level.pass_mark
    assert clumsy < level.pass_mark
    numbers = {name: dict(level.task).get(name, f.usual) for name, f in WELL.fields.items()}
    moving_s = numbers["down_s"] + numbers["hold_s"] + numbers["up_s"]
    assert moving_s <= 4.5, "the live depth ends five seconds after a still stand"
    trial_s = LEAD_S + numbers["repetitions"] * (moving_s + numbers["stand_s"])
    assert trial_s <= level.seconds + 0.5, "there is time for all of them"


def test_a_replay_gives_the_same_mark_to_the_last_bit() -> None:
    assert player.outcome(0.6, 5).measures == player.outcome(0.6, 5).measures


def test_every_call_has_a_sound_that_neither_clicks_nor_shouts() -> None:
    _, cues, _ = played([squat_of()] * 5)
    assert {cue.word for cue in cues} == set(CUES)
    for make in CUES.values():
        sound = make()
        assert sound[0] == pytest.approx(0.0, abs=1e-6)
        assert sound[-1] == pytest.approx(0.0, abs=1e-3)
        assert 0.1 < float(np.abs(sound).max()) <= CUE_PEAK


def test_the_lesson_is_short_enough_to_read_and_to_play() -> None:
    assert WELL.lesson[-1][0] <= 20.0
    assert all(len(words) <= 50 for _, words in WELL.lesson)
    assert [until for until, _ in WELL.lesson] == sorted(until for until, _ in WELL.lesson)


_NUMBER = st.floats(allow_nan=True, allow_infinity=True, width=32)


@given(
    rows=st.lists(
        st.tuples(st.floats(-0.1, 2.0), _NUMBER, _NUMBER, _NUMBER, st.booleans()), max_size=60
    ),
    base=st.sampled_from(["firm", "foam"]),
)
@settings(max_examples=60, deadline=None)
def test_whatever_comes_shares_stay_shares(
    rows: list[tuple[float, float, float, float, bool]], base: str
) -> None:
    task = WellTask(ground(replace(LEVEL, base=base)))
    now_s = 0.0
    for step_s, force_n, x_mm, y_mm, gap in rows:
        now_s += step_s
        task.update(CopSample(now_s, force_n, x_mm, y_mm, 0.0), now_s, gap)
        scene = task.scene
        assert 0.0 <= scene.target <= 1.0
        assert 0.0 <= scene.water <= 1.0
        assert all(0.0 <= water <= 1.0 for water in scene.buckets)
    for name in WELL.measures:
        value = task.measures()[name]
        assert math.isnan(value) or 0.0 <= value <= 100.0
