"""Grooming's picture: whole words at every size, and each state seen by its shape."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import get_args

import pygame
import pytest
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.grooming import Grooming
from swaytrainer.games.stage import Stage
from swaytrainer.players.weight import FEET
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.coat import Coat
from swaytrainer.training.tasks.grooming import GROOMING, GroomingScene, Touch
from tests.games.looking import changed_px, check_words, largest_flash, light
from tests.games.scenes import SIZES, view

LEVELS = {level.id: level for level in shipped_levels() if level.game == "grooming"}
LEVEL = LEVELS["grooming-cob"]
COAT = Coat(FEET, 45.0, 20.0, 28.0, 24.0, 8.0)
CELLS = tuple(COAT.cells)
SCENE = GroomingScene(
    elapsed_s=9.0,
    u=-0.2,
    v=0.3,
    touch="gentle",
    haste=0.5,
    cells=CELLS,
    rubbed=tuple(1.0 if v > 0.0 else 0.6 if v > -0.4 else 0.0 for _, v in CELLS),
    clean_percent=44.0,
    rough_s=0.0,
    brush_u=COAT.brush_u,
    brush_v=COAT.brush_v,
)
TOUCHES: tuple[Touch, ...] = get_args(Touch)


def seen(scene: GroomingScene, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=scene, left_s=31.0, **changes)


@pytest.mark.parametrize("size", SIZES)
def test_all_words_are_whole_large_and_plain(size: tuple[int, int]) -> None:
    one = Stage(Surface(size, 0, 32), 3, FEET)
    now_s = 0.0
    # Large screens draw slowly here; all states are on the smallest, the hardest to fit.
    for touch in TOUCHES[:: {1024: 1, 1280: 2}.get(size[0], 9)]:
        for scene in (
            replace(SCENE, touch=touch),
            replace(SCENE, touch=touch, clean_percent=100.0, rubbed=(1.0,) * len(CELLS)),
            replace(SCENE, touch=touch, u=900.0, v=-900.0, haste=math.nan),
        ):
            now_s += 1.0
            one.draw(seen(scene, best_mark=10.0), now_s)
            check_words(one.canvas)
    one.draw(seen(replace(SCENE, touch="nobody", u=math.nan, v=math.nan), best_mark=None), 99.0)
    check_words(one.canvas)


@pytest.mark.parametrize("size", SIZES[:2])
def test_the_lesson_s_panel_covers_nothing_that_is_played_with(size: tuple[int, int]) -> None:
    one = Stage(Surface(size, 0, 32), 3, FEET)
    for until_s, words in GROOMING.lesson:
        lesson = seen(SCENE, lesson=words, phase_s=until_s)
        one.draw(replace(lesson, phase=Phase.LESSON), 5.0)
        assert not any(box.cut for box in one.canvas.boxes)
    game = Grooming(one.canvas, LEVEL, FEET, 3)
    assert game.coat.bottom <= 0.775 * size[1]


def drawn(scene: GroomingScene) -> tuple[Grooming, Surface]:
    surface = Surface((1280, 720), 0, 32)
    game = Grooming(Canvas(surface), LEVEL, FEET, 3)
    game.draw(seen(scene), 0.0)
    return game, surface


def test_the_brush_goes_where_the_weight_goes() -> None:
    game, _ = drawn(SCENE)
    x, y = game.place(0.0, 0.0)
    assert (x, y) == game.coat.center
    assert game.place(0.5, 0.0)[0] > x + 50
    assert game.place(0.0, 0.5)[1] < y - 50
    nobody = light(drawn(replace(SCENE, u=math.nan, v=math.nan))[1])
    spot = Rect(0, 0, 60, 60)
    spot.center = game.place(0.6, -0.6)
    there = light(drawn(replace(SCENE, u=0.6, v=-0.6))[1])
    assert changed_px(nobody, there, spot) > 800


def test_dusty_half_clean_and_clean_differ_in_texture() -> None:
    looks = [
        light(drawn(replace(SCENE, u=math.nan, v=math.nan, rubbed=(rub,) * len(CELLS)))[1])
        for rub in (0.0, 0.6, 1.0)
    ]
    game, _ = drawn(SCENE)
    area = game.coat.width * game.coat.height
    for k, share in ((0, 0.3), (1, 0.02)):
        assert changed_px(looks[k], looks[k + 1], game.coat) > share * area
    assert changed_px(looks[0], looks[2], game.coat) > 0.5 * area


def test_one_cell_s_dust_goes_alone() -> None:
    game, surface = drawn(replace(SCENE, u=math.nan, v=math.nan, rubbed=(0.0,) * len(CELLS)))
    before = light(surface)
    which = CELLS.index(min(CELLS, key=lambda cell: math.hypot(*cell)))
    rubbed = tuple(1.0 if k == which else 0.0 for k in range(len(CELLS)))
    game.draw(seen(replace(SCENE, u=math.nan, v=math.nan, rubbed=rubbed)), 0.0)
    here = Rect(0, 0, 70, 70)
    here.center = game.place(*CELLS[which])
    assert changed_px(before, light(surface), here) > 200
    assert changed_px(before, light(surface), game.coat) == changed_px(before, light(surface), here)
    # Piece by piece or all anew: the same picture.
    _, anew = drawn(replace(SCENE, u=math.nan, v=math.nan, rubbed=rubbed))
    assert changed_px(light(anew), light(surface), game.coat) == 0


def test_rough_is_seen_at_the_ears_and_at_the_brush() -> None:
    game, surface = drawn(SCENE)
    gentle, rough = light(surface), light(drawn(replace(SCENE, touch="fast"))[1])
    head = Rect(540, 0, 200, game.coat.top)
    assert changed_px(gentle, rough, head) > 500
    at = Rect(0, 0, 160, 160)
    at.center = game.place(SCENE.u, SCENE.v)
    assert changed_px(gentle, rough, at) > 500


def test_each_touch_has_its_own_word_and_it_stays_to_be_read() -> None:
    game, _ = drawn(SCENE)
    said = set()
    for k, touch in enumerate(TOUCHES):
        game.canvas.begin()
        game.draw(seen(replace(SCENE, touch=touch, v=-0.9)), 2.0 * k)
        said.add(game.canvas.boxes[0].words)
    assert {"Gentle", "Slower", "Soles down", "Back to the coat", "Hands free"} <= said
    game.draw(seen(replace(SCENE, touch="fast")), 50.0)
    game.canvas.begin()
    game.draw(seen(replace(SCENE, touch="held")), 50.1)
    assert game.canvas.boxes[0].words == "Slower"
    game.canvas.begin()
    game.draw(seen(replace(SCENE, touch="gentle", v=0.5)), 51.0)
    assert game.canvas.boxes[0].words == "Clean here: go on"


def test_tenths_are_told_once() -> None:
    game, _ = drawn(replace(SCENE, clean_percent=0.0))
    told = [game.draw(seen(replace(SCENE, clean_percent=p)), p) for p in (9.0, 11.0, 19.0, 40.0)]
    assert told == [0, 1, 0, 3]


def test_nothing_large_flashes() -> None:
    surface = Surface((640, 360), 0, 32)
    game = Grooming(Canvas(surface), LEVEL, FEET, 3)

    def frames() -> list[Surface]:
        kept = []
        for k in range(90):
            touch: Touch = "fast" if k // 15 % 2 else "gentle"
            scene = replace(SCENE, u=0.8 * math.sin(k / 9), v=0.7 * math.cos(k / 13), touch=touch)
            game.draw(seen(scene), k / 30)
            kept.append(surface.copy())
        return kept

    mean, tiles = largest_flash(frames())
    assert 0.0 < mean < 0.01
    assert tiles < 0.06


def test_equal_seeds_draw_equal_frames() -> None:
    def frame(seed: int) -> bytes:
        surface = Surface((640, 360), 0, 32)
        Grooming(Canvas(surface), LEVEL, FEET, seed).draw(seen(SCENE), 1.5)
        return pygame.image.tobytes(surface, "RGB")

    assert frame(1) == frame(1)
    assert frame(1) != frame(2)
