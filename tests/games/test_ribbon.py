"""The ribbon's picture: legible, told by shape and word, quick enough to be calm."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pygame
import pytest

from swaytrainer.games.ribbon import WORDS, Ribbon
from swaytrainer.games.stage import Stage
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.ribbon import (
    MOST_BIRDS,
    RIBBON,
    TRAIL_HZ,
    TRAIL_S,
    RibbonScene,
)
from tests.games.scenes import OUTCOME, SIZES, pixels, view
from tests.games.test_stage import check_boxes, words_of

LEVEL = next(level for level in shipped_levels() if level.id == "ribbon-longer")
POINTS = round(TRAIL_HZ * TRAIL_S)


def scene(size: float = 0.1, **changes: object) -> RibbonScene:
    """A ride in which the ribbon goes up and down by ``size``."""
    trail = tuple(size * math.sin(0.33 * k) for k in range(POINTS))
    plain = RibbonScene(
        9, 0.3, 0, 0.6, trail[0], trail, 0.4, "smooth", "", 0.8, 4, 3, 6, 8, False
    )  # fmt: skip
    return replace(plain, **changes)  # type: ignore[arg-type]


def seen(shown: RibbonScene | None, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=shown, **changes)


def stage(size: tuple[int, int] = (640, 480)) -> Stage:
    return Stage(pygame.Surface(size, 0, 32), 3)


@pytest.mark.parametrize("size", SIZES)
def test_every_state_is_legible_and_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    shown = [scene(verdict=word) for word in WORDS if word in ("smooth", "fair", "off beat")]
    shown += [scene(verdict="stiff", lean=lean) for lean in ("left", "right", "toes", "heels")]
    shown += [scene(leading=12), scene(birds=MOST_BIRDS), scene(verdict="", lift=math.nan)]
    shown += [scene(verdict=word) for word in ("stiff", "rough", "held", "unmoved", "off", "lost")]
    for k, one_scene in enumerate(shown):
        for best in (None, 10.0):
            one.draw(seen(one_scene, best_mark=best, trial=k + 1), 5.0 * k)
            check_boxes(one.canvas)
            assert [box.words for box in one.canvas.boxes if box.cut] == []


def test_each_verdict_has_its_word_and_its_shape() -> None:
    words, shapes = set(), set()
    for k, kind in enumerate(("smooth", "stiff", "rough", "off beat")):
        one = stage((1280, 720))
        one.draw(seen(scene(verdict=kind), trial=k + 1), 1.0)
        assert WORDS[kind][0] in words_of(one)
        words.add(WORDS[kind][0])
        game = one._game
        assert isinstance(game, Ribbon)
        picture = pygame.mask.from_surface(game._signs[kind])
        shapes.add(bytes(picture.to_surface().get_buffer().raw))
    assert len(words) == len(shapes) == 4


def test_a_lean_is_told_before_the_verdict() -> None:
    one = stage((1280, 720))
    one.draw(seen(scene(lean="left")), 1.0)
    assert "TOO FAR LEFT" in words_of(one)
    assert "SMOOTH" not in words_of(one)


def test_the_ribbon_follows_the_lift() -> None:
    def height_of_gold(size: float) -> int:
        one = stage()
        one.draw(seen(scene(size, verdict="fair")), 1.0)
        picture = pygame.surfarray.array3d(one.canvas.surface)[10:250, 90:300].astype(int)
        gold = (np.abs(picture - (255, 216, 112)).sum(axis=2) < 30) | (
            np.abs(picture - (255, 164, 62)).sum(axis=2) < 30
        )
        return int(np.nonzero(gold.any(axis=0))[0].size)

    flat, rough = height_of_gold(0.0), height_of_gold(1.0)
    assert 0 < flat < rough - 20


def test_nobody_on_the_board_nobody_on_the_horse() -> None:
    one, other = stage(), stage()
    one.draw(seen(scene(lift=math.nan, trail=(math.nan,) * POINTS)), 1.0)
    other.draw(seen(scene()), 1.0)
    red = (196, 60, 84)
    counts = [
        (
            np.abs(pygame.surfarray.array3d(s.canvas.surface).astype(int) - red).sum(axis=2) < 20
        ).sum()
        for s in (one, other)
    ]
    assert counts[0] < 20
    assert counts[1] > 100


def test_swallows_are_announced_once_and_counted() -> None:
    one = stage()
    arrived = []
    for k, birds in enumerate((0, 1, 1, 3, 2, 2)):
        one.draw(seen(scene(birds=birds)), 0.1 * k)
        arrived.append(one.arrived)
    assert arrived == [0, 1, 0, 2, 0, 0]
    assert "2" in [box.words for box in one.canvas.boxes]


def test_frames_depend_on_seed_and_views_alone() -> None:
    def frame(seed: int) -> bytes:
        surface = pygame.Surface((320, 240), 0, 32)
        Stage(surface, seed).draw(seen(scene()), 1.0)
        return pixels(surface)

    assert frame(5) == frame(5) != frame(6)


def test_nothing_flashes() -> None:
    one = stage((640, 360))
    means = []
    for k in range(120):
        t = k / 30
        phase = 1.6 * t % 1.0
        size = 1.2 if t > 2.0 else 0.1
        trail = tuple(size * math.sin(0.33 * (j - k)) for j in range(POINTS))
        verdict = ("smooth", "stiff", "off beat")[int(1.6 * t) % 3]
        one.draw(
            seen(scene(phase=phase, ride=math.cos(10 * t), trail=trail, verdict=verdict), trial=1),
            t,
        )
        means.append(pygame.surfarray.array3d(one.canvas.surface).mean() / 255.0)
    assert np.abs(np.diff(means)).max() < 0.015
    assert max(means) - min(means) < 0.1


def test_a_scene_of_another_kind_draws_the_evening_alone() -> None:
    one = stage()
    one.draw(seen(None), 1.0)
    still = pixels(one.canvas.surface)
    one.draw(seen(scene()), 1.0)
    assert pixels(one.canvas.surface) != still


@pytest.mark.parametrize("size", SIZES)
def test_the_lesson_is_short_and_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    assert RIBBON.lesson[-1][0] <= 20.0
    for _, words in RIBBON.lesson:
        one.draw(view(Phase.LESSON, level=LEVEL, scene=scene(), lesson=words), 1.0)
        assert words in words_of(one)
        assert [box.words for box in one.canvas.boxes if box.cut] == []


@pytest.mark.parametrize("size", SIZES)
def test_a_result_s_labels_are_uncut(size: tuple[int, int]) -> None:
    one = stage(size)
    parts = tuple(PartEarned(part.measure, 3.4, 1.23, 6.0) for part in LEVEL.parts)
    one.draw(view(Phase.RESULT, level=LEVEL, outcome=replace(OUTCOME, parts=parts)), 1.0)
    assert [box.words for box in one.canvas.boxes if box.cut] == []
