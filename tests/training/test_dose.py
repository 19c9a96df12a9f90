"""Dose, rest and tiredness; ``python -m tests.training.test_dose`` counts the alarms at length."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from swaytrainer.training.dose import (
    EARLIER,
    LEAST_FALL,
    NEWEST,
    SESSION_MINUTES,
    SPREAD_DF,
    dose,
    dose_words,
    fatigue,
    time_to_stop,
)
from swaytrainer.training.history import Tried
from swaytrainer.training.level_file import shipped_levels

SHORE = shipped_levels()[0]
NOW = datetime(2026, 5, 20, 17, 30, tzinfo=UTC)


def sitting(
    marks: Sequence[float | None], days_ago: int = 0, minutes_ago: float = 20
) -> list[Tried]:
    made = NOW - timedelta(days=days_ago, minutes=minutes_ago)
    return [Tried(made, SHORE, mark, 20.0, "full", 80.0, "causal") for mark in marks]


#: Three earlier days whose marks scatter by 0.5: four degrees of freedom a day.
BEFORE = [t for d in (3, 6, 9) for t in sitting((6.0, 7.0, 6.5, 6.0, 7.0), d)]


def test_what_was_done_is_counted() -> None:
    trials = [*sitting((6.0, None, 7.0)), *sitting((5.0,), 2), *sitting((5.0, 5.0), 6),
              *sitting((9.0,), 7)]  # fmt: skip
    done = dose(trials, NOW)
    assert (done.trials_today, done.trials_week, done.days_week) == (3, 6, 3)
    assert done.minutes_today == pytest.approx(1.0)
    assert done.minutes_week == pytest.approx(2.0)
    # Three trials of 20 s, two rests of 20 s, begun 20 minutes ago: over 100 s later.
    assert done.rested_s == pytest.approx(20 * 60 - 100)
    assert dose(trials, NOW, NOW - timedelta(seconds=7)).rested_s == 7.0


def test_nothing_done_and_odd_values() -> None:
    none = dose([], NOW)
    assert (none.trials_week, none.minutes_week) == (0, 0.0)
    assert math.isnan(none.rested_s)
    [odd] = sitting((6.0,))
    assert dose([replace(odd, on_board_s=math.nan)], NOW).minutes_today == 0.0
    ahead = replace(odd, made=NOW + timedelta(hours=1))
    assert dose([ahead], NOW).trials_today == 0
    assert dose([odd], NOW, NOW + timedelta(hours=1)).rested_s == 0.0, "a clock set back"


def test_the_line_tells_rest_as_long_as_it_lasts() -> None:
    done = dose(sitting((6.0,)), NOW, NOW - timedelta(seconds=12))
    assert "rested 12 of 30 s" in dose_words(done, 30.0)
    assert dose_words(done, 10.0).endswith("· rested")
    assert dose_words(dose(sitting((6.0,), 1), NOW), 10.0).startswith("Nothing yet today")


def test_marks_that_fall_beyond_the_own_spread_are_tiredness() -> None:
    found = fatigue([*BEFORE, *sitting((6.5, 7.0, 6.0, 4.0, 3.5))], NOW)
    assert found.tired
    assert found.fall == pytest.approx(6.5 - 3.75)
    # The pooled spread by hand: (0.25 + 0.25 + 0 + 0.25 + 0.25) / 4 a day.
    assert found.limit == pytest.approx(2.5 * 0.5 * math.sqrt(1 / 2 + 1 / 3))
    assert "Stop for today" in time_to_stop([*BEFORE, *sitting((6.5, 7.0, 6.0, 4.0, 3.5))], NOW)


def test_marks_that_scatter_as_ever_are_not() -> None:
    found = fatigue([*BEFORE, *sitting((6.5, 7.0, 6.0, 6.0, 6.0))], NOW)
    assert not found.tired
    assert found.limit > found.fall
    assert time_to_stop([*BEFORE, *sitting((6.5, 7.0, 6.0, 6.0, 6.0))], NOW) == ""


def test_a_tiny_spread_sends_nobody_home() -> None:
    alike = [t for d in (3, 6) for t in sitting((10.0,) * 5, d)]
    found = fatigue([*alike, *sitting((10.0, 10.0, 10.0, 9.9, 9.9))], NOW)
    assert not found.tired
    assert found.limit == LEAST_FALL


def test_without_own_spread_or_with_few_marks_nothing_is_told() -> None:
    fall = sitting((9.0,) * EARLIER + (1.0,) * NEWEST)
    unknown = fatigue(fall, NOW)
    assert not unknown.tired
    assert math.isnan(unknown.limit)
    few = sitting((5.0,) * SPREAD_DF, 3)  # one degree of freedom short
    assert math.isnan(fatigue([*few, *fall], NOW).limit)
    assert math.isnan(fatigue([*BEFORE, *fall[1:]], NOW).fall)
    assert math.isnan(fatigue([], NOW).fall)


def test_other_terms_are_not_held_against_each_other() -> None:
    morning = [replace(t, feedback="none") for t in sitting((9.0,) * EARLIER, 0, 60)]
    assert math.isnan(fatigue([*BEFORE, *morning, *sitting((1.0,) * NEWEST)], NOW).fall)


def test_a_quarter_of_an_hour_on_the_board_is_plenty() -> None:
    enough = round(60 * SESSION_MINUTES[1] / 20)
    assert "plenty" in time_to_stop(sitting((None,) * enough), NOW)
    assert time_to_stop(sitting((None,) * (enough - 1)), NOW) == ""


def alarms(days: int, spread: float, fall: float, seed: int) -> float:
    """The share of evenings of ten trials with at least one alarm, asked after each trial.

    The marks are normal about 6 with this spread; the last four of the evening are lower by
    ``fall``. Five earlier days of five trials lie before it.
    """
    chance = Random(seed)
    told = 0
    for _ in range(days):
        before = [
            t
            for d in range(2, 7)
            for t in sitting([chance.gauss(6.0, spread) for _ in range(5)], d)
        ]
        marks = [chance.gauss(6.0, spread) - (fall if n >= 6 else 0.0) for n in range(10)]
        told += any(
            fatigue([*before, *sitting(marks[:n])], NOW).tired for n in range(1, len(marks) + 1)
        )
    return told / days


def test_alarms_are_rare_without_a_fall_and_usual_with_a_large_one() -> None:
    assert alarms(150, 0.7, 0.0, 1) < 0.1
    assert alarms(150, 0.7, 2.5, 1) > 0.8


if __name__ == "__main__":
    for spread in (0.4, 0.7, 1.0):
        for fall in (0.0, 1.0, 2.0, 3.0):
            print(spread, fall, alarms(2000, spread, fall, 7))
