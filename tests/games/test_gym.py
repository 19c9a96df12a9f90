from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from swaytrainer.games.canvas import Sizes
from swaytrainer.games.gym import KEYS, Action, Decision, GymState, Row, handle, hit, places
from swaytrainer.games.stage import draw_gym
from swaytrainer.training.vaulter import Vaulter
from tests.games.scenes import LEVEL, LONG_NAME, SIZES, WREN, pixels

STATE = GymState(
    board_line="Board found: Lindenhof 1, 80 Hz, calibrated 12 days ago",
    board_ok=True,
    what_to_do="Step on, or press Enter.",
    vaulters=(WREN, Vaulter("Juniper"), LONG_NAME),
    levels=(LEVEL, replace(LEVEL, title="Millpond: on the dome", spotter=True, eyes="closed")),
)
NO_BOARD = replace(
    STATE,
    board_line="No board found",
    board_ok=False,
    what_to_do="Plug in the board's USB cable, then wait a moment.",
)


def after(state: GymState, *actions: Action) -> GymState:
    for action in actions:
        state = handle(state, action)
    return state


def test_left_and_right_change_the_row_that_has_the_keys() -> None:
    assert after(STATE, Action.RIGHT).vaulter == STATE.vaulters[1]
    assert after(STATE, Action.LEFT).vaulter == STATE.vaulters[2]
    chosen = after(STATE, Action.DOWN, Action.RIGHT)
    assert (chosen.vaulter, chosen.level) == (WREN, STATE.levels[1])


def test_up_and_down_stop_at_the_ends() -> None:
    assert after(STATE, Action.UP).row is Row.VAULTER
    assert after(STATE, *[Action.DOWN] * 5).row is Row.GO
    assert after(STATE, *[Action.DOWN] * 5, Action.UP).row is Row.LEVEL


def test_on_go_left_and_right_change_nothing() -> None:
    state = after(STATE, Action.DOWN, Action.DOWN)
    assert after(state, Action.LEFT) == state
    assert after(state, Action.RIGHT) == state


def test_go_and_quit() -> None:
    assert after(STATE, Action.GO).decision is Decision.GO
    assert after(STATE, Action.START).decision is Decision.GO
    assert after(STATE, Action.QUIT).decision is Decision.QUIT


@pytest.mark.parametrize(
    "state", [NO_BOARD, replace(STATE, vaulters=()), replace(STATE, levels=())]
)
def test_without_board_vaulter_or_level_there_is_no_go(state: GymState) -> None:
    assert after(state, Action.GO).decision is Decision.NONE
    assert after(state, Action.RIGHT, Action.DOWN, Action.RIGHT).decision is Decision.NONE
    draw_gym(pygame.Surface((1280, 720)), state)


def test_every_key_of_the_help_is_mapped() -> None:
    assert KEYS[pygame.K_RETURN] is KEYS[pygame.K_SPACE] is Action.GO
    assert KEYS[pygame.K_ESCAPE] is Action.QUIT
    assert {KEYS[k] for k in (pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN)} == {
        Action.LEFT,
        Action.RIGHT,
        Action.UP,
        Action.DOWN,
    }


@pytest.mark.parametrize("size", SIZES)
def test_pointer_places_lie_on_the_screen_apart_and_are_large_enough(size: tuple[int, int]) -> None:
    spots = places(Sizes(*size))
    screen = pygame.Rect((0, 0), size)
    for action, area in spots.items():
        assert screen.contains(area)
        assert min(area.size) >= size[1] / 12
        assert hit(size, area.center) is action
        assert all(not area.colliderect(other) for a, other in spots.items() if a is not action)
    assert hit(size, (1, 1)) is None


def test_a_click_moves_the_keys_to_its_row() -> None:
    state = after(STATE, Action.LEVEL_AFTER)
    assert (state.row, state.chosen_level, state.chosen_vaulter) == (Row.LEVEL, 1, 0)
    state = after(state, Action.VAULTER_BEFORE)
    assert (state.row, state.chosen_level, state.chosen_vaulter) == (Row.VAULTER, 1, 2)


def test_every_state_of_the_screen_looks_different() -> None:
    surface = pygame.Surface((1024, 768))
    seen = set()
    states = [STATE, NO_BOARD, after(STATE, Action.DOWN), after(STATE, Action.RIGHT)]
    for state in states:
        draw_gym(surface, state)
        seen.add(pixels(surface))
    assert len(seen) == len(states)
