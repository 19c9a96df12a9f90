"""The hands-free trial: a state machine fed with samples, that never asks what time it is.

::

    WAITING ── on the board ──▶ SETTLING ── still ──▶ COUNTDOWN ── 3 s ──▶ RUNNING ◀──▶ OFF
       ▲                          │ off                 │ off                │ time, or off too long
       └──────────────────────────┴─────────────────────┘                    ▼
       └──── rest over ──── RESTING ◀──── off, or 10 s ──────────────────── RESULT
                               └──── all trials done ────▶ FINISHED ── on the board ──▶ SETTLING

Where a lesson is due, the first countdown leads to LESSON (the game, unmarked), and from there to a
second countdown.

The vaulter's weight is taken during the countdown; "off the board" is less than half of it. Who
was never off the board (after a break by hand, at a sitting's start) must step off first.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from swaytrainer.motion.incident import Incident
from swaytrainer.motion.watch import IncidentWatch
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.window import WindowSpeed
from swaytrainer.training.doubts import base_moves, doubts, limits_on, weight_doubt
from swaytrainer.training.feedback import feedback_for
from swaytrainer.training.happening import Event, Happening, Phase, Where
from swaytrainer.training.ledger import Ledger
from swaytrainer.training.level import Level
from swaytrainer.training.mark import outcome_of
from swaytrainer.training.outcome import Outcome, Terms
from swaytrainer.training.settling import Settling
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.tasks.task import Ground, Task

#: Somebody is on the board: 10 kg, less than any vaulter, more than a bag put down on it.
ON_N: Final = 100.0
ON_FOR_S: Final = 0.3
#: A gap longer than this before a trial begins it anew: who knows who stands there now.
GAP_BEFORE_S: Final = 0.25
#: Off the board: below this share of the body weight, for this long.
OFF_SHARE: Final = 0.5
OFF_FOR_S: Final = 0.15
BACK_FOR_S: Final = 0.3
COUNTDOWN_S: Final = 3.0
COME_BACK_S: Final = 4.0
RESULT_AT_LEAST_S: Final = 4.0
RESULT_AT_MOST_S: Final = 12.0
#: The COP speed shown and judged while it runs is the mean over this window.
SPEED_WINDOW_S: Final = 1.0
#: Stamps are whole microseconds, and sums of them are not exact in binary.
STAMP_S: Final = 1e-6
#: Marked speeds on the scale of the path's, so that their numbers serve for what is live.
_SPEEDS: Final = ("mean_speed_mm_s", "calm_speed_mm_s")
_DEFAULT_SPEEDS: Final = (30.0, 8.0)
_PATH_POINTS: Final = 1500

_NOTHING: Final[tuple[Event, ...]] = ()
#: Later than any time: what has not begun has not lasted.
_NEVER: Final = math.inf

# Before Python 3.12 a member looked up on its enum costs as much as a filter's step, and every
# sample would pay for ten of them.
_WAITING: Final = Phase.WAITING
_SETTLING: Final = Phase.SETTLING
_COUNTDOWN: Final = Phase.COUNTDOWN
_LESSON: Final = Phase.LESSON
_RUNNING: Final = Phase.RUNNING
_OFF: Final = Phase.OFF
_RESULT: Final = Phase.RESULT
_RESTING: Final = Phase.RESTING
_FINISHED: Final = Phase.FINISHED
_INSIDE: Final = Where.INSIDE
_TOES: Final = Where.TOES
_HEELS: Final = Where.HEELS
_NOWHERE: Final = Where.NOWHERE
#: Nobody's trial would be touched by a tare in these.
EMPTY: Final = (_WAITING, _RESTING, _FINISHED)


class Trial:
    """One sitting's trials, one after another.

    Args:
        level: what is asked.
        feet: the lever between heels and toes of this vaulter on this board.
        rate_hz: the board's nominal rate.
        filter_label: how the samples were filtered, for the outcome's terms.
        lesson: the game is to be tried first.
        usual_n: the vaulter's weight on the last days, None if it is not known.
    """

    def __init__(
        self,
        level: Level,
        feet: Feet,
        rate_hz: float,
        filter_label: str,
        lesson: bool = False,
        usual_n: float | None = None,
    ) -> None:
        self.level = level
        self._usual_n = usual_n
        self.feet = feet
        self.marks: list[float | None] = []
        self.feedback = feedback_for(level.feedback, (), level.pass_mark)
        self.terms = Terms(
            rate_hz, filter_label, level.seconds, level.base, level.stance, level.eyes,
            self.feedback.kind,
        )  # fmt: skip
        self.phase = _WAITING
        self.kind = KINDS[level.game]
        self.lesson_due = lesson and bool(self.kind.lesson)
        self.task: Task | None = None
        self.outcome: Outcome | None = None
        self.path_mm: list[tuple[float, float]] = []
        self.body_n = 0.0
        self.where = _NOWHERE
        self.stillness = 0.0
        self.ledger = Ledger()
        self.incidents: list[Incident] = []
        self.live = LiveSway(feet, level.band_low_percent, level.band_high_percent)
        self._speed = WindowSpeed(SPEED_WINDOW_S)
        speeds = [(p.nothing_at, p.all_at) for p in level.parts if p.measure in _SPEEDS]
        self._slow_at, still_at = speeds[0] if speeds else _DEFAULT_SPEEDS
        self._stillness_scale = 1.0 / (still_at - self._slow_at)
        self._last = self._for_task = CopSample(math.nan, 0.0, math.nan, math.nan, 0.0)
        self._phase_began_s = 0.0
        self._on_since_s = self._off_since_s = _NEVER
        self._seen_empty = False
        self._countdown_n: list[float] = []
        self._due = level.trials
        self._settling = Settling(0.0)
        self._reset()

    # What a view shows ------------------------------------------------------------------------

    @property
    def number(self) -> int:
        """The current trial's number, or the next one's, from 1; the last one's at the end."""
        if self.phase in (_RESULT, _FINISHED):
            return len(self.marks)
        return len(self.marks) + 1

    @property
    def must_step_off(self) -> bool:
        """Somebody stands there who must step off before anything begins."""
        return self.phase in EMPTY and not self._seen_empty and self._on_since_s is not _NEVER

    @property
    def on_board(self) -> bool:
        """Somebody is on the board."""
        return self._on_since_s is not _NEVER

    @property
    def due(self) -> int:
        """How many trials there will be in all."""
        return self._due

    @property
    def phase_s(self) -> float:
        """Seconds since the phase began."""
        return max(self._last.time_s - self._phase_began_s, 0.0) if self._started else 0.0

    @property
    def _started(self) -> bool:
        return not math.isnan(self._last.time_s)

    @property
    def speed_mm_s(self) -> float:
        """Mean COP speed over the last second, NaN off the board."""
        return self._speed.get()

    @property
    def left_s(self) -> float:
        """Seconds left of what the phase waits for; 0 where it waits for the vaulter."""
        now = self._last.time_s
        if not self._started:
            return 0.0
        if self.phase is _SETTLING:
            return self._settling.left_s(now)
        if self.phase is _COUNTDOWN:
            return max(COUNTDOWN_S - self.phase_s, 0.0)
        if self.phase is _LESSON:
            return max(self.kind.lesson[-1][0] - self.phase_s, 0.0)
        if self.phase is _RUNNING:
            return max(self.level.seconds - (now - self._trial_began_s), 0.0)
        if self.phase is _OFF:
            return max(COME_BACK_S - self.phase_s, 0.0)
        if self.phase in (_RESULT, _RESTING):
            return max(self._rest_until_s - now, 0.0)
        return 0.0

    # What happens -------------------------------------------------------------------------------

    def update(
        self,
        sample: CopSample,
        gap: bool = False,
        fault: str | None = None,
        unfiltered: CopSample | None = None,
    ) -> Sequence[Event]:
        """Take one sample in board time.

        Args:
            sample: force and COP, filtered.
            unfiltered: the same unfiltered, for a game whose rules want it.
            gap: the interval since the sample before was without signal.
            fault: a sentence of the board about itself that spoils a running trial.
        """
        time_s, force_n, _, y_mm, _ = sample
        last, self._last = self._last, sample
        self._for_task = unfiltered or sample
        step_s = time_s - last.time_s
        if math.isnan(step_s):
            step_s = 0.0  # the first sample of all
        if gap:
            self._speed.gap()
        phase = self.phase
        in_trial = phase is _RUNNING or phase is _OFF
        on_board = force_n >= (OFF_SHARE * self.body_n if in_trial else ON_N)
        if on_board and not math.isnan(y_mm):
            self._on_board(sample)
        else:
            self.where, self.stillness, self.ledger.spell_s = _NOWHERE, 0.0, 0.0
            self._speed.gap()
        if on_board:
            self._off_since_s = _NEVER
            if self._on_since_s is _NEVER:
                self._on_since_s = time_s
        else:
            self._on_since_s = _NEVER
            if self._off_since_s is _NEVER:
                self._off_since_s = time_s
            self._seen_empty = True
        if in_trial:
            return self._in_running(sample, step_s, gap, fault)
        return self._in_between(phase, sample, step_s if gap else 0.0)

    def _in_between(self, phase: Phase, sample: CopSample, gap_s: float) -> Sequence[Event]:
        if gap_s > GAP_BEFORE_S:
            self._on_since_s = sample.time_s if self._on_since_s is not _NEVER else _NEVER
            if phase is _COUNTDOWN:
                return self._go(_WAITING, Happening.LEFT_EARLY)
            self._settling.restart(sample.time_s)
        if phase is _SETTLING:
            return self._in_settling(sample)
        if phase is _COUNTDOWN:
            return self._in_countdown(sample)
        if phase is _LESSON:
            return self._in_lesson(sample, gap_s > 0.0)
        if phase is _RESULT:
            return self._in_result(sample.time_s)
        if phase is _RESTING:
            return self._in_resting(sample.time_s)
        return self._in_waiting(sample.time_s)

    def abort(self) -> Sequence[Event]:
        """Break off the trial, countdown or settling at hand; nothing else changes."""
        if self.in_trial:
            self._seen_empty = False
            return self._end("aborted", self._last.time_s)
        if self.phase in (_SETTLING, _COUNTDOWN, _LESSON):
            self._seen_empty = False
            return self._go(_WAITING, Happening.LEFT_EARLY)
        return _NOTHING

    def skip(self) -> Sequence[Event]:
        """Do not wait for stillness or for the rest to be over."""
        if self.phase is _SETTLING:
            return self._begin_countdown()
        if self.phase is _LESSON:
            return self._end_lesson()
        if self.phase in (_RESULT, _RESTING):
            return self._rest_over()
        return _NOTHING

    def begin(self) -> Sequence[Event]:
        """Whoever stands on the board is to begin, although they have been there for a while."""
        if self.phase in EMPTY and self._on_since_s is not _NEVER:
            self._seen_empty = True
        return _NOTHING

    def give_up(self) -> Sequence[Event]:
        """The signal will not come back in time."""
        if self.in_trial:
            return self._end("signal lost", self._last.time_s)
        if self.phase in (_SETTLING, _COUNTDOWN, _LESSON):
            return self._go(_WAITING, Happening.LEFT_EARLY)
        return _NOTHING

    # Inside -------------------------------------------------------------------------------------

    @property
    def in_trial(self) -> bool:
        """A trial runs, or waits for the vaulter to come back."""
        return self.phase is _RUNNING or self.phase is _OFF

    def _go(self, phase: Phase, happening: Happening, number: int = 0) -> tuple[Event, ...]:
        self.phase = phase
        self._phase_began_s = self._last.time_s
        return (Event(happening, self._last.time_s, number),)

    def _on_board(self, sample: CopSample) -> None:
        self._speed.update(sample.time_s, sample.x_mm, sample.y_mm)
        share = self.feet.toe_share_percent(sample.y_mm)
        if share > self.level.band_high_percent:
            self.where = _TOES
        elif share < self.level.band_low_percent:
            self.where = _HEELS
        else:
            self.where = _INSIDE
        speed = self._speed.get()
        reached = (speed - self._slow_at) * self._stillness_scale
        # NaN (no speed yet) fails the first comparison: not still.
        self.stillness = (reached if reached < 1.0 else 1.0) if reached > 0.0 else 0.0

    def _on_for(self, seconds: float) -> bool:
        return self._last.time_s - self._on_since_s >= seconds

    def _off_for(self, seconds: float) -> bool:
        return self._last.time_s - self._off_since_s >= seconds

    def _in_waiting(self, now_s: float) -> Sequence[Event]:
        """WAITING, and FINISHED, which a step onto the board turns into another set."""
        if not (self._seen_empty and self._on_for(ON_FOR_S)):
            return _NOTHING
        if self.phase is _FINISHED:
            self._due = len(self.marks) + self.level.trials
        self._settling = Settling(now_s)
        return self._go(_SETTLING, Happening.STEPPED_ON)

    def _in_settling(self, sample: CopSample) -> Sequence[Event]:
        if self._off_for(OFF_FOR_S):
            return self._go(_WAITING, Happening.LEFT_EARLY)
        if not self._settling.update(sample.time_s, sample.force_n):
            return _NOTHING
        return self._begin_countdown()

    def _begin_countdown(self) -> Sequence[Event]:
        self._ticks = round(COUNTDOWN_S)
        self._countdown_n = []
        return self._go(_COUNTDOWN, Happening.COUNTDOWN_TICK, self._ticks)

    def _in_countdown(self, sample: CopSample) -> Sequence[Event]:
        if self._off_for(OFF_FOR_S):
            return self._go(_WAITING, Happening.LEFT_EARLY)
        self._countdown_n.append(sample.force_n)
        if self.phase_s >= COUNTDOWN_S - STAMP_S:
            # The median: a knee bend or a late step onto the board does not move it.
            self.body_n = max(statistics.median(self._countdown_n), ON_N)
            if self._off_since_s is not _NEVER:
                return self._go(_WAITING, Happening.LEFT_EARLY)
            if self.lesson_due:
                return self._begin_lesson(sample.time_s)
            self._reset()
            self.live = LiveSway(
                self.feet, self.level.band_low_percent, self.level.band_high_percent
            )
            self.outcome = None
            self._watch = IncidentWatch(
                self.body_n,
                limits=limits_on(self.level.base),
                feet=self.feet,
                base_moves=base_moves(self.level.base),
            )
            self._trial_began_s = sample.time_s
            if self.kind.make is not None:
                self.task = self.kind.make(self._ground(sample.time_s))
            self._measure(sample)
            return self._go(_RUNNING, Happening.TRIAL_STARTED, self.number)
        if self._ticks > 1 and self.phase_s >= COUNTDOWN_S - (self._ticks - 1):
            self._ticks -= 1
            return (Event(Happening.COUNTDOWN_TICK, sample.time_s, self._ticks),)
        return _NOTHING

    def _begin_lesson(self, now_s: float) -> Sequence[Event]:
        self._reset()
        if self.kind.make is not None:
            self.task = self.kind.make(self._ground(now_s))
        return self._go(_LESSON, Happening.LESSON_STARTED)

    def _in_lesson(self, sample: CopSample, gap: bool) -> Sequence[Event]:
        """The game as it will be; what is done in it is not marked, and stepping off ends it."""
        if self._off_for(OFF_FOR_S) and not self.kind.leaves_board:
            return self._go(_WAITING, Happening.LEFT_EARLY)
        called: Sequence[Event] = _NOTHING
        if self.task is not None:
            called = [
                Event(Happening.CUE, sample.time_s, cue.number, word=cue.word)
                for cue in self.task.update(self._for_task, self.phase_s, gap)
            ]
        over = self.phase_s >= self.kind.lesson[-1][0]
        if over and self._on_for(ON_FOR_S):
            return (*called, *self._end_lesson())
        return called

    def _end_lesson(self) -> Sequence[Event]:
        self.lesson_due = False
        self.task = None
        ended = Event(Happening.LESSON_ENDED, self._last.time_s)
        return (ended, *self._begin_countdown())

    @property
    def lesson_words(self) -> str:
        """What is said at this moment of the lesson; empty outside one."""
        if self.phase is not _LESSON:
            return ""
        return next(
            (words for until_s, words in self.kind.lesson if self.phase_s < until_s),
            self.kind.lesson[-1][1],
        )

    def _ground(self, now_s: float) -> Ground:
        seed = round(now_s * 1e6)
        return Ground(self.level, self.feet, self.terms.rate_hz, self.body_n, seed)

    def _reset(self) -> None:
        self.task = None
        self.feedback = feedback_for(self.level.feedback, self.marks, self.level.pass_mark)
        self.terms = replace(self.terms, feedback=self.feedback.kind)
        self._trial_began_s = 0.0
        self._half_time = False
        self.ledger = Ledger()
        self.incidents = []
        self._keep_every = max(1, math.ceil(self.level.seconds * self.terms.rate_hz / _PATH_POINTS))
        self._measured = 0
        self.path_mm = []

    def _measure(self, sample: CopSample) -> None:
        self.live.update(sample)
        if self._measured % self._keep_every == 0:
            self.path_mm.append((sample.x_mm, sample.y_mm))
        self._measured += 1

    def _break(self) -> None:
        """The path is not bridged here."""
        self.live.gap()
        if self.path_mm and not math.isnan(self.path_mm[-1][0]):
            self.path_mm.append((math.nan, math.nan))

    def _in_running(
        self, sample: CopSample, step_s: float, gap: bool, fault: str | None
    ) -> Sequence[Event]:
        ledger = self.ledger
        ledger.note(fault)
        self.incidents += self._watch.update(*sample[:4])
        elapsed = sample.time_s - self._trial_began_s
        seconds = self.level.seconds
        # The last interval may reach beyond the end: only what lies inside counts.
        inside_s = step_s if elapsed <= seconds else step_s - (elapsed - seconds)
        if gap:
            # What is lost is the samples that are missing: all of the interval but one period.
            lost_s = max(inside_s - 1.0 / self.terms.rate_hz, 0.0)
            ledger.lose(lost_s, inside_s)
            self._break()
            inside_s -= lost_s
        ledger.spend(inside_s, self.where, self.stillness)
        if self.task is not None:
            return self._in_task(self.task, sample, elapsed, gap)
        return self._in_plain(sample, elapsed, gap)

    def _in_task(self, task: Task, sample: CopSample, elapsed: float, gap: bool) -> Sequence[Event]:
        called = [
            Event(Happening.CUE, sample.time_s, cue.number, word=cue.word)
            for cue in task.update(self._for_task, elapsed, gap)
        ]
        if task.done:
            return (*called, *self._end("complete", sample.time_s))
        return (*called, *self._in_plain(sample, elapsed, gap))

    def _in_plain(self, sample: CopSample, elapsed: float, gap: bool) -> Sequence[Event]:
        ledger, seconds = self.ledger, self.level.seconds
        if elapsed >= seconds - STAMP_S:
            if gap and ledger.lost_s > 0.5 * seconds:
                return self._end("signal lost", sample.time_s)
            return self._end("stepped off" if self.phase is _OFF else "complete", sample.time_s)
        if self.where is _NOWHERE:
            self._break()
        else:
            self._measure(sample)
            if self.phase is _RUNNING and (self._half_time or 2.0 * elapsed < seconds):
                return _NOTHING
        return self._off_and_back(sample.time_s, elapsed)

    def _off_and_back(self, now_s: float, elapsed: float) -> Sequence[Event]:
        if self.phase is _RUNNING and self._off_for(OFF_FOR_S) and not self.kind.leaves_board:
            self.ledger.step_offs += 1
            return self._go(_OFF, Happening.STEPPED_OFF, self.ledger.step_offs)
        if self.phase is _OFF:
            if self._on_for(BACK_FOR_S):
                return self._go(_RUNNING, Happening.STEPPED_BACK)
            if self.phase_s >= COME_BACK_S and not self._on_for(0.0):
                left_s = max(self.level.seconds - elapsed, 0.0)
                self.ledger.spend(left_s, _NOWHERE, 0.0)
                return self._end("stepped off", now_s)
        if not self._half_time and elapsed >= 0.5 * self.level.seconds:
            self._half_time = True
            return (Event(Happening.HALF_TIME, now_s),) if self.kind.half_time else _NOTHING
        return _NOTHING

    def _end(self, ended: str, now_s: float) -> Sequence[Event]:
        measures = self.live.get()
        self.incidents += self._watch.finish()
        for fault in doubts(self.incidents, measures, self.kind.doubted):
            self.ledger.note(fault)
        self.ledger.note(weight_doubt(self.body_n, self._usual_n))
        if self.task is not None:
            measures |= self.task.measures()
        planned_s = self.level.seconds
        if self.task is not None and self.task.done:
            planned_s = min(planned_s, now_s - self._trial_began_s)
        tally = self.ledger.tally(planned_s)
        number = self.number
        self.outcome = outcome_of(
            self.level, number, ended, tally, measures, self.terms, self.marks, self.body_n
        )
        self.marks.append(self.outcome.mark if self.outcome.counts else None)
        if not self.outcome.counts:
            self._due += 1  # it may be tried again
        self._rest_until_s = now_s + self.level.rest_s
        self.phase, self._phase_began_s = _RESULT, now_s
        return (Event(Happening.TRIAL_ENDED, now_s, number, self.outcome),)

    def _in_result(self, now_s: float) -> Sequence[Event]:
        off = self.phase_s >= RESULT_AT_LEAST_S and self._off_for(ON_FOR_S)
        if not off and self.phase_s < RESULT_AT_MOST_S:
            return _NOTHING
        if len(self.marks) >= self._due:
            return self._finish()
        self.phase, self._phase_began_s = _RESTING, now_s
        return _NOTHING

    def _finish(self) -> Sequence[Event]:
        self._seen_empty = False
        return self._go(_FINISHED, Happening.FINISHED)

    def _in_resting(self, now_s: float) -> Sequence[Event]:
        return self._rest_over() if now_s >= self._rest_until_s else _NOTHING

    def _rest_over(self) -> Sequence[Event]:
        if len(self.marks) >= self._due:
            return self._finish()
        # Whoever is still on the board starts again by standing still: no need to step off, but
        # after a break by hand.
        return self._go(_WAITING, Happening.REST_OVER)
