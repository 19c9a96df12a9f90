"""A link's arrivals, one after the other, for the commands that need no sitting of their own."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.board.calibration import Vector4
from swaytrainer.board.ear import Ear, Heard
from swaytrainer.board.pair import Plate
from swaytrainer.errors import SwaytrainerError

#: A board that says nothing for so long has gone.
GONE_AFTER_S = 5.0


def _pause() -> None:
    time.sleep(0.01)


class Arrivals:
    """A link's arrivals in pieces of one frame, so that one reader can stop and the next go on.

    Where one stops is then told by the bytes alone, not by how they happened to arrive.

    Args:
        poll: gives all that has come since its last call, without waiting.
    """

    def __init__(self, poll: Callable[[], list[Arrival]]) -> None:
        self._poll = poll
        self._pieces: deque[Arrival] = deque()

    def poll(self) -> list[Arrival]:
        """All that has come and was not taken piece by piece."""
        self._fetch()
        items = list(self._pieces)
        self._pieces.clear()
        return items

    def one_by_one(self, meanwhile: Callable[[], None] = _pause) -> Iterator[Arrival]:
        """Piece after piece, without end.

        Args:
            meanwhile: runs while there is none, and should wait a little: the place to draw a
                frame, and to raise what ends it.
        """
        while True:
            self._fetch()
            while self._pieces:
                yield self._pieces.popleft()
            meanwhile()

    def _fetch(self) -> None:
        for item in self._poll():
            if isinstance(item, Received):
                *whole, rest = item.data.split(b"\0")
                pieces = [piece + b"\0" for piece in whole] + ([rest] if rest else [])
                self._pieces.extend(Received(item.host_s, piece) for piece in pieces)
            else:
                self._pieces.append(item)


def samples_of(
    arrivals: Iterable[Arrival],
    rate_hz: float,
    board_id: str | None = None,
    plate: Plate | None = None,
) -> Iterator[Heard]:
    """Each sample that arrives, whatever its status.

    Args:
        arrivals: from one link.
        rate_hz: the board's nominal rate.
        board_id: only this board will do, if given.
        plate: of a board with two plates, the one to listen to.

    Raises:
        SwaytrainerError: the link breaks off, nothing comes for long, or it is another board.
    """
    ear = Ear(rate_hz, board_id, plate)
    for item in arrivals:
        if isinstance(item, LinkBroken) or (
            isinstance(item, Silence) and item.silent_s > GONE_AFTER_S
        ):
            raise SwaytrainerError(
                "The board's signal broke off.",
                "Check its cable, then start again; nothing was changed.",
            )
        if isinstance(item, Received):
            yield from ear.hear(item)


def counts_of(
    arrivals: Iterable[Arrival], rate_hz: float, board_id: str | None = None
) -> Iterator[tuple[float, Vector4]]:
    """Board time (s) and raw counts of each sample that has all four.

    Raises:
        SwaytrainerError: as ``samples_of``.
    """
    for heard in samples_of(arrivals, rate_hz, board_id):
        if not heard.status & wire.STATUS_NO_LOADS:
            yield heard.time_s, heard.counts
