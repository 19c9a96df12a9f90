"""``swaytrainer`` alone: the gym screen, from which a vaulter trains without touching anything."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import pygame

from swaytrainer.app.board_finder import BoardFinder
from swaytrainer.app.coaching import Coaching
from swaytrainer.app.play import open_player, play
from swaytrainer.app.window import Window, display_missing
from swaytrainer.board.calibration import Loads
from swaytrainer.board.link import Link
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.gym import (
    KEYS,
    Action,
    Decision,
    GymState,
    choose_level,
    handle,
    hit,
    with_levels,
)
from swaytrainer.games.stage import draw_gym
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Happening
from swaytrainer.sound.player import Player
from swaytrainer.store.home import Home
from swaytrainer.store.level_shelf import LevelShelf
from swaytrainer.store.session import Session
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.ladder import Step
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter, offered
from swaytrainer.training.vaulter import GUEST, Vaulter
from swaytrainer.words import say

#: How long each caution stays on the gym screen.
_CAUTION_S: Final = 8.0
#: How often the folder of levels is looked at.
_RELOAD_S: Final = 1.0
#: Whoever was on the board has left it.
_LEFT: Final = frozenset({Happening.LEFT_EARLY, Happening.STEPPED_OFF, Happening.TRIAL_ENDED})


@dataclass(frozen=True, slots=True)
class Choices:
    """Who and what there is to choose from, and what the options chose."""

    vaulters: tuple[Vaulter, ...]
    levels: tuple[Level, ...]
    vaulter: int
    level: int
    shelf: LevelShelf
    spotter: bool = False
    level_given: bool = False


def choices(home: Home, options: argparse.Namespace) -> Choices:
    """Read vaulters and levels.

    Raises:
        SwaytrainerError: there is no such vaulter or level, or the vaulters' file is wrong.
    """
    vaulters = tuple(home.vaulters()) or (GUEST,)
    shelf = home.level_shelf()
    levels, troubles = shelf.levels, shelf.troubles
    there = offered(levels, options.spotter)
    names = [v.name for v in vaulters]
    ids = [level.id for level in there]
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
        there,
        names.index(options.vaulter) if options.vaulter else 0,
        ids.index(options.level) if options.level else 0,
        shelf,
        options.spotter,
        options.level is not None,
    )


def gym(options: argparse.Namespace) -> int:
    """Open the gym screen and stay until it is left."""
    home = Home(options.home) if options.home else Home.usual()
    there = choices(home, options)
    window = Window(off_screen=display_missing(), full_screen=options.full_screen)
    player = open_player(options.mute, options.volume, options.sound_device, options.language)
    if window.off_screen:
        print("No display: the gym screen runs off screen. Ctrl-C ends it.")
    for note in (*there.shelf.troubles, *there.shelf.notes):
        print(note)
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
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
    ) -> None:
        self._home = home
        self._port = port
        self._window = window
        self._player = player
        self._now = now
        self._shelf = there.shelf
        self._coaching = Coaching(home, now)
        self._finder: BoardFinder | None = BoardFinder(port, time.monotonic)
        self._link: Link | None = None
        self._calibration: BoardCalibration | None = None
        self._session: Session | None = None
        self._recorded = False
        self._tare: Loads | None = None
        self._seed = 0
        self._trouble: tuple[str, str] | None = None
        self._looked_s = self._changed_s = time.monotonic()
        self._state = GymState(
            board_line="Looking for the board …",
            board_ok=False,
            what_to_do="Plug it in and leave it empty for a moment.",
            vaulters=there.vaulters,
            levels=there.levels,
            chosen_vaulter=there.vaulter,
            chosen_level=there.level,
            every_level=self._shelf.levels,
            spotter=there.spotter,
        )
        self._note_files()
        self._look_back(choose=not there.level_given)

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
            self._reload()
            stepped_on = self._listen()
            shown_s = time.monotonic() - self._changed_s
            draw_gym(self._window.surface, replace(self._state, shown_s=shown_s))
            self._window.show()
            go = self._state.decision is Decision.GO
            self._state = replace(self._state, decision=Decision.NONE)
            if (go or stepped_on) and self._may_begin(go) and self._train():
                return

    # Keys ---------------------------------------------------------------------------------------

    def _heed(self, happened: pygame.event.Event) -> None:
        action = None
        if happened.type == pygame.QUIT:
            self._state = replace(self._state, decision=Decision.QUIT)
        elif happened.type == pygame.VIDEORESIZE:
            self._window.surface = pygame.display.get_surface() or self._window.surface
        elif happened.type == pygame.KEYDOWN:
            action = KEYS.get(happened.key)
        elif happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
            # While the cautions are read there is nothing else to hit.
            action = hit(self._window.surface.get_size(), happened.pos)
            action = Action.GO if self._state.reading else action
        if action is not None:
            before = self._state
            self._state = handle(before, action)
            self._follow(before)

    def _follow(self, before: GymState) -> None:
        """Begin anew where another vaulter or level was chosen."""
        after = self._state
        if after.reading != before.reading:
            self._changed_s = time.monotonic()
            if self._session is not None and (not after.reading or self._session.sitting.idle):
                self._begin()
        other = after.vaulter != before.vaulter
        if other or after.spotter != before.spotter:
            self._look_back(choose=other)
        elif after.level != before.level:
            self._suggest()
        if other or self._state.level != before.level:
            self._changed_s = time.monotonic()
            self._begin()

    # Levels, history, cautions ------------------------------------------------------------------

    def _reload(self) -> None:
        """Take over level files that were changed; a sitting under way keeps its level."""
        if time.monotonic() - self._looked_s < _RELOAD_S or self._state.reading:
            return
        self._looked_s = time.monotonic()
        if not self._shelf.refresh():
            return
        before = self._state
        self._state = with_levels(before, self._shelf.levels, before.spotter)
        self._note_files()
        self._suggest()
        if self._state.level != before.level:
            self._begin()

    def _note_files(self) -> None:
        notes = (*self._shelf.troubles, *self._shelf.notes)
        self._state = replace(self._state, notes=notes)

    def _look_back(self, choose: bool) -> None:
        """Read what the chosen vaulter has done; choose the level that comes next."""
        vaulter = self._state.vaulter
        if vaulter is None:
            return
        last = self._coaching.look_back(vaulter)
        if choose:
            # On the ladder of the game that was played last.
            self._state = choose_level(self._state, last)
        self._suggest()
        told = self._state.suggestion
        if choose and told is not None and told.step is not Step.DOWN:
            self._state = choose_level(self._state, told.level)
            self._suggest()

        self._tell_dose()

    def _tell_dose(self) -> None:
        if self._state.vaulter is not None:
            told = self._coaching.dose_and_stop(self._state.vaulter, self._state.level)
            self._state = replace(self._state, dose=told[0], stop=told[1])

    def _suggest(self) -> None:
        state = self._state
        told = self._coaching.suggestion(state.every_level, state.level, state.spotter)
        self._state = replace(state, suggestion=told)

    def _may_begin(self, go: bool) -> bool:
        """Whether the trial may begin; else the cautions are shown first.

        They were read when somebody said so, or has stepped on again. On what can throw somebody
        only a key counts: it is the spotter who presses it.
        """
        vaulter, level = self._state.vaulter, self._state.level
        if vaulter is None or level is None or not self._coaching.cautions_due(vaulter, level):
            return True
        before = self._state
        if not before.reading:
            self._state = replace(before, reading=True, on_board=not go)
            self._follow(before)
            return False
        if not go and needs_spotter(level):
            return False
        self._coaching.cautions_read(vaulter, level)
        self._state = replace(before, reading=False, due=False)
        self._changed_s = time.monotonic()
        if not self._recorded:
            self._begin()
        return True

    # The board ----------------------------------------------------------------------------------

    def _listen(self) -> bool:
        """Hear the board; True when somebody has stepped on it."""
        if self._finder is not None:
            self._found()
        if self._link is None:
            return False
        stepped_on = left = False
        for item in self._link.poll():
            if self._session is None:
                continue
            happenings = {e.happening for e in self._session.feed(item)}
            stepped_on |= Happening.STEPPED_ON in happenings
            left |= bool(happenings & _LEFT)
        if self._state.due and self._session is not None:
            on_board = not self._session.sitting.idle and not left
            self._state = replace(self._state, on_board=on_board)
            if left:
                self._begin()
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
        line: str = say("Board {board} has no calibration yet.", board=board_id)
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
        """A fresh sitting for who and what is chosen.

        As long as the cautions are due it is not recorded: it only tells who steps on and off.
        While they are read on a calm base it is, for there the next step onto the board begins.
        """
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
        due = self._coaching.cautions_due(vaulter, level)
        self._state = replace(self._state, due=due)
        if self._link is None or self._calibration is None or vaulter is None or level is None:
            return
        self._recorded = not due or (self._state.reading and not needs_spotter(level))
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
                setup, self._home.new_recorder if self._recorded else None, self._now
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
        self._tell_dose()
        if self._session is None:
            self._state = replace(self._state, board_ok=False)
            return
        view = self._session.sitting.view()
        ok = view.signal.connected and self._session.sitting.tare_n is not None
        if not view.signal.connected:
            line, to_do = "The board's signal is lost.", "Plug it in again: it goes on by itself."
        elif (trouble := self._trouble or self._coaching.trouble) is not None:
            line, to_do = trouble
        elif view.warnings:
            line, to_do = "The board needs you.", view.warnings[0]
        elif not ok:
            line, to_do = "The board is finding its zero.", "Leave it empty for a second."
        else:
            line = say("Board ready · {rate:.0f} samples a second", rate=view.signal.rate_hz)
            # The cautions are read here too, whenever the screen is looked at.
            level = self._state.level
            cautions = level.cautions if level is not None else ()
            turn = int(time.monotonic() / _CAUTION_S) % (len(cautions) + 1)
            to_do = cautions[turn - 1] if turn else "Clear floor, mat, bare feet? Then step on."
        self._state = replace(self._state, board_ok=ok, board_line=line, what_to_do=to_do)

    def _train(self) -> bool:
        """One sitting; True if the whole program is to end."""
        session, link, vaulter = self._session, self._link, self._state.vaulter
        if session is None or link is None or vaulter is None:
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
        if session.sitting.outcomes:
            self._coaching.sitting_ended(vaulter)
        self._begin()
        # After a sitting the level stays: what comes next is offered, not taken.
        self._look_back(choose=False)
        self._changed_s = time.monotonic()
        return played.quit
