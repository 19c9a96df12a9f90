"""``swaytrainer board``: how a board is, live in a terminal or on a screen, once in a pipe."""

from __future__ import annotations

import argparse
import math
import shutil
import sys
import time
from collections.abc import Callable
from typing import Final, Protocol, TextIO

from swaytrainer.app.board_table import head_lines, report_lines
from swaytrainer.board.arrivals import Arrival
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.store.home import Home

#: How long a pipe's report listens.
_LISTEN_S: Final = 5.0
#: A figure that changes faster can't be read.
_REFRESH_S: Final = 0.25
#: As often as a training screen takes what has come, so that "queue" means the same.
_BEAT_S: Final = 1.0 / 60.0


class _Shown(Protocol):
    """Where the watch is shown, beat by beat."""

    def beat(self, watch: BoardWatch, now_s: float, /) -> bool:
        """Show it and wait for the next beat; False to end."""

    def close(self) -> None:
        """Leave everything as it was."""


def board(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status."""
    from swaytrainer.app.board_finder import urls_to_try
    from swaytrainer.board.link import Link, find_board

    seconds = options.seconds
    if seconds is not None and not (math.isfinite(seconds) and seconds > 0.0):
        raise SwaytrainerError(
            f"Nobody can listen for {seconds:g} s.", "Give --seconds above 0, or leave it out."
        )
    found = find_board(urls_to_try(options.port), time.monotonic)
    calibration, trouble = _calibration(home, found.hello.board_id)
    head = [*head_lines(found.hello, found.url, calibration), *trouble]
    watch = BoardWatch(found.hello, calibration)
    # Before the link: what piles up while a window opens is no delay of the board's.
    try:
        shown = _shown(options, head)
    except SwaytrainerError:
        found.port.close()
        raise
    link = Link(found, time.monotonic)
    interrupted = False
    try:
        _watch(link.poll, watch, shown, _end_s(seconds, isinstance(shown, _Pipe)))
    except KeyboardInterrupt:
        interrupted = True
    finally:
        link.close()
        shown.close()
    print("\n".join([*head, *report_lines(watch.report())]))
    # In a live table Ctrl-C is the way to end it, in a pipe it breaks off.
    return 130 if interrupted and isinstance(shown, _Pipe) else 0


def _calibration(home: Home, board_id: str) -> tuple[BoardCalibration | None, list[str]]:
    try:
        return home.calibration(board_id), []
    except SwaytrainerError as error:
        return None, [f"  The calibration is of no use: {error}"]


def _end_s(seconds: float | None, pipe: bool) -> float:
    if seconds is None:
        seconds = _LISTEN_S if pipe else math.inf
    return time.monotonic() + seconds


def _watch(
    poll: Callable[[], list[Arrival]], watch: BoardWatch, shown: _Shown, end_s: float
) -> None:
    while (now_s := time.monotonic()) < end_s:
        for item in poll():
            watch.feed(item)
        watch.worked_off(time.monotonic())
        if not shown.beat(watch, now_s):
            return


def _shown(options: argparse.Namespace, head: list[str]) -> _Shown:
    if options.screen:
        return _Screened(options)
    return _Table(sys.stdout, head) if sys.stdout.isatty() else _Pipe()


class _Pipe:
    """Shows nothing on the way."""

    def beat(self, _watch: BoardWatch, _now_s: float) -> bool:
        time.sleep(_BEAT_S)
        return True

    def close(self) -> None:
        pass


class _Table:
    """Draws the table anew four times a second, on the terminal's other page."""

    def __init__(
        self,
        out: TextIO,
        head: list[str],
        size: Callable[[], tuple[int, int]] = shutil.get_terminal_size,
    ) -> None:
        self._out = out
        self._head = head
        self._size = size
        self._due_s = -math.inf
        # The other page of a terminal (ECMA-48 with the private modes that all common ones know):
        # what stood there before comes back at the end.
        out.write("\x1b[?1049h\x1b[?25l\x1b[2J")

    def beat(self, watch: BoardWatch, now_s: float) -> bool:
        if now_s >= self._due_s:
            self._due_s = now_s + _REFRESH_S
            columns, rows = self._size()
            lines = [*self._head, *report_lines(watch.report()), "", "  Ctrl-C ends."]
            # Line by line over the old ones: nothing flickers as it would after a clearing.
            kept = [line[: columns - 1] + "\x1b[K" for line in lines[: rows - 1]]
            self._out.write("\x1b[H" + "\r\n".join(kept) + "\x1b[J")
            self._out.flush()
        time.sleep(_BEAT_S)
        return True

    def close(self) -> None:
        self._out.write("\x1b[?25h\x1b[?1049l")
        self._out.flush()


class _Screened:
    """Draws on a window; the figures change four times a second, the point moves at once."""

    def __init__(self, options: argparse.Namespace) -> None:
        from swaytrainer.app.screen import Screen
        from swaytrainer.app.window import Window, display_missing
        from swaytrainer.games.help_pages import BOARD

        self._screen = Screen(Window(display_missing(), options.full_screen), BOARD)
        self._due_s = -math.inf

    def beat(self, watch: BoardWatch, now_s: float) -> bool:
        from swaytrainer.games.condition import draw_condition

        if now_s >= self._due_s:
            self._due_s = now_s + _REFRESH_S
            self._report = watch.report()
        return not self._screen.frame(
            lambda surface: draw_condition(surface, self._report, watch.calibration, watch.cop)
        ).left

    def close(self) -> None:
        self._screen.close()
