"""The well's picture: every state is there to be read, at every size."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pygame
import pytest

from swaytrainer.games.palette import contrast
from swaytrainer.games.stage import Stage
from swaytrainer.games.well_sprites import beat_sign, bucket, horse, lamp
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.well import Crossing, WellScene
from tests.games.scenes import SIZES, pixels, view

LEVEL = next(level for level in shipped_levels() if level.id == "well-deeper")
SCENE = WellScene(
    elapsed_s=4.0,
    beat="down",
    beat_left_s=0.4,
    target=0.8,
    depth=0.75,
    lean=0.0,
    spilling=False,
    water=0.6,
    buckets=(1.0, 0.4),
    repetition=3,
    repetitions=4,
    last=Crossing(0.1, 1.0),
)


def shown(phase: Phase = Phase.RUNNING, best: float | None = 7.1, **changes: Any) -> View:
    toes = 42.0 + changes.get("lean", 0.0) + math.copysign(13.0, changes.get("lean", 0.0))
    scene = replace(SCENE, **changes)
    return view(phase, level=LEVEL, scene=scene, toe_share_percent=toes, best_mark=best, left_s=9.5)


def states() -> list[View]:
    return [
        shown(),
        shown(lean=12.0, spilling=True),
        shown(lean=-30.0, spilling=True),
        shown(lean=5.0),
        shown(lean=-5.0),
        shown(depth=math.nan),
        shown(lean=math.nan),
        shown(beat="hold", depth=3.0, target=1.0),
        shown(beat="stand", depth=0.0, target=0.0, buckets=(1.0, 1.0, 1.0)),
        shown(beat="up", best=None),
        shown(beat="ready", repetition=0, buckets=()),
        shown(repetition=11, repetitions=12, buckets=(0.5,) * 10),
        shown(Phase.LESSON),
    ]


@pytest.mark.parametrize("size", SIZES)
def test_every_state_is_told_in_large_words_that_fit(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    stage = Stage(surface, 3)
    for state in states():
        stage.draw(replace(state, lesson="Sink with the lamp, down to the water"), 5.0)
        assert len(stage.canvas.boxes) >= 5
        for box in stage.canvas.boxes:
            assert not box.cut, box
            assert surface.get_rect().contains(box.rect), box
            assert not box.main or box.line_px >= size[1] / 20, box
            ground = surface.get_at(box.area.topleft)
            assert contrast(box.colour, (ground.r, ground.g, ground.b)) >= 4.5 or not box.main


def words(stage: Stage) -> str:
    return " | ".join(box.words for box in stage.canvas.boxes)


def test_words_and_marks_tell_each_state() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3)
    for state, expected in (
        (shown(), ("LEVEL", "DOWN", "Bucket 3 of 4", "Best 7.1", "10")),
        (shown(lean=12.0, spilling=True), ("SPILLING: TOES",)),
        (shown(lean=-12.0, spilling=True), ("SPILLING: HEELS",)),
        (shown(lean=3.0), ("TOES",)),
        (shown(depth=math.nan), ("STAND STILL",)),
        (shown(beat="hold"), ("HOLD",)),
        (shown(best=None), ("First try",)),
    ):
        stage.draw(state, 1.0)
        for word in expected:
            assert word in words(stage), word


def test_each_sign_differs_by_shape_and_not_by_colour_alone() -> None:
    def outline(picture: pygame.Surface) -> bytes:
        alpha = pygame.surfarray.array_alpha(picture)
        return bytes((alpha > 128).astype(np.uint8).ravel())

    white = (255, 255, 255)
    signs = [beat_sign(60, beat, white) for beat in ("down", "up", "hold", "stand")]
    assert len({outline(sign) for sign in signs}) == 4
    assert outline(lamp(60, True)) != outline(lamp(60, False))
    assert outline(horse(90, True)) != outline(horse(90, False))
    assert len({outline(bucket(60, tilt, 0.0)) for tilt in (-24, 0, 24)}) == 3
    assert pixels(bucket(60, 0, 0.0)) != pixels(bucket(60, 0, 0.5))


def test_the_bucket_hangs_where_the_vaulter_is() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3)

    def lowest_wood(depth: float) -> float:
        for step in range(40):
            stage.draw(shown(depth=depth, target=0.0), step / 20)
        pixel = pygame.surfarray.array3d(surface)[320:400, 120:400].astype(int)
        wood = np.abs(pixel - np.array([160, 108, 62])).sum(axis=2) < 20
        return float(np.nonzero(wood)[1].max())

    places = [lowest_wood(depth) for depth in (0.0, 0.3, 0.6)]
    assert places[1] - places[0] == pytest.approx(0.3 * 0.315 * 480, abs=4)
    assert places[2] - places[1] == pytest.approx(0.3 * 0.315 * 480, abs=4)


def test_good_buckets_are_announced_once() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3)
    arrived = []
    for k in range(60):
        full = (1.0, 0.3, 0.9)[: k // 15]
        stage.draw(shown(buckets=full), k / 20)
        arrived.append(stage.arrived)
    assert [k for k, n in enumerate(arrived) if n] == [15, 45]
    stage.draw(replace(shown(buckets=()), trial=2), 4.0)
    stage.draw(replace(shown(buckets=(1.0,)), trial=2), 4.1)
    assert stage.arrived == 1


def test_nothing_large_flashes() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3)
    light = []
    for k in range(60):
        spills = k % 12 < 6
        stage.draw(shown(lean=14.0 * spills, spilling=spills), k / 30)
        grid = pygame.surfarray.array3d(pygame.transform.smoothscale(surface, (64, 48))) / 255.0
        light.append(grid @ np.array([0.2126, 0.7152, 0.0722]))
    changed = [float((np.abs(b - a) > 0.1).mean()) for a, b in pairwise(light)]
    # A flash is a tenth of full luminance over a quarter of the view (WCAG 2.3.1).
    assert max(changed) < 0.08


def test_the_still_picture_has_no_bucket() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3)
    stage.draw(shown(), 0.0)
    running = pixels(surface)
    stage.draw(replace(shown(), phase=Phase.OFF), 0.0)
    assert pixels(surface) != running
    stage.draw(replace(shown(), scene=None), 0.0)
    assert pixels(surface) != running
