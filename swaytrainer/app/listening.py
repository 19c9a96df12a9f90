"""From a link's arrivals to raw samples, for the commands that need no sitting."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.board.calibration import Vector4
from swaytrainer.board.clock import StreamClock
from swaytrainer.board.pair import Plate
from swaytrainer.errors import SwaytrainerError


class Heard(NamedTuple):
    """One sample that has arrived.

    Attributes:
        time_s: board time.
        counts: raw.
        status: the frame's bits.
        gap: the interval since the sample before is not to be bridged.
    """

    time_s: float
    counts: Vector4
    status: int
    gap: bool = False


class Ear:
    """Turns received bytes into samples, and keeps the counts of what went wrong.

    Attributes:
        decoder, clock: for their counters.

    Args:
        rate_hz: the board's nominal rate.
        board_id: only this board will do, if given.
        plate: of a board with two plates, the one to listen to.
    """

    def __init__(
        self, rate_hz: float, board_id: str | None = None, plate: Plate | None = None
    ) -> None:
        self.decoder = wire.Decoder()
        self.clock = StreamClock(rate_hz)
        self._board_id = board_id
        self._plate = plate

    def hear(self, item: Received) -> Iterator[Heard]:
        """Each sample in these bytes, whatever its status.

        Raises:
            SwaytrainerError: another board says hello.
        """
        for heard in self.decoder.feed(item.data):
            frame = heard
            if isinstance(heard, wire.PairSample) and self._plate is not None:
                frame = _one_plate(heard, self._plate)
            if isinstance(frame, wire.Sample):
                stamp = self.clock.stamp(frame.sequence, frame.time_us, item.host_s)
                if stamp is not None:
                    counts = (frame[3], frame[4], frame[5], frame[6])
                    yield Heard(stamp.time_s, counts, frame.status, stamp.gap)
                continue
            self.clock.skip(frame.sequence)
            if (
                self._board_id is not None
                and isinstance(frame, wire.Hello)
                and frame.board_id != self._board_id
            ):
                raise SwaytrainerError(
                    f"Another board ({frame.board_id}) was plugged in instead of {self._board_id}.",
                    "Start again with one board; nothing was changed.",
                )


def _one_plate(frame: wire.PairSample, plate: Plate) -> wire.Sample:
    if plate is Plate.LEFT:
        return wire.Sample(frame.sequence, frame.time_us, frame.left_status, *frame.left)
    return wire.Sample(frame.sequence, frame.time_us, frame.right_status, *frame.right)


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
        if isinstance(item, LinkBroken) or (isinstance(item, Silence) and item.silent_s > 5.0):
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


def arrivals_of(poll: Callable[[], list[Arrival]]) -> Iterator[Arrival]:
    """What a link hears, one after the other, waiting in between."""
    while True:
        yield from poll()
        time.sleep(0.01)
