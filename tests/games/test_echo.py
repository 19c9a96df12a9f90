"""Echo's picture: every part at every size, words uncut, states told by more than colour."""

from __future__ import annotations

import math
from dataclasses import replace

import pygame
import pytest

from swaytrainer.games.echo import Echo, call_of
from swaytrainer.games.stage import Stage
from swaytrainer.players.steered import FEET
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.echo import NOWHERE, Answer, EchoScene, Part, Place
from tests.games.grounds import check_contrast
from tests.games.scenes import SIZES, pixels, view
from tests.games.test_stage import check_boxes

LEVEL = next(level for level in shipped_levels() if level.id == "echo-cave")
HOME = Place(50.0, 40.0)
MOTH = Place(50.0, 57.0)
CAUGHT = Answer(MOTH, Place(51.0, 56.0), 1.4, -1.0, True)
SHORT = Answer(MOTH, Place(50.0, 49.0), 8.0, -8.0, False)
BEYOND = Answer(MOTH, Place(50.0, 65.0), 8.0, 8.0, False)
BESIDE = Answer(MOTH, Place(58.0, 57.0), 8.0, 0.0, False)
MISSED = [Answer(MOTH, NOWHERE, 30.0, math.nan, False, why) for why in ("not home", "off", "held")]
UNFELT = Answer(NOWHERE, NOWHERE, 30.0, math.nan, False, "not felt")
SCENE = EchoScene(Part.FEEL, 5.0, 0.0, 2, 5, HOME, MOTH, Place(52.0, 44.0), 4.5, (CAUGHT,), False)


def scenes() -> list[EchoScene]:
    found = [replace(SCENE, part=part, hold=hold) for part in Part for hold in (0.0, 0.6)]
    found.append(replace(SCENE, part=Part.RECALL, left_s=0.8))
    found += [
        replace(SCENE, part=Part.TOLD, answers=(CAUGHT, answer))
        for answer in (CAUGHT, SHORT, BEYOND, BESIDE, *MISSED, UNFELT)
    ]
    found.append(replace(SCENE, here=NOWHERE))
    found.append(replace(SCENE, here=Place(400.0, -400.0), rounds=8, answers=(SHORT,) * 7))
    return found


def shown(scene: EchoScene | None, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=scene, **changes)


@pytest.mark.parametrize("size", SIZES)
def test_every_part_draws_with_large_uncut_words(size: tuple[int, int]) -> None:
    stage = Stage(pygame.Surface(size, 0, 32), 3, FEET)
    for scene in scenes():
        stage.draw(shown(scene, best_mark=None if scene.hold else 10.0), 5.0)
        check_boxes(stage.canvas)
        assert [box.words for box in stage.canvas.boxes if box.cut] == []
        if size == (1280, 720):
            check_contrast(stage.canvas)


def test_before_the_rules_speak_and_off_the_board_the_cave_is_drawn() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3, FEET)
    for phase in (Phase.RUNNING, Phase.LESSON, Phase.OFF):
        stage.draw(view(phase, level=LEVEL, scene=None, lesson="Lean"), 1.0)
        check_boxes(stage.canvas)


def test_every_part_looks_different_and_says_something_else() -> None:
    stage = Stage(pygame.Surface((1280, 720), 0, 32), 3, FEET)
    seen = set()
    for scene in scenes():
        if scene.part is not Part.OVER:
            stage.draw(shown(scene), 5.0)
            seen.add(pixels(stage.canvas.surface))
            assert call_of(scene)[0]
    drawn = [scene for scene in scenes() if scene.part is not Part.OVER]
    assert len(seen) >= len(drawn) - 4  # a stay that is not asked for does not show
    words = {
        call_of(replace(SCENE, part=Part.TOLD, answers=(a,)))[0]
        for a in (CAUGHT, SHORT, BEYOND, BESIDE, *MISSED, UNFELT)
    }
    assert len(words) == 8


def test_in_the_dark_neither_weight_nor_moth_shows() -> None:
    surface = pygame.Surface((640, 480), 0, 32)
    stage = Stage(surface, 3, FEET)
    seen = set()
    for here, target in ((HOME, MOTH), (MOTH, Place(68.0, 40.0)), (Place(20.0, 90.0), HOME)):
        stage.draw(shown(replace(SCENE, part=Part.RECALL, here=here, target=target)), 5.0)
        seen.add(pixels(surface))
    assert len(seen) == 1


def test_forward_is_up_and_right_is_right() -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    stage = Stage(surface, 3, FEET)
    stage.draw(shown(SCENE), 1.0)
    game = stage._game
    assert isinstance(game, Echo)
    x, y = game._at(SCENE, HOME)
    assert game._at(SCENE, Place(50.0, 50.0))[1] < y - 50
    assert game._at(SCENE, Place(60.0, 40.0))[0] > x + 50


def test_the_panel_of_the_lesson_covers_no_place() -> None:
    for size in SIZES:
        game = Echo(Stage(pygame.Surface(size, 0, 32), 3).canvas, LEVEL, FEET, 1)
        lowest = game._at(SCENE, Place(50.0, 40.0 - dict(LEVEL.task)["reach_percent"]))
        assert lowest[1] + 0.06 * size[1] < 0.775 * size[1]
