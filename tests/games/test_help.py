"""The help: opened by F1 or the sign in the corner, gone with any key, not in a running trial."""

import pygame
import pytest

from swaytrainer.app.play import _help
from swaytrainer.app.window import Window
from swaytrainer.games.canvas import Sizes
from swaytrainer.games.gym import KEYS
from swaytrainer.games.help import PAGE_S, badge, draw_help
from swaytrainer.games.help_pages import GYM, TRIAL, Help
from swaytrainer.sitting.view import Phase


def key(code: int) -> pygame.event.Event:
    return pygame.event.Event(pygame.KEYDOWN, key=code)


@pytest.fixture
def window() -> Window:
    made = Window(off_screen=True)
    made.help = GYM
    return made


def test_f1_opens_and_any_key_closes_and_is_heeded_by_nobody(window: Window) -> None:
    assert window.helped(key(pygame.K_F1))
    assert window.helping
    assert window.helped(key(pygame.K_ESCAPE))
    assert not window.helping
    assert not window.helped(key(pygame.K_ESCAPE))


def test_a_click_on_the_sign_opens_and_one_anywhere_closes(window: Window) -> None:
    spot = badge(Sizes(*window.surface.get_size())).center
    click = pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=spot)
    elsewhere = pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=(5, 5))
    assert not window.helped(elsewhere)
    assert window.helped(click)
    assert window.helped(elsewhere)
    assert not window.helping


def test_where_there_is_no_help_f1_does_nothing(window: Window) -> None:
    window.help = None
    assert not window.helped(key(pygame.K_F1))
    assert not window.helping


def test_a_screen_without_help_takes_an_open_one_away(window: Window) -> None:
    window.helped(key(pygame.K_F1))
    window.help = None
    window.show()
    assert not window.helping


def test_it_lies_over_the_screen_and_the_sign_is_there_without_it(window: Window) -> None:
    window.surface.fill((200, 0, 0))
    window.show()
    corner = badge(Sizes(*window.surface.get_size())).center
    assert window.surface.get_at((5, 5))[:3] == (200, 0, 0)
    assert window.surface.get_at(corner)[:3] != (200, 0, 0)
    window.helped(key(pygame.K_F1))
    window.show()
    assert window.surface.get_at((5, 5))[0] < 60


def test_nothing_covers_the_screen_of_somebody_who_stands() -> None:
    shown = {phase: _help(phase) for phase in Phase}
    assert shown[Phase.RUNNING] is shown[Phase.OFF] is shown[Phase.SETTLING] is None
    assert shown[Phase.WAITING] is shown[Phase.RESULT] is shown[Phase.FINISHED] is TRIAL


def test_a_long_help_turns_its_pages() -> None:
    surface = pygame.Surface((640, 360))
    long = Help("Much", tuple((f"K{n}", f"Does number {n}.") for n in range(30)))
    seen: set[str] = set()
    for page in range(12):
        canvas = draw_help(surface, long, page * PAGE_S)
        canvas.boxes, boxes = [], canvas.boxes
        seen |= {box.words for box in boxes}
    assert {f"K{n}" for n in range(30)} <= seen


def test_the_gyms_letters_are_in_its_help() -> None:
    told = {sign for sign, _ in GYM.keys}
    letters = {pygame.key.name(code).upper() for code in KEYS if pygame.K_a <= code <= pygame.K_z}
    assert letters <= told
