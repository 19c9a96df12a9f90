"""The opening screen's state: the board, who trains, which level, go. Pure; keys and places."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum, StrEnum

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Sizes
from swaytrainer.training.ladder import Suggestion
from swaytrainer.training.level import Level
from swaytrainer.training.risk import offered
from swaytrainer.training.vaulter import Vaulter


class Row(Enum):
    """The rows that the keys move between, from the top."""

    VAULTER = 0
    LEVEL = 1
    GO = 2


class Action(StrEnum):
    """What a key, a click or a touch asks for."""

    LEFT = "left"
    RIGHT = "right"
    UP = "up"
    DOWN = "down"
    GO = "go"
    QUIT = "quit"
    VAULTER_BEFORE = "vaulter before"
    VAULTER_AFTER = "vaulter after"
    LEVEL_BEFORE = "level before"
    LEVEL_AFTER = "level after"
    START = "start"
    SPOTTER = "spotter"
    SUGGESTED = "suggested"
    MISSED = "missed"
    GUIDE = "guide"


class Decision(Enum):
    """What the opening screen came to."""

    NONE = 0
    GO = 1
    QUIT = 2
    MISSED = 3
    GUIDE = 4


@dataclass(frozen=True, slots=True)
class GymState:
    """Everything the opening screen shows.

    Attributes:
        board_line: the board in one line, found or not.
        board_ok: whether a trial can begin.
        what_to_do: what to do about the board, or the invitation to step on.
        vaulters, levels: what there is to choose from; of the levels only those that are offered.
        chosen_vaulter, chosen_level: indices into them.
        row: where the keys are.
        decision: set by ``handle``; the app acts on it.
        every_level: all levels, those that need a spotter too.
        spotter: somebody has confirmed that a spotter stands by.
        suggestion: what the ladder says for the chosen vaulter and game; None if nothing.
        dose: what the chosen vaulter has done, in a line.
        stop: why the chosen vaulter had better stop; empty where nothing speaks for it.
        notes: what is wrong or odd about level files.
        due: the cautions come before the next trial.
        reading: they are on the screen.
        on_board: somebody stands on the board while they are.
        calls: who is called tonight: next, next but one; empty without a plan.
        title: of a competition; empty otherwise.
        shown_s: how long the screen has been as it is; turns the pages of what is long.
    """

    board_line: str
    board_ok: bool
    what_to_do: str
    vaulters: tuple[Vaulter, ...]
    levels: tuple[Level, ...]
    chosen_vaulter: int = 0
    chosen_level: int = 0
    row: Row = Row.VAULTER
    decision: Decision = Decision.NONE
    every_level: tuple[Level, ...] = ()
    spotter: bool = False
    suggestion: Suggestion | None = None
    dose: str = ""
    stop: str = ""
    notes: tuple[str, ...] = ()
    due: bool = False
    reading: bool = False
    on_board: bool = False
    shown_s: float = 0.0
    calls: tuple[str, ...] = ()
    title: str = ""

    @property
    def can_go(self) -> bool:
        """A board, somebody, and something to do."""
        return self.board_ok and bool(self.vaulters) and bool(self.levels)

    @property
    def vaulter(self) -> Vaulter | None:
        """Who is chosen."""
        return self.vaulters[self.chosen_vaulter] if self.vaulters else None

    @property
    def called(self) -> bool:
        """The chosen vaulter is the one whose turn it is."""
        vaulter = self.vaulter
        return vaulter is not None and bool(self.calls) and self.calls[0] == vaulter.name

    @property
    def level(self) -> Level | None:
        """What is chosen."""
        return self.levels[self.chosen_level] if self.levels else None


def with_levels(state: GymState, every_level: tuple[Level, ...], spotter: bool) -> GymState:
    """The state with these levels, or with a spotter come or gone; the choice stays if it can.

    Where the chosen level is not offered any more, the last one of its game that is, or the first
    of all, takes its place.
    """
    levels = offered(every_level, spotter)
    state = replace(state, every_level=every_level, spotter=spotter)
    return choose_level(replace(state, levels=levels, chosen_level=0), state.level)


def with_vaulters(state: GymState, vaulters: tuple[Vaulter, ...]) -> GymState:
    """The state with these vaulters; the choice stays where its name does, else it is the first."""
    names = [v.name for v in vaulters]
    before = state.vaulter
    at = names.index(before.name) if before is not None and before.name in names else 0
    return replace(state, vaulters=vaulters, chosen_vaulter=at)


def choose_level(state: GymState, wanted: Level | None) -> GymState:
    """The state with this level chosen, found by its id; else one near it."""
    if wanted is None or not state.levels:
        return state
    ids = [level.id for level in state.levels]
    if wanted.id in ids:
        return replace(state, chosen_level=ids.index(wanted.id))
    same = [n for n, level in enumerate(state.levels) if level.game == wanted.game]
    return replace(state, chosen_level=same[-1] if same else 0)


def _turn_vaulter(state: GymState, by: int) -> GymState:
    if not state.vaulters:
        return state
    chosen = (state.chosen_vaulter + by) % len(state.vaulters)
    return replace(state, chosen_vaulter=chosen, row=Row.VAULTER)


def _turn_level(state: GymState, by: int) -> GymState:
    if not state.levels:
        return state
    chosen = (state.chosen_level + by) % len(state.levels)
    return replace(state, chosen_level=chosen, row=Row.LEVEL)


def _turn_row(state: GymState, by: int) -> GymState:
    """Left or right in the row where the keys are."""
    if state.row is Row.VAULTER:
        return _turn_vaulter(state, by)
    return _turn_level(state, by) if state.row is Row.LEVEL else state


def _take_suggestion(state: GymState) -> GymState:
    if state.suggestion is None:
        return state
    return choose_level(replace(state, row=Row.LEVEL), state.suggestion.level)


def handle(state: GymState, action: Action) -> GymState:
    """The state after an action. Without a board, going is refused: the screen says what to do.

    While the cautions are read, going means that they were read, and quitting goes back.
    """
    if state.reading and action is Action.QUIT:
        return replace(state, reading=False)
    if state.reading and action not in (Action.GO, Action.START):
        return state
    match action:
        case Action.QUIT | Action.GUIDE:
            leaves = Decision.QUIT if action is Action.QUIT else Decision.GUIDE
            return replace(state, decision=leaves)
        case Action.GO | Action.START:
            return replace(state, decision=Decision.GO) if state.can_go else state
        case Action.UP:
            return replace(state, row=Row(max(0, state.row.value - 1)))
        case Action.DOWN:
            return replace(state, row=Row(min(len(Row) - 1, state.row.value + 1)))
        case Action.VAULTER_BEFORE | Action.VAULTER_AFTER:
            return _turn_vaulter(state, 1 if action is Action.VAULTER_AFTER else -1)
        case Action.LEVEL_BEFORE | Action.LEVEL_AFTER:
            return _turn_level(state, 1 if action is Action.LEVEL_AFTER else -1)
        case Action.SPOTTER:
            return with_levels(state, state.every_level or state.levels, not state.spotter)
        case Action.MISSED:
            return replace(state, decision=Decision.MISSED) if state.calls else state
        case Action.SUGGESTED:
            return _take_suggestion(state)
        case Action.LEFT | Action.RIGHT:
            return _turn_row(state, 1 if action is Action.RIGHT else -1)


KEYS: dict[int, Action] = {
    pygame.K_LEFT: Action.LEFT,
    pygame.K_RIGHT: Action.RIGHT,
    pygame.K_UP: Action.UP,
    pygame.K_DOWN: Action.DOWN,
    pygame.K_RETURN: Action.GO,
    pygame.K_KP_ENTER: Action.GO,
    pygame.K_SPACE: Action.GO,
    pygame.K_ESCAPE: Action.QUIT,
    pygame.K_s: Action.SPOTTER,
    pygame.K_n: Action.SUGGESTED,
    pygame.K_m: Action.MISSED,
    pygame.K_g: Action.GUIDE,
}


def places(sizes: Sizes) -> dict[Action, Rect]:
    """Where a pointer or a finger does what."""
    side = sizes.px(0.13)
    spots: dict[Action, Rect] = {}
    rows = {
        Row.VAULTER: (Action.VAULTER_BEFORE, Action.VAULTER_AFTER),
        Row.LEVEL: (Action.LEVEL_BEFORE, Action.LEVEL_AFTER),
    }
    for row, (before, after) in rows.items():
        area = row_area(sizes, row)
        inset = sizes.px(0.02)
        y = area.y + inset
        height = area.height - 2 * inset
        spots[before] = Rect(area.x + inset, y, side, height)
        spots[after] = Rect(area.right - inset - side, y, side, height)
    spots[Action.START] = row_area(sizes, Row.GO)
    spots[Action.GUIDE] = sizes.area(0.06, 0.108, 0.94, 0.288)  # the board's line
    spots[Action.SPOTTER] = sizes.area(0.5, 0.012, 0.94, 0.1)
    level = row_area(sizes, Row.LEVEL)
    across = level.width - 2 * (side + 2 * sizes.px(0.02))
    spots[Action.SUGGESTED] = Rect(0, level.bottom - sizes.px(0.122), across, sizes.px(0.112))
    spots[Action.SUGGESTED].centerx = level.centerx
    return spots


def row_area(sizes: Sizes, row: Row) -> Rect:
    """The panel of a row."""
    top, bottom = {
        Row.VAULTER: (0.298, 0.448),
        Row.LEVEL: (0.458, 0.782),
        Row.GO: (0.796, 0.91),
    }[row]
    if row is Row.GO:
        return sizes.area(0.3, top, 0.7, bottom)
    return sizes.area(0.06, top, 0.94, bottom)


def hit(size: tuple[int, int], place: tuple[int, int]) -> Action | None:
    """The action under a pixel of a screen of this size."""
    for action, area in places(Sizes(*size)).items():
        if area.collidepoint(place):
            return action
    return None
