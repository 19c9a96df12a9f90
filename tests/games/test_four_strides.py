"""The four strides' picture: which stride it is, the canter, the time; nothing of the sway."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pygame
import pytest

from swaytrainer.games.stage import Stage
from swaytrainer.sitting.view import Phase, View, Where
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.four_strides import FOUR_STRIDES, FourStridesScene
from tests.games.scenes import OUTCOME, SIZES, pixels, view
from tests.games.test_stage import check_boxes, words_of

LEVEL = next(level for level in shipped_levels() if level.id == "four-strides-hall")


def seen(shown: FourStridesScene | None, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=shown, **changes)


def at(over: int, phase: float = 0.3) -> FourStridesScene:
    return FourStridesScene(8 + over, phase, 0, over, over == 4)


def stage(size: tuple[int, int] = (640, 480)) -> Stage:
    return Stage(pygame.Surface(size, 0, 32), 3)


@pytest.mark.parametrize("size", SIZES)
def test_every_state_is_legible_and_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    for shown in (FourStridesScene(0, 0.0, 12, 0, False), *(at(k) for k in range(5))):
        for best in (None, 10.0):
            one.draw(seen(shown, best_mark=best), 1.0)
            check_boxes(one.canvas)
            assert [box.words for box in one.canvas.boxes if box.cut] == []


def test_it_is_drawn_without_feedback_and_shows_nothing_of_the_sway() -> None:
    one = stage()
    frames = set()
    for toes, right, where, still in (
        (43.0, 50.0, Where.INSIDE, 0.9),
        (90.0, 10.0, Where.TOES, 0.0),
        (math.nan, math.nan, Where.NOWHERE, math.nan),
    ):
        shown = seen(
            at(1), toe_share_percent=toes, right_share_percent=right, where=where, stillness=still,
            x_mm=toes, y_mm=right, speed_mm_s=right,
        )  # fmt: skip
        assert not shown.feedback.picture
        one.draw(shown, 1.0)
        frames.add(pixels(one.canvas.surface))
    assert len(frames) == 1
    assert "Stand" in words_of(one)


def test_each_stride_changes_the_picture_and_the_count() -> None:
    one = stage((1280, 720))
    frames = []
    for over in range(5):
        one.draw(seen(at(over)), 1.0)
        frames.append(pixels(one.canvas.surface))
        assert f"{over}/4" in words_of(one)
    assert len(set(frames)) == 5
    assert "Done" in words_of(one)
    one.draw(seen(FourStridesScene(3, 0.3, 5, 0, False)), 1.0)
    assert "Listen: 5" in words_of(one)


def test_the_beats_are_to_be_seen() -> None:
    one = stage()
    frames = []
    for phase in (0.1, 0.3, 0.6, 0.9):
        one.draw(seen(at(1, phase)), 1.0)
        area = one.canvas.area(0.28, 0.15, 0.72, 0.25)
        frames.append(pixels(one.canvas.surface.subsurface(area).copy()))
    assert len(set(frames)) == 4


def test_nothing_flashes() -> None:
    one = stage((640, 360))
    means = []
    for k in range(150):
        t = k / 30
        stride, phase = divmod(1.6 * t, 1.0)
        over = min(max(int(stride) - 3, 0), 4)
        one.draw(
            seen(FourStridesScene(int(stride), phase, max(3 - int(stride), 0), over, over == 4)), t
        )
        picture = pygame.surfarray.array3d(one.canvas.surface)
        means.append(float(picture.mean()) / 255.0)
    assert max(abs(b - a) for a, b in pairwise(means)) < 0.015


@pytest.mark.parametrize("size", SIZES)
def test_the_lesson_is_short_and_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    assert FOUR_STRIDES.lesson[-1][0] <= 20.0
    for _, words in FOUR_STRIDES.lesson:
        one.draw(view(Phase.LESSON, level=LEVEL, scene=at(1), lesson=words), 1.0)
        assert words in words_of(one)
        assert [box.words for box in one.canvas.boxes if box.cut] == []


@pytest.mark.parametrize("size", SIZES)
def test_a_result_s_labels_are_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    parts = tuple(PartEarned(part.measure, 3.4, 1.23, 6.0) for part in LEVEL.parts)
    one.draw(view(Phase.RESULT, level=LEVEL, outcome=replace(OUTCOME, parts=parts)), 1.0)
    assert [box.words for box in one.canvas.boxes if box.cut] == []
