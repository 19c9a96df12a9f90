from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from swaytrainer.games.canvas import Sizes
from swaytrainer.games.choosing import KEYS, draw_choosing, hit, places
from swaytrainer.training.choosing import (
    Chooser,
    ChoosingView,
    Move,
    who_question,
)
from swaytrainer.training.desk import Asking, Desk, Known, what_question
from swaytrainer.training.gesture import Gesture, Readiness
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import Vaulter
from tests.games.scenes import LONG_NAME, SIZES, WREN, pixels

LEVELS = shipped_levels()
SQUAD = (WREN, LONG_NAME, Vaulter("Tarn"), Vaulter("Romy"))
KNOWN = Known(SQUAD, LONG_NAME, LEVELS[0], LEVELS[1:4], (), LONG_NAME.name, "Tarn", LEVELS[5])
VIEW = replace(Chooser(None, who_question(SQUAD)).view(), state=Readiness.READY)


def views() -> list[ChoosingView]:
    chooser = Chooser(None, what_question(shipped_levels(), [shipped_levels()[1].id]))
    chooser.hand(Move.AFTER)
    return [
        VIEW,
        replace(VIEW, saying=Gesture.LEFT, progress=0.5),
        replace(VIEW, saying=Gesture.RIGHT, progress=0.5),
        replace(VIEW, saying=Gesture.BENDS, progress=0.2),
        replace(VIEW, saying=Gesture.BENDS, bends=1, progress=0.5),
        replace(VIEW, saying=Gesture.STEP_OFF, progress=0.5),
        replace(VIEW, state=Readiness.MOVING),
        replace(VIEW, chosen=1, understood="Next: somebody"),
        chooser.view(),
        Desk(None, KNOWN).view(),
        replace(Desk(None, KNOWN).view(), still=0.6),
        Desk(None, KNOWN, Asking.AFTER).view(),
        Chooser(None, who_question(SQUAD[:1])).view(),
    ]


@pytest.mark.parametrize("size", SIZES)
def test_every_text_is_large_enough_and_on_the_screen(size: tuple[int, int]) -> None:
    surface = pygame.Surface(size)
    for view in views():
        canvas = draw_choosing(surface, view)
        for box in canvas.boxes:
            assert box.line_px >= size[1] / 20 - 1e-6
            assert surface.get_rect().contains(box.rect), box.words
            assert not box.cut or "Maximiliane" in box.words, box.words


def test_every_state_looks_different() -> None:
    surface = pygame.Surface((1024, 768))
    seen = []
    for view in views():
        draw_choosing(surface, view)
        seen.append(pixels(surface))
    assert len(set(seen)) == len(seen)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("entries", [1, 2, 3, 15])
def test_pointer_places_lie_apart_and_are_large_enough(size: tuple[int, int], entries: int) -> None:
    spots = list(places(Sizes(*size), entries).values())
    screen = pygame.Rect((0, 0), size)
    for n, area in enumerate(spots):
        assert screen.contains(area)
        assert min(area.size) >= size[1] / 12
        assert all(not area.colliderect(other) for other in spots[n + 1 :])


def test_a_click_means_what_it_is_on() -> None:
    size = (1280, 720)
    spots = places(Sizes(*size), len(SQUAD))
    assert hit(size, spots[Move.BACK].center, VIEW) is Move.BACK
    assert hit(size, spots[Move.AFTER].center, VIEW) is Move.AFTER
    assert hit(size, spots[0].center, VIEW) == 0
    assert hit(size, spots[1].center, VIEW) == 1
    assert hit(size, spots[-1].center, VIEW) == 3
    assert hit(size, (1, 1), VIEW) is None


def test_every_move_has_a_key() -> None:
    assert set(KEYS.values()) == set(Move)
