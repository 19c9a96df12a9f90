"""The opening screen: the board, who trains, which level, go. A pure state, and its picture."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum, StrEnum

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Canvas, Sizes
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, blend
from swaytrainer.games.sprites import bead, guest
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say


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


class Decision(Enum):
    """What the opening screen came to."""

    NONE = 0
    GO = 1
    QUIT = 2


@dataclass(frozen=True, slots=True)
class GymState:
    """Everything the opening screen shows.

    Attributes:
        board_line: the board in one line, found or not.
        board_ok: whether a trial can begin.
        what_to_do: what to do about the board, or the invitation to step on.
        vaulters, levels: what there is to choose from.
        chosen_vaulter, chosen_level: indices into them.
        row: where the keys are.
        decision: set by ``handle``; the app acts on it.
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

    @property
    def can_go(self) -> bool:
        """A board, somebody, and something to do."""
        return self.board_ok and bool(self.vaulters) and bool(self.levels)

    @property
    def vaulter(self) -> Vaulter | None:
        """Who is chosen."""
        return self.vaulters[self.chosen_vaulter] if self.vaulters else None

    @property
    def level(self) -> Level | None:
        """What is chosen."""
        return self.levels[self.chosen_level] if self.levels else None


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


def handle(state: GymState, action: Action) -> GymState:
    """The state after an action. Without a board, going is refused: the screen says what to do."""
    match action:
        case Action.QUIT:
            return replace(state, decision=Decision.QUIT)
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
        case Action.LEFT | Action.RIGHT:
            by = 1 if action is Action.RIGHT else -1
            if state.row is Row.VAULTER:
                return _turn_vaulter(state, by)
            if state.row is Row.LEVEL:
                return _turn_level(state, by)
            return state


KEYS: dict[int, Action] = {
    pygame.K_LEFT: Action.LEFT,
    pygame.K_RIGHT: Action.RIGHT,
    pygame.K_UP: Action.UP,
    pygame.K_DOWN: Action.DOWN,
    pygame.K_RETURN: Action.GO,
    pygame.K_KP_ENTER: Action.GO,
    pygame.K_SPACE: Action.GO,
    pygame.K_ESCAPE: Action.QUIT,
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
    return spots


def row_area(sizes: Sizes, row: Row) -> Rect:
    """The panel of a row."""
    top, bottom = {
        Row.VAULTER: (0.305, 0.455),
        Row.LEVEL: (0.468, 0.748),
        Row.GO: (0.768, 0.9),
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


def _arrow(canvas: Canvas, area: Rect, left: bool, live: bool) -> None:
    colour = PAPER if live else DUSK
    pygame.draw.rect(canvas.surface, NIGHT, area, border_radius=canvas.px(0.015))
    reach = canvas.px(0.034)
    sign = -1 if left else 1
    x, y = area.center
    pygame.draw.polygon(
        canvas.surface,
        colour,
        [
            (x + sign * reach, y),
            (x - sign * reach * 0.7, y - reach),
            (x - sign * reach * 0.7, y + reach),
        ],
    )


def _draw_board_line(canvas: Canvas, state: GymState) -> None:
    area = canvas.area(0.06, 0.108, 0.94, 0.292)
    colour = SKY if state.board_ok else ORANGE
    canvas.panel(area, INK, colour)
    size = canvas.px(0.06)
    x = area.x + canvas.px(0.03)
    top = area.y + canvas.px(0.014)
    if state.board_ok:
        canvas.surface.blit(bead(size, SKY), (x, top + canvas.px(0.002)))
    else:
        pygame.draw.polygon(
            canvas.surface, ORANGE, [(x + size / 2, top), (x + size, top + size), (x, top + size)]
        )
    text_x = x + size + canvas.px(0.025)
    width = area.right - text_x - canvas.px(0.03)
    line = Rect(text_x, area.y + canvas.px(0.012), width, canvas.px(0.106))
    drawn = canvas.text(
        state.board_line, line, size=0.06, colour=colour, align="left", upright="top", lines=2
    )
    rest = Rect(text_x, drawn.bottom, width, area.bottom - drawn.bottom - canvas.px(0.003))
    canvas.text(state.what_to_do, rest, size=0.052, align="left", lines=2)


def draw_gym_screen(canvas: Canvas, state: GymState) -> None:
    """The whole opening screen."""
    canvas.begin()
    canvas.surface.fill(NIGHT)
    canvas.text(
        "swaytrainer", canvas.area(0.06, 0.02, 0.6, 0.1), size=0.075, align="left", name=True
    )
    canvas.text(
        "Who trains?", canvas.area(0.62, 0.02, 0.94, 0.1), size=0.06, colour=MIST, align="right"
    )
    _draw_board_line(canvas, state)
    spots = places(canvas)
    for row in (Row.VAULTER, Row.LEVEL):
        area = row_area(canvas, row)
        canvas.panel(area, INK, GOLD if state.row is row else DUSK)
    _arrow(canvas, spots[Action.VAULTER_BEFORE], True, len(state.vaulters) > 1)
    _arrow(canvas, spots[Action.VAULTER_AFTER], False, len(state.vaulters) > 1)
    _arrow(canvas, spots[Action.LEVEL_BEFORE], True, len(state.levels) > 1)
    _arrow(canvas, spots[Action.LEVEL_AFTER], False, len(state.levels) > 1)
    middle = row_area(canvas, Row.VAULTER).inflate(-canvas.px(0.36), -canvas.px(0.02))
    canvas.text(
        state.vaulter.name if state.vaulter else "No vaulter yet", middle, size=0.1, lines=2,
        name=state.vaulter is not None,
    )  # fmt: skip
    _draw_level(canvas, state.level, row_area(canvas, Row.LEVEL).inflate(-canvas.px(0.36), 0))
    go = spots[Action.START]
    fill = GOLD if state.can_go else blend(INK, DUSK, 0.5)
    pygame.draw.rect(canvas.surface, fill, go, border_radius=canvas.px(0.03))
    if state.row is Row.GO:
        around = go.inflate(canvas.px(0.016), canvas.px(0.016))
        pygame.draw.rect(
            canvas.surface, PAPER, around, max(2, canvas.px(0.005)), border_radius=canvas.px(0.036)
        )
    canvas.text(
        "GO", go.inflate(-canvas.px(0.04), 0), size=0.11, colour=INK if state.can_go else MIST
    )
    _draw_guests(canvas, go)
    hint = "or just step on the board" if state.can_go else "waiting for the board"
    canvas.text(hint, canvas.area(0.06, 0.915, 0.94, 0.985), size=0.058, colour=MIST)


def _draw_level(canvas: Canvas, level: Level | None, area: Rect) -> None:
    title = Rect(area.x, area.y + canvas.px(0.004), area.width, canvas.px(0.076))
    if level is None:
        canvas.text("No level yet", title, size=0.075)
        return
    canvas.text(level.title, title, size=0.075)
    facts = say(
        "{base} · eyes {eyes} · {trials} × {seconds:g} s · spotter"
        if level.spotter
        else "{base} · eyes {eyes} · {trials} × {seconds:g} s",
        base=level.base,
        eyes=level.eyes,
        trials=level.trials,
        seconds=level.seconds,
    )
    line = Rect(area.x, title.bottom, area.width, canvas.px(0.106))
    colour = ORANGE if level.spotter else SKY
    drawn = canvas.text(facts, line, size=0.052, colour=colour, upright="top", lines=2)
    rest = Rect(area.x, drawn.bottom, area.width, area.bottom - drawn.bottom - canvas.px(0.004))
    canvas.text(level.purpose, rest, size=0.052, colour=MIST, lines=2)


def _draw_guests(canvas: Canvas, go: Rect) -> None:
    """Somebody waits on either side of the button."""
    size = canvas.px(0.12)
    step = round(size * 1.15)
    y = go.centery - size // 2
    for k, kind in enumerate(("duckling", "frog")):
        canvas.surface.blit(guest(kind, size), (go.left - (k + 1) * step - canvas.px(0.03), y))
    for k, kind in enumerate(("carp", "turtle")):
        canvas.surface.blit(guest(kind, size), (go.right + k * step + canvas.px(0.05), y))
