"""The four strides' rules, on stands whose answer is known."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import four_strides as player
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.four_strides import FOUR_STRIDES, FourStridesTask
from swaytrainer.training.tasks.task import Ground

LEVELS = [level for level in shipped_levels() if level.game == "four-strides"]
LEVEL = LEVELS[0]
BARREL = next(level for level in LEVELS if level.base == "moving barrel")
FEET = Feet(-80.0, 40.0, -90.0, 90.0)
BODY_N = 450.0
RATE = 80.0
EVEN_Y = -30.0
BEGIN_S = 8 / 1.6
#: Time → force in weights, x, y.
Stand = Callable[[float], tuple[float, float, float]]


def swaying(mm: float = 2.0, x_mm: float = 0.0, y_mm: float = EVEN_Y) -> Stand:
    return lambda t: (1.0, x_mm, y_mm + mm * math.sin(2.0 * math.pi * 0.8 * t))


def stood(
    stand: Stand, level: Level = LEVEL, rate: float = RATE, seconds: float = 8.0
) -> tuple[FourStridesTask, list[tuple[str, float]]]:
    task = FourStridesTask(Ground(level, FEET, rate, BODY_N, 7))
    words: list[tuple[str, float]] = []
    for n in range(round(seconds * rate)):
        t = n / rate
        weights, x, y = stand(t)
        cues = task.update(CopSample(t, BODY_N * weights, x, y, 0.0), t, False)
        words += [(cue.word, round(t, 2)) for cue in cues]
        if task.done:
            break
    return task, words


@pytest.mark.parametrize("rate", [80.0, 1000.0])
def test_a_swaying_stand_is_held_and_its_speed_is_the_closed_form(rate: float) -> None:
    """Two whole sways of ± 2 mm in 2.5 s are 16 mm: 6.4 mm/s."""
    task, _ = stood(swaying(2.0), rate=rate)
    assert task.done
    found = task.measures()
    assert found["strides_held"] == pytest.approx(4.0)
    assert found["strides_calm_mm_s"] == pytest.approx(6.4, abs=0.1)
    assert math.isnan(found["strides_swallowed_percent"])


def test_the_bell_after_the_lead_and_each_stride_counted() -> None:
    task, words = stood(swaying())
    called = [(word, t) for word, t in words if not word.startswith("beat")]
    assert [word for word, _ in called] == ["now", "stride 1", "stride 2", "stride 3", "stride 4"]
    for k, (_, t) in enumerate(called):
        assert t == pytest.approx(BEGIN_S + k / 1.6, abs=2 / RATE)
    assert sum(word == "beat 1" for word, _ in words) == 12
    assert task.update(CopSample(9.0, BODY_N, 0.0, 0.0, 0.0), 9.0, False) == ()


@pytest.mark.parametrize("bad_s", [0.3125, 0.625, 1.25])
def test_what_is_not_in_the_band_is_not_held(bad_s: float) -> None:
    def stand(t: float) -> tuple[float, float, float]:
        return 1.0, 0.0, 20.0 if BEGIN_S <= t < BEGIN_S + bad_s else EVEN_Y

    found = stood(stand)[0].measures()
    assert found["strides_held"] == pytest.approx(4.0 - bad_s * 1.6, abs=0.06)
    assert found["strides_toes_s"] == pytest.approx(bad_s, abs=2 / RATE)


def test_before_the_bell_nothing_counts() -> None:
    def stand(t: float) -> tuple[float, float, float]:
        return (0.9, 80.0, 30.0 * math.sin(9.0 * t)) if t < BEGIN_S else (1.0, 0.0, EVEN_Y)

    found = stood(stand)[0].measures()
    assert found["strides_held"] == pytest.approx(4.0)
    assert found["strides_calm_mm_s"] < 15.0  # the step at the bell itself is at most one interval


def test_a_wide_stance_buys_nothing_a_hand_costs_all() -> None:
    still = stood(swaying())[0].measures()
    rocking = stood(lambda t: (1.0, 6.0 * math.sin(5.0 * t), swaying()(t)[2]))[0].measures()
    assert rocking["strides_calm_mm_s"] == still["strides_calm_mm_s"]
    held_on = stood(lambda t: (0.97, *swaying()(t)[1:]))[0].measures()
    assert all(math.isnan(held_on[key]) for key in FOUR_STRIDES.measures)
    assert held_on["strides_propped"] == 4.0


def test_off_the_board_nothing_is_held() -> None:
    def stand(t: float) -> tuple[float, float, float]:
        return (0.0, math.nan, math.nan) if t > 5.5 else (1.0, 0.0, EVEN_Y)

    found = stood(stand)[0].measures()
    assert math.isnan(found["strides_calm_mm_s"])
    assert not found["strides_held"] > 0.0


def test_broken_off_before_the_end_nothing_is_measured() -> None:
    task, _ = stood(swaying(), seconds=6.0)
    assert not task.done
    assert all(math.isnan(task.measures()[key]) for key in FOUR_STRIDES.measures)


def test_on_a_moving_base_the_path_is_not_marked_and_stiff_is_not_held() -> None:
    stiff = 0.025 * (2.0 * math.pi * 1.6) ** 2 / 9.80665

    def rode(share: float) -> dict[str, float]:
        def stand(t: float) -> tuple[float, float, float]:
            turn = 2.0 * math.pi * 1.6 * t
            return 1.0 + share * stiff * math.cos(turn), 0.0, EVEN_Y + 15.0 * math.cos(turn)

        return stood(stand, BARREL)[0].measures()

    for share in (1.0, 0.6, 0.3):
        found = rode(share)
        assert math.isnan(found["strides_calm_mm_s"])
        assert found["strides_swallowed_percent"] == pytest.approx(100.0 * (1.0 - share), abs=2.0)
    assert rode(0.3)["strides_held"] == pytest.approx(4.0)
    assert rode(1.0)["strides_held"] == 0.0
    assert rode(0.0)["strides_swallowed_percent"] == 0.0  # nobody pushed
    assert rode(0.0)["strides_unmoved"] == 4.0


@given(st.floats(0.0, 8.0), st.floats(0.0, 8.0))
@settings(max_examples=20)
def test_more_sway_never_reads_calmer(one: float, other: float) -> None:
    less, more = sorted((one, other))
    calm = [stood(swaying(mm))[0].measures()["strides_calm_mm_s"] for mm in (less, more)]
    assert calm[0] <= calm[1] + 1e-9


@given(st.lists(st.floats(allow_nan=True, allow_infinity=True, width=32), min_size=1, max_size=99))
@settings(max_examples=30)
def test_whatever_comes_no_measure_leaves_its_range(values: list[float]) -> None:
    for level in (LEVEL, BARREL):
        task = FourStridesTask(Ground(level, FEET, RATE, BODY_N, 7))
        for n in range(640):
            value = values[n % len(values)]
            t = n / RATE
            task.update(CopSample(t, value, value, value, 0.0), t, n % 50 == 49)
        found = task.measures()
        assert math.isnan(found["strides_held"]) or 0.0 <= found["strides_held"] <= 4.0
        assert math.isnan(found["strides_calm_mm_s"]) or found["strides_calm_mm_s"] >= 0.0


def test_the_scene_knows_nothing_of_the_sway() -> None:
    assert stood(swaying(0.0), seconds=6.0)[0].scene == stood(swaying(30.0), seconds=6.0)[0].scene


def test_a_trial_ends_with_the_fourth_stride_in_the_level_s_time() -> None:
    for level in LEVELS:
        outcome = player.outcome(0.9, 1, level=level)
        assert outcome.ended == "complete"
        assert outcome.counts
        given = dict(level.task)
        needed = (given["lead_strides"] + 4) / given["cadence_hz"]
        assert needed <= level.seconds < needed + 0.6
        assert level.feedback == "none"
        assert outcome.terms.feedback == "none"


def test_the_skilled_pass_and_the_unskilled_do_not() -> None:
    for level in LEVELS:
        skilled = [player.outcome(1.0, seed, level=level).mark or 0.0 for seed in range(2)]
        unskilled = [player.outcome(0.0, seed, level=level).mark or 0.0 for seed in range(2)]
        assert min(skilled) >= level.pass_mark, level.id
        assert max(unskilled) < level.pass_mark, level.id


@pytest.mark.parametrize("cheat", player.CHEATS)
def test_no_trick_wins(cheat: str) -> None:
    seeds = range(3)
    honest = [player.play(0.7, seed) for seed in seeds]
    tricky = [player.play(0.7, seed, cheat) for seed in seeds]
    assert sum(tricky) <= sum(honest) + 0.01


def test_replayed_it_marks_the_same() -> None:
    assert player.play(0.7, 2) == player.play(0.7, 2) != player.play(0.7, 3)


def test_a_mark_is_explained_by_what_was_done() -> None:
    strict = replace(LEVEL, pass_mark=9.9)
    assert "held on" in player.outcome(1.0, 1, "rail", strict).reason
    assert "of 4 strides held" in player.outcome(1.0, 1, "corner", strict).reason
    assert "left" in player.outcome(1.0, 1, "corner", strict).advice
    assert "mm/s" in player.outcome(0.6, 1, None, strict).reason
