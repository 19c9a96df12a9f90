"""Ribbon: swallow the canter, so that what stands on the horse goes level.

On a still base the canter is heard, and the vaulter makes the movement that would swallow it: one
soft bend a stride. Who rode a horse whose back goes up and down by b would keep level with a body
that moves by -b against it; on the plate that is a force that ripples once a stride, of a size that
the level asks for. What is missing of it, and whatever else the force does (jerks, harmonics, other
times), would be left of the ride. A constant lag behind the sound is nobody's fault (loudspeaker,
reaction), so it is taken from the strides before; a tempo of one's own is not constant. A stiff
body has all of the ride left: nothing is swallowed.

On a base that really moves the force's own ripple is what is left, against that of a stiff body on
a base that moves so far: A·(2πf)²/(g·√2), see ``motion.absorption``. This compares at the same push
only: without an accelerometer nobody but the coach sees how far the base goes. A stride in which
the base does not move is not swallowed.

The COP counts as a mean over each stride, never as a path.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from swaytrainer.motion.absorption import GRAVITY_M_S2
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.tasks.canter import Canter, Ridden, StrideSums
from swaytrainer.training.tasks.push import PushWatch
from swaytrainer.training.tasks.ribbon_words import advise, explain
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind

#: What a stride was like. "unmoved": a base that was to move did not; "lost": a gap in it.
Verdict = Literal[
    "", "smooth", "fair", "stiff", "rough", "off beat", "held", "unmoved", "off", "lost"
]
Lean = Literal["", "left", "right", "toes", "heels"]

MOVING: Final = "moving barrel"
#: Our own choices. A stride that is swallowed this far is smooth, and this far fair.
SMOOTH: Final = 0.6
FAIR: Final = 0.25
#: A movement may be this much larger than asked for.
LARGER: Final = 1.5
#: The lag behind the sound is the mean of about so many strides before.
_LAG_STRIDES: Final = 8
#: A stride with a smaller movement than this share of the asked one tells nothing about the lag.
_TELLS: Final = 0.3
#: So many smooth strides in a row bring a swallow, and there are no more than these.
STREAK: Final = 3
MOST_BIRDS: Final = 12
#: Each foot bears within so many per cent of half, in the mean of a stride.
SIDES_PERCENT: Final = 10.0
#: More than this share of the weight missing in a stride: somebody holds on. A free stride's mean
#: is off by the change of speed over it: 0.1 m/s in 0.6 s would be 2 %.
HELD: Final = 0.05
#: A base pushed on purpose leaves more than this share of a stiff body's ripple in any rider.
UNMOVED: Final = 0.06
#: Without any movement yet: the horse is highest while it floats (from memory).
_FLOATING: Final = complex(math.cos(2.0 * math.pi * 0.8), -math.sin(2.0 * math.pi * 0.8))
_ROOT2: Final = math.sqrt(2.0)
#: More than this of a stiff body's ripple: the legs bounce the body up.
BOUNCING: Final = 1.5
#: The picture's ribbon: so many points a second, for so long.
TRAIL_HZ: Final = 30.0
TRAIL_S: Final = 3.0
#: What stands on the horse is never further from level, in heights of the ride.
_FURTHEST: Final = 1.6
_LEVELS_S: Final = 1.5

FIELDS: Final[dict[str, Field]] = {
    "cadence_hz": Field(1.0, 2.2, 1.6, "Hz", "strides a second that are heard"),
    "drift_percent": Field(0.0, 15.0, 0.0, "%", "the cadence wanders slowly by so much"),
    "swing_percent": Field(
        2.0, 20.0, 7.0, "% of the weight", "rms ripple of the force that swallows a heard canter"
    ),
    "base_mm": Field(5.0, 60.0, 25.0, "mm", "how far a moving base goes up and down from its mean"),
    "lead_strides": Field(2.0, 12.0, 4.0, "", "strides to find the canter, unmarked"),
}


@dataclass(frozen=True, slots=True)
class RibbonScene:
    """What the picture and the sound need.

    Attributes:
        stride: number of the heard stride, from 0.
        phase: how far through it, 0 to 1.
        leading: strides still to go before they count; 0 once they do.
        ride: height of the horse's back, -1 to 1.
        lift: how far from level what stands on it is, in heights of the ride; NaN off the board.
        trail: the last seconds of ``lift``, newest first, ``TRAIL_HZ`` a second; NaN where there
            was none.
        trail_age: how long ago its newest was, in their steps.
        verdict: of the last whole stride; "" before the first.
        lean: where the weight was in it, beyond the limits; "" inside them.
        score: how much of it was swallowed, 0 to 1.
        streak: how many smooth and even strides there have been in a row.
        birds: swallows at the ribbon: one more for each third smooth stride in a row, one less for
            a stride that spoils it.
        smooth: how many strides that count were smooth.
        counted: how many counted so far.
        moving: whether the base is to move by itself.
    """

    stride: int
    phase: float
    leading: int
    ride: float
    lift: float
    trail: tuple[float, ...]
    trail_age: float
    verdict: Verdict
    lean: Lean
    score: float
    streak: int
    birds: int
    smooth: int
    counted: int
    moving: bool


class RibbonTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        level = ground.level
        given = dict(level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        self._canter = Canter(number["cadence_hz"], number["drift_percent"], ground.seed)
        self._cadence_hz = number["cadence_hz"]
        self._swing = 0.01 * number["swing_percent"]
        self._base_m = 0.001 * number["base_mm"]
        self._lead = round(number["lead_strides"])
        self._moving = level.base == MOVING
        self._pushed = PushWatch(ground.rate_hz) if self._moving else None
        self._body_n = ground.body_n
        self._rate_hz = ground.rate_hz
        self._feet = ground.feet
        self._band = (level.band_low_percent, level.band_high_percent)
        self._sums = StrideSums()
        self._stride = 0
        self._lag = 0j
        self._lags = 0
        self._level = 0.0
        self._ride, self._lift = 0.0, NAN
        self._trail: deque[float] = deque(maxlen=round(TRAIL_HZ * TRAIL_S))
        self._trail_s = self._trail_age = 0.0
        self._verdict: Verdict = ""
        self._lean: Lean = ""
        self._score = 0.0
        self._streak = self._birds = 0
        self._counts: dict[str, int] = {}
        self._leans: dict[str, int] = {}
        self._counted = self._even = 0
        self._swallowed = 0.0

    @property
    def done(self) -> bool:
        """It lasts as long as the level says."""
        return False

    @property
    def scene(self) -> RibbonScene:
        """See ``RibbonScene``."""
        return RibbonScene(
            self._canter.stride,
            self._canter.phase,
            max(self._lead - self._stride, 0),
            self._ride,
            self._lift,
            tuple(self._trail),
            self._trail_age,
            self._verdict,
            self._lean,
            self._score,
            self._streak,
            self._birds,
            self._counts.get("smooth", 0),
            self._counted,
            self._moving,
        )

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls "beat 1" to "beat 3", "smooth" for each third smooth stride."""
        canter = self._canter
        period_s = canter.period_s
        beats = canter.update(elapsed_s)
        cues = [Cue(f"beat {beat}", canter.stride) for beat in beats]
        if canter.stride != self._stride:
            cues += self._finish(period_s)
            self._stride = canter.stride
        if gap:
            self._sums.gap()
            if self._pushed is not None:
                self._pushed.gap()
        ripple = sample.force_n / self._body_n - 1.0
        if math.isfinite(ripple):
            self._sums.add(canter.phase, ripple, sample.x_mm, sample.y_mm)
        else:
            self._sums.gap()
        if self._pushed is not None:
            self._pushed.add(ripple)
        self._follow(ripple, not math.isnan(sample.y_mm), elapsed_s)
        return cues

    def _follow(self, ripple: float, on_board: bool, elapsed_s: float) -> None:
        """The picture: the horse's back and what stands on it."""
        angle = 2.0 * math.pi * self._canter.phase
        towards = self._towards
        self._ride = towards.real * math.cos(angle) - towards.imag * math.sin(angle)
        if self._moving:
            self._ride = -self._ride  # a stiff body presses most where its base is lowest
        if not on_board:
            self._lift = NAN
        else:
            share = 1.0 / (_LEVELS_S * self._rate_hz)
            self._level += (ripple - self._level) * share
            if self._moving:
                lift = -(ripple - self._level) / (_ROOT2 * self._stiff(1.0 / self._cadence_hz))
            else:
                size = min(max(abs(self._lag), self._swing), LARGER * self._swing)
                lift = self._ride - (ripple - self._level) / (_ROOT2 * size)
            self._lift = min(max(lift, -_FURTHEST), _FURTHEST)
        if elapsed_s >= self._trail_s:
            self._trail.appendleft(self._lift)
            late_s = elapsed_s - self._trail_s
            self._trail_s = (
                elapsed_s if late_s > 1.0 / TRAIL_HZ else self._trail_s
            ) + 1.0 / TRAIL_HZ
        self._trail_age = 1.0 - (self._trail_s - elapsed_s) * TRAIL_HZ

    @property
    def _towards(self) -> complex:
        """The direction of the strides before; where the horse is high, the force is."""
        size = abs(self._lag)
        return self._lag / size if size > 0.0 else _FLOATING

    def _stiff(self, period_s: float) -> float:
        """A stiff body's rms ripple on the moving base, in weights."""
        omega = 2.0 * math.pi / period_s
        return self._base_m * omega * omega / (GRAVITY_M_S2 * _ROOT2)

    def _finish(self, period_s: float) -> list[Cue]:
        """Judge the stride that has just ended."""
        ridden = self._sums.take(period_s * self._rate_hz)
        counts = self._stride >= self._lead
        if not ridden.whole:
            self._verdict, self._lean, self._score, self._streak = "lost", "", 0.0, 0
            return []
        judge = self._judge_moving if self._moving else self._judge_still
        self._score, self._verdict = judge(ridden, period_s)
        self._lean = self._where(ridden)
        if math.isnan(ridden.y_mm):
            self._score, self._verdict = 0.0, "off"
        elif ridden.weight < -HELD:
            self._score, self._verdict = 0.0, "held"
        good = self._verdict == "smooth" and not self._lean
        self._streak = self._streak + 1 if good else 0
        if self._score < FAIR or self._lean:
            self._birds = max(self._birds - 1, 0)
        if counts:
            self._counted += 1
            self._swallowed += self._score
            self._even += not self._lean and self._score >= FAIR
            self._counts[self._verdict] = self._counts.get(self._verdict, 0) + 1
            self._leans[self._lean] = self._leans.get(self._lean, 0) + 1
            if good and self._streak % STREAK == 0:
                self._birds = min(self._birds + 1, MOST_BIRDS)
                return [Cue("smooth", self._streak)]
        return []

    def _judge_still(self, ridden: Ridden, _period_s: float) -> tuple[float, Verdict]:
        swing, wave = self._swing, ridden.wave
        towards = self._towards
        along = (wave * towards.conjugate()).real
        want = min(max(along, swing), LARGER * swing)
        jerks = max(ridden.power - abs(wave) ** 2, 0.0)
        left = math.sqrt(jerks + abs(wave - want * towards) ** 2)
        score = max(1.0 - left / swing, 0.0)
        if abs(wave) >= _TELLS * swing:
            self._learn(wave)
        if score >= FAIR:
            return score, "smooth" if score >= SMOOTH else "fair"
        if abs(wave) < 0.5 * swing and math.sqrt(jerks) < 0.5 * swing:
            return score, "stiff"
        aside = abs(wave - max(along, 0.0) * towards)
        too_far = max(along - LARGER * swing, 0.0)
        return score, "off beat" if aside > max(math.sqrt(jerks), too_far) else "rough"

    def _learn(self, wave: complex) -> None:
        """The lag of what follows."""
        self._lags = min(self._lags + 1, _LAG_STRIDES)
        self._lag += (wave - self._lag) / self._lags

    def _judge_moving(self, ridden: Ridden, period_s: float) -> tuple[float, Verdict]:
        assert self._pushed is not None
        left = math.sqrt(ridden.power) / self._stiff(period_s)
        if left < UNMOVED or not self._pushed.like(period_s):
            return 0.0, "unmoved"
        self._learn(ridden.wave)
        score = max(1.0 - left, 0.0)
        if score >= FAIR:
            return score, "smooth" if score >= SMOOTH else "fair"
        return score, "rough" if left > BOUNCING else "stiff"

    def _where(self, ridden: Ridden) -> Lean:
        toes = self._feet.toe_share_percent(ridden.y_mm)
        right = self._feet.right_share_percent(ridden.x_mm) - 50.0
        low, high = self._band
        if abs(right) > SIDES_PERCENT:
            return "right" if right > 0.0 else "left"
        if toes > high:
            return "toes"
        return "heels" if toes < low else ""  # nowhere is no lean

    def measures(self) -> dict[str, float]:
        """``ribbon_smooth_percent`` and ``ribbon_even_percent`` over all strides that count.

        NaN where no stride was whole. Beside them how many strides were stiff, rough, off the beat
        or unmoved.
        """
        found = dict.fromkeys(RIBBON.measures, NAN)
        if self._counted:
            found = {
                "ribbon_smooth_percent": 100.0 * self._swallowed / self._counted,
                "ribbon_even_percent": 100.0 * self._even / self._counted,
            }
        found["ribbon_strides"] = float(self._counted)
        for verdict in ("stiff", "rough", "off beat", "held", "unmoved", "off"):
            name = verdict.replace(" ", "_")
            found[f"ribbon_{name}_strides"] = float(self._counts.get(verdict, 0))
        for lean in ("left", "right", "toes", "heels"):
            found[f"ribbon_{lean}_strides"] = float(self._leans.get(lean, 0))
        return found


RIBBON: Final = TaskKind(
    name="ribbon",
    make=RibbonTask,
    explain=explain,
    advise=advise,
    praise="A ribbon without a crease. The swallows stayed.",
    measures={
        "ribbon_smooth_percent": Markable("%", True, "Swallowed"),
        "ribbon_even_percent": Markable("%", True, "Even"),
    },
    fields=FIELDS,
    ready="Dip softly, once a stride",
    lesson=(
        (4.0, "Hear three beats and a float"),
        (10.0, "Dip softly, once a stride"),
        (14.0, "In time, the ribbon flies level"),
        (18.0, "Three smooth ones: a swallow!"),
    ),
)
