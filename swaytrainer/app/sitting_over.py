"""When a sitting in the gym is over, and what comes after it."""

from __future__ import annotations

import time
from typing import Final

from swaytrainer.app.choices import Shelf
from swaytrainer.sitting.view import Event, Happening
from swaytrainer.store.session import Session
from swaytrainer.training.level import Level

#: How often the folder of levels is looked at.
RELOAD_S: Final = 1.0
#: Whoever is still on the board after the last trial is asked what comes next after this.
_ASK_AFTER_S: Final = 6.0
#: So long the marks of a sitting are shown when nobody steps on again.
_LOOK_AT_MARKS_S: Final = 12.0
#: And so long where somebody else is called: an evening has many sittings.
_WAITED_FOR_S: Final = 5.0


class SittingOver:
    """Whether a sitting is over: all is done, and somebody stands there to be asked, or nobody.

    Between two trials it also looks whether the level's file was changed.

    Args:
        session: the sitting's.
        shelf: of the levels.
        waited_for: somebody else is called next.

    Attributes:
        came_back: somebody stands there.
        level: the level as it is now, where it was changed.
    """

    def __init__(self, session: Session, shelf: Shelf, waited_for: bool = False) -> None:
        self._session = session
        self._shelf = shelf
        self._look_s = _WAITED_FOR_S if waited_for else _LOOK_AT_MARKS_S
        self._since_s: float | None = None
        self._looked_s = time.monotonic()
        self.came_back = False
        self.level: Level | None = None

    def __call__(self, events: list[Event]) -> bool:
        """Whether to end it; asked once a frame with what has happened."""
        for event in events:
            if event.happening is Happening.FINISHED:
                self._since_s = time.monotonic()
            elif event.happening is Happening.STEPPED_ON and self._since_s is not None:
                self.came_back = True
        if self._since_s is None:
            return self._changed()
        if self.came_back:
            return True
        looked_s = time.monotonic() - self._since_s
        if self._session.sitting.on_board:
            self.came_back = looked_s > _ASK_AFTER_S
            return self.came_back
        return looked_s > self._look_s

    def _changed(self) -> bool:
        sitting = self._session.sitting
        if time.monotonic() - self._looked_s < RELOAD_S or not sitting.between_trials:
            return False
        self._looked_s = time.monotonic()
        if not self._shelf.refresh():
            return False
        known = sitting.setup.level
        now = next((level for level in self._shelf.levels if level.id == known.id), known)
        self.level = now if now != known else None
        return self.level is not None
