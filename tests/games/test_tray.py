"""Tray's picture: every turn at every size, words uncut, states told by more than colour."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pygame
import pytest

from swaytrainer.games.stage import Stage
from swaytrainer.games.tray import PUDDING_SHARE, STATES, TRAY_TOP, call_of
from swaytrainer.players.steered import FEET
from swaytrainer.sitting.view import Phase, View
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.tasks.tray import Order, TrayScene, Turn
from tests.games.grounds import check_contrast
from tests.games.scenes import SIZES, pixels, view
from tests.games.test_stage import check_boxes

LEVEL = next(level for level in shipped_levels() if level.id == "tray-kitchen")
SCENE = TrayScene(Turn.ALONE, 8.0, 1, False, 0.1, "", 0.0, None, None, ())


def scenes() -> list[TrayScene]:
    found = [replace(SCENE, unrest=unrest) for unrest in (0.0, 0.4, 1.0, math.nan)]
    found += [replace(SCENE, turn=Turn.BUSY, number=2, called=c) for c in ("", "cake", "cup")]
    found.append(replace(SCENE, turn=Turn.BUSY, busy_hands=True, called="throw"))
    ask = replace(SCENE, turn=Turn.ASK, number=3)
    found += [replace(ask, lean=lean) for lean in (-0.6, 0.0, 1.0)]
    found += [replace(ask, answer=order, right=right) for order in Order for right in (True, False)]
    return found


def shown(scene: TrayScene | None, **changes: object) -> View:
    return view(Phase.RUNNING, level=LEVEL, scene=scene, **changes)


def settled(stage: Stage, scene: TrayScene) -> None:
    """Drawn for long enough that what follows slowly has come to rest."""
    for k in range(40):
        stage.draw(shown(scene), 10.0 + 0.1 * k)


@pytest.mark.parametrize("size", SIZES)
def test_every_turn_draws_with_large_uncut_words(size: tuple[int, int]) -> None:
    stage = Stage(pygame.Surface(size, 0, 32), 3, FEET)
    for k, scene in enumerate(scenes()):
        for step in range(3):
            best = None if scene.answer else 10.0
            stage.draw(shown(scene, best_mark=best), 5.0 + 3.0 * k + step)
        check_boxes(stage.canvas)
        assert [box.words for box in stage.canvas.boxes if box.cut] == []
        if size == (1280, 720):
            check_contrast(stage.canvas)


def test_before_the_rules_speak_and_off_the_board_the_cafe_is_drawn() -> None:
    stage = Stage(pygame.Surface((640, 480), 0, 32), 3, FEET)
    for phase in (Phase.RUNNING, Phase.LESSON, Phase.OFF):
        stage.draw(view(phase, level=LEVEL, scene=None, lesson="Stand"), 1.0)
        check_boxes(stage.canvas)


def test_the_pudding_s_state_is_a_word_a_sign_and_a_cat() -> None:
    stage = Stage(pygame.Surface((1280, 720), 0, 32), 3, FEET)
    seen = []
    for unrest, (_, words, _) in zip((0.0, 0.4, 1.0), STATES, strict=True):
        settled(stage, replace(SCENE, unrest=unrest))
        assert words in [box.words for box in stage.canvas.boxes]
        grey = pygame.surfarray.array3d(stage.canvas.surface).mean(axis=2)
        seen.append(grey)
    # Without any colour each differs from the others at the sign.
    for one, other in ((0, 1), (0, 2), (1, 2)):
        assert np.abs(seen[one] - seen[other])[470:540, 490:560].max() > 60


def test_a_still_pudding_does_not_move_and_a_restless_one_swings() -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    stage = Stage(surface, 3, FEET)
    cherry = round((TRAY_TOP - 0.82 * PUDDING_SHARE) * 720)
    for unrest, least, most in ((0.0, 0, 0), (1.0, 20, 140)):
        settled(stage, replace(SCENE, unrest=unrest))
        tops = []
        for k in range(30):
            stage.draw(shown(replace(SCENE, unrest=unrest)), 14.0 + 0.02 * k)
            row = pygame.surfarray.array3d(surface)[:, cherry].astype(int)
            red = (row[:, 0] > 180) & (row[:, 1] < 60)
            tops.append(float(np.flatnonzero(red).mean()))
        assert least <= max(tops) - min(tops) <= most


def test_calls_and_answers_tell_themselves_apart() -> None:
    assert len({call_of(scene)[0] for scene in scenes()}) == 6
    surface = pygame.Surface((1280, 720), 0, 32)
    seen = set()
    for scene in scenes()[4:]:
        stage = Stage(surface, 3, FEET)
        stage.draw(shown(scene), 5.0)
        seen.add(pixels(surface))
    assert len(seen) == len(scenes()[4:])
