"""Watching a board that nobody trains on: arrivals in, a report of its condition out.

Pure: the same arrivals and times give the same reports.
"""

from __future__ import annotations

from collections import deque
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.clock import HostClock
from swaytrainer.board.ear import Ear, Heard
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.pair import BoardCalibration, PairCalibration, Plate
from swaytrainer.board.tare import Tare
from swaytrainer.sitting.board_cells import PlateCells
from swaytrainer.sitting.board_report import (
    BoardReport,
    CellState,
    Floor,
    delay_of,
    floor_of,
    still,
)
from swaytrainer.sitting.health import Health
from swaytrainer.sitting.live_cop import CUTOFF_HZ, live_cop
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.words import say

#: Without a calibration nobody knows the board's load limit.
_NO_LIMIT_KG: Final = float("inf")
#: Delays and pieces are told of the last so many seconds, the rate of fewer.
_LATELY_S, _RATE_S = 20.0, 5.0
_MOST: Final = 100_000
#: What piles up while a program begins is no delay of the board's.
_BEGIN_S: Final = 1.0
#: A line through the earliest arrivals of so many seconds tells the drift.
_DRIFT_AFTER_S: Final = 20.0
_FLOOR_S, _FLOOR_EVERY_S = 3.0, 0.5
_LOST_AFTER_S: Final = 0.5
_TWIST_LEAST_N: Final = 100.0
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


def _of_plate(calibration: BoardCalibration | None, plate: Plate | None) -> Calibration | None:
    if isinstance(calibration, PairCalibration):
        return None if plate is None else calibration.plate(plate)
    return calibration if plate is None else None


class BoardWatch:
    """See the module.

    Args:
        hello: what the board said of itself.
        calibration: the board's; None if it has none, then there are counts but no loads.

    Attributes:
        cop: the newest sample's force, COP and twist (live filter); NaN without a calibration,
            while a cell is missing and without a signal.
    """

    def __init__(self, hello: wire.Hello, calibration: BoardCalibration | None) -> None:
        self.calibration = calibration
        self._nominal_hz = hello.rate_hz
        plates = (None,) if hello.cells == 4 else tuple(Plate)
        # An ear for each plate: the same bytes, the same clock.
        self._ears = [Ear(hello.rate_hz, hello.board_id, plate) for plate in plates]
        self._plates = plates
        self._cells = [PlateCells(_of_plate(calibration, plate), plate) for plate in plates]
        self._host = HostClock()
        limit_kg = _NO_LIMIT_KG if calibration is None else calibration.load_limit_kg
        self._health = Health(hello.rate_hz, limit_kg)
        self._tare = Tare((0.0,) * hello.cells)
        # A slower board can't carry the live filter: its loads are shown as they are, a sentence
        # says why it is of no use for sway.
        self._fast = hello.rate_hz >= 4 * CUTOFF_HZ
        self._live = live_cop(calibration, hello.rate_hz) if calibration and self._fast else None
        self.cop = _NOWHERE
        self._connected = False
        self._silent_s = 0.0
        self._samples = 0
        self._time_s = self._clock_began_s = 0.0
        self._lost = self._restarts = 0
        self._gap = True
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
            for heard in zip(*(ear.hear(item) for ear in self._ears), strict=True):
                self._sample(heard, item.host_s)
            if self._time_s >= _BEGIN_S:
                self._reads.add(item.host_s, self._samples - before)
            return
        if isinstance(item, LinkBroken):
            for ear in self._ears:
                ear.decoder.restart()
            self._gone()
        else:
            self._silent_s = item.silent_s
            if item.silent_s >= _LOST_AFTER_S:
                self._gone()

    def worked_off(self, now_s: float) -> None:
        """All that was fed since the last call has been worked off, at this host time."""
        if self._time_s >= _BEGIN_S:
            for host_s in self._waiting:
                self._queued.add(now_s, now_s - host_s)
        self._waiting.clear()

    def _gone(self) -> None:
        self._connected = False
        for cells in self._cells:
            cells.gone()
        self._no_loads()

    def _no_loads(self) -> None:
        self.cop = _NOWHERE
        self._gap = True
        self._rows.clear()
        self._still = False
        if self.calibration is not None:
            self._floor_now = floor_of([], self.calibration)

    def _sample(self, heard: tuple[Heard, ...], host_s: float) -> None:
        """One sample of each plate."""
        time_s, gap = heard[0].time_s, heard[0].gap
        clock = self._ears[0].clock
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
        if time_s >= _BEGIN_S:
            self._arrived.add(time_s, host_s)
        statuses = [c.update(h) for c, h in zip(self._cells, heard, strict=True)]
        if any(status & wire.STATUS_NO_LOADS for status in statuses):
            self._no_loads()
        else:
            self._take(time_s, tuple(n for h in heard for n in h.counts), gap or self._gap)
            self._gap = False
        for plate, status in zip(self._plates, statuses, strict=True):
            self._health.plate = plate
            # The load and the twist are the whole board's: told of once.
            last = plate is self._plates[-1]
            self._health.fault(status, self.cop, step_s if last else 0.0)

    def _take(self, time_s: float, counts: tuple[float, ...], gap: bool) -> None:
        """The loads of one sample that has all four."""
        self._remember(time_s, counts, gap)
        calibration = self.calibration
        if calibration is None:
            return
        self._tare.update(time_s, calibration.loads(counts))
        loads = calibration.loads(counts, self._tare.tare_n)
        if self._live is not None:
            if gap:
                self._live.gap()
            self.cop = self._live.update(time_s, loads)
        else:
            moments = [
                sum(p[axis] * w for p, w in zip(calibration.places, loads, strict=True))
                for axis in (0, 1)
            ]
            force = sum(loads)
            there = force >= calibration.load_threshold_n
            x, y = (m / force if there else NAN for m in moments)
            by_plate = [loads[n : n + 4] for n in range(0, len(loads), 4)]
            twists = [w[0] - w[1] - w[2] + w[3] for w in by_plate]
            self.cop = CopSample(time_s, force, x, y, max(twists, key=abs))

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
        cop, counters, clock = self.cop, self._ears[0].decoder.counters, self._ears[0].clock
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
            cells=self._states(),
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

    def _states(self) -> tuple[CellState, ...]:
        calibration = self.calibration
        counts = [c.counts for c in self._cells]
        loads: tuple[float, ...] | None = None
        known = [c for c in counts if c is not None]
        if calibration is not None and len(known) == len(counts):
            loads = calibration.loads(tuple(n for c in known for n in c), self._tare.tare_n)
        connected = self._connected and self._samples > 0
        return tuple(
            state
            for n, cells in enumerate(self._cells)
            for state in cells.states(
                connected, self._still, None if loads is None else loads[4 * n : 4 * n + 4]
            )
        )

    def _warnings(self) -> tuple[str, ...]:
        if not self._connected:
            return ("No signal: check the board's cable. It goes on by itself.",)
        said = self._health.warnings()
        if not self._fast:
            said.append(
                say(
                    "{rate:g} samples a second announced; sway needs at least {least:g}: set the"
                    " converters' fast rate.",
                    rate=self._nominal_hz,
                    least=4 * CUTOFF_HZ,
                )
            )
        if self.calibration is None:
            said.append("Not calibrated yet, so there are no newtons: swaytrainer calibrate.")
        elif not self._tare.known and self.cop is not _NOWHERE:
            said.append("Clear the board for a moment, so that it finds its zero.")
        return tuple(said)
