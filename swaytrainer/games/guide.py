"""First steps as a screen: from no board to the first mark. Pure state, and its picture."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas, Sizes, begin_on
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY
from swaytrainer.games.plate import draw_tick
from swaytrainer.words import Name, say


class Task(Enum):
    """What is to do, in this order."""

    BOARD = 0
    NEWTONS = 1
    VAULTER = 2
    MARK = 3


class Wanted(Enum):
    """What was asked for on the screen."""

    NOTHING = 0
    DO = 1
    TRY = 2
    LEAVE = 3


_TITLES: Final = {
    Task.BOARD: "The board is plugged in",
    Task.NEWTONS: "The board knows its newtons",
    Task.VAULTER: "A vaulter is in the list",
    Task.MARK: "The first mark",
}
KEYS: Final = {
    pygame.K_UP: -1,
    pygame.K_DOWN: 1,
}


@dataclass(frozen=True, slots=True)
class GuideState:
    """Everything the screen shows.

    Attributes:
        board: the board in a line; what to do where none is found.
        found: there is one.
        taught: when the board was taught its newtons, in words; empty if it never was.
        vaulters: names in the list.
        chosen: which step the keys are on.
        trouble: what went wrong with the step that was last done.
    """

    board: str
    found: bool = False
    taught: str = ""
    vaulters: tuple[str, ...] = ()
    chosen: Task = Task.BOARD
    trouble: str = ""

    def done(self, task: Task) -> bool:
        """Whether a step is done; the mark is the aim, and never ticked here."""
        return {
            Task.BOARD: self.found,
            Task.NEWTONS: bool(self.taught),
            Task.VAULTER: bool(self.vaulters),
            Task.MARK: False,
        }[task]

    @property
    def due(self) -> Task:
        """The first step that is not done."""
        return next(task for task in Task if not self.done(task))

    def can(self, task: Task) -> bool:
        """Whether a step can be done now: newtons need a board; the mark needs all the others."""
        if task is Task.MARK:
            return all(self.done(each) for each in Task if each is not Task.MARK)
        return task is Task.VAULTER or self.found

    def line(self, task: Task) -> str:
        """What stands below a step's title."""
        match task:
            case Task.BOARD:
                return self.board
            case Task.NEWTONS if self.taught:
                return self.taught
            case Task.NEWTONS:
                return "One known weight, nine marks, three minutes."
            case Task.VAULTER if self.vaulters:
                return say(
                    "{names} · Enter adds another", names=Name(", ".join(self.vaulters[-3:]))
                )
            case Task.VAULTER:
                return "Type a name; a pseudonym suffices."
            case _:
                return "To the gym: read what to beware of, step on."


def moved(state: GuideState, by: int) -> GuideState:
    """The keys on the step above or below."""
    number = min(max(state.chosen.value + by, 0), len(Task) - 1)
    return replace(state, chosen=Task(number))


def heed(state: GuideState, happened: pygame.event.Event, size: tuple[int, int]) -> tuple[
    GuideState, Wanted
]:  # fmt: skip
    """The state after a key or a click, and what it asks for."""
    if happened.type == pygame.QUIT:
        return state, Wanted.LEAVE
    if happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
        for task in Task:
            if _row(Sizes(*size), task).collidepoint(happened.pos):
                return replace(state, chosen=task), Wanted.DO
        if _foot(Sizes(*size)).collidepoint(happened.pos):
            return state, Wanted.TRY
    if happened.type != pygame.KEYDOWN:
        return state, Wanted.NOTHING
    if happened.key in KEYS:
        return moved(state, KEYS[happened.key]), Wanted.NOTHING
    asked = {
        pygame.K_RETURN: Wanted.DO,
        pygame.K_KP_ENTER: Wanted.DO,
        pygame.K_SPACE: Wanted.DO,
        pygame.K_t: Wanted.TRY,
        pygame.K_ESCAPE: Wanted.LEAVE,
    }
    return state, asked.get(happened.key, Wanted.NOTHING)


def _row(sizes: Sizes, task: Task) -> Rect:
    top = 0.115 + 0.174 * task.value
    return sizes.area(0.05, top, 0.95, top + 0.168)


def _foot(sizes: Sizes) -> Rect:
    return sizes.area(0.05, 0.815, 0.95, 0.9)


def draw_guide(surface: Surface, state: GuideState) -> Canvas:
    """The whole screen; the canvas, for the tests."""
    canvas = begin_on(surface, NIGHT)
    canvas.text("First steps", canvas.area(0.05, 0.01, 0.6, 0.11), size=0.09, align="left")
    for task in Task:
        _draw_step(canvas, state, task)
    if state.trouble:
        canvas.text(state.trouble, canvas.area(0.05, 0.815, 0.95, 0.99), colour=ORANGE, lines=3)
        return canvas
    foot = _foot(canvas)
    canvas.panel(foot, NIGHT, DUSK)
    canvas.text(
        "T: no board yet? See it simulated", foot.inflate(-canvas.px(0.04), 0), size=0.055,
        colour=SKY,
    )  # fmt: skip
    canvas.text(
        "Enter does it · Esc: to the gym screen", canvas.area(0.05, 0.905, 0.93, 0.99),
        colour=MIST,
    )  # fmt: skip
    return canvas


def _draw_step(canvas: Canvas, state: GuideState, task: Task) -> None:
    area = _row(canvas, task)
    done, chosen = state.done(task), task is state.chosen
    canvas.panel(area, INK, GOLD if chosen else DUSK)
    side = canvas.px(0.1)
    sign = Rect(area.x + canvas.px(0.02), area.centery - side // 2, side, side)
    if done:
        draw_tick(canvas, sign.inflate(-side // 4, -side // 4), SKY)
    else:
        radius = side // 2
        colour = GOLD if task is state.due else DUSK
        pygame.draw.circle(canvas.surface, colour, sign.center, radius, max(2, canvas.px(0.006)))
        canvas.text(str(task.value + 1), sign, size=0.065, name=True)
    left = sign.right + canvas.px(0.03)
    # On a narrow screen the words below the title take two lines.
    air = canvas.px(0.024 if canvas.width > 1.5 * canvas.height else 0.003)
    words = Rect(left, area.y + air, area.right - left - canvas.px(0.02), 0)
    title = Rect(words.x, words.y, words.width, canvas.px(0.056))
    canvas.text(_TITLES[task], title, size=0.055, colour=PAPER, align="left")
    rest = Rect(words.x, title.bottom, words.width, area.bottom - title.bottom - canvas.px(0.002))
    live = done or state.can(task) or task is state.due
    canvas.text(state.line(task), rest, colour=SKY if done else GOLD if live else MIST,
                align="left", upright="top", lines=2)  # fmt: skip
