"""Well: squat with the heels down, at the pace of a bucket that goes down a well and up again.

A beat says where the bucket ought to be: a minimum-jerk way down, a hold, a way up (Flash & Hogan,
J Neurosci 1985;5:1688-1703), and a stand. The vaulter's centre of mass moves the bucket; leaving
the band of toe share spills it. Both marks ask for squats that were done, so that neither standing
still nor bobbing earns anything.

Depth comes from ``motion.squat_watch``: the force's second integral from the last still stand on.
It ends five seconds after one, hence the stand between two squats. Only the beat's crossings of
half the depth are judged, since the live depth may be wrong by some centimetres. On soft ground
the body never counts as still, for it bounces at some 3 Hz; there the force is smoothed first,
which makes the bucket 90 ms later.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from swaytrainer.motion.squat_watch import SquatWatch
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

Beat = Literal["ready", "down", "hold", "up", "stand"]

#: Standing before the first squat, so that the depth has a beginning.
LEAD_S: Final = 2.5
#: A squat deeper than this share of what is asked earns all, below the other nothing. Ours: a
#: bucket that touches the water is full.
DEEP_SHARE: Final = 0.8
SHALLOW_SHARE: Final = 0.5
#: So deep the heels count: at the top everybody's are down. mm, and share of the depth.
_RIM_MM: Final = 30.0
_RIM_SHARE: Final = 0.15
#: The beat is met within the first, and missed by the second. Ours: a quarter of a second is about
#: what a screen, the eye and the live filter take together.
ON_BEAT_S: Final = 0.25
OFF_BEAT_S: Final = 1.0
#: For soft ground; late by √2/(2π·2.5 Hz).
_SMOOTH_HZ: Final = 2.5
_LEAST_DEPTH_MM: Final = 80.0

FIELDS: Final[dict[str, Field]] = {
    "repetitions": Field(1, 12, 4, "", "squats in a trial"),
    "down_s": Field(0.8, 3.0, 1.6, "s", "way down"),
    "hold_s": Field(0.2, 3.0, 0.6, "s", "hold at the bottom"),
    "up_s": Field(0.8, 3.0, 1.5, "s", "way up"),
    "stand_s": Field(1.2, 5.0, 1.8, "s", "stand between two squats"),
    "depth_feet": Field(
        0.6, 3.5, 1.2, "", "depth of the centre of mass, in lengths from heel to ball"
    ),
}


class Crossing(NamedTuple):
    """Half the depth was passed, or ought to have been.

    Attributes:
        late_s: behind the beat; below zero is early.
        score: 1 on the beat, 0 missed.
    """

    late_s: float
    score: float


@dataclass(frozen=True, slots=True)
class WellScene:
    """What the picture and the sound need.

    Attributes:
        elapsed_s: since the beginning.
        beat: what to do now.
        beat_left_s: for how long still.
        target: where the bucket ought to be, 0 (top) to 1 (bottom).
        depth: where it is, likewise, up to about 1.3; NaN until the vaulter stands still.
        lean: per cent of toe share beyond the band, above zero towards the toes; 0 inside it, NaN
            without a COP.
        spilling: below the rim and out of the band.
        water: how full the bucket is, 0 to 1.
        buckets: what each finished squat brought up, 0 to 1.
        repetition: number of the squat at hand, from 1; 0 before the first.
        repetitions: how many there will be.
        last: the last crossing; None before the first.
    """

    elapsed_s: float
    beat: Beat
    beat_left_s: float
    target: float
    depth: float
    lean: float
    spilling: bool
    water: float
    buckets: tuple[float, ...]
    repetition: int
    repetitions: int
    last: Crossing | None


class _Tempo(NamedTuple):
    """The beat's parts, s."""

    down_s: float
    hold_s: float
    up_s: float
    stand_s: float

    @property
    def cycle_s(self) -> float:
        return self.down_s + self.hold_s + self.up_s + self.stand_s

    @property
    def half_down_s(self) -> float:
        """When half the depth is passed, from the way down's begin. The way is symmetrical."""
        return 0.5 * self.down_s

    @property
    def half_up_s(self) -> float:
        return self.down_s + self.hold_s + 0.5 * self.up_s

    def beat(self, now_s: float) -> tuple[Beat, float, float]:
        """What to do, for how long still, and the target, ``now_s`` after a way down's begin."""
        if now_s < self.down_s:
            return "down", self.down_s - now_s, _minimum_jerk(now_s / self.down_s)
        now_s -= self.down_s
        if now_s < self.hold_s:
            return "hold", self.hold_s - now_s, 1.0
        now_s -= self.hold_s
        if now_s < self.up_s:
            return "up", self.up_s - now_s, 1.0 - _minimum_jerk(now_s / self.up_s)
        return "stand", self.up_s + self.stand_s - now_s, 0.0


def _minimum_jerk(share: float) -> float:
    return share**3 * (10.0 - 15.0 * share + 6.0 * share * share)


class _Squat:
    """One planned squat's account."""

    def __init__(self) -> None:
        self.deepest = 0.0
        self.deep_s = self.inside_s = 0.0
        self.downs: list[float] = []
        self.ups: list[float] = []

    @property
    def filled(self) -> float:
        """How full its bucket is without spilling."""
        return min(max((self.deepest - SHALLOW_SHARE) / (DEEP_SHARE - SHALLOW_SHARE), 0.0), 1.0)

    @property
    def water(self) -> float:
        """What is left of it."""
        return self.filled * self.inside_s / self.deep_s if self.deep_s > 0.0 else 0.0

    @property
    def poured(self) -> float:
        """What reached the trough: nothing of a bucket that did not come up in its time.

        That also ends a hand on a support: force that is missing sinks the body without end.
        """
        return self.water if self.ups else 0.0


def _on_beat(late_s: float) -> float:
    return min(max((OFF_BEAT_S - abs(late_s)) / (OFF_BEAT_S - ON_BEAT_S), 0.0), 1.0)


class WellTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        level = ground.level
        given = dict(level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        self._tempo = _Tempo(number["down_s"], number["hold_s"], number["up_s"], number["stand_s"])
        fit = int((level.seconds - LEAD_S + 1e-6) / self._tempo.cycle_s)
        self._repetitions = max(1, min(round(number["repetitions"]), fit))
        feet = ground.feet
        wanted_mm = number["depth_feet"] * (feet.ball_y_mm - feet.heel_y_mm)
        self._depth_mm = max(wanted_mm, _LEAST_DEPTH_MM)
        self._rim = max(_RIM_MM / self._depth_mm, _RIM_SHARE)
        self._band = (level.band_low_percent, level.band_high_percent)
        self._watch = SquatWatch(feet, ground.rate_hz, least_depth_mm=_LEAST_DEPTH_MM)
        soft = level.base != "firm"
        self._smooth = CausalLowpass(_SMOOTH_HZ, ground.rate_hz) if soft else None
        self._late_s = self._smooth.biquad.delay_s(ground.rate_hz) if self._smooth else 0.0
        self._squats = [_Squat() for _ in range(self._repetitions)]
        self._elapsed_s = 0.0
        self._depth = self._lean = NAN
        self._beat: Beat = "ready"
        self._beat_left_s = LEAD_S
        self._target = 0.0
        self._at = -1
        self._last: Crossing | None = None
        self._ever = False

    @property
    def done(self) -> bool:
        """All squats of the trial are over."""
        return self._elapsed_s >= LEAD_S + self._repetitions * self._tempo.cycle_s

    @property
    def scene(self) -> WellScene:
        """See ``WellScene``."""
        # A bucket stands under the pulley until the stand after its squat is half over.
        index = self._index()
        squat = self._squats[index] if index >= 0 else None
        spilling = self._deep and not math.isnan(self._lean) and self._lean != 0.0
        return WellScene(
            self._elapsed_s,
            self._beat,
            self._beat_left_s,
            self._target,
            self._depth,
            self._lean,
            spilling,
            squat.water if squat is not None else 0.0,
            tuple(s.poured for s in self._squats[: max(index, 0)]),
            min(self._at + 1, self._repetitions),
            self._repetitions,
            self._last,
        )

    @property
    def _deep(self) -> bool:
        return self._depth >= self._rim  # NaN is not

    def _index(self) -> int:
        """Whose account is open; -1 before the first. Each begins in the middle of a stand."""
        since_s = self._elapsed_s - LEAD_S + 0.5 * self._tempo.stand_s
        return min(math.floor(since_s / self._tempo.cycle_s), self._repetitions - 1)

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls "bucket down", "hold", "up" and "stand" on the beat."""
        step_s = 0.0 if gap else max(elapsed_s - self._elapsed_s, 0.0)
        self._elapsed_s = max(elapsed_s, self._elapsed_s)
        if gap:
            self._watch.gap()
        cues = self._keep_beat()
        force_n = sample.force_n
        if self._smooth is not None and math.isfinite(force_n):
            if gap:
                self._smooth.restart()
            force_n = self._smooth.update(force_n)
        now = self._watch.update(sample.time_s, force_n, sample.x_mm, sample.y_mm)
        before = NAN if gap else self._depth
        self._depth = now.depth_mm / self._depth_mm
        share, (low, high) = now.toe_share_percent, self._band
        self._lean = share - high if share > high else min(share - low, 0.0)
        index = self._index()
        if index < 0 or math.isnan(self._depth):
            return cues
        self._ever = True
        squat = self._squats[index]
        if self._deep and not math.isnan(self._lean):
            squat.deep_s += step_s
            squat.inside_s += step_s if self._lean == 0.0 else 0.0
        squat.deepest = max(squat.deepest, self._depth)
        self._cross(squat, index, before)
        return cues

    def _keep_beat(self) -> tuple[Cue, ...]:
        since_s = self._elapsed_s - LEAD_S
        if since_s < 0.0:
            self._beat_left_s = -since_s
            return ()
        at = min(int(since_s / self._tempo.cycle_s), self._repetitions - 1)
        old, old_at = self._beat, self._at
        self._beat, self._beat_left_s, self._target = self._tempo.beat(
            since_s - at * self._tempo.cycle_s
        )
        self._at = at
        if self._beat == old and at == old_at:
            return ()
        return (Cue(f"bucket {self._beat}", at + 1),)

    def _cross(self, squat: _Squat, index: int, before: float) -> None:
        down = before < 0.5 <= self._depth
        if not down and not before >= 0.5 > self._depth:
            return
        wanted_s = self._tempo.half_down_s if down else self._tempo.half_up_s
        began_s = LEAD_S + index * self._tempo.cycle_s
        late_s = self._elapsed_s - self._late_s - began_s - wanted_s
        (squat.downs if down else squat.ups).append(late_s)
        self._last = Crossing(late_s, _on_beat(late_s))

    def measures(self) -> dict[str, float]:
        """``well_heels_percent`` and ``well_tempo_percent`` over all planned squats; see ``WELL``.

        All are NaN where no depth was ever known.
        """
        if not self._ever:
            return dict.fromkeys(WELL.measures, NAN) | {"well_squats": NAN, "well_depth_mm": NAN}
        count = len(self._squats)
        # Who bobs about half the depth meets every beat by chance: more crossings than one share
        # out what one of them earns.
        beats = [
            max(map(_on_beat, late)) / len(late)
            for squat in self._squats
            for late in (squat.downs, squat.ups)
            if late
        ]
        depths = [s.deepest for s in self._squats if s.deepest >= SHALLOW_SHARE]
        return {
            "well_heels_percent": 100.0 * math.fsum(s.poured for s in self._squats) / count,
            "well_tempo_percent": 100.0 * math.fsum(beats) / (2 * count),
            "well_squats": float(
                sum(s.deepest >= DEEP_SHARE and bool(s.ups) for s in self._squats)
            ),
            "well_depth_mm": (self._depth_mm * math.fsum(depths) / len(depths) if depths else NAN),
        }


def _explain(level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally) -> str:
    cost = part.possible - part.earned
    given = dict(level.task)
    asked = round(given.get("repetitions", FIELDS["repetitions"].usual))
    done = measures.get("well_squats", NAN)
    if math.isnan(part.value):
        return "You never stood still enough to begin: no bucket could go down."
    if done < asked - 0.5:
        return say(
            "{done:.0f} of {asked} buckets went down to the water and up: −{cost:.1f}.",
            done=done,
            asked=asked,
            cost=cost,
        )
    if part.measure == "well_heels_percent":
        return say(
            "Toe-heavy on the way, {percent:.0f} % of the water stayed in: −{cost:.1f}."
            if tally.toes_s >= tally.heels_s
            else "Heel-heavy on the way, {percent:.0f} % of the water stayed in: −{cost:.1f}.",
            percent=part.value,
            cost=cost,
        )
    if part.measure == "well_tempo_percent":
        return say("{percent:.0f} % with the lamp: −{cost:.1f}.", percent=part.value, cost=cost)
    return say("{value:.1f}: −{cost:.1f}.", value=part.value, cost=cost)


def _advise(_level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally) -> str:
    if math.isnan(part.value):
        return "Stand like a post until the lamp sets off."
    if part.measure == "well_tempo_percent":
        return "Let the bucket hang beside the lamp all the way down and up."
    if not measures.get("well_depth_mm", 0.0) > 0.0:
        return "Send the bucket all the way down to the water."
    if tally.toes_s >= tally.heels_s:
        return "Sit back a little, as on a low stool, and the bucket hangs level."
    return "Keep the bucket over the middle: a little less far back."


WELL: Final = TaskKind(
    name="well",
    make=WellTask,
    explain=_explain,
    advise=_advise,
    praise="Full buckets, right on time. The horse thanks you.",
    measures={
        "well_heels_percent": Markable("%", True, "Water kept"),
        "well_tempo_percent": Markable("%", True, "With the lamp"),
    },
    fields=FIELDS,
    ready="Sink and rise with the lamp",
    lesson=(
        (2.5, "Stand still: your bucket hangs in the well"),
        (6.0, "Sink with the lamp, down to the water"),
        (8.5, "Now rise with it, and stand still"),
        (13.0, "On the toes it spills: keep both heels heavy"),
        (16.0, "Bring the horse full buckets!"),
    ),
)
