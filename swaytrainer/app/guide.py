"""First steps on the gym's own window: find the board, teach it, add a vaulter, then train."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

import pygame

from swaytrainer.app.board_finder import BoardFinder
from swaytrainer.app.calibrate import Teaching, teach
from swaytrainer.app.screen import Screen
from swaytrainer.board.fit import Assumed
from swaytrainer.board.gravity import ANYWHERE_UNCERTAINTY_M_S2, STANDARD_GRAVITY
from swaytrainer.board.guided import check_masses
from swaytrainer.board.link import NoPortError, candidates, find_board
from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.entry import Entry, draw_entry
from swaytrainer.games.entry import heed as heed_entry
from swaytrainer.games.guide import GuideState, Task, Wanted, draw_guide
from swaytrainer.games.guide import heed as heed_guide
from swaytrainer.games.help_pages import ENTRY, GUIDE, TEACHING
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter, called
from swaytrainer.words import Name, say

if TYPE_CHECKING:
    from swaytrainer.app.window import Window
    from swaytrainer.board.wire import Hello

_MASS_KG: Final = "20"
_FOOT_MM: Final = f"{Vaulter('').foot_length_mm:g}"
_BLINK_S: Final = 0.6
_READ_EVERY_S: Final = 1.0
#: How well a kitchen or bathroom scale and a careful hand do it: as ``calibrate`` takes it too.
_MASS_WITHIN_KG: Final = 0.05
_PLACED_WITHIN_MM: Final = 1.5


def wants_guide(home: Home) -> bool:
    """Nothing is set up here yet: no board was ever taught, or nobody is in the list."""
    return not home.calibrated_boards() or not home.vaulters()


class Guide:
    """The screen and what it does.

    Args:
        home: the data folder.
        port: where the board is; None to look everywhere.
        window: to draw on; stays open.
        try_out: shows everything with a simulated board; True if the whole program is to end.
        now: the wall clock.
    """

    def __init__(
        self,
        home: Home,
        port: str | None,
        window: Window,
        try_out: Callable[[], bool],
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
    ) -> None:
        self._home = home
        self._port = port
        self._window = window
        self._try_out = try_out
        self._now = now
        self._finder: BoardFinder | None = None
        self._board: Hello | None = None
        self._url = ""
        self._read_s = -math.inf
        self._by_hand = False
        self._added: str | None = None
        self._state = GuideState("Looking for the board …")

    @property
    def state(self) -> GuideState:
        """What the screen shows."""
        return self._state

    def run(self) -> tuple[str | None, bool]:
        """Until the gym is wanted: who was added last, and whether the whole program is to end."""
        try:
            while True:
                self._window.wait()
                self._look()
                for happened in self._window.events():
                    self._resize(happened)
                    before = self._state.chosen
                    self._state, wanted = heed_guide(
                        self._state, happened, self._window.surface.get_size()
                    )
                    self._by_hand |= self._state.chosen is not before
                    if wanted is Wanted.LEAVE:
                        return self._added, happened.type == pygame.QUIT
                    if wanted is Wanted.TRY:
                        self._let_go()
                        if self._try_out():
                            return self._added, True
                    elif wanted is Wanted.DO and self._do():
                        return self._added, False
                draw_guide(self._window.surface, self._state)
                self._window.help = GUIDE
                self._window.show()
        except _ClosedError:
            return self._added, True
        finally:
            self._let_go()

    # What is there ------------------------------------------------------------------------------

    def _look(self) -> None:
        """Find the board; every second, see whether it is still there and what has changed."""
        if self._board is None:
            self._find()
        now_s = time.monotonic()
        if now_s - self._read_s < _READ_EVERY_S:
            return
        self._read_s = now_s
        if self._board is not None and self._port is None and self._url not in candidates():
            self._let_go()
        before = self._state
        names = tuple(v.name for v in self._home.vaulters())
        self._state = replace(before, vaulters=names, taught=self._taught())
        if not self._by_hand:
            self._state = replace(self._state, chosen=self._state.due)

    def _find(self) -> None:
        if self._finder is None:
            self._finder = BoardFinder(self._port, time.monotonic)
        found = self._finder.take()
        if found is not None:
            # Its bytes would pile up here: it is opened again by whoever reads them.
            found.port.close()
            self._finder, self._board, self._url = None, found.hello, found.url
            line = say(
                "Board {board} at {port}", board=Name(found.hello.board_id), port=Name(found.url)
            )
            self._state = replace(self._state, board=line, found=True)
            self._read_s = -math.inf
        elif isinstance(self._finder.trouble, NoPortError):
            self._state = replace(self._state, board="Plug it in, and leave it empty.")
        elif self._finder.trouble is not None:
            trouble = self._finder.trouble
            line = say("{what} {remedy}", what=trouble.what, remedy=trouble.remedy)
            self._state = replace(self._state, board=line)

    def _taught(self) -> str:
        if self._board is None:
            return ""
        try:
            calibration = self._home.calibration(self._board.board_id)
        except SwaytrainerError as error:
            self._state = replace(self._state, trouble=error.what)
            return ""
        if calibration is None:
            return ""
        return say("Taught on {day} · Enter does it again", day=f"{calibration.made:%Y-%m-%d}")

    def _let_go(self) -> None:
        """The next who wants the port finds it free."""
        if self._finder is not None:
            self._finder.close()
        self._finder = self._board = None
        self._state = replace(self._state, found=False, taught="", board="Looking for the board …")

    # What is done -------------------------------------------------------------------------------

    def _do(self) -> bool:
        """Do the chosen step; True to go to the gym. The next one is then chosen by itself."""
        self._by_hand = False
        state = self._state = replace(self._state, trouble="")
        if not state.can(state.chosen):
            self._state = replace(state, chosen=state.due)
            return False
        try:
            match state.chosen:
                case Task.NEWTONS:
                    self._teach()
                case Task.VAULTER:
                    self._add()
                case Task.MARK:
                    return True
                case _:
                    pass
        except SwaytrainerError as error:
            trouble = say("{what} {remedy}", what=error.what, remedy=error.remedy)
            self._state = replace(self._state, trouble=trouble)
        return False

    def _teach(self) -> None:
        board = self._board
        assert board is not None
        if board.cells != 4:
            raise SwaytrainerError(
                "This board has two plates, and each is taught by itself.",
                "Use 'swaytrainer calibrate --plate left', then right: see the README.",
            )
        self._home.check_writable()
        entry = Entry(
            "How heavy is your weight?",
            "Weigh something that can't roll or topple, 10 to 40 kg. Mind your back and your toes."
            " Nobody stands on the board now.",
            _MASS_KG,
            "kg",
            0.5,
        )

        def check(done: Entry) -> None:
            if done.number is None:
                raise SwaytrainerError("That is no number.", "Give the weight in kilograms.")
            try:
                check_masses([done.number])
            except SwaytrainerError:
                raise SwaytrainerError(
                    "A weight of 5 to 100 kg teaches a board.", "Give it in kilograms."
                ) from None

        asked = self._ask(entry, check)
        if asked is None or asked.number is None:
            return
        root3 = 3.0**0.5
        how = Teaching(
            (asked.number,),
            Assumed(
                STANDARD_GRAVITY,
                ANYWHERE_UNCERTAINTY_M_S2,
                mass_u_kg=_MASS_WITHIN_KG / root3,
                placing_u_mm=_PLACED_WITHIN_MM / root3,
            ),
        )
        url = self._url
        self._let_go()
        found = find_board([url], time.monotonic, board.board_id)
        teach(found, self._home, how, Screen(self._window, TEACHING))

    def _add(self) -> None:
        def name_free(done: Entry) -> None:
            name = done.text.strip()
            if not name:
                raise SwaytrainerError("There is no name yet.", "Type one; a pseudonym suffices.")
            if called(name, (v.name for v in self._home.vaulters())) is not None:
                raise SwaytrainerError(
                    say("There is already a vaulter called {name}.", name=Name(name)),
                    "Give another name.",
                )

        named = self._ask(
            Entry(
                "What is the vaulter called?",
                "A pseudonym suffices. It stays on this machine.",
            ),
            name_free,
        )
        if named is None:
            return
        name = named.text.strip()

        def foot_fits(done: Entry) -> None:
            length = done.number
            if length is None or not 120.0 <= length <= 330.0:
                raise SwaytrainerError("A foot is 120 to 330 mm long.", "Give it in millimetres.")

        measured = self._ask(
            Entry(
                "How long is the foot?",
                "From the heel to the longest toe, standing. Between heel and ball the toe share is"
                " reckoned; it can be measured better later.",
                _FOOT_MM,
                "mm",
                1.0,
            ),
            foot_fits,
        )
        if measured is None or measured.number is None:
            return
        self._home.add_vaulter(Vaulter(name, measured.number))
        self._added = name
        self._read_s = -math.inf

    def _ask(self, entry: Entry, check: Callable[[Entry], None]) -> Entry | None:
        """What was typed and passes the check; None if it was given up."""
        pygame.key.start_text_input()
        while True:
            self._window.wait()
            for happened in self._window.events():
                self._resize(happened)
                if happened.type == pygame.QUIT:
                    raise _ClosedError
                key = happened.key if happened.type == pygame.KEYDOWN else None
                if key == pygame.K_ESCAPE:
                    return None
                if key in (pygame.K_RETURN, pygame.K_KP_ENTER):
                    try:
                        check(entry)
                    except SwaytrainerError as error:
                        trouble = say("{what} {remedy}", what=error.what, remedy=error.remedy)
                        entry = replace(entry, trouble=trouble)
                    else:
                        return entry
                entry = heed_entry(entry, happened)
            blink = time.monotonic() % (2.0 * _BLINK_S) < _BLINK_S
            draw_entry(self._window.surface, entry, blink)
            self._window.help = ENTRY
            self._window.show()

    def _resize(self, happened: pygame.event.Event) -> None:
        if happened.type == pygame.VIDEORESIZE:
            self._window.surface = pygame.display.get_surface() or self._window.surface


class _ClosedError(Exception):
    """The window was closed while something was asked."""
