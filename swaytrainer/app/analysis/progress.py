"""How far a long run is, on one line of a terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TextIO

_WIDTH: Final = 24


class ProgressLine:
    """A bar that is drawn over itself; nothing at all where there is no terminal, or one file only.

    Args:
        total: files in all.
        out: where to; only a terminal is written to.
        now: seconds, monotone.
    """

    def __init__(self, total: int, out: TextIO, now: Callable[[], float]) -> None:
        self._total = total
        self._out = out
        self._now = now
        self._began_s = now()
        self._shown = total > 1 and out.isatty()

    def show(self, done: int, name: str) -> None:
        """So many files are done, and this one is next."""
        if not self._shown:
            return
        filled = _WIDTH * done // self._total
        bar = "#" * filled + "." * (_WIDTH - filled)
        self._out.write(f"\r\x1b[K[{bar}] {done}/{self._total}{self._left(done)} {name[-40:]}")
        self._out.flush()

    def _left(self, done: int) -> str:
        if not done:
            return ""
        left_s = (self._now() - self._began_s) / done * (self._total - done)
        return f", about {left_s / 60.0:.0f} min left" if left_s >= 90 else f", {left_s:.0f} s left"

    def clear(self) -> None:
        """Take the line away, before anything else is printed."""
        if self._shown:
            self._out.write("\r\x1b[K")
            self._out.flush()
