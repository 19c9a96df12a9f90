"""From received bytes to raw samples, for whatever needs no sitting."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Received
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
