"""Grooming's rules, on built ways of the weight with known answers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.coat import CLEAN_S, Coat, outline
from swaytrainer.training.tasks.grooming import (
    FAR_TOO_FAST,
    GROOMING,
    ROUGH_SHARE,
    SPEED_S,
    GroomingTask,
)
from swaytrainer.training.tasks.task import Cue, Ground

LEVELS = {level.id: level for level in shipped_levels() if level.game == "grooming"}
LEVEL = LEVELS["grooming-cob"]
FEET = Feet(-80.0, 40.0, -100.0, 100.0)
BODY_N = 450.0
GIVEN = dict(LEVEL.task)
LIMIT_MM_S = 0.01 * GIVEN["limit_percent_s"] * 120.0

#: Force, and the place as (u, v).
Way = Callable[[float], tuple[float, float, float]]


def task(**fields: float) -> GroomingTask:
    level = replace(LEVEL, task=tuple({**GIVEN, **fields}.items()))
    return GroomingTask(Ground(level, FEET, 80.0, BODY_N, 1))


def sample(t: float, u: float, v: float, force_n: float = BODY_N) -> CopSample:
    """The lever rule turned round; the middle of the coat is a toe share of 45 %."""
    forward = v * GIVEN["front_percent" if v > 0 else "back_percent"]
    x = 2.0 * u * GIVEN["side_percent"]
    return CopSample(t, force_n, x, -80.0 + 1.2 * (45.0 + forward), 0.0)


def run(one: GroomingTask, way: Way, seconds: float, rate_hz: float = 80.0) -> list[Cue]:
    cues: list[Cue] = []
    for k in range(round(seconds * rate_hz)):
        t = k / rate_hz
        force, u, v = way(t)
        cues += one.update(sample(t, u, v, force), t, False)
    return cues


def rows(t: float) -> tuple[float, float, float]:
    """To and fro over the whole coat, twelve strokes in 40 s: 27 mm/s at most."""
    stroke, share = divmod(t, 40.0 / 12.0)
    v = -0.92 + 1.84 * stroke / 11.0
    chord = (1.0 - abs(v) ** 2.5) ** 0.4
    across = chord * (1.0 - 2.0 * share / (40.0 / 12.0))
    return BODY_N, across * (1 if stroke % 2 else -1), v


def test_standing_still_cleans_what_is_under_the_brush_and_no_more() -> None:
    one = task()
    run(one, lambda _t: (BODY_N, 0.0, 0.0), 40.0)
    coat = Coat(FEET, 45.0, *(GIVEN[k] for k in (
        "side_percent", "front_percent", "back_percent", "brush_percent")))  # fmt: skip
    under = sum((u / coat.brush_u) ** 2 + (v / coat.brush_v) ** 2 <= 1.0 for u, v in coat.cells)
    assert one.measures()["grooming_clean_percent"] == pytest.approx(100 * under / len(coat.cells))
    assert one.measures()["grooming_gentle_percent"] < 10.0


def test_the_brush_is_as_large_in_millimetres_both_ways() -> None:
    coat = Coat(FEET, 45.0, 20.0, 28.0, 28.0, 10.0)
    # 10 % of 120 mm, over half a coat of 20 % of 200 mm and of 28 % of 120 mm.
    assert coat.brush_u * 40.0 == pytest.approx(12.0)
    assert coat.brush_v * 33.6 == pytest.approx(12.0)
    assert coat.place(40.0, -80.0 + 1.2 * 73.0) == pytest.approx((1.0, 1.0))
    assert all(outline(u, v) <= 1.0 for u, v in coat.cells)


def test_slow_rows_over_the_whole_coat_earn_all() -> None:
    one = task(limit_percent_s=60)
    cues = run(one, rows, 40.0)
    values = one.measures()
    assert values["grooming_clean_percent"] > 95.0
    assert values["grooming_rough_s"] == 0.0
    assert values["grooming_gentle_percent"] == values["grooming_clean_percent"]
    tenths = [c.number for c in cues if c.word == "grooming tenth"]
    assert tenths == sorted(set(tenths))
    assert tenths[-1] >= 9


def circle(speed_mm_s: float, radius_mm: float = 20.0) -> Way:
    def way(t: float) -> tuple[float, float, float]:
        turn = speed_mm_s / radius_mm * t
        u = radius_mm * math.sin(turn) / (2.0 * GIVEN["side_percent"])
        forward = radius_mm * math.cos(turn) / 1.2
        v = forward / GIVEN["front_percent" if forward > 0 else "back_percent"]
        return BODY_N, u, v

    return way


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
@pytest.mark.parametrize("times", [0.9, 1.1, 1.25, 1.4, 2.0])
def test_beyond_the_limit_roughness_grows_and_the_brush_takes_less(
    times: float, rate_hz: float
) -> None:
    one = task()
    run(one, circle(times * LIMIT_MM_S), 10.0, rate_hz)
    rough = min(max((times - 1.0) / (FAR_TOO_FAST - 1.0), 0.0), 1.0)
    # Only from half a window on is the speed believed.
    assert one.measures()["grooming_fast_s"] == pytest.approx(
        rough * (10.0 - 0.5 * SPEED_S), abs=0.15
    )
    assert one.scene.touch == ("fast" if times > 1.0 else "gentle")
    rubbed = max(one.scene.rubbed)
    assert (rubbed == 0.0) == (times >= FAR_TOO_FAST) or times >= FAR_TOO_FAST


def test_far_too_fast_cleans_nothing() -> None:
    one = task()
    run(one, circle(2.5 * LIMIT_MM_S), 40.0)
    assert one.measures()["grooming_clean_percent"] == 0.0
    assert one.measures()["grooming_gentle_percent"] == 0.0


@pytest.mark.parametrize(
    ("way", "kind"),
    [
        (lambda _t: (BODY_N, 47.0 / GIVEN["side_percent"], 0.0), "lifted"),
        (lambda _t: (BODY_N, 0.0, 51.0 / GIVEN["front_percent"]), "lifted"),
        (lambda _t: (BODY_N, 1.4, 0.0), "beyond"),
        (lambda _t: (0.9 * BODY_N, 0.0, 0.0), "held"),
        (lambda _t: (0.0, math.nan, math.nan), "nobody"),
    ],
)
def test_what_is_rough_is_named_timed_and_cleans_nothing(way: Way, kind: str) -> None:
    one = task()
    run(one, way, 5.0)
    assert one.scene.touch == kind
    values = one.measures()
    assert values[f"grooming_{kind}_s"] == pytest.approx(5.0, abs=0.05)
    assert values["grooming_rough_s"] == values[f"grooming_{kind}_s"]
    assert max(one.scene.rubbed) == 0.0
    assert math.isnan(values["grooming_clean_percent"]) == (kind == "nobody")


def test_roughness_is_not_healed_by_standing_still() -> None:
    one = task(limit_percent_s=60)
    run(one, rows, 30.0)
    rough = task(limit_percent_s=60)
    run(rough, lambda t: rows(t) if t < 30.0 else (0.9 * BODY_N, 0.0, 0.0), 35.0)
    before, after = one.measures(), rough.measures()
    assert after["grooming_clean_percent"] == before["grooming_clean_percent"]
    share = 5.0 / (ROUGH_SHARE * LEVEL.seconds)
    assert after["grooming_gentle_percent"] == pytest.approx(
        before["grooming_gentle_percent"] * (1 - share), abs=0.3
    )


def test_a_whole_clean_coat_ends_it() -> None:
    one = task(brush_percent=25, limit_percent_s=100, side_percent=10, front_percent=12,
               back_percent=12)  # fmt: skip
    assert not one.done
    for k in range(80 * 40):
        t = k / 80
        forward = 12.0 * math.sin(math.tau * t / 23.0)
        side = 10.0 * math.sin(math.tau * t / 3.0)
        one.update(CopSample(t, BODY_N, 2.0 * side, -80.0 + 1.2 * (45.0 + forward), 0.0), t, False)
    assert one.done
    assert one.measures()["grooming_clean_percent"] == 100.0


def test_a_gap_is_neither_brushing_nor_haste() -> None:
    one, other = task(), task()
    for of in (one, other):
        run(of, lambda _t: (BODY_N, 0.0, 0.0), 1.0)
    before = one.measures()
    one.update(sample(9.0, 0.9, 0.0), 9.0, True)
    assert one.measures() == before
    assert one.scene.touch == "gentle"


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(allow_nan=True, allow_infinity=True),
            st.floats(allow_nan=True, allow_infinity=True, width=32),
            st.floats(-300, 300) | st.just(math.nan),
            st.sampled_from([0.0, 0.0125, 0.5, -0.01]),
            st.booleans(),
        ),
        max_size=60,
    )
)
def test_whatever_comes_what_is_clean_only_grows_and_stays_in_range(
    samples: Sequence[tuple[float, float, float, float, bool]],
) -> None:
    one, t, clean = task(), 0.0, 0.0
    for force, x, y, step, gap in samples:
        t += step
        one.update(CopSample(t, force, x, y, 0.0), t, gap)
        assert clean <= one.scene.clean_percent <= 100.0
        clean = one.scene.clean_percent
    values = one.measures()
    gentle = values["grooming_gentle_percent"]
    assert math.isnan(gentle) or 0.0 <= gentle <= values["grooming_clean_percent"]


def test_the_same_samples_give_the_same_again() -> None:
    one, other = task(), task()
    assert run(one, rows, 20.0) == run(other, rows, 20.0)
    assert one.measures() == other.measures()
    assert one.scene == other.scene


def test_every_part_has_its_words() -> None:
    tally = Tally(40.0, 40.0, 0.0, 0.0, 0.0, 0.0, 0.0125, 0)
    one = task(limit_percent_s=60)
    run(one, lambda t: rows(t) if t < 20.0 else (0.9 * BODY_N, 0.0, 0.0), 30.0)
    values = one.measures()
    clean = PartEarned("grooming_clean_percent", values["grooming_clean_percent"], 1.0, 5.0)
    assert "left in front: −4.0." in GROOMING.explain(LEVEL, clean, values, tally)
    assert "mane" in GROOMING.advise(LEVEL, clean, values, tally)
    gentle = PartEarned("grooming_gentle_percent", 20.0, 1.0, 5.0)
    assert GROOMING.explain(LEVEL, gentle, values, tally) == (
        "Weight was missing from the board for 10 s: −4.0."
    )
    assert "hands free" in GROOMING.advise(LEVEL, gentle, values, tally)
    nobody = PartEarned("grooming_clean_percent", math.nan, 0.0, 5.0)
    assert "Nobody" in GROOMING.explain(LEVEL, nobody, task().measures(), tally)
    assert GROOMING.explain(LEVEL, PartEarned("mean_speed_mm_s", 9.0, 1.0, 5.0), values, tally)
    assert all(len(words) <= 50 for _, words in GROOMING.lesson)


def test_no_level_s_coat_asks_for_a_lifted_foot() -> None:
    for level in LEVELS.values():
        given = dict(level.task)
        assert 50.0 + given["side_percent"] < 90.0, level.id
        assert 45.0 + given["front_percent"] < 90.0, level.id
        assert 45.0 - given["back_percent"] > 10.0, level.id
        # In the time there is, a stroke of each row is slower than the limit.
        wide_mm = 4.0 * given["side_percent"]
        long_mm = 1.2 * (given["front_percent"] + given["back_percent"])
        brush_mm = 2.4 * given["brush_percent"]
        way_mm = wide_mm * math.ceil(long_mm / brush_mm) + long_mm
        assert way_mm / level.seconds < 0.9 * 1.2 * given["limit_percent_s"], level.id
        assert brush_mm / (1.2 * given["limit_percent_s"]) > 0.5 * CLEAN_S, level.id
