"""Millpond's calm: the livelier direction's speed, so that wide feet earn nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import millpond as player
from swaytrainer.players import visits
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.sway.cop import Array, CopSample
from swaytrainer.sway.path import path
from swaytrainer.training.level import Level, MarkPart
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.millpond import CALM, FIRM_PATH_SHARE, SOFT_PATH_SHARE, MillpondTask
from swaytrainer.training.tasks.task import Ground

LEVELS = [level for level in shipped_levels() if level.game == "millpond"]


def calm_of(x_mm: Array, y_mm: Array, base: str = "firm", gap_at: int = -1) -> float:
    level = replace(player.LEVEL, base=base)
    task = MillpondTask(Ground(level, visits.feet_of(JUNIOR), 80.0, 441.0, 1))
    for n, (x, y) in enumerate(zip(x_mm.tolist(), y_mm.tolist(), strict=True)):
        task.update(CopSample(n / 80.0, 441.0, x, y, 0.0), n / 80.0, n == gap_at)
    return task.measures()[CALM]


@pytest.fixture
def swayed() -> tuple[Array, Array]:
    rng = np.random.default_rng(5)
    steps = rng.normal(0.0, (0.05, 0.1), (400, 2)).cumsum(axis=0)
    return steps[:, 0], steps[:, 1]


@pytest.mark.parametrize(("base", "share"), [("firm", FIRM_PATH_SHARE), ("disc", SOFT_PATH_SHARE)])
def test_it_is_the_speed_along_the_livelier_axis(
    swayed: tuple[Array, Array], base: str, share: float
) -> None:
    x, y = swayed
    whole = path(np.arange(x.size) / 80.0, x, y)
    assert calm_of(x, y, base) == pytest.approx(share * whole.mean_speed_ap_mm_s, rel=1e-12)
    assert calm_of(4.0 * x, y, base) == pytest.approx(4 * share * whole.mean_speed_ml_mm_s)


@given(st.floats(0.0, 4.0), st.floats(0.0, 4.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
@settings(max_examples=25, deadline=None)
def test_less_sway_in_either_direction_never_counts_more(
    side: float, forward: float, less_side: float, less_forward: float
) -> None:
    rng = np.random.default_rng(6)
    x, y = rng.normal(0.0, 0.1, (2, 60))
    before = calm_of(side * x, forward * y)
    assert calm_of(side * less_side * x, forward * less_forward * y) <= before + 1e-9


def test_a_gap_is_not_bridged_and_nobody_is_not_calm() -> None:
    jumped = np.r_[np.zeros(5), np.full(5, 50.0)]
    assert calm_of(jumped, 0.0 * jumped) > 100.0
    assert calm_of(jumped, 0.0 * jumped, gap_at=5) == 0.0
    away = np.r_[np.zeros(5), math.nan, np.full(5, 50.0)]
    assert calm_of(away, 0.0 * away) == 0.0
    for nothing in (np.zeros(0), np.zeros(1), np.full(9, math.nan), np.full(9, math.inf)):
        assert math.isnan(calm_of(nothing, nothing))


def test_a_level_that_marks_the_path_is_measured_as_ever() -> None:
    old = replace(player.LEVEL, parts=(MarkPart("mean_speed_mm_s", 22.0, 4.5, 1.0),))
    task = MillpondTask(Ground(old, visits.feet_of(JUNIOR), 80.0, 441.0, 1))
    assert task.measures() == {}


@pytest.mark.parametrize("skill", [0.3, 0.7])
def test_a_wide_stance_earns_nothing(skill: float) -> None:
    assert player.play(skill, 3, "wide stance") == player.play(skill, 3) > 0.0


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_no_level_pays_for_the_path_that_wide_feet_shorten(level: Level) -> None:
    marked = {part.measure for part in level.parts}
    assert CALM in marked
    assert not marked & {"mean_speed_mm_s", "mean_speed_ml_mm_s"}
