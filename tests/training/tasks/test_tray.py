"""Tray's rules on circles of known speed."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import steered
from swaytrainer.players import tray as player
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Phase
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally, part_earned
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.dice import Dice
from swaytrainer.training.tasks.task import Ground
from swaytrainer.training.tasks.tray import (
    MEASURES,
    TRAY,
    Order,
    TrayTask,
    Turn,
    orders,
    spells,
)
from swaytrainer.training.trial import Trial

FEET = Feet(-80.0, 40.0, -100.0, 100.0)
RATE = 80.0
BODY_N = 450.0
LEVELS = [level for level in shipped_levels() if level.game == "tray"]
LEVEL = next(level for level in LEVELS if level.id == "tray-kitchen")
BALL = next(level for level in LEVELS if dict(level.task)["calls"] == 0)
SPEEDS = {Turn.ALONE: 6.0, Turn.BUSY: 9.0, Turn.ASK: 6.0}


def played(
    speeds: dict[Turn, float] = SPEEDS,
    level: Level = LEVEL,
    seed: int = 5,
    answers: str = "true",
    force: dict[Turn, float] | None = None,
    until_s: float | None = None,
) -> tuple[TrayTask, list[str]]:
    """A trial of circles at known speeds; ``answers``: "true", "wrong" or "none"."""
    task = TrayTask(Ground(level, FEET, RATE, BODY_N, seed))
    words: list[str] = []
    heard: list[str] = []
    turn_by = 0.0
    for n in range(round((until_s or level.seconds) * RATE)):
        scene = task.scene
        turn_by += speeds[scene.turn] / 5.0 / RATE
        lean = 0.0
        if scene.turn is Turn.ASK and answers != "none" and scene.left_s < 3.5:
            more = heard.count("tray_cup") - heard.count("tray_cake")
            if answers == "wrong":
                more = -more or 1
            lean = math.copysign(24.0, more) if more else 0.0
        x, y = lean + 5.0 * math.cos(turn_by), 5.0 * math.sin(turn_by)
        newtons = BODY_N * (force or {}).get(scene.turn, 1.0)
        cues = task.update(CopSample(n / RATE, newtons, x, y, 0.0), n / RATE, False)
        for cue in cues:
            if cue.word == "tray_busy":
                heard = []
            elif cue.word == "tray_ask":
                pass
            elif cue.word in ("tray_cup", "tray_cake"):
                heard.append(cue.word)
            words.append(cue.word)
        if scene.turn is Turn.ASK and task.scene.turn is not Turn.ASK:
            heard = []
    return task, words


def test_speeds_and_cost_are_those_of_the_turns() -> None:
    found = played()[0].measures()
    assert set(MEASURES) <= set(found)
    assert found["tray_alone_mm_s"] == pytest.approx(6.0, rel=2e-3)
    assert found["tray_busy_mm_s"] == pytest.approx(9.0, rel=2e-3)
    assert found["tray_cost_mm_s"] == pytest.approx(3.0, rel=1e-2)
    assert found["tray_cost_percent"] == pytest.approx(50.0, rel=1e-2)
    assert found["tray_answers_percent"] == 100.0


def test_the_lean_of_an_answer_is_no_sway() -> None:
    with_it, without = played()[0].measures(), played(answers="none")[0].measures()
    assert with_it["tray_busy_mm_s"] == without["tray_busy_mm_s"]
    assert with_it["tray_alone_mm_s"] == without["tray_alone_mm_s"]


def test_a_wrong_answer_costs_what_the_level_says() -> None:
    for seed in range(4):
        found = played(answers="wrong", seed=seed)[0].measures()
        assert found["tray_answers_percent"] == 0.0
        assert found["tray_cost_mm_s"] == dict(LEVEL.task)["wrong_mm_s"]
        assert played(seed=seed)[0].measures()["tray_answers_percent"] == 100.0


def test_standing_on_says_that_there_were_as_many() -> None:
    rights = []
    for seed in range(12):
        task, _ = played(answers="none", seed=seed)
        truths = [task._truth(at) for at, s in enumerate(task._spells) if s.turn is Turn.ASK]
        assert task.measures()["tray_answers_percent"] == 50.0 * truths.count(Order.SAME)
        rights.append(truths.count(Order.SAME))
    assert 0 < sum(rights) < 24


def test_off_the_board_is_no_answer() -> None:
    task = TrayTask(Ground(LEVEL, FEET, RATE, BODY_N, 3))
    for n in range(round(LEVEL.seconds * RATE)):
        off = task.scene.turn is Turn.ASK
        x = math.nan if off else 0.1 * (n % 2)
        task.update(CopSample(n / RATE, 0.0 if off else BODY_N, x, x, 0.0), n / RATE, False)
    assert task.measures()["tray_answers_percent"] == 0.0


def test_no_credit_for_unrest_alone_beyond_the_level_s_quiet() -> None:
    found = played({Turn.ALONE: 60.0, Turn.BUSY: 50.0, Turn.ASK: 6.0})[0].measures()
    assert found["tray_cost_mm_s"] == pytest.approx(30.0, rel=1e-2)  # 50 less quiet_mm_s, 20


def test_both_orders_come_and_are_mirrors_of_each_other() -> None:
    firsts = {TrayTask(Ground(LEVEL, FEET, RATE, BODY_N, seed)).scene.turn for seed in range(20)}
    assert firsts == {Turn.ALONE, Turn.BUSY}
    for first in (Turn.ALONE, Turn.BUSY):
        found = spells(58.0, first, asked=True)
        turns = [s for s in found if s.turn is not Turn.ASK]
        assert [s.turn is first for s in turns] == [True, False, False, True]
        assert {round(s.end_s - s.begin_s, 9) for s in turns} == {12.0}
        assert found[-1].end_s == pytest.approx(58.0)
        assert all(a.end_s == b.begin_s for a, b in pairwise(found))


@given(st.integers(0, 2**63), st.integers(0, 60))
def test_calls_are_even_in_number_and_differ_by_two_or_not_at_all(seed: int, count: int) -> None:
    called = orders(Dice(seed), count)
    assert len(called) == 2 * (count // 2)
    assert abs(called.count(Order.CUP) - called.count(Order.CAKE)) in (0, 2)


def test_each_answer_is_as_likely() -> None:
    more = [orders(Dice(seed), 6).count(Order.CUP) for seed in range(300)]
    # Binomial, n = 300, p = 1/3: a standard deviation of 8.2; five of them.
    assert all(abs(more.count(cups) - 100) < 41 for cups in (2, 3, 4))


def test_calls_come_in_busy_turns_alone_and_not_too_fast() -> None:
    for level in (LEVEL, BALL):
        task, words = played(level=level)
        calls = [w for w in words if w in ("tray_cup", "tray_cake", "tray_throw")]
        assert len(calls) >= 6 or level is LEVEL
        assert len(calls) >= 4
        assert ("tray_throw" in calls) == (level is BALL)
        times = [t for t, _ in task._calls]
        assert min(b - a for a, b in pairwise(times)) >= 0.65 * dict(level.task)["every_s"]
        for spell in task._spells:
            inside = [t for t in times if spell.begin_s <= t < spell.end_s]
            assert bool(inside) == (spell.turn is Turn.BUSY)
        assert ("tray_ask" in words) == (level is LEVEL)


@pytest.mark.parametrize("turn", [Turn.ALONE, Turn.BUSY])
def test_a_turn_on_a_rail_says_nothing(turn: Turn) -> None:
    found = played(force={turn: 0.92})[0].measures()
    assert math.isnan(found[f"tray_{turn}_mm_s"])
    assert math.isnan(found["tray_cost_mm_s"])
    assert not math.isnan(played(force={turn: 0.97})[0].measures()[f"tray_{turn}_mm_s"])


def test_a_trial_that_ends_early_has_no_cost() -> None:
    assert math.isnan(played(until_s=20.0)[0].measures()["tray_cost_mm_s"])


def marks(level: Level, alone: float, busy: float, rights: tuple[bool, bool]) -> float:
    """The mark of two speeds, by the module's formula."""
    numbers = dict(level.task)
    reference = min(alone, numbers["quiet_mm_s"])
    costs = [max(0.0, busy - reference, 0.0 if r else numbers["wrong_mm_s"]) for r in rights]
    values = {"tray_alone_mm_s": alone, "tray_cost_mm_s": sum(costs) / 2}
    return sum(part_earned(part, values[part.measure]).earned for part in level.parts)


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_nobody_wins_by_swaying_more_alone_or_busy(level: Level) -> None:
    """From 4.4 mm/s on, the stillest of 951 measured minutes of standing (see ``doubts``)."""
    speeds = [4.4 + 1.3 * k for k in range(70)]
    for rights in ((True, True), (True, False), (False, False)):
        table = [[marks(level, alone, busy, rights) for busy in speeds] for alone in speeds]
        for less, more in pairwise(table):
            assert all(a >= b - 1e-9 for a, b in zip(less, more, strict=True))
        for row in table:
            assert all(a >= b for a, b in pairwise(row))
        assert table[0][0] > table[0][-1] or rights != (True, True)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(-400, 400) | st.just(math.nan),
            st.floats(-400, 400) | st.just(math.inf),
            st.floats(0, 2000),
            st.floats(0, 4),
            st.booleans(),
        ),
        max_size=60,
    )
)
def test_whatever_comes_no_speed_is_below_zero(
    rows: list[tuple[float, float, float, float, bool]],
) -> None:
    task = TrayTask(Ground(LEVEL, FEET, RATE, BODY_N, 1))
    now = 0.0
    for x, y, force, step, gap in rows:
        now += step
        task.update(CopSample(now, force, x, y, 0.0), now, gap)
        scene = task.scene
        assert math.isnan(scene.unrest) or 0.0 <= scene.unrest <= 1.0
        assert -1.0 <= scene.lean <= 1.0
    for key in MEASURES:
        value = task.measures()[key]
        assert math.isnan(value) or value >= 0.0


def test_a_gap_is_not_bridged() -> None:
    task = TrayTask(Ground(LEVEL, FEET, RATE, BODY_N, 1))
    for n in range(round(LEVEL.seconds * RATE)):
        far = 0.0 if n < 20 * RATE else 80.0  # a leap of 80 mm, while nobody looked
        x = far + 0.05 * (n % 2)
        task.update(CopSample(n / RATE, BODY_N, x, 0.0, 0.0), n / RATE, n == 20 * RATE)
    found = task.measures()
    assert found["tray_alone_mm_s"] == pytest.approx(4.0, rel=0.02)
    assert found["tray_busy_mm_s"] == pytest.approx(4.0, rel=0.02)


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_a_skilled_vaulter_passes_and_an_unskilled_one_does_not(level: Level) -> None:
    skilled = [steered.mark_of(player.outcome(1.0, seed, level=level)) for seed in range(1)]
    unskilled = [steered.mark_of(player.outcome(0.0, seed, level=level)) for seed in range(2)]
    assert min(skilled) >= level.pass_mark > sum(unskilled) / 2


@pytest.mark.parametrize("cheat", ["sways alone", "sways a little", "rail"])
def test_cheats_earn_less_than_honest_play(cheat: str) -> None:
    assert player.play(0.5, 7, cheat) < player.play(0.5, 7)


def test_the_same_samples_give_the_same_trial() -> None:
    assert player.outcome(0.4, 11) == player.outcome(0.4, 11)


def test_the_reason_tells_alone_from_busy_and_from_a_wrong_count() -> None:
    tally = Tally(58.0, 58.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0)
    found = {"tray_alone_mm_s": 8.0, "tray_busy_mm_s": 12.5, "tray_answers_percent": 100.0}
    cost = PartEarned("tray_cost_mm_s", 4.5, 3.5, 5.0)
    alone = PartEarned("tray_alone_mm_s", 8.0, 3.5, 5.0)
    lost = PartEarned("tray_cost_mm_s", math.nan, 0.0, 5.0)
    assert [
        TRAY.explain(LEVEL, cost, found, tally),
        TRAY.explain(LEVEL, alone, found, tally),
        TRAY.explain(LEVEL, cost, {**found, "tray_answers_percent": 50.0}, tally),
        TRAY.explain(LEVEL, cost, {**found, "tray_answers_percent": 0.0}, tally),
        TRAY.explain(LEVEL, lost, found, tally),
    ] == [
        "Alone 8.0 mm/s, busy 12.5 mm/s: −1.5.",
        "The pudding moved at 8.0 mm/s with nothing to do: −1.5.",
        "The count was right once of twice: −1.5.",
        "The count was right neither time: −1.5.",
        "A turn was off the board, or held on to something: −5.0.",
    ]
    assert TRAY.lesson[-1][0] <= 20.0
    assert all(len(words) <= 50 for _, words in TRAY.lesson)


def test_after_the_lesson_the_trial_is_a_trial() -> None:
    seen = set()

    def watch(trial: Trial, _sample: CopSample, _events: list[Event]) -> None:
        if trial.phase is Phase.LESSON:
            seen.add(trial.lesson_words)

    steer = player.Player(1.0, 2, None).steer
    outcome = steered.run(LEVEL, steer, 2, rms_mm=1.6, stood=player.HOME, lesson=True, watch=watch)
    assert seen == {words for _, words in TRAY.lesson}
    assert outcome.counts
    assert steered.mark_of(outcome) >= LEVEL.pass_mark
