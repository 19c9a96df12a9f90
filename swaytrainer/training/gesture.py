"""What a vaulter on the board says without hands: step on, step off, lean, two knee bends.

::

    EMPTY ── on for 0.3 s ──▶ FINDING ── settled ──▶ READY ── lean, bends ──▶ a gesture
      ▲                          │                     │ weight changed ──▶ FINDING
      └──── off for 0.7 s ───────┴─────────────────────┘

FINDING takes the weight and the middle: all thresholds are shares of the weight and of the stance,
so a child's lean is a child's. READY follows both slowly while nothing happens. Where the ground
moves much nothing is understood, and ``GestureNow.state`` says so: keys are always there.

Thresholds are ours, chosen over simulated bodies (``python -m tests.training.false_choices``),
which are no evidence about people.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet
from swaytrainer.training.gesture_bends import TwoBends
from swaytrainer.training.gesture_lean import Lean
from swaytrainer.training.settling import Settling

#: Somebody is on the board: 10 kg, less than any vaulter, more than a bag put down on it.
ON_N: Final = 100.0
ON_FOR_S: Final = 0.3
#: Off: below this share of the weight, for longer than a hop is in the air.
OFF_SHARE: Final = 0.4
OFF_FOR_S: Final = 0.7
#: The COP runs so many lengths from heel to ball a second, fore and aft: the ground moves much;
#: below the second it is over.
MOVES_PER_S: Final = 0.45
STILL_PER_S: Final = 0.36
#: The COP is calm while it runs no faster than so many times what is usual, within these, /s.
CALM_TIMES: Final = 3.2
CALM_PER_S: Final = (0.3, 0.85)
#: The force has been unlike the weight for so long: it is another weight.
ANOTHER_S: Final = 6.0
#: A share of the load outside these is no foot's: the feet are elsewhere.
ON_THE_FEET: Final = (-15.0, 115.0)
#: The middle of somebody's stance may be this far from the middle of the marks, %.
OFF_MIDDLE_PERCENT: Final = 15.0
#: A gap longer than this is one: at 20 samples a second two may be missing.
GAP_S: Final = 0.2
#: Time constants: what is usual is followed, how fast the COP runs is averaged.
_FIND_S, _FOLLOW_S, _SPEED_S, _RUN_S = 0.5, 4.0, 1.0, 0.1
#: Standing height in foot lengths, about 1/0.152; from memory of body-proportion tables.
_HEIGHT_IN_FEET: Final = 6.6
_GRAVITY_MM_S2: Final = 9806.65


class Gesture(StrEnum):
    """What was said."""

    STEP_ON = "step on"
    STEP_OFF = "step off"
    LEFT = "lean left"
    RIGHT = "lean right"
    BENDS = "two knee bends"


class Readiness(StrEnum):
    """Whether anything can be understood."""

    EMPTY = "empty"
    FINDING = "finding"  # the weight and the middle
    READY = "ready"
    MOVING = "moving"  # the ground moves too much
    ELSEWHERE = "elsewhere"  # the COP is not between the feet


class GestureNow(NamedTuple):
    """What a screen may show.

    Attributes:
        time_s: of the sample.
        state: whether anything can be understood.
        said: a gesture at the moment it is understood, else None.
        saying: the gesture that may be under way, else None.
        progress: 0 to 1, how far that is.
        bends: knee bends done of the pair that is under way.
    """

    time_s: float
    state: Readiness
    said: Gesture | None
    saying: Gesture | None
    progress: float
    bends: int


class GestureWatch:
    """Understands gestures, sample by sample; O(1) each.

    Args:
        feet: where the feet stand; for somebody who is not known yet, anybody's on the marks.
        rate_hz: the board's nominal rate.

    Raises:
        SwaytrainerError: a rate at which a knee bend can't be followed.
    """

    def __init__(self, feet: Feet, rate_hz: float) -> None:
        if not (math.isfinite(rate_hz) and rate_hz >= 20.0):
            raise SwaytrainerError(
                f"Gestures can't be followed at {rate_hz:g} samples a second.",
                "Use a board with at least 20, or choose by keys.",
            )
        self._feet = feet
        lever_mm = feet.ball_y_mm - feet.heel_y_mm
        self._lever_mm = lever_mm
        self._moves_mm_s = MOVES_PER_S * lever_mm
        self._still_mm_s = STILL_PER_S * lever_mm
        height_mm = _HEIGHT_IN_FEET * lever_mm / (BALL_SHARE - HEEL_SHARE)
        self._bends = TwoBends(height_mm, _GRAVITY_MM_S2)
        self._lean = Lean()
        self._settling = Settling(0.0)
        self._on = False
        self._time_s = NAN
        self._forget()

    @property
    def weight_n(self) -> float:
        """Of whoever stands there; NaN while it is not known."""
        return self._weight_n if self._found else NAN

    @property
    def on_board(self) -> bool:
        """Somebody is on the board."""
        return self._on

    def rearm(self) -> None:
        """A new question: what was begun is dropped, the weight and the middle are kept."""
        self._lean.restart()
        self._bends.restart()

    def gap(self) -> None:
        """Samples were lost: whoever stands there is found anew."""
        self._forget()
        self._time_s = NAN

    def update(self, sample: CopSample) -> GestureNow:
        """Take one sample, times increasing.

        A NaN, an infinite force, or a time that does not increase is a gap.
        """
        time_s, force_n = sample.time_s, sample.force_n
        if not (math.isfinite(time_s) and math.isfinite(force_n)):
            self.gap()
            return self._now(time_s, None)
        if not 0.0 < time_s - self._time_s <= GAP_S:
            self._forget()
            self._time_s = time_s
            self._settling.restart(time_s)
        step_s = time_s - self._time_s
        self._time_s = time_s
        if not self._on:
            return self._now(time_s, self._look_for_somebody(time_s, force_n))
        if self._gone(time_s, force_n):
            self._on = False
            self._forget()
            return self._now(time_s, Gesture.STEP_OFF)
        if math.isnan(sample.x_mm):
            self._lean.restart()
            self._bends.restart()
            return self._now(time_s, None)
        right = self._feet.right_share_percent(sample.x_mm)
        along = self._feet.toe_share_percent(sample.y_mm)
        self._follow_ground(step_s, sample.x_mm, sample.y_mm)
        if not self._found:
            self._find(time_s, step_s, force_n, right, along)
            return self._now(time_s, None)
        return self._now(time_s, self._listen(time_s, step_s, force_n, right, along))

    def _forget(self) -> None:
        self._found = False
        self._weight_n = self._middle = self._along = self._began_s = NAN
        self._on_since_s = self._off_since_s = self._unlike_since_s = NAN
        self._x_mm = self._y_mm = NAN
        self._speed_mm_s = self._run_mm_s = self._usual_mm_s = 0.0
        self._moving = self._elsewhere = False
        self._lean.restart()
        self._bends.restart()

    def _look_for_somebody(self, time_s: float, force_n: float) -> Gesture | None:
        if force_n < ON_N:
            self._on_since_s = NAN
            return None
        if math.isnan(self._on_since_s):
            self._on_since_s = time_s
        if time_s - self._on_since_s < ON_FOR_S:
            return None
        self._on = True
        self._settling = Settling(time_s)
        return Gesture.STEP_ON

    def _gone(self, time_s: float, force_n: float) -> bool:
        if force_n >= (OFF_SHARE * self._weight_n if self._found else ON_N):
            self._off_since_s = NAN
            return False
        if math.isnan(self._off_since_s):
            self._off_since_s = time_s
        return time_s - self._off_since_s >= OFF_FOR_S

    def _follow_ground(self, step_s: float, x_mm: float, y_mm: float) -> None:
        """How fast the COP runs: fore and aft, which no gesture does, and at this moment at all."""
        if step_s > 0.0 and not math.isnan(self._y_mm):
            dx_mm, dy_mm = x_mm - self._x_mm, y_mm - self._y_mm
            share = min(1.0, step_s / _SPEED_S)
            self._speed_mm_s += share * (abs(dy_mm) / step_s - self._speed_mm_s)
            share = min(1.0, step_s / _RUN_S)
            self._run_mm_s += share * (math.hypot(dx_mm, dy_mm) / step_s - self._run_mm_s)
        self._x_mm, self._y_mm = x_mm, y_mm
        limit = self._still_mm_s if self._moving else self._moves_mm_s
        self._moving = self._speed_mm_s > limit

    def _calm(self, step_s: float) -> bool:
        if self._lean.side == 0 and not self._bends.under_way:
            share = min(1.0, step_s / _FOLLOW_S)
            self._usual_mm_s += share * (self._run_mm_s - self._usual_mm_s)
        least, most = CALM_PER_S
        limit = min(max(CALM_TIMES * self._usual_mm_s / self._lever_mm, least), most)
        return self._run_mm_s <= limit * self._lever_mm

    def _find(
        self, time_s: float, step_s: float, force_n: float, right: float, along: float
    ) -> None:
        if math.isnan(self._weight_n):
            self._weight_n, self._middle, self._along = force_n, right, along
            self._began_s = time_s
        share = step_s / max(_FIND_S, time_s - self._began_s)
        self._weight_n += share * (force_n - self._weight_n)
        self._along += share * (along - self._along)
        self._middle += share * (right - self._middle)
        if self._settling.update(time_s, force_n):
            self._found = True
            self._usual_mm_s = self._run_mm_s
            self._middle = _near_even(self._middle)

    def _listen(
        self, time_s: float, step_s: float, force_n: float, right: float, along: float
    ) -> Gesture | None:
        self._elsewhere = not ON_THE_FEET[0] <= right <= ON_THE_FEET[1]
        aside = right - self._middle
        bends = self._bends
        if bends.update(
            time_s,
            force_n / self._weight_n,
            aside,
            along - self._along,
            self._calm(step_s),
            not self._moving,
        ):
            self._lean.restart()
            return Gesture.BENDS
        quiet_s = bends.quiet_s
        if quiet_s > 0.0:
            self._unlike_since_s = NAN
        elif math.isnan(self._unlike_since_s):
            self._unlike_since_s = time_s
        elif time_s - self._unlike_since_s > ANOTHER_S:
            self._forget()
            self._settling = Settling(time_s)
            return None
        if quiet_s > 0.3 and self._lean.side == 0:
            # Like a mean at first, then forgetting.
            share = step_s / min(_FOLLOW_S, time_s - self._began_s)
            self._weight_n += share * (force_n - self._weight_n)
            self._along += share * (along - self._along)
            self._middle = _near_even(self._middle + share * aside)
        if self._elsewhere or (bends.count > 0) or (self._moving and self._lean.side == 0):
            self._lean.hold()
            return None
        side = self._lean.update(time_s, aside)
        if side == 0:
            return None
        return Gesture.RIGHT if side > 0 else Gesture.LEFT

    def _now(self, time_s: float, said: Gesture | None) -> GestureNow:
        saying, progress = self._saying(time_s)
        return GestureNow(time_s, self._state(), said, saying, progress, self._bends.count)

    def _state(self) -> Readiness:
        if not self._on:
            return Readiness.EMPTY
        if not self._found:
            return Readiness.FINDING
        if self._elsewhere:
            return Readiness.ELSEWHERE
        quiet = self._lean.side == 0 and self._bends.count == 0
        return Readiness.MOVING if self._moving and quiet else Readiness.READY

    def _saying(self, time_s: float) -> tuple[Gesture | None, float]:
        if self._on and not math.isnan(self._off_since_s):
            return Gesture.STEP_OFF, min(1.0, (time_s - self._off_since_s) / OFF_FOR_S)
        if not self._on and not math.isnan(self._on_since_s):
            return Gesture.STEP_ON, min(1.0, (time_s - self._on_since_s) / ON_FOR_S)
        if self._lean.side != 0:
            return (Gesture.RIGHT if self._lean.side > 0 else Gesture.LEFT), self._lean.progress
        if self._bends.under_way and self._bends.progress > 0.2:
            return Gesture.BENDS, self._bends.progress
        return None, 0.0


def _near_even(percent: float) -> float:
    return min(max(percent, 50.0 - OFF_MIDDLE_PERCENT), 50.0 + OFF_MIDDLE_PERCENT)
