from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from swaytrainer.games.base_picture import base_picture
from swaytrainer.games.canvas import Canvas, Sizes
from swaytrainer.games.gym import (
    KEYS,
    Action,
    Decision,
    GymState,
    Row,
    handle,
    hit,
    places,
    with_levels,
    with_vaulters,
)
from swaytrainer.games.gym_screen import PAGE_S, draw_gym_screen
from swaytrainer.games.stage import draw_gym
from swaytrainer.training.ladder import Step, Suggestion
from swaytrainer.training.level import BASES, EYES
from swaytrainer.training.risk import Risk
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


RISKY = replace(LEVEL, id="risky", base="dome", spotter=True, title="Millpond: on the dome")
ALONE = replace(STATE, levels=(LEVEL,), every_level=(LEVEL, RISKY))
LONG_STATE = replace(
    NO_BOARD,
    board_line="Can't open /dev/serial/by-id/usb-Lindenhof_balance_board_0042-if00-port0: denied.",
    what_to_do="Add yourself to the group dialout (sudo usermod -aG dialout NAME), log out and in"
    " again, then plug the board in once more; or give another port with --port.",
    notes=("Level ÄRGER.toml, line 11, field 'seconds': is 2, but must lie between 5 and 120 s.",),
    suggestion=Suggestion(Step.UP, RISKY, "Passed in 4 of the last 5, on two days: one up.", LEVEL),
    dose="Trials today 4 (1.5 min) · days this week 2 (4.2 min) · rested 12 of 30 s",
)


def test_the_risky_levels_come_and_go_with_the_spotter() -> None:
    assert ALONE.levels == (LEVEL,)
    together = after(ALONE, Action.SPOTTER)
    assert together.levels == (LEVEL, RISKY)
    chosen = after(together, Action.LEVEL_AFTER)
    assert chosen.level == RISKY
    assert after(chosen, Action.SPOTTER).level == LEVEL


def test_a_changed_level_stays_chosen_and_a_vanished_one_gives_way() -> None:
    other = replace(LEVEL, id="other", title="Other")
    state = with_levels(ALONE, (other, replace(LEVEL, seconds=7.0)), False)
    assert state.level == replace(LEVEL, seconds=7.0)
    assert with_levels(state, (other,), False).level == other
    assert with_levels(state, (), False).level is None


def test_the_suggested_level_is_taken_with_a_key() -> None:
    assert KEYS[pygame.K_n] is Action.SUGGESTED
    assert KEYS[pygame.K_s] is Action.SPOTTER
    state = after(replace(LONG_STATE, levels=(LEVEL, RISKY)), Action.SUGGESTED)
    assert (state.level, state.row) == (RISKY, Row.LEVEL)
    assert after(ALONE, Action.SUGGESTED) == ALONE
    # One that isn't offered is not taken either.
    assert after(replace(LONG_STATE, levels=(LEVEL,)), Action.SUGGESTED).level == LEVEL


def test_while_the_cautions_are_read_only_going_and_leaving_count() -> None:
    reading = replace(STATE, reading=True)
    assert after(reading, Action.LEFT) == reading
    assert after(reading, Action.SPOTTER) == reading
    assert after(reading, Action.GO).decision is Decision.GO
    left = after(reading, Action.QUIT)
    assert (left.reading, left.decision) == (False, Decision.NONE)


def words_over_time(state: GymState, size: tuple[int, int], seconds: float) -> str:
    """All that is shown while the pages turn; nothing of it is cut or small."""
    surface = pygame.Surface(size, 0, 32)
    shown: list[str] = []
    for n in range(int(seconds / PAGE_S)):
        canvas = Canvas(surface)
        draw_gym_screen(canvas, replace(state, shown_s=(n + 0.5) * PAGE_S))
        for box in canvas.boxes:
            assert not box.cut, box.words
            assert surface.get_rect().contains(box.rect)
            shown.append(box.words)
    return " ".join(shown)


def test_no_page_of_a_message_is_a_word_alone() -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    words = "Plug it in, look at its light, wait " * 4 + "for it now."
    state = replace(STATE, board_ok=False, board_line="No board", what_to_do=words)
    pages = []
    for n in range(6):
        canvas = Canvas(surface)
        draw_gym_screen(canvas, replace(state, shown_s=(n + 0.5) * PAGE_S))
        pages.append([box.words for box in canvas.boxes if box.words and box.words in words])
    assert all(len(page) == 2 for page in pages), pages
    assert len({tuple(page) for page in pages}) > 1


def test_the_chosen_vaulter_stays_so_while_listed() -> None:
    three = tuple(Vaulter(name) for name in ("Wren", "Tarn", "Pim"))
    state = replace(STATE, vaulters=three, chosen_vaulter=2)
    caution = replace(three[2], caution="a sprain")
    assert with_vaulters(state, (caution, three[0])).vaulter == caution
    assert with_vaulters(state, three[:2]).vaulter == three[0]
    assert with_vaulters(state, ()).vaulter is None


@pytest.mark.parametrize("size", SIZES)
def test_long_messages_are_turned_page_by_page(size: tuple[int, int]) -> None:
    shown = words_over_time(LONG_STATE, size, 60.0)
    assert LONG_STATE.suggestion is not None
    for text in (
        LONG_STATE.board_line,
        LONG_STATE.what_to_do,
        LONG_STATE.notes[0],
        LONG_STATE.suggestion.reason,
        LONG_STATE.dose,
        LEVEL.purpose,
    ):
        for word in text.split(" "):
            # A long word may be broken anywhere.
            assert word in shown or word[: len(word) // 3] in shown, word


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("base", BASES)
@pytest.mark.parametrize("eyes", EYES)
def test_the_cautions_are_shown_in_words_and_picture(
    size: tuple[int, int], base: str, eyes: str
) -> None:
    level = replace(LEVEL, base=base, eyes=eyes)
    state = replace(STATE, levels=(level,), reading=True)
    shown = words_over_time(state, size, 40.0)
    for caution in LEVEL.cautions:
        assert caution in shown
    calm = base in ("firm", "foam") and eyes == "open"
    assert ("Spotter: stand close" in shown) is not calm
    pictures = {
        pixels(base_picture(200, Risk(base, eyes, lands), not calm)) for lands in (False, True)
    }
    assert len(pictures) == 2


def test_every_base_has_a_picture_of_its_own() -> None:
    pictures = {pixels(base_picture(200, Risk(base, "open", False), True)) for base in BASES}
    assert len(pictures) == len(BASES)
