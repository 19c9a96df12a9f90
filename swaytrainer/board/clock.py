"""The board's time: stamps that wrap, missing frames, and how it lies to the host's time."""

from __future__ import annotations

from collections import deque
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.sway.gaps import GAP_INTERVALS

#: A step of the stamp longer than this is a board that started anew (hardware/WIRE.md).
RESTART_STEP_S: Final = 10.0
#: A frame whose stamp and sequence are both older, by less than this, came late.
LATE_WITHIN_S: Final = 1.0
_LATE_US: Final = 0x1_0000_0000 - round(LATE_WITHIN_S * 1e6)


class Stamp(NamedTuple):
    """Where a sample lies in time.

    Attributes:
        time_s: seconds since the first sample of the stream; strictly increasing.
        gap: the interval since the sample before is not to be bridged.
        lost: frames that the sequence says are missing before this one.
        restarted: the board's own clock began anew.
    """

    time_s: float
    gap: bool
    lost: int
    restarted: bool


class StreamClock:
    """Unwraps sequence and stamp of one board.

    Args:
        rate_hz: the nominal rate from the board's hello; decides what is a gap.
    """

    def __init__(self, rate_hz: float) -> None:
        if not rate_hz > 0:
            raise ValueError("rate_hz must be positive")
        self.rate_hz = rate_hz
        self._gap_s = GAP_INTERVALS / rate_hz
        self._time_s = 0.0
        self._time_us = -1
        self._host_s = 0.0
        self._sequence = -1
        self.lost = 0
        self.late = 0
        self.restarts = 0

    def skip(self, sequence: int) -> int:
        """Count a frame that is no sample (a hello, an unknown one); frames lost before it."""
        return self._count(sequence)

    def _count(self, sequence: int) -> int:
        before, self._sequence = self._sequence, sequence
        if before < 0:
            return 0
        lost = (sequence - before - 1) & 0xFFFF
        # A frame that comes twice or late would look like 65,535 lost ones.
        if lost > 0x8000:
            return 0
        self.lost += lost
        return lost

    def _back(self, sequence: int) -> bool:
        return (sequence - self._sequence) & 0xFFFF > 0x8000

    def _contradicts(self, sequence: int, step_s: float) -> bool:
        """The sequence tells quite another step than the stamp: both began anew."""
        frames = ((sequence - self._sequence - 1) & 0xFFFF) + 1
        expected = step_s * self.rate_hz
        # Other frames than samples count too, so only a gross contradiction is one.
        return frames > 4.0 * expected + 64.0 or frames < 0.25 * expected - 64.0

    def near(self, time_us: int) -> float | None:
        """The time of another frame that came near the newest sample; None before any sample.

        Args:
            time_us: that frame's board time, up to 35 minutes before or after the sample's.
        """
        if self._time_us < 0:
            return None
        apart = (time_us - self._time_us + 0x80000000) & 0xFFFFFFFF
        return self._time_s + (apart - 0x80000000) * 1e-6

    def stamp(self, sequence: int, time_us: int, host_s: float) -> Stamp | None:
        """The time of one sample, or None for one that comes twice or too late (``late`` counts).

        Args:
            sequence: the frame's, 0-65,535.
            time_us: the frame's board time, 0 to 2³²-1.
            host_s: when it arrived; used only where the board's own clock began anew.
        """
        if self._time_us < 0:
            self._count(sequence)
            self._time_us, self._host_s = time_us, host_s
            return Stamp(0.0, True, 0, False)
        step_us = (time_us - self._time_us) & 0xFFFFFFFF
        if step_us == 0 or (step_us > _LATE_US and self._back(sequence)):
            self.late += 1
            return None
        step_s = step_us * 1e-6
        if step_s > self._gap_s and (
            step_s > RESTART_STEP_S or self._contradicts(sequence, step_s)
        ):
            # The old sequence says nothing about the new one.
            self._sequence = sequence
            self.restarts += 1
            step_s = max(host_s - self._host_s, 1.0 / self.rate_hz)
            lost, restarted = 0, True
        else:
            lost, restarted = self._count(sequence), False
        self._time_s += step_s
        self._time_us, self._host_s = time_us, host_s
        return Stamp(self._time_s, restarted or step_s > self._gap_s, lost, restarted)


class HostClock:
    """How the board's time lies to the host's: offset, drift, and the jitter of arrival.

    A frame can arrive late but never early, so the earliest arrival in each second bounds the
    true offset; a straight line through the last minute of these gives offset and drift.
    """

    _BINS: Final = 60

    def __init__(self) -> None:
        self._bins: deque[tuple[float, float]] = deque(maxlen=self._BINS)
        self._bin_end_s = -1.0
        self._best: tuple[float, float] | None = None
        self._lately: deque[tuple[float, float]] = deque(maxlen=256)
        self._slope = 0.0
        self._offset_s = 0.0
        self._origin_s = 0.0

    def observe(self, board_s: float, host_s: float) -> None:
        """Take one sample's board time and its arrival."""
        delay = host_s - board_s
        if self._best is None:
            self._best = (board_s, delay)
            self._bin_end_s = board_s + 1.0
            self._origin_s, self._offset_s = board_s, delay
        elif board_s >= self._bin_end_s:
            self._bins.append(self._best)
            self._best = (board_s, delay)
            self._bin_end_s = board_s + 1.0
            self._fit()
        elif delay < self._best[1]:
            self._best = (board_s, delay)
            if not self._bins:
                self._offset_s = delay
        self._lately.append((board_s, delay))

    def _fit(self) -> None:
        if len(self._bins) < 3:
            self._origin_s, self._offset_s = min(self._bins, key=lambda b: b[1])
            return
        at, delay = np.array(self._bins).T
        self._origin_s = float(at.mean())
        centred = at - self._origin_s
        self._slope = float(centred @ delay / (centred @ centred))
        self._offset_s = float(delay.mean())

    @property
    def drift_ppm(self) -> float:
        """By how many ppm the host's clock outruns the board's; 0 in the first seconds."""
        return self._slope * 1e6

    @property
    def jitter_ms(self) -> float:
        """Median lateness of arrival over the last samples, ms, against the earliest arrivals."""
        if not self._lately:
            return 0.0
        at, delay = np.array(self._lately).T
        late = delay - self._offset_s - self._slope * (at - self._origin_s)
        return float(np.median(late)) * 1e3

    def host_time_s(self, board_s: float) -> float:
        """The host time at which a sample of this board time could have arrived at the earliest."""
        return board_s + self._offset_s + self._slope * (board_s - self._origin_s)
