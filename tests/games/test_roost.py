"""The roost's picture: every call, fault and landing is there to be read, at every size."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pygame
import pytest

from swaytrainer.games.palette import contrast
from swaytrainer.games.roost import FAULT_WORDS, SIDE_WORDS
from swaytrainer.games.roost_sprites import moon, owl, owlet, side_sign, verdict
from swaytrainer.games.stage import Stage
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.roost import Landed, RoostScene
from tests.games.scenes import SIZES, pixels, view

LEVEL = next(level for level in shipped_levels() if level.id == "roost-four-winds")
SOFT = Landed("left", 2.2, 8.0, 12.0, 0.9)
HARD = Landed("front", 4.6, 38.0, 41.0, 4.0)
MISSED = Landed("right", 2.0, 90.0, 150.0, 4.0, "one foot")
SCENE = RoostScene(
    elapsed_s=12.0,
    step="hold",
    side="left",
    landing=3,
    landings=5,
    fault="",
    held_s=1.0,
    stay_s=4.0,
    peak_bw=2.4,
    lean=0.0,
    wobble=0.1,
    done=(SOFT, HARD),
)


def shown(phase: Phase = Phase.RUNNING, best: float | None = 7.1, **changes: Any) -> View:
    scene = replace(SCENE, **changes)
    return view(phase, level=LEVEL, scene=scene, best_mark=best, left_s=31.5)


def states() -> list[View]:
    calls = [
        shown(step=step, side=side, peak_bw=math.nan)
        for side in SIDE_WORDS
        for step in (("kneel",) if side == "kneel" else ("off", "hop"))
    ]
    faults = [shown(step="off", fault=fault, done=(MISSED,)) for fault in FAULT_WORDS]
    return [
        *calls,
        *faults,
        shown(),
        shown(lean=1.0, wobble=1.0, held_s=9.0),
        shown(lean=math.nan, peak_bw=math.nan, done=()),
        shown(peak_bw=12.3),
        shown(step="over", done=(SOFT, HARD, MISSED, SOFT, SOFT), best=None),
        shown(step="off", done=(Landed("left", 12.3, 100.0, 200.0, 8.0),)),
        shown(step="off", done=()),
        shown(step="landed"),
        shown(Phase.LESSON),
    ]


@pytest.mark.parametrize("size", SIZES)
def test_every_state_is_told_in_large_words_that_fit(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size, 0, 32)
    stage = Stage(surface, 3)
    for state in states():
        stage.draw(replace(state, lesson="Hop on: both feet at once, as soft as feathers"), 5.0)
        assert len(stage.canvas.boxes) >= 4
        for box in stage.canvas.boxes:
            assert not box.cut, box
            assert surface.get_rect().contains(box.rect), box
            assert not box.main or box.line_px >= size[1] / 20, box
            ground = surface.get_at(box.area.topleft)
            assert contrast(box.colour, (ground.r, ground.g, ground.b)) >= 4.5 or not box.main


def words(stage: Stage) -> str:
    return " | ".join(box.words for box in stage.canvas.boxes)


def test_words_tell_each_state() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3)
    for state, expected in (
        (shown(step="off"), ("STEP OFF", "and go to its left", "Well landed!", "Best 7.1", "32")),
        (shown(step="hop", side="front"), ("HOP ON!", "from the front")),
        (shown(step="kneel", side="kneel"), ("KNEEL, THEN HOP", "up from the knees")),
        (shown(), ("HOLD STILL", "Landing 3 of 5", "Soft 2.4×")),
        (
            shown(step="off", done=(HARD,)),
            ("Last landing", "Soft 4.6×", "Tilt 38 %", "Still 4.0 s"),
        ),
        (shown(step="off", done=(MISSED,), fault="one foot"), ("One foot came first", "Missed")),
        (shown(step="off", fault="stepped"), ("That was a step: hop!",)),
        (shown(step="landed"), ("WELL LANDED!", "Last landing")),
        (shown(step="over"), ("ALL LANDED!",)),
        (shown(best=None), ("First try",)),
    ):
        stage.draw(state, 1.0)
        for word in expected:
            assert word in words(stage), word


def test_each_sign_differs_by_shape_and_not_by_colour_alone() -> None:
    def outline(picture: pygame.Surface) -> bytes:
        alpha = pygame.surfarray.array_alpha(picture)
        return bytes((alpha > 128).astype(np.uint8).ravel())

    assert len({outline(side_sign(80, side)) for side in SIDE_WORDS}) == len(SIDE_WORDS)
    assert outline(owl(80, True)) != outline(owl(80, False))
    assert outline(verdict(40, True)) != outline(verdict(40, False))
    assert outline(owlet(40, "gone")) != outline(owlet(40, "asleep"))
    assert pixels(owlet(40, "awake")) != pixels(owlet(40, "asleep"))
    assert pixels(moon(40, True)) != pixels(moon(40, False))


def test_the_arrow_comes_from_the_called_side() -> None:
    middles = {}
    for side in ("left", "right", "front", "behind"):
        pixel = pygame.surfarray.array3d(side_sign(100, side)).astype(int)
        gold = np.abs(pixel - np.array([255, 216, 112])).sum(axis=2) < 30
        xs, ys = np.nonzero(gold)
        middles[side] = (float(xs.mean()), float(ys.mean()))
    assert middles["left"][0] + 20.0 < middles["right"][0]
    assert middles["front"][1] + 20.0 < middles["behind"][1]


def test_the_branch_sinks_on_the_heavier_side() -> None:
    surface = pygame.Surface((640, 480), 0, 32)

    def ends(lean: float) -> tuple[float, float]:
        stage = Stage(surface, 3)
        for k in range(30):
            stage.draw(shown(lean=lean, wobble=0.0, done=()), k / 20)
        pixel = pygame.surfarray.array3d(surface).astype(int)
        bark = np.abs(pixel - np.array([98, 70, 60])).sum(axis=2) < 6
        return tuple(float(np.nonzero(bark[x])[0].mean()) for x in (4, 635))  # type: ignore[return-value]

    level, right = ends(0.0), ends(0.6)
    assert level[0] == pytest.approx(level[1], abs=2)
    assert right[1] - level[1] == pytest.approx(0.6 * 0.075 * 480, abs=3)
    assert level[0] - right[0] == pytest.approx(0.6 * 0.075 * 480, abs=3)


def test_good_landings_are_announced_once() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3)
    arrived = []
    for k in range(60):
        stage.draw(shown(done=(SOFT, MISSED, HARD)[: k // 15]), k / 20)
        arrived.append(stage.arrived)
    assert [k for k, n in enumerate(arrived) if n] == [15, 45]


def test_nothing_large_flashes_while_the_branch_shakes() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3)
    light = []
    for k in range(60):
        stage.draw(shown(wobble=0.5 + 0.5 * math.sin(k), lean=0.5 * math.cos(0.7 * k)), k / 30)
        grid = pygame.surfarray.array3d(pygame.transform.smoothscale(surface, (64, 48))) / 255.0
        light.append(grid @ np.array([0.2126, 0.7152, 0.0722]))
    changed = [float((np.abs(b - a) > 0.1).mean()) for a, b in pairwise(light)]
    # A flash is a tenth of full luminance over a quarter of the view (WCAG 2.3.1).
    assert max(changed) < 0.08


def test_without_a_scene_only_the_wood_is_drawn() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3)
    stage.draw(shown(), 0.0)
    running = pixels(surface)
    stage.draw(replace(shown(), scene=None), 0.0)
    assert pixels(surface) != running
