"""A sitting: one vaulter, one level, some trials; from logged inputs to events and a view.

Pure: the same setup and the same inputs give the same events, marks and views, to the last bit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.board.calibration import Loads
from swaytrainer.board.clock import HostClock, StreamClock
from swaytrainer.board.pair import BoardCalibration, PairCalibration, Plate
from swaytrainer.board.tare import Tare
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.health import Health
from swaytrainer.sitting.inputs import Asked, BoardFacts, Input, Wish
from swaytrainer.sitting.live_cop import CUTOFF_HZ, LIVE_FILTER, PlainCop, live_cop
from swaytrainer.sitting.live_noise import LiveNoise
from swaytrainer.sitting.view import Event, FootView, Happening, Phase, Signal, View
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.trial import EMPTY, Trial
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say

#: From this silence on the screen says that the signal is lost.
LOST_AFTER_S: Final = 0.5
#: After this a running trial is over.
GIVE_UP_AFTER_S: Final = 10.0
#: The body's weight, for the noise floor, is a mean over about so long while somebody stands.
_WEIGH_S: Final = 1.0
_STANDING: Final = (Phase.SETTLING, Phase.COUNTDOWN, Phase.LESSON, Phase.RUNNING)


@dataclass(frozen=True, slots=True)
class Setup:
    """What a sitting begins with; the head of its recording.

    Attributes:
        calibration, level, vaulter: as they were then.
        board: from the board's hello.
        tare_n: the tare at the start, None if the board has not yet been seen empty.
        best_mark: the best mark so far at equal terms, for the screen alone.
        lesson: the game is to be tried, unmarked, before the first trial.
        usual_n: the vaulter's weight on the last days, None if it is not known.
        feet: heels and balls as they were found by doing, None to reckon them from foot length.
    """

    calibration: BoardCalibration
    level: Level
    vaulter: Vaulter
    board: BoardFacts
    tare_n: Loads | None = None
    best_mark: float | None = None
    feet: FoundFeet | None = None
    lesson: bool = False
    usual_n: float | None = None


def feet_of(setup: Setup) -> Feet:
    """Where the vaulter's feet are on this board: as found, or else by the ruler.

    With two plates each foot stands on its plate's middle.
    """
    calibration, vaulter = setup.calibration, setup.vaulter
    if setup.feet is not None:
        feet = setup.feet.feet(calibration.heel_line_mm)
        if not isinstance(calibration, PairCalibration):
            return feet
        half = 0.5 * calibration.apart_mm
        return replace(feet, left_x_mm=-half, right_x_mm=half)
    width_mm = vaulter.stance_width_mm
    if isinstance(calibration, PairCalibration):
        width_mm = calibration.apart_mm
    return Feet.from_length(vaulter.foot_length_mm, width_mm, calibration.heel_line_mm)


class Sitting:
    """See the module.

    Args:
        setup: what it begins with.
        on_loads: is shown time (s) and tared loads (N) of every sample, and whether the interval
            before it is a gap: for whoever measures the same samples again offline.
        on_acceleration: is shown time (s) and upward acceleration (m/s², gravity included) of
            every good reading of the plate's accelerometer, if the board has one.

    Raises:
        SwaytrainerError: the calibration is another board's, or of one plate where there are two,
            or the board is too slow to measure.
    """

    def __init__(
        self,
        setup: Setup,
        on_loads: Callable[[float, Loads, bool], None] | None = None,
        on_acceleration: Callable[[float, float], None] | None = None,
    ) -> None:
        self.setup = setup
        self._on_acceleration = on_acceleration
        self._on_loads = on_loads
        self._calibration = setup.calibration.for_board(setup.board.board_id)
        rate_hz = setup.board.rate_hz
        _check_cells(setup)
        if rate_hz < 4 * CUTOFF_HZ:
            raise SwaytrainerError(
                f"Board {setup.board.board_id} announces {rate_hz:g} samples a second; sway needs"
                f" at least {4 * CUTOFF_HZ:g}.",
                "Set its converters to the fast rate (80 samples a second).",
            )
        feet = feet_of(setup)
        self.feet = feet
        self._decoder = wire.Decoder()
        self._clock = StreamClock(rate_hz)
        self._host_clock = HostClock()
        self._health = Health(rate_hz, setup.calibration.load_limit_kg)
        self._tare = Tare(
            setup.tare_n or (0.0,) * setup.board.cells, known=setup.tare_n is not None
        )
        self._live_cop = live_cop(setup.calibration, rate_hz)
        unfiltered = KINDS[setup.level.game].unfiltered
        self._plain_cop = PlainCop(setup.calibration) if unfiltered else None
        self._two_plates = setup.board.cells == 2 * 4
        self._trial = Trial(setup.level, feet, rate_hz, LIVE_FILTER, setup.lesson, setup.usual_n)
        self._cop = CopSample(0.0, 0.0, NAN, NAN, 0.0)
        self._time_s = self._stamp_s = 0.0
        self._gap = True
        self._samples = 0
        self._connected = True
        self._best_mark = setup.best_mark
        self._no_zero = False
        self._noise = LiveNoise(setup.calibration, rate_hz)
        self._body_n = 0.0
        #: Is shown every force and COP; for whoever listens to gestures beside the trial.
        self.on_cop: Callable[[CopSample], None] = _unheard

    @property
    def tare_n(self) -> Loads | None:
        """The tare in use, None while the board has never been seen empty."""
        return self._tare.tare_n if self._tare.known else None

    @property
    def outcomes(self) -> int:
        """How many trials have ended."""
        return len(self._trial.marks)

    @property
    def idle(self) -> bool:
        """Nothing has happened yet: nobody has stepped on."""
        return self.outcomes == 0 and self._trial.phase is Phase.WAITING

    def renewed(self) -> Sitting:
        """A new sitting on the same terms that begins with the tare of this one."""
        sitting = Sitting(replace(self.setup, tare_n=self.tare_n))
        sitting.on_cop = self.on_cop
        return sitting

    @property
    def can_abort(self) -> bool:
        """There is a trial, countdown or settling to break off."""
        return self.in_trial or self._trial.phase in (
            Phase.SETTLING,
            Phase.COUNTDOWN,
            Phase.LESSON,
        )

    @property
    def between_trials(self) -> bool:
        """Nothing runs or counts down: the board waits, or somebody rests."""
        return self._trial.phase in (Phase.WAITING, Phase.RESTING)

    @property
    def on_board(self) -> bool:
        """Somebody is on the board."""
        return self._trial.on_board

    @property
    def in_trial(self) -> bool:
        """A trial runs."""
        return self._trial.in_trial

    @property
    def speed_mm_s(self) -> float:
        """The speed that the screen shows now, as in ``view()``, without making a whole view."""
        return self._trial.speed_mm_s

    @property
    def samples(self) -> int:
        """Samples taken in so far."""
        return self._samples

    def feed(self, item: Input) -> list[Event]:
        """Take one input; what happened because of it, in order."""
        events: list[Event] = []
        if isinstance(item, Received):
            host_s = item.host_s
            take = self._sample
            for frame in self._decoder.feed(item.data):
                if type(frame) is wire.Sample and not self._two_plates:
                    take(frame, frame.status, frame[3:], host_s, events)
                elif isinstance(frame, wire.PairSample) and self._two_plates:
                    self._pair_sample(frame, host_s, events)
                elif isinstance(frame, wire.Hello):
                    self._hello(frame)
                else:
                    self._clock.skip(frame.sequence)
                    if isinstance(frame, wire.Acceleration):
                        self._acceleration(frame)
        elif isinstance(item, Silence):
            self._silence(item.silent_s, events)
        elif isinstance(item, LinkBroken):
            self._decoder.restart()
            self._gap = True
            self._lost(events)
        else:
            events.extend(self._asked(item))
        for event in events:
            self._remember(event)
        return events

    def _asked(self, item: Asked) -> Sequence[Event]:
        if item.wish is Wish.BEGIN:
            return self._trial.begin()
        return self._trial.abort() if item.wish is Wish.ABORT else self._trial.skip()

    def _remember(self, event: Event) -> None:
        outcome = event.outcome
        if outcome is not None and outcome.counts and outcome.mark is not None:
            self._best_mark = max(self._best_mark or 0.0, outcome.mark)

    def _hello(self, hello: wire.Hello) -> None:
        self._clock.skip(hello.sequence)
        if hello.wire_major != wire.WIRE_MAJOR:
            self._health.foreign = say(
                "The board speaks wire {wire}; update swaytrainer to use it.", wire=hello.wire_major
            )
        elif hello.board_id != self.setup.board.board_id:
            self._health.foreign = say(
                "Another board ({board}) is connected: plug the first one in again.",
                board=hello.board_id,
            )
        else:
            self._health.foreign = None

    def _lost(self, events: list[Event]) -> None:
        if self._connected:
            self._connected = False
            events.append(Event(Happening.SIGNAL_LOST, self._time_s))

    def _silence(self, silent_s: float, events: list[Event]) -> None:
        if silent_s >= LOST_AFTER_S:
            self._lost(events)
        if silent_s >= GIVE_UP_AFTER_S:
            events.extend(self._trial.give_up())

    def _acceleration(self, frame: wire.Acceleration) -> None:
        time_s = self._clock.near(frame.time_us)
        if self._on_acceleration is not None and time_s is not None and not frame.status:
            self._on_acceleration(time_s, frame.z_mm_s2 / 1000.0)

    def _pair_sample(self, frame: wire.PairSample, host_s: float, events: list[Event]) -> None:
        # Named is the plate whose cell is at fault: the left one first, where both are.
        self._health.plate = Plate.LEFT if frame.left_status else Plate.RIGHT
        status = frame.left_status or frame.right_status
        # A fault that costs the loads must not hide behind another of the other plate.
        status |= frame.right_status & wire.STATUS_NO_LOADS
        self._sample(frame, status, frame.left + frame.right, host_s, events)

    def _sample(
        self,
        frame: wire.Sample | wire.PairSample,
        status: int,
        counts: tuple[int, ...],
        host_s: float,
        events: list[Event],
    ) -> None:
        self._samples += 1
        clock = self._clock
        stamp = clock.stamp(frame.sequence, frame.time_us, host_s)
        if stamp is None:
            return
        time_s, gap, lost, restarted = stamp
        step_s, self._stamp_s = time_s - self._stamp_s, time_s
        if restarted:
            self._host_clock = HostClock()  # the board's clock began anew
        elif 0.0 < step_s < LOST_AFTER_S:
            self._health.step(step_s, lost + 1)
        self._host_clock.observe(time_s, host_s)
        if not self._connected:
            self._connected = True
            events.append(Event(Happening.SIGNAL_BACK, time_s))
        if status & wire.STATUS_NO_LOADS or self._health.foreign is not None:
            # No loads, or not our board's: the interval up to the next good sample is a gap.
            # The trial's time stands still meanwhile, so that the gap has its true length.
            self._health.fault(status, self._cop, step_s)
            self._gap = True
            if time_s - self._time_s > GIVE_UP_AFTER_S:
                events.extend(self._trial.give_up())
            return
        gap = gap or self._gap
        self._gap = False
        self._time_s = time_s
        tare = self._tare
        phase = self._trial.phase
        if phase in EMPTY:
            self._empty(time_s, self._calibration.loads(counts), gap, events)
        loads = self._calibration.loads(counts, tare.tare_n)
        if self._on_loads is not None:
            self._on_loads(time_s, loads, gap)
        if gap:
            self._live_cop.gap()
        self._cop = cop = self._live_cop.update(time_s, loads)
        fault = self._health.fault(status, cop, step_s)
        self.on_cop(cop)
        if not tare.known:
            # Not seen empty yet: nothing may start on an unknown zero.
            self._no_zero = cop.force_n > self._calibration.load_threshold_n
            return
        self._no_zero = False
        if phase in _STANDING and cop.force_n > self._calibration.load_threshold_n:
            self._body_n += (cop.force_n - self._body_n) * (step_s / (_WEIGH_S + step_s))
        plain = self._plain_cop
        unfiltered = None if plain is None else plain.update(time_s, loads)
        if new := self._trial.update(cop, gap, fault, unfiltered):
            events.extend(new)

    def _empty(self, time_s: float, untared: Loads, gap: bool, events: list[Event]) -> None:
        """Perhaps an empty board: its zero, and its noise."""
        tare = self._tare
        if tare.update(time_s, untared):
            events.append(Event(Happening.TARED, time_s))
        if gap:
            self._noise.gap()
        if tare.known:
            self._noise.update(time_s, untared, tare.tare_n)

    def signal(self) -> Signal:
        """The health of the link."""
        return Signal(
            connected=self._connected and self._samples > 0,
            rate_hz=self._health.rate_hz,
            lost=self._clock.lost,
            corrupt=self._decoder.counters.corrupt,
            drift_ppm=self._host_clock.drift_ppm,
            jitter_ms=self._host_clock.jitter_ms,
            noise_floor_mm_s=self._noise.speed_mm_s(self._body_n),
        )

    def _right_share_percent(self, x_mm: float) -> float:
        feet = self._live_cop.feet
        if feet is None or math.isnan(x_mm):
            return self.feet.right_share_percent(x_mm)
        left, right = feet
        return 100.0 * right.force_n / (left.force_n + right.force_n)

    def _each_foot(self) -> tuple[FootView, FootView] | None:
        if self._live_cop.feet is None:
            return None
        left, right = (
            FootView(f.force_n, f.x_mm, f.y_mm, self.feet.toe_share_percent(f.y_mm))
            for f in self._live_cop.feet
        )
        return left, right

    def view(self) -> View:
        """A snapshot to draw from."""
        trial, cop = self._trial, self._cop
        warnings = self._health.warnings()
        if self._no_zero:
            warnings.append("Clear the board for a moment, so that it finds its zero.")
        if trial.must_step_off:
            warnings.append("Step off, then on again.")
        here = self._connected and not math.isnan(cop.x_mm)
        x_mm, y_mm = (cop.x_mm, cop.y_mm) if here else (NAN, NAN)
        return View(
            phase=trial.phase,
            phase_s=trial.phase_s,
            left_s=trial.left_s,
            trial=trial.number,
            trials=trial.due,
            vaulter=self.setup.vaulter,
            level=self.setup.level,
            force_n=cop.force_n,
            x_mm=x_mm,
            y_mm=y_mm,
            toe_share_percent=self.feet.toe_share_percent(y_mm),
            right_share_percent=self._right_share_percent(x_mm),
            where=trial.where,
            speed_mm_s=trial.speed_mm_s,
            stillness=trial.stillness,
            spell_s=trial.ledger.spell_s,
            calm_s=trial.ledger.calm_s,
            outcome=trial.outcome,
            path_mm=tuple(trial.path_mm) if trial.outcome is not None else (),
            marks=tuple(trial.marks),
            best_mark=self._best_mark,
            feet=self._each_foot() if here else None,
            feedback=trial.feedback,
            lesson=trial.lesson_words,
            tries=trial.lesson_due,
            scene=None if trial.task is None else trial.task.scene,
            warnings=tuple(warnings),
            signal=self.signal(),
        )


def _unheard(_: CopSample) -> None:
    """Nobody listens."""


def _check_cells(setup: Setup) -> None:
    if len(setup.calibration.places) == setup.board.cells:
        return
    two = setup.board.cells == 2 * 4
    raise SwaytrainerError(
        f"Board {setup.board.board_id} has {'two plates' if two else 'one plate'}, its calibration"
        f" is of {'one' if two else 'two'}.",
        "Calibrate it again with 'swaytrainer calibrate'"
        + (", --plate left and --plate right." if two else "."),
    )
