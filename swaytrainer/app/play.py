"""The loop that all share: inputs in, sitting and recording fed, picture and sound out."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple, Protocol

import pygame

from swaytrainer.app.window import Window
from swaytrainer.games.help_pages import REPLAY, TRIAL, Help
from swaytrainer.games.stage import Stage
from swaytrainer.sitting.inputs import Asked, Input, Wish
from swaytrainer.sitting.view import Event, Phase, View
from swaytrainer.sound.device import Mixer
from swaytrainer.sound.player import Player
from swaytrainer.store.session import Session
from swaytrainer.training.choosing import Move


class Source(Protocol):
    """Where inputs come from: a link, or a recording."""

    def poll(self) -> Iterable[Input]:
        """All that has come since the last call."""


def open_player(
    mute: bool, volume: float = 1.0, device: str | None = None, language: str | None = None
) -> Player:
    """A player, its device open if there is one and it is wanted.

    Args:
        mute: nothing is to be heard.
        volume: 0 to 1.
        device: a part of the sound device's name; None for the usual one.
        language: of the voice; None for the one in use.

    Raises:
        SwaytrainerError: no such volume, or no such device.
    """
    player = Player(volume, Mixer(device), language)
    if not mute:
        player.open()
        if player.silent_reason:
            print(f"Training goes on in silence: {player.silent_reason}")
    return player


@dataclass(frozen=True, slots=True)
class Played:
    """How the loop ended: the last view, and whether the whole program is to end."""

    view: View
    quit: bool


def play(
    session: Session,
    source: Source,
    window: Window,
    player: Player,
    seed: int,
    clock: Callable[[], float],
    until: Callable[[list[Event]], bool],
    on_frame: Callable[[list[Event], View], None] | None = None,
    live: bool = True,
    farewell: Callable[[], str] = lambda: "",
    advises: bool = True,
    occasion: str = "",
) -> Played:
    """Run one sitting on a window until it is left.

    Args:
        session: the sitting and its recording.
        source: polled once a frame, right before it is drawn.
        window, player: the edges.
        seed: of the game's own choices.
        clock: host time in s, for wishes.
        until: asked with each frame's events whether to stop.
        live: wishes reach the sitting. In a recording they would change what happened: there,
            escape just leaves.
        farewell: asked what stands above the marks at the end; empty for an invitation to another
            go.
        advises: a mark has advice beside it; a competition's has not.
        occasion: what the trial is for, as a ``View`` has it.
        on_frame: told each frame's events and view, after it was drawn and before it is shown.
    """
    feet = session.sitting.feet

    def new_stage() -> Stage:
        return Stage(window.surface, seed, feet, farewell=farewell, advises=advises)

    stage = new_stage()
    while True:
        window.wait()
        hand = _hand(window, session, player, clock, live)
        if hand.resized:
            stage = new_stage()
        events: list[Event] = []
        for item in (*hand.wishes, *source.poll()):
            events.extend(session.feed(item))
        session.keep_up(clock())
        for event in events:
            stage.notice(event)
            player.notice(event)
        view = session.sitting.view()
        if occasion:
            view = replace(view, occasion=occasion)
        if session.trouble is not None:
            view = replace(view, warnings=(session.trouble, *view.warnings))
        unheard = player.trouble(view)
        if unheard is not None:
            view = replace(view, warnings=(*view.warnings, unheard))
        # Heard before it is drawn: the tone's next block does not wait for the picture.
        now_s = time.monotonic()
        player.tick(view, now_s)
        stage.draw(view, now_s)
        for _ in range(stage.arrived):
            player.greet()
        if on_frame is not None:
            on_frame(events, view)
        window.help = _help(view.phase) if live else REPLAY
        window.show()
        if hand.leave or until(events):
            return Played(view, hand.quit)


#: Nothing may cover the screen of somebody who must see it to stand safely.
_NOTHING_OVER_IT: Final = (
    Phase.SETTLING, Phase.COUNTDOWN, Phase.LESSON, Phase.RUNNING, Phase.OFF,
)  # fmt: skip


def _help(phase: Phase) -> Help | None:
    return None if phase in _NOTHING_OVER_IT else TRIAL


class _Hand(NamedTuple):
    """What keys and pointer asked for within a frame."""

    wishes: list[Asked]
    leave: bool
    quit: bool
    resized: bool


def _hand(
    window: Window, session: Session, player: Player, clock: Callable[[], float], live: bool
) -> _Hand:
    wishes: list[Asked] = []
    asked: list[Wish | None] = []
    leave = quit_all = resized = False
    heard = window.events()
    for happened in heard:
        if happened.type == pygame.QUIT:
            leave = quit_all = True
        elif happened.type == pygame.VIDEORESIZE:
            window.surface = pygame.display.get_surface() or window.surface
            resized = True
        elif happened.type in (pygame.AUDIODEVICEADDED, pygame.AUDIODEVICEREMOVED):
            _sound_device(player, happened)
        else:
            asked.append(_wish(happened))
    asked += [_PAD.get(move) for move in window.moves(heard)]
    for wish in asked:
        if wish is Wish.ABORT and not (live and session.sitting.can_abort):
            leave = True
        elif wish is not None and live:
            wishes.append(Asked(clock(), wish))
    return _Hand(wishes, leave, quit_all, resized)


_PAD: Final = {Move.TAKE: Wish.SKIP, Move.BACK: Wish.ABORT}
#: SDL numbers the devices that were opened from here; one that was not has none.
_OPENED_FROM: Final = 2


def _sound_device(player: Player, happened: pygame.event.Event) -> None:
    """A sound device was plugged in or pulled out: the training goes on either way."""
    if happened.iscapture:
        return
    before = player.silent_reason
    if happened.type == pygame.AUDIODEVICEADDED:
        player.device_came()
    elif happened.which >= _OPENED_FROM:
        player.device_gone()
    if player.silent_reason != before:
        reason = player.silent_reason
        print(f"Training goes on in silence: {reason}" if reason else "The sound is back.")


def _wish(happened: pygame.event.Event) -> Wish | None:
    if happened.type == pygame.KEYDOWN:
        if happened.key == pygame.K_ESCAPE:
            return Wish.ABORT
        if happened.key in (pygame.K_SPACE, pygame.K_RETURN, pygame.K_KP_ENTER):
            return Wish.SKIP
    if happened.type == pygame.MOUSEBUTTONDOWN:
        # Left: go on; right: break off.
        return {1: Wish.SKIP, 3: Wish.ABORT}.get(happened.button)
    return None
