"""Four strides: the stand as it is judged. A test, not a game: nothing is shown or sounded of it.

In the compulsory exercises the stand is held for four strides of canter (common practice; the
federation's rules decide). The canter is heard, a bell begins the four strides, and each that is
over is counted aloud. A stride is held in so far as the weight is over the whole soles of both
feet, in the band and even; whoever lets somebody or something bear a part of it has held none.

On a still base the calm is that of the COP forward and back: side to side a wide stance buys calm,
and forward and back it does not. On a moving base no COP path is marked; there the force's ripple
tells how much of the stride was swallowed, as in ``ribbon``, and what is not swallowed is not held.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from swaytrainer.motion.absorption import GRAVITY_M_S2
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.tasks.canter import Canter, Ridden, StrideSums
from swaytrainer.training.tasks.four_strides_words import advise, explain
from swaytrainer.training.tasks.push import PushWatch
from swaytrainer.training.tasks.ribbon import FAIR, FIELDS, MOVING, SIDES_PERCENT, UNMOVED
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind

STRIDES: Final = 4
#: More than this share of the weight missing in a stride's mean: somebody holds on. Ours; on a
#: moving base a stride's mean is less sure, see ``ribbon.HELD``.
PROPPED_STILL: Final = 0.025
PROPPED_MOVING: Final = 0.05
#: Of the four strides so much must have been seen on the board.
LEAST_SEEN: Final = 0.8
_NEARLY_ALL: Final = 0.9
_ROOT2: Final = math.sqrt(2.0)
_SIDES: Final = ("left", "right", "toes", "heels")

_FIELDS: Final[dict[str, Field]] = {
    "cadence_hz": FIELDS["cadence_hz"],
    "lead_strides": Field(3.0, 12.0, 8.0, "", "strides to listen before the bell"),
    "base_mm": FIELDS["base_mm"],
}


@dataclass(frozen=True, slots=True)
class FourStridesScene:
    """What the picture and the sound need; nothing of the sway.

    Attributes:
        stride: number of the heard stride, from 0.
        phase: how far through it, 0 to 1.
        leading: strides still to go before the bell; 0 from then on.
        over: how many of the four are over.
        done: all of them are.
    """

    stride: int
    phase: float
    leading: int
    over: int
    done: bool


class FourStridesTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        number = {name: given.get(name, field.usual) for name, field in _FIELDS.items()}
        self._canter = Canter(number["cadence_hz"])
        self._period_s = 1.0 / number["cadence_hz"]
        self._lead = round(number["lead_strides"])
        self._moving = ground.level.base == MOVING
        omega = 2.0 * math.pi * number["cadence_hz"]
        self._stiff = 0.001 * number["base_mm"] * omega * omega / (GRAVITY_M_S2 * _ROOT2)
        self._propped_from = PROPPED_MOVING if self._moving else PROPPED_STILL
        self._body_n = ground.body_n
        self._rate_hz = ground.rate_hz
        self._feet = ground.feet
        self._band = (ground.level.band_low_percent, ground.level.band_high_percent)
        self._sums = StrideSums()
        self._pushed = PushWatch(ground.rate_hz) if self._moving else None
        self._stride = 0
        self._last: CopSample | None = None
        self._even_s = self._stride_s = self._seen_s = self._way_mm = 0.0
        self._held = self._swallowed = 0.0
        self._unmoved = self._propped = 0
        self._sides = dict.fromkeys(_SIDES, 0.0)

    @property
    def done(self) -> bool:
        """The fourth stride is over."""
        return self._stride >= self._lead + STRIDES

    @property
    def scene(self) -> FourStridesScene:
        """See ``FourStridesScene``."""
        over = min(max(self._stride - self._lead, 0), STRIDES)
        return FourStridesScene(
            self._canter.stride,
            self._canter.phase,
            max(self._lead - self._stride, 0),
            over,
            self.done,
        )

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls the beats, "now" at the bell and "stride 1" to "stride 4"."""
        if self.done:
            return ()
        canter = self._canter
        beats = canter.update(elapsed_s)
        cues = [Cue(f"beat {beat}", canter.stride) for beat in beats]
        while self._stride < canter.stride and not self.done:
            cues += self._finish()
        if self.done:
            return [cue for cue in cues if not cue.word.startswith("beat")]
        if gap:
            self._sums.gap()
            self._last = None
            if self._pushed is not None:
                self._pushed.gap()
        ripple = sample.force_n / self._body_n - 1.0
        if math.isfinite(ripple):
            self._sums.add(canter.phase, ripple, sample.x_mm, sample.y_mm)
        else:
            self._sums.gap()
        if self._pushed is not None:
            self._pushed.add(ripple)
        if self._stride >= self._lead:
            self._spend(sample)
        return cues

    def _spend(self, sample: CopSample) -> None:
        """Book one interval of the four strides."""
        last, self._last = self._last, sample
        if last is None:
            return
        step_s = sample.time_s - last.time_s
        way_mm = abs(sample.y_mm - last.y_mm)
        if not (step_s > 0.0 and math.isfinite(way_mm + sample.x_mm)):
            return
        self._seen_s += step_s
        self._way_mm += way_mm
        side = self._side(sample.x_mm, sample.y_mm)
        if side:
            self._sides[side] += step_s
        else:
            self._even_s += step_s
        self._stride_s += step_s

    def _side(self, x_mm: float, y_mm: float) -> str:
        right = self._feet.right_share_percent(x_mm) - 50.0
        toes = self._feet.toe_share_percent(y_mm)
        low, high = self._band
        if abs(right) > SIDES_PERCENT:
            return "right" if right > 0.0 else "left"
        if toes > high:
            return "toes"
        return "heels" if toes < low else ""

    def _finish(self) -> list[Cue]:
        """One stride is over."""
        stride, self._stride = self._stride, self._stride + 1
        # The intervals across a stride's edges make it a little longer or shorter.
        even = self._even_s / max(self._stride_s, _NEARLY_ALL * self._period_s)
        self._even_s = self._stride_s = 0.0
        ridden = self._sums.take(self._period_s * self._rate_hz)
        if stride < self._lead:
            return [Cue("now", STRIDES)] if self._stride == self._lead else []
        if ridden.whole:
            self._judge(ridden, even)
        return [Cue(f"stride {self._stride - self._lead}", self._stride - self._lead)]

    def _judge(self, ridden: Ridden, even: float) -> None:
        if ridden.weight < -self._propped_from:
            self._propped += 1
        if self._pushed is None:
            self._held += even
            return
        left = math.sqrt(ridden.power) / self._stiff
        swallowed = max(1.0 - left, 0.0)
        if left < UNMOVED or not self._pushed.like(self._period_s):
            self._unmoved += 1
            swallowed = 0.0
        self._swallowed += swallowed
        there = not math.isnan(ridden.y_mm) and not self._side(ridden.x_mm, ridden.y_mm)
        self._held += there and swallowed >= FAIR

    def measures(self) -> dict[str, float]:
        """``strides_held`` (0 to 4), ``strides_calm_mm_s`` and ``strides_swallowed_percent``.

        NaN where somebody held on, where the four strides were not over or not seen, or where the
        base is not of that kind.
        """
        found = dict.fromkeys(FOUR_STRIDES.measures, NAN)
        seen = self._seen_s >= LEAST_SEEN * STRIDES * self._period_s
        if self.done and not self._propped:
            found["strides_held"] = self._held
            if self._moving:
                found["strides_swallowed_percent"] = 100.0 * self._swallowed / STRIDES
            elif seen:
                found["strides_calm_mm_s"] = self._way_mm / self._seen_s
        found["strides_propped"] = float(self._propped)
        found["strides_unmoved"] = float(self._unmoved)
        found |= {f"strides_{side}_s": seconds for side, seconds in self._sides.items()}
        return found


FOUR_STRIDES: Final = TaskKind(
    name="four-strides",
    make=FourStridesTask,
    explain=explain,
    advise=advise,
    praise="Four strides, held and calm.",
    measures={
        "strides_held": Markable("of 4", True, "Held"),
        "strides_calm_mm_s": Markable("mm/s", False, "Calm"),
        "strides_swallowed_percent": Markable("%", True, "Swallowed"),
    },
    fields=_FIELDS,
    ready="Tall and still for four strides",
    lesson=(
        (4.0, "A test: listen to the canter"),
        (6.0, "At the bell, stand tall and still"),
        (9.0, "Four strides, and it is over"),
    ),
)
