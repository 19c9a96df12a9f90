"""The gym's board: found, heard all the time, and what it needs told in a line.

Between sittings its inputs go into a session that records nothing and holds them; a sitting begins
with what is held, so that its recording has the empty board before it.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import datetime
from typing import Final, NamedTuple

from swaytrainer.app.board_finder import BoardFinder
from swaytrainer.board.calibration import Loads
from swaytrainer.board.link import Link, NoPortError
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Asked, BoardFacts, Wish
from swaytrainer.sitting.sitting import Setup
from swaytrainer.sitting.view import Happening
from swaytrainer.store.home import Home
from swaytrainer.store.session import Session
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say

#: How long each caution stays on the gym screen.
_CAUTION_S: Final = 8.0


class BoardLine(NamedTuple):
    """Whether a trial can begin, the board in one line, and what to do about it."""

    ok: bool
    line: str
    what_to_do: str


class GymBoard:
    """See the module.

    Args:
        home: the data folder: calibrations, found feet, recordings.
        port: where the board is; None to look everywhere.
        now: the wall clock.
    """

    def __init__(self, home: Home, port: str | None, now: Callable[[], datetime]) -> None:
        self._home = home
        self._port = port
        self._now = now
        self._finder: BoardFinder | None = BoardFinder(port, time.monotonic)
        self._calibration: BoardCalibration | None = None
        self._tare: Loads | None = None
        self._line = BoardLine(
            False, "Looking for the board …", "Plug it in and leave it empty for a moment."
        )
        self._trouble: tuple[str, str] | None = None
        self.link: Link | None = None
        self.session: Session | None = None

    def close(self) -> None:
        """Let it go."""
        if self._finder is not None:
            self._finder.close()
        if self.link is not None:
            self.link.close()

    @property
    def occupied(self) -> bool:
        """Somebody is on the board."""
        return self.session is not None and self.session.sitting.on_board

    def listen(self, vaulter: Vaulter, level: Level) -> bool:
        """Take what has come; True when somebody has stepped on.

        Args:
            vaulter, level: who and what is expected, for the session that only listens.
        """
        if self._finder is not None:
            self._found()
        if self.link is None:
            return False
        if self.session is None:
            self.session = self._listening(vaulter, level)
        stepped_on = False
        for item in self.link.poll():
            if self.session is None:
                continue
            events = self.session.feed(item)
            if any(event.happening is Happening.STEPPED_ON for event in events):
                # Nothing begins before it is known who stands there, and what comes next.
                self.session.feed(Asked(item.host_s, Wish.ABORT))
                stepped_on = True
        return stepped_on

    def begin(
        self,
        vaulter: Vaulter,
        level: Level,
        lesson: bool,
        usual_n: float | None,
        at_once: bool = True,
    ) -> Session | None:
        """A recorded sitting; whoever stands on the board begins, else the next who steps on.

        Args:
            vaulter, level: who and what.
            lesson: the game is to be tried first.
            usual_n: the vaulter's usual weight, None if it is not known.
            at_once: no need to step off first.
        """
        setup = self._setup(vaulter, level, lesson, usual_n)
        if self.session is None or setup is None:
            return None
        session = self.session.rebegun(setup, self._home.new_recorder)
        if at_once:
            session.feed(Asked(time.monotonic(), Wish.BEGIN))
        self.session = None
        return session

    def end(self, session: Session) -> None:
        """A sitting is over: its recording is closed, and the board is listened to again."""
        self._tare = session.sitting.tare_n
        try:
            session.close()
        except SwaytrainerError as error:
            # Told on the terminal too: the screen has the board's state to show.
            print(error, file=sys.stderr)
            self._trouble = ("The last recording is not whole.", str(error))
        self.session = self._listening(session.sitting.setup.vaulter, session.sitting.setup.level)

    def told(self, level: Level | None, coach: tuple[str, str] | None) -> BoardLine:
        """What stands on the screen about the board.

        Args:
            level: the chosen one, whose cautions are shown in turn when all is well.
            coach: another trouble, and what to do about it.
        """
        if self.session is None:
            return self._line
        view = self.session.sitting.view()
        # Somebody who stands there is being asked: that is no trouble of the board's.
        warnings = () if self.occupied and view.signal.connected else view.warnings
        ok = view.signal.connected and self.session.sitting.tare_n is not None
        trouble = self._trouble or coach
        if not view.signal.connected:
            told = ("The board's signal is lost.", "Plug it in again: it goes on by itself.")
        elif trouble is not None:
            told = trouble
        elif warnings:
            told = ("The board needs you.", warnings[0])
        elif not ok:
            told = ("The board is finding its zero.", "Leave it empty for a second.")
        else:
            line = say("Board ready · {rate:.0f} samples a second", rate=view.signal.rate_hz)
            # The cautions are read here too, whenever the screen is looked at.
            cautions = level.cautions if level is not None else ()
            turn = int(time.monotonic() / _CAUTION_S) % (len(cautions) + 1)
            told = (line, cautions[turn - 1] if turn else "Clear floor, mat, bare feet? Step on.")
        return BoardLine(ok, *told)

    def _found(self) -> None:
        finder = self._finder
        assert finder is not None
        found = finder.take()
        if found is None:
            if isinstance(finder.trouble, NoPortError):
                to_do = "Plug it in and leave it empty. No board yet? G shows you all of it."
                self._line = BoardLine(False, "No board is plugged in.", to_do)
            elif finder.trouble is not None:
                self._line = BoardLine(False, finder.trouble.what, finder.trouble.remedy)
            return
        self._finder = None
        board_id = found.hello.board_id
        line: str = say("Board {board} has no calibration yet.", board=board_id)
        to_do = "Press G: it is taught its newtons in three minutes."
        try:
            self._calibration = self._home.calibration(board_id)
        except SwaytrainerError as error:
            line, to_do = error.what, error.remedy
        self._line = BoardLine(False, line, to_do)
        port = self._port
        self.link = Link(found, time.monotonic, (lambda: [port]) if port else None)

    def _listening(self, vaulter: Vaulter, level: Level) -> Session | None:
        setup = self._setup(vaulter, level)
        if setup is None:
            return None
        try:
            return Session(setup, None, self._now, hold=True)
        except SwaytrainerError as error:
            self._line = BoardLine(False, error.what, error.remedy)
            return None

    def _setup(
        self, vaulter: Vaulter, level: Level, lesson: bool = False, usual_n: float | None = None
    ) -> Setup | None:
        if self.link is None or self._calibration is None:
            return None
        hello = self.link.hello
        return Setup(
            self._calibration,
            level,
            vaulter,
            BoardFacts(hello.board_id, hello.rate_hz, hello.cells),
            self._tare,
            self._home.best_mark(level, vaulter, hello.rate_hz),
            self._feet(level, vaulter),
            lesson=lesson,
            usual_n=usual_n,
        )

    def _feet(self, level: Level, vaulter: Vaulter) -> FoundFeet | None:
        try:
            return self._home.found_feet(vaulter.name, level.stance)
        except SwaytrainerError as error:
            # A damaged file must not keep anybody from training: the ruler's feet will do.
            self._trouble = ("The feet that were found can't be used.", str(error))
            return None
