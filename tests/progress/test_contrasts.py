"""One way held against the other, day by day; SciPy's paired t as the measure."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from scipy.stats import ttest_rel

from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.assess import Found, assess, courses
from swaytrainer.progress.contrasts import contrast, contrasts_of, worse
from swaytrainer.progress.days import DatedValue, History, history
from swaytrainer.progress.terms import Task
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Terms

OPEN = Task(Terms(80.0, "10 Hz causal", 20.0, "firm", "two feet", "open", "full"), "millpond")
SHUT = Task(replace(OPEN.terms, eyes="closed"), "millpond")
RNG = np.random.default_rng(4)
DAYS = RNG.normal(0.0, 0.2, 8)
OPEN_SPEED = 10.0 * np.exp(DAYS + RNG.normal(0.0, 0.05, 8))
SHUT_SPEED = 14.0 * np.exp(DAYS + RNG.normal(0.0, 0.05, 8))


def days(values: "np.typing.NDArray[np.float64]", log: bool = True, first: int = 0) -> History:
    return history((DatedValue(first + n, float(v)) for n, v in enumerate(values)), log)


def test_the_interval_is_that_of_a_paired_t_test() -> None:
    told = contrast("eyes", "mean_speed_mm_s", (SHUT, days(SHUT_SPEED)), (OPEN, days(OPEN_SPEED)))
    interval = ttest_rel(np.log(SHUT_SPEED), np.log(OPEN_SPEED)).confidence_interval(0.95)
    assert told.low == pytest.approx(100.0 * math.expm1(interval.low), rel=1e-9)
    assert told.high == pytest.approx(100.0 * math.expm1(interval.high), rel=1e-9)
    assert told.days == 8
    assert told.clear
    assert worse(told) is True
    # Days differ by a fifth: unpaired, the difference of 40 % would be far less sure.
    assert told.high - told.low < 25.0


def test_only_days_with_both_count() -> None:
    shifted = days(OPEN_SPEED, first=5)
    told = contrast("eyes", "mean_speed_mm_s", (SHUT, days(SHUT_SPEED)), (OPEN, shifted))
    assert told.days == 3
    few = contrast(
        "eyes", "mean_speed_mm_s", (SHUT, days(SHUT_SPEED)), (OPEN, days(OPEN_SPEED[:2]))
    )
    assert "there are 2" in few.why
    assert not few.clear
    assert worse(few) is None


def test_no_difference_is_none_shown() -> None:
    told = contrast("eyes", "mean_speed_mm_s", (SHUT, days(OPEN_SPEED)), (OPEN, days(OPEN_SPEED)))
    assert (told.difference, told.clear, worse(told)) == (0.0, False, None)


def test_the_shipped_levels_have_a_pair_for_eyes_and_one_for_feedback() -> None:
    """What can be told of a vaulter must be something that a vaulter can do."""
    levels = {level.id: level for level in shipped_levels()}

    def like(one: str, other: str, *besides: str) -> bool:
        left_out = {"id", "title", "purpose", "spotter", "cautions", "pass_mark", *besides}
        a, b = levels[one], levels[other]
        names = [field.name for field in fields(Level) if field.name not in left_out]
        return all(getattr(a, name) == getattr(b, name) for name in names)

    assert like("millpond-asleep", "millpond-unseen", "eyes")
    assert levels["millpond-asleep"].eyes == "closed"
    assert like("millpond-unseen", "millpond-open-water", "feedback")
    assert levels["millpond-unseen"].feedback == "none"


def test_of_equals_one_in_twenty_is_called_different() -> None:
    rng = np.random.default_rng(9)
    called = sum(
        contrast(
            "eyes",
            "mean_speed_mm_s",
            (SHUT, days(np.exp(rng.normal(size=5)))),
            (OPEN, days(np.exp(rng.normal(size=5)))),
        ).clear
        for _ in range(2000)
    )
    assert called / 2000 == pytest.approx(0.05, abs=0.015)  # three standard errors of a count


def test_more_than_one_difference_is_refused_and_named() -> None:
    foam = Task(replace(SHUT.terms, base="foam"), "millpond")
    with pytest.raises(SwaytrainerError, match=r"beside eyes they differ in base \(foam, firm\)"):
        contrast("eyes", "mark", (foam, days(SHUT_SPEED)), (OPEN, days(OPEN_SPEED)))
    with pytest.raises(SwaytrainerError, match="same eyes"):
        contrast("eyes", "mark", (OPEN, days(SHUT_SPEED)), (OPEN, days(OPEN_SPEED)))
    with pytest.raises(SwaytrainerError, match="scale"):
        contrast("eyes", "mark", (SHUT, days(SHUT_SPEED)), (OPEN, days(OPEN_SPEED, log=False)))


def test_all_contrasts_of_a_vaulter_are_found_and_no_unequal_one() -> None:
    unseen = Task(replace(OPEN.terms, feedback="none"), "millpond")
    left, right = (
        Task(replace(OPEN.terms, stance=f"{s} leg"), "millpond") for s in ("left", "right")
    )
    other_game = Task(SHUT.terms, "tray")
    found = [
        Found("Wren", task, "mean_speed_mm_s", DatedValue(n, float(v)), "b")
        for task in (OPEN, SHUT, unseen, left, right, other_game)
        for n, v in enumerate(OPEN_SPEED)
    ]  # fmt: skip
    report = assess(courses(found), ("mean_speed_mm_s",), "Wren", 3)
    told = [(c.term, c.one, c.other) for c in contrasts_of(report.rows)]
    assert told == [
        ("eyes", "closed", "open"),
        ("feedback", "none", "full"),
        ("stance", "left leg", "right leg"),
    ]
