"""Watching a board that nobody trains on: arrivals in, a report of its condition out.

Pure: the same arrivals and times give the same reports.
"""

from __future__ import annotations

from collections import deque
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received
from swaytrainer.board.calibration import AS_BUILT, Calibration
from swaytrainer.board.clock import HostClock
from swaytrainer.board.ear import Ear, Heard
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.steady import LastSecond, Mean
from swaytrainer.board.tare import Tare
from swaytrainer.sitting.board_report import (
    CELL_BITS,
    BoardReport,
    CellState,
    CellWord,
    Floor,
    delay_of,
    floor_of,
    status_of_corners,
    still,
)
from swaytrainer.sitting.health import SHOWN_FOR_S, Health
from swaytrainer.sitting.live_cop import CUTOFF_HZ, LiveCop
from swaytrainer.sway.cop import NAN, CopSample

#: Without a calibration nobody knows the board's load limit.
_NO_LIMIT_KG: Final = float("inf")
#: Delays and pieces are told of the last so many seconds, the rate of fewer.
_LATELY_S, _RATE_S = 20.0, 5.0
_MOST: Final = 100_000
#: A line through the earliest arrivals of so many seconds tells the drift.
_DRIFT_AFTER_S: Final = 20.0
_FLOOR_S, _FLOOR_EVERY_S = 3.0, 0.5
_LOST_AFTER_S: Final = 0.5
_TWIST_LEAST_N: Final = 100.0
_SAMPLES_FOR_STUCK: Final = 8
_NOWHERE: Final = CopSample(0.0, NAN, NAN, NAN, NAN)


class _Lately:
    """(when, value) of the last seconds."""

    def __init__(self, seconds: float) -> None:
        self._seconds = seconds
        self.items: deque[tuple[float, float]] = deque(maxlen=_MOST)

    def add(self, when_s: float, value: float) -> None:
        items = self.items
        items.append((when_s, value))
        while items[0][0] < when_s - self._seconds:
            items.popleft()


class BoardWatch:
    """See the module.

    Args:
        hello: what the board said of itself.
        calibration: the board's; None if it has none, then there are counts but no loads.

    Attributes:
        cop: the newest sample's force, COP and twist (live filter); NaN without a calibration,
            while a cell is missing and without a signal.
    """

    def __init__(self, hello: wire.Hello, calibration: Calibration | None) -> None:
        self.calibration = calibration
        self._nominal_hz = hello.rate_hz
        self._ear = Ear(hello.rate_hz, hello.board_id)
        self._second = LastSecond()
        self._host = HostClock()
        limit_kg = _NO_LIMIT_KG if calibration is None else calibration.load_limit_kg
        self._health = Health(hello.rate_hz, limit_kg)
        self._tare = Tare()
        # A slower board can't carry the live filter: its loads are shown as they are, a sentence
        # says why it is of no use for sway.
        self._fast = hello.rate_hz >= 4 * CUTOFF_HZ
        self._live = LiveCop(calibration, hello.rate_hz) if calibration and self._fast else None
        self.cop = _NOWHERE
        self._connected = False
        self._silent_s = 0.0
        self._samples = 0
        self._time_s = self._clock_began_s = 0.0
        self._lost = self._restarts = 0
        self._gap = True
        self._mask = 0
        self._mean: Mean | None = None
        self._flag_until_s: dict[tuple[int, CellWord], float] = {}
        self._rows: deque[tuple[float, ...]] = deque(maxlen=_MOST)
        self._still = False
        self._floor: tuple[float, Floor] | None = None
        self._floor_due_s = 0.0
        self._floor_now = floor_of([], calibration) if calibration else Floor()
        self._steps = _Lately(_RATE_S)
        self._frames = _Lately(_RATE_S)
        self._arrived = _Lately(_LATELY_S)
        self._reads = _Lately(_LATELY_S)
        self._queued = _Lately(_LATELY_S)
        self._waiting: list[float] = []

    def feed(self, item: Arrival) -> None:
        """Take one arrival.

        Raises:
            SwaytrainerError: another board says hello.
        """
        if isinstance(item, Received):
            self._connected, self._silent_s = True, 0.0
            self._waiting.append(item.host_s)
            before = self._samples
            for heard in self._ear.hear(item):
                self._sample(heard, item.host_s)
            self._reads.add(item.host_s, self._samples - before)
            return
        if isinstance(item, LinkBroken):
            self._ear.decoder.restart()
            self._gone()
        else:
            self._silent_s = item.silent_s
            if item.silent_s >= _LOST_AFTER_S:
                self._gone()

    def worked_off(self, now_s: float) -> None:
        """All that was fed since the last call has been worked off, at this host time."""
        for host_s in self._waiting:
            self._queued.add(now_s, now_s - host_s)
        self._waiting.clear()

    def _gone(self) -> None:
        self._connected = False
        self._mean = None
        self._second.restart()
        self._no_loads()

    def _no_loads(self) -> None:
        self.cop = _NOWHERE
        self._gap = True
        self._rows.clear()
        self._still = False
        if self.calibration is not None:
            self._floor_now = floor_of([], self.calibration)

    def _sample(self, heard: Heard, host_s: float) -> None:
        time_s, counts, status, gap = heard
        clock = self._ear.clock
        frames, self._lost = clock.lost - self._lost + 1, clock.lost
        step_s, self._time_s = time_s - self._time_s, time_s
        if clock.restarts != self._restarts:
            self._restarts = clock.restarts
            self._host, self._clock_began_s = HostClock(), time_s
            self._arrived.items.clear()
        elif self._samples and step_s < _LOST_AFTER_S:
            self._health.step(step_s, frames)
            self._steps.add(time_s, step_s)
            self._frames.add(time_s, frames)
        self._samples += 1
        self._host.observe(time_s, host_s)
        self._arrived.add(time_s, host_s)
        channels = self.calibration.channels if self.calibration else AS_BUILT
        status = status_of_corners(status, channels)
        self._flag(status)
        mask = status & wire.STATUS_NO_LOADS
        if mask != self._mask:
            self._mask = mask
            self._second.restart()
            self._mean = None
        if not mask & wire.STATUS_MIXED:
            self._mean = self._second.update(time_s, counts) or self._mean
        if mask:
            self._no_loads()
        else:
            self._take(time_s, counts, gap or self._gap)
            self._gap = False
        self._health.fault(status, self.cop, step_s)

    def _flag(self, status: int) -> None:
        for word, shift in CELL_BITS:
            if status >> shift & 0xF:
                for i in range(4):
                    if status >> (shift + i) & 1:
                        self._flag_until_s[i, word] = self._time_s + SHOWN_FOR_S

    def _take(self, time_s: float, counts: tuple[float, ...], gap: bool) -> None:
        """The loads of one sample that has all four."""
        self._remember(time_s, counts, gap)
        calibration = self.calibration
        if calibration is None:
            return
        self._tare.update(time_s, calibration.loads(counts))
        a, b, c, d = loads = calibration.loads(counts, self._tare.tare_n)
        if self._live is not None:
            if gap:
                self._live.gap()
            self.cop = self._live.update(time_s, loads)
        else:
            force = a + b + c + d
            there = force >= calibration.load_threshold_n
            x, y = (
                sum(p[axis] * w for p, w in zip(calibration.places, loads, strict=True)) / force
                if there
                else NAN
                for axis in (0, 1)
            )
            self.cop = CopSample(time_s, force, x, y, a - b - c + d)

    def _remember(self, time_s: float, counts: tuple[float, ...], gap: bool) -> None:
        """The last seconds, for what is said of a board at rest."""
        rows = self._rows
        if gap:
            rows.clear()
        rows.append((time_s, *counts))
        while rows[0][0] < time_s - _FLOOR_S:
            rows.popleft()
        if time_s >= self._floor_due_s:
            self._floor_due_s = time_s + _FLOOR_EVERY_S
            kept = list(rows)
            self._still = still(kept)
            if self.calibration is not None:
                self._floor_now = floor_of(kept, self.calibration)
            if not self._floor_now.why:
                self._floor = (time_s, self._floor_now)

    def report(self) -> BoardReport:
        """A snapshot."""
        cop, counters, clock = self.cop, self._ear.decoder.counters, self._ear.clock
        stepped_s = sum(step for _, step in self._steps.items)
        frames = sum(n for _, n in self._frames.items)
        reads = self._reads.items
        read_s = reads[-1][0] - reads[0][0] if reads else 0.0
        good = counters.good + counters.unknown
        watched_s = self._time_s - self._clock_began_s
        late = [host - self._host.host_time_s(at) for at, host in self._arrived.items]
        loaded = cop.force_n > _TWIST_LEAST_N
        return BoardReport(
            connected=self._connected and self._samples > 0,
            silent_s=self._silent_s,
            cells=self._cells(),
            force_n=cop.force_n,
            mass_kg=cop.force_n / STANDARD_GRAVITY,
            x_mm=cop.x_mm,
            y_mm=cop.y_mm,
            twist_n=cop.twist_n,
            twist_percent=100.0 * abs(cop.twist_n) / cop.force_n if loaded else NAN,
            rate_hz=frames / stepped_s if stepped_s > 0.0 else NAN,
            nominal_hz=self._nominal_hz,
            samples=self._samples,
            lost=clock.lost,
            lost_percent=100.0 * clock.lost / (good + clock.lost) if good else NAN,
            corrupt=counters.corrupt,
            unknown=counters.unknown,
            late=clock.late,
            restarts=clock.restarts,
            floor=self._told_floor(),
            drift_ppm=self._host.drift_ppm if watched_s >= _DRIFT_AFTER_S else NAN,
            jitter=delay_of(late),
            queue=delay_of([wait for _, wait in self._queued.items]),
            reads_hz=(len(reads) - 1) / read_s if read_s > 0.0 else NAN,
            samples_per_read=sum(n for _, n in reads) / len(reads) if reads else NAN,
            most_per_read=int(max((n for _, n in reads), default=0)),
            warnings=self._warnings(),
        )

    def _told_floor(self) -> Floor:
        """The floor now, or the last one with its age and why there is none now."""
        now = self._floor_now
        if self.calibration is None:
            return Floor(why="The noise floor needs a calibration.")
        if not now.why or self._floor is None:
            return now
        at_s, floor = self._floor
        return floor._replace(age_s=self._time_s - at_s, why=now.why)

    def _word(self, corner: int, spread_counts: float) -> CellWord:
        if not self._connected or not self._samples:
            return CellWord.SILENT
        for word, _ in CELL_BITS:
            if self._flag_until_s.get((corner, word), -1.0) > self._time_s:
                return word
        # What firmware calls stuck: the same count for a second. Any converter has some noise.
        stuck = self._mean is not None and self._mean.samples >= _SAMPLES_FOR_STUCK
        return CellWord.STUCK if stuck and spread_counts == 0.0 else CellWord.FINE

    def _cells(self) -> tuple[CellState, ...]:
        mean, calibration = self._mean, self.calibration
        channels = calibration.channels if calibration else AS_BUILT
        loads = (NAN,) * 4
        if mean is not None and calibration is not None and not self._mask:
            loads = calibration.loads(mean.counts, self._tare.tare_n)
        cells = []
        for i, name in enumerate(CELL_NAMES):
            k = channels[i]
            word = self._word(i, NAN if mean is None else mean.spread_counts[k])
            if mean is None or word is CellWord.MISSING:
                cells.append(CellState(name, word))
                continue
            noise = mean.noise_counts[k] if self._still else NAN
            gain_n = abs(calibration.gain_n_per_count[i]) if calibration else NAN
            cells.append(CellState(name, word, mean.counts[k], loads[i], noise, gain_n * noise))
        return tuple(cells)

    def _warnings(self) -> tuple[str, ...]:
        if not self._connected:
            return ("No signal: check the board's cable. It goes on by itself.",)
        said = self._health.warnings()
        if not self._fast:
            said.append(
                f"The board announces {self._nominal_hz:g} samples a second; sway needs at least"
                f" {4 * CUTOFF_HZ:g}: set its converters to the fast rate."
            )
        if self.calibration is None:
            said.append("Not calibrated yet, so there are no newtons: swaytrainer calibrate.")
        elif not self._tare.known and not self._mask:
            said.append("Clear the board for a moment, so that it finds its zero.")
        return tuple(said)
