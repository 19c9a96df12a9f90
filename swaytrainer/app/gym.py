"""``swaytrainer`` alone: the gym screen, from which a vaulter trains without touching anything."""

from __future__ import annotations

import argparse
import sys
import time
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import pygame

from swaytrainer.app.board_finder import BoardFinder
from swaytrainer.app.play import open_player, play
from swaytrainer.app.window import Window, display_missing
from swaytrainer.board.calibration import Loads
from swaytrainer.board.link import Link
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.gym import KEYS, Decision, GymState, handle, hit
from swaytrainer.games.stage import draw_gym
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Happening
from swaytrainer.sound.player import Player
from swaytrainer.store.home import Home
from swaytrainer.store.session import Session
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import GUEST, Vaulter
from swaytrainer.words import say

#: How long each caution stays on the gym screen.
_CAUTION_S: Final = 5.0


@dataclass(frozen=True, slots=True)
class Choices:
    """Who and what there is to choose from, and what the options chose."""

    vaulters: tuple[Vaulter, ...]
    levels: tuple[Level, ...]
    vaulter: int
    level: int
    troubles: tuple[str, ...]


def choices(home: Home, options: argparse.Namespace) -> Choices:
    """Read vaulters and levels.

    Raises:
        SwaytrainerError: there is no such vaulter or level, or the vaulters' file is wrong.
    """
    vaulters = tuple(home.vaulters()) or (GUEST,)
    levels, troubles = home.levels()
    offered = tuple(level for level in levels if options.spotter or not level.spotter)
    names = [v.name for v in vaulters]
    ids = [level.id for level in offered]
    if options.vaulter is not None and options.vaulter not in names:
        raise SwaytrainerError(
            f"There is no vaulter {options.vaulter!r}; there are {', '.join(names)}.",
            f"Add one: swaytrainer vaulter {options.vaulter!r} --foot-length MM",
        )
    if options.level is not None and options.level not in ids:
        needs = any(level.id == options.level for level in levels)
        if troubles and not needs:
            # Most likely it is in one of the files that can't be read.
            raise SwaytrainerError(f"Level {options.level!r} is not there.", " ".join(troubles))
        raise SwaytrainerError(
            f"Level {options.level!r} "
            + ("needs a spotter." if needs else f"is not there; there are {', '.join(ids)}."),
            "Ask a coach to stand by and start with --spotter."
            if needs
            else "Choose one of these, or look for a mistake in the file's name.",
        )
    return Choices(
        vaulters,
        offered,
        names.index(options.vaulter) if options.vaulter else 0,
        ids.index(options.level) if options.level else 0,
        tuple(troubles),
    )


def gym(options: argparse.Namespace) -> int:
    """Open the gym screen and stay until it is left."""
    home = Home(options.home) if options.home else Home.usual()
    there = choices(home, options)
    window = Window(off_screen=display_missing(), full_screen=options.full_screen)
    player = open_player(options.mute, options.volume, options.sound_device, options.language)
    if window.off_screen:
        print("No display: the gym screen runs off screen. Ctrl-C ends it.")
    for trouble in there.troubles:
        print(trouble)
    with ExitStack() as closing:
        # Each is closed whatever another's closing says.
        closing.callback(window.close)
        closing.callback(player.close)
        room = _Gym(home, options.port, there, window, player)
        closing.callback(room.close)
        room.run()
    return 0


class _Gym:
    def __init__(
        self,
        home: Home,
        port: str | None,
        there: Choices,
        window: Window,
        player: Player,
    ) -> None:
        self._home = home
        self._port = port
        self._window = window
        self._player = player
        self._finder: BoardFinder | None = BoardFinder(port, time.monotonic)
        self._link: Link | None = None
        self._calibration: BoardCalibration | None = None
        self._session: Session | None = None
        self._tare: Loads | None = None
        self._seed = 0
        self._trouble: tuple[str, str] | None = None
        self._state = GymState(
            board_line="Looking for the board …",
            board_ok=False,
            what_to_do="Plug it in and leave it empty for a moment.",
            vaulters=there.vaulters,
            levels=there.levels,
            chosen_vaulter=there.vaulter,
            chosen_level=there.level,
        )
        if there.troubles:
            self._state = replace(self._state, board_line=there.troubles[0])

    def close(self) -> None:
        """Let the board and the recording go.

        Raises:
            SwaytrainerError: the end of a recording could not be written.
        """
        if self._finder is not None:
            self._finder.close()
        if self._link is not None:
            self._link.close()
        if self._session is not None:
            self._session.close()

    def run(self) -> None:
        """Until somebody leaves."""
        while True:
            self._window.wait()
            for happened in self._window.events():
                self._heed(happened)
            if self._state.decision is Decision.QUIT:
                return
            stepped_on = self._listen()
            draw_gym(self._window.surface, self._state)
            self._window.show()
            if stepped_on or self._state.decision is Decision.GO:
                self._state = replace(self._state, decision=Decision.NONE)
                if self._train():
                    return

    def _heed(self, happened: pygame.event.Event) -> None:
        action = None
        if happened.type == pygame.QUIT:
            self._state = replace(self._state, decision=Decision.QUIT)
        elif happened.type == pygame.VIDEORESIZE:
            self._window.surface = pygame.display.get_surface() or self._window.surface
        elif happened.type == pygame.KEYDOWN:
            action = KEYS.get(happened.key)
        elif happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
            action = hit(self._window.surface.get_size(), happened.pos)
        if action is None:
            return
        before = (self._state.chosen_vaulter, self._state.chosen_level)
        self._state = handle(self._state, action)
        if (self._state.chosen_vaulter, self._state.chosen_level) != before:
            self._begin()

    def _listen(self) -> bool:
        """Hear the board; True when somebody has stepped on it."""
        if self._finder is not None:
            self._found()
        if self._link is None:
            return False
        stepped_on = False
        for item in self._link.poll():
            if self._session is None:
                continue
            events = self._session.feed(item)
            stepped_on |= any(e.happening is Happening.STEPPED_ON for e in events)
        self._describe()
        return stepped_on

    def _found(self) -> None:
        finder = self._finder
        assert finder is not None
        found = finder.take()
        if found is None:
            if finder.trouble is not None:
                self._state = replace(
                    self._state, board_line=finder.trouble.what, what_to_do=finder.trouble.remedy
                )
            return
        self._finder = None
        board_id = found.hello.board_id
        line = say("Board {board} has no calibration yet.", board=board_id)
        to_do = "Close this and run: swaytrainer calibrate --mass KG"
        try:
            self._calibration = self._home.calibration(board_id)
        except SwaytrainerError as error:
            line, to_do = error.what, error.remedy
        if self._calibration is None:
            self._state = replace(self._state, board_line=line, what_to_do=to_do)
        port = self._port
        self._link = Link(found, time.monotonic, (lambda: [port]) if port else None)
        self._begin()

    def _begin(self) -> None:
        """A fresh sitting for who and what is chosen."""
        vaulter, level = self._state.vaulter, self._state.level
        if self._session is not None:
            session, self._session = self._session, None
            self._tare = session.sitting.tare_n
            try:
                session.close()
            except SwaytrainerError as error:
                # Told on the terminal too: the screen has the board's state to show.
                print(error, file=sys.stderr)
                self._trouble = ("The last recording is not whole.", str(error))
        if self._link is None or self._calibration is None or vaulter is None or level is None:
            return
        hello = self._link.hello
        setup = Setup(
            self._calibration,
            level,
            vaulter,
            BoardFacts(hello.board_id, hello.rate_hz, hello.cells),
            self._tare,
            self._home.best_mark(level, vaulter, hello.rate_hz),
            self._feet(level, vaulter),
            lesson=not self._home.has_played(vaulter, level.game),
        )
        try:
            self._session = Session(
                setup, self._home.new_recorder, lambda: datetime.now().astimezone()
            )
        except SwaytrainerError as error:
            self._state = replace(
                self._state, board_ok=False, board_line=error.what, what_to_do=error.remedy
            )

    def _feet(self, level: Level, vaulter: Vaulter) -> FoundFeet | None:
        try:
            return self._home.found_feet(vaulter.name, level.stance)
        except SwaytrainerError as error:
            # A damaged file must not keep anybody from training: the ruler's feet will do.
            self._trouble = ("The feet that were found can't be used.", str(error))
            return None

    def _describe(self) -> None:
        if self._session is None:
            self._state = replace(self._state, board_ok=False)
            return
        view = self._session.sitting.view()
        ok = view.signal.connected and self._session.sitting.tare_n is not None
        if not view.signal.connected:
            line, to_do = "The board's signal is lost.", "Plug it in again: it goes on by itself."
        elif self._trouble is not None:
            line, to_do = self._trouble
        elif view.warnings:
            line, to_do = "The board needs you.", view.warnings[0]
        elif not ok:
            line, to_do = "The board is finding its zero.", "Leave it empty for a second."
        else:
            line = say("Board ready · {rate:.0f} samples a second", rate=view.signal.rate_hz)
            # The cautions are read here too: whoever just steps on sees no other screen before.
            level = self._state.level
            cautions = level.cautions if level is not None else ()
            turn = int(time.monotonic() / _CAUTION_S) % (len(cautions) + 1)
            to_do = cautions[turn - 1] if turn else "Clear floor, mat, bare feet? Then step on."
        self._state = replace(self._state, board_ok=ok, board_line=line, what_to_do=to_do)

    def _train(self) -> bool:
        """One sitting; True if the whole program is to end."""
        session, link = self._session, self._link
        if session is None or link is None:
            return False
        self._seed += 1
        played = play(
            session,
            link,
            self._window,
            self._player,
            self._seed,
            time.monotonic,
            until=lambda _events: False,
        )
        self._begin()
        return played.quit
