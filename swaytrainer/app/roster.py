"""Who may train here: the list of vaulters, which may change while the gym's screen is open."""

from __future__ import annotations

from collections.abc import Callable, Collection

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter


class Roster:
    """The vaulters' file, read again whenever it has changed; its last good version stays.

    Args:
        home: the data folder.
        entered: the names of those who take part; None for all.
        otherwise: who stands for the squad while nobody is listed.

    Attributes:
        trouble: a sentence where the file can't be used any more, else None.

    Raises:
        SwaytrainerError: the file can't be used to begin with.
    """

    def __init__(
        self,
        home: Home,
        entered: Callable[[], Collection[str]] | None = None,
        otherwise: tuple[Vaulter, ...] = (),
    ) -> None:
        self._home = home
        self._entered = entered
        self._otherwise = otherwise
        self._stamp = home.vaulters_stamp()
        self._all = tuple(home.vaulters())
        self.trouble: str | None = None

    @property
    def vaulters(self) -> tuple[Vaulter, ...]:
        """Who takes part, in the file's order."""
        if self._entered is None:
            return self._all or self._otherwise
        entered = set(self._entered())
        return tuple(v for v in self._all if v.name in entered) or self._otherwise

    @property
    def names(self) -> tuple[str, ...]:
        """Of all who are listed."""
        return tuple(v.name for v in self._all)

    def refresh(self) -> None:
        """Read the file again if it has changed."""
        stamp = self._home.vaulters_stamp()
        if stamp == self._stamp:
            return
        self._stamp = stamp
        try:
            self._all, self.trouble = tuple(self._home.vaulters()), None
        except SwaytrainerError as error:
            self.trouble = error.told
