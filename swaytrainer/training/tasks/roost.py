"""Roost: hop onto the board from a called side, or up from a kneel, and stay, as owls do.

One call after the other: get off and go there, hop with both feet at once, hold still; the next.
The board sees that somebody came from outside and when, not from which side: that is the coach's.

The rules take unfiltered samples: the live 10 Hz filter would take a third off a peak (see
``motion.landing``). A peak is still short by what the rate hides: 2 to 5 % at 80 samples a second.
What is measured:

- the peak, in body weights;
- the difference between the feet: |right - left| of all force in the quarter second from the
  contact, by the lever rule over the feet. It is the impulse that each foot took, which hardly
  hangs on whether the four converters took their samples at one moment;
- the lag of the second foot, which does;
- the time to still, after ``motion.landing_settle``, with the level's own speed for still: a range
  measured on the spot could be widened by swaying.

A landing counts on both feet only. It counts as missed if the second foot came later than the level
allows, if one alone bore the load, if the weight afterwards is not the body's (a hand, somebody
else, a thing let go), or if the vaulter leaves before being still. What is missed counts as
``MISSED``, so that leaving a landing out never pays. A step onto the board is no landing, and the
call stands.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

import numpy as np

from swaytrainer.motion.landing_feet import feet_at_landing
from swaytrainer.motion.landing_find import FLIGHT_BELOW_N, PEAK_WITHIN_S, Contact, Moment
from swaytrainer.motion.landing_settle import LEAST_WEIGHT_N, QUIET_FACTOR, QuietStance
from swaytrainer.motion.landing_watch import LandingEvent, LandingWatch
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

Side = Literal["behind", "left", "right", "front", "kneel"]
Step = Literal["off", "hop", "kneel", "hold", "landed", "over"]
Fault = Literal["", "stepped", "early", "one foot", "held on", "unclear", "left"]

#: In the order in which a level allows them: hopping forwards comes first.
SIDES: Final[tuple[Side, ...]] = ("behind", "left", "right", "front")
#: Longer than the longest flight: who comes now came from outside.
EMPTY_S: Final = 1.0
#: So long after the contact the weight is looked at, and so much it may be off while it still sways
#: (share of body weight; the stillness itself wants 5 %).
_SETTLED_AFTER_S: Final = 1.0
_OFF_WEIGHT: Final = 0.06
#: Left the board again for so long: the landing is over.
_LEFT_S: Final = 0.3
_WOBBLE_LAG_S: Final = 0.15
#: A good landing is shown for so long before the next call.
_LANDED_S: Final = 1.2

FIELDS: Final[dict[str, Field]] = {
    "landings": Field(1, 6, 3, "", "landings in a trial"),
    "kneels": Field(0, 6, 0, "", "how many of them, the first ones, rise from a kneel"),
    "sides": Field(1, 4, 1, "", "from behind; and left; and right; and front, hopping backwards"),
    "stay_s": Field(2.0, 8.0, 4.0, "s", "time to become still in"),
    "still_mm_s": Field(10.0, 120.0, 40.0, "mm/s", "COP speed that counts as still"),
    "together_ms": Field(20.0, 150.0, 80.0, "ms", "second foot after the first at most"),
}


class Landed(NamedTuple):
    """One landing, or that it was missed.

    Attributes:
        side: which was called.
        peak_bw, difference_percent, lag_ms, still_s: see the module.
        fault: why it counts as missed; "" if it counts.
    """

    side: Side
    peak_bw: float
    difference_percent: float
    lag_ms: float
    still_s: float
    fault: Fault = ""


#: What a missed landing counts as: the worst there is. 6 body weights are the hardest landing that
#: the board is built for.
MISSED: Final = Landed("behind", 6.0, 100.0, 200.0, NAN, "unclear")


@dataclass(frozen=True, slots=True)
class RoostScene:
    """What the picture and the sound need.

    Attributes:
        elapsed_s: since the beginning.
        step: what to do now: get off, hop on, jump up from a kneel, hold still, be pleased
            with a good landing, or all is over.
        side: the side called.
        landing: number of the landing at hand, from 1.
        landings: how many there will be.
        fault: what was wrong with the last try, while the call stands or the next has begun.
        held_s: since the contact, while holding; else 0.
        stay_s: the time to become still in.
        peak_bw: of the landing at hand, NaN until it is known.
        lean: from -1 (all on the left foot) to 1 (right), NaN without a COP.
        wobble: how far the force is from the body's weight, 0 (still) to 1.
        done: the finished landings.
    """

    elapsed_s: float
    step: Step
    side: Side
    landing: int
    landings: int
    fault: Fault
    held_s: float
    stay_s: float
    peak_bw: float
    lean: float
    wobble: float
    done: tuple[Landed, ...]


class RoostTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        self._landings = round(number["landings"])
        self._stay_s = number["stay_s"]
        self._together_ms = number["together_ms"]
        self._feet = ground.feet
        self._rate_hz = ground.rate_hz
        self._weight_n = max(ground.body_n, LEAST_WEIGHT_N)
        stance = QuietStance(self._weight_n, number["still_mm_s"] / QUIET_FACTOR)
        self._watch = LandingWatch(stance, ground.rate_hz)
        kneels, sides = round(number["kneels"]), round(number["sides"])
        self._sides = _called(ground.seed, self._landings, kneels, sides)
        self._recent: deque[CopSample] = deque(
            maxlen=math.ceil((PEAK_WITHIN_S + 0.1) * ground.rate_hz)
        )
        self._done: list[Landed] = []
        self._time_s = -math.inf
        self._elapsed_s = 0.0
        self._empty_since_s = NAN
        self._fault: Fault = ""
        self._lean = NAN
        self._wobble = 0.0
        self._landed_s = NAN
        self._step: Step = "off"
        self._called = False
        self._forget()
        self._step = self._first_step()

    def _forget(self) -> None:
        self._contact_s = self._peak_bw = self._difference = self._lag_ms = NAN
        self._one_foot = self._looked = False
        self._sum_n, self._count = 0.0, 0

    @property
    def done(self) -> bool:
        """All landings are over."""
        return self._step == "over"

    @property
    def side(self) -> Side:
        """The side that is called now, or was last."""
        return self._sides[min(len(self._done), self._landings - 1)]

    @property
    def scene(self) -> RoostScene:
        """See ``RoostScene``."""
        held = self._step == "hold"
        return RoostScene(
            self._elapsed_s,
            self._step,
            self.side,
            min(len(self._done) + 1, self._landings),
            self._landings,
            self._fault,
            max(self._time_s - self._contact_s, 0.0) if held else 0.0,
            self._stay_s,
            self._peak_bw,
            self._lean,
            self._wobble,
            tuple(self._done),
        )

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one unfiltered sample.

        Calls "roost " and the side ("behind", "left", "right", "front", "kneel"), then "hop", and
        "land", "still", "over" or, for a try that does not count, "again".
        """
        time_s, force_n, x_mm, y_mm, _ = sample
        cues: list[Cue] = []
        if not self._called:
            self._called = True
            cues.append(Cue(f"roost {self.side}", 1))
        self._elapsed_s = max(elapsed_s, self._elapsed_s)
        known = math.isfinite(time_s) and math.isfinite(force_n) and time_s > self._time_s
        if self._step == "over" or not known:
            return cues
        step_s = 0.0 if gap or math.isinf(self._time_s) else time_s - self._time_s
        self._time_s = time_s
        if gap:
            self._lose(cues)
        self._recent.append(sample)
        self._look(sample, step_s)
        event = self._watch.update(time_s, force_n, x_mm, y_mm)
        if event is not None:
            self._hear(event, cues)
        if self._step == "off" and time_s - self._empty_since_s >= EMPTY_S:
            self._step = "hop"
            cues.append(Cue("roost hop", len(self._done) + 1))
        elif self._step == "hold":
            self._hold(time_s, force_n, cues)
        elif self._step == "landed" and time_s - self._landed_s >= _LANDED_S:
            self._call(cues)
        return cues

    def _look(self, sample: CopSample, step_s: float) -> None:
        """What the picture shows, and since when nobody is on the board."""
        empty = sample.force_n < FLIGHT_BELOW_N
        if not empty:
            self._empty_since_s = NAN
        elif math.isnan(self._empty_since_s):
            self._empty_since_s = sample.time_s
        off = 0.0 if empty else min(abs(sample.force_n / self._weight_n - 1.0) / 0.5, 1.0)
        self._wobble += (off - self._wobble) * step_s / (step_s + _WOBBLE_LAG_S)
        share = self._feet.right_share_percent(sample.x_mm)
        self._lean = min(max((share - 50.0) / 50.0, -1.0), 1.0) if math.isfinite(share) else NAN

    def _lose(self, cues: list[Cue]) -> None:
        """Samples are missing: whatever was going on begins again."""
        self._watch.gap()
        self._recent.clear()
        self._empty_since_s = NAN
        if self._step == "hold":
            self._again("unclear", cues)
        elif self._step == "landed":
            self._call(cues)
        else:
            self._step = self._first_step()

    def _first_step(self) -> Step:
        return "kneel" if self.side == "kneel" else "off"

    def _again(self, fault: Fault, cues: list[Cue]) -> None:
        self._fault = fault
        self._forget()
        self._step = self._first_step()
        cues.append(Cue("roost again", len(self._done) + 1))

    def _hear(self, event: LandingEvent, cues: list[Cue]) -> None:
        if event.kind == "contact":
            if self._step == "hold":
                self._finish("left", NAN, cues)  # off and on again before being still
                if self.done:
                    return
            hopped = not math.isnan(event.value)
            if hopped != (self.side == "kneel") or self._step == "landed":
                self._again("early", cues)
                return
            self._forget()
            self._fault = ""
            self._step, self._contact_s = "hold", event.time_s
            cues.append(Cue("roost land", len(self._done) + 1))
        elif self._step != "hold" or math.isnan(self._contact_s):
            return
        elif event.kind == "step":
            self._again("stepped", cues)
        elif event.kind == "peak":
            self._peak_bw = event.value
        elif event.kind == "still":
            self._finish("", event.value, cues)

    def _look_at_feet(self) -> None:
        """From the samples since the contact: once a landing."""
        contact_s = self._contact_s
        rows = [s for s in self._recent if s.time_s >= contact_s and s.force_n >= FLIGHT_BELOW_N]
        if len(rows) < 2:
            return
        time_s, force_n, x_mm, y_mm = (
            np.array([row[k] for row in rows], dtype=np.float64) for k in range(4)
        )
        touched = Moment(contact_s, contact_s - 1.0 / self._rate_hz, float(time_s[0]))
        feet = feet_at_landing(
            time_s, force_n, x_mm, y_mm, Contact(0, -1), touched, int(force_n.argmax()),
            self._feet, self._weight_n,
        )  # fmt: skip
        self._lag_ms = 1000.0 * feet.lag_s
        self._one_foot = bool(feet.problem)
        there = np.isfinite(x_mm) & (time_s < time_s[0] + PEAK_WITHIN_S)
        if there.any():
            x = float(np.average(x_mm[there], weights=force_n[there]))
            share = self._feet.right_share_percent(x)
            self._difference = min(abs(2.0 * share - 100.0), 100.0)

    def _hold(self, time_s: float, force_n: float, cues: list[Cue]) -> None:
        held_s = time_s - self._contact_s
        if held_s >= PEAK_WITHIN_S and not self._looked:
            self._looked = True
            self._look_at_feet()
        if held_s >= _SETTLED_AFTER_S:
            self._sum_n += force_n
            self._count += 1
        if time_s - self._empty_since_s >= _LEFT_S and held_s > PEAK_WITHIN_S:
            self._finish("left", NAN, cues)
        elif held_s >= self._stay_s:
            self._finish("", NAN, cues)

    def _finish(self, fault: Fault, still_s: float, cues: list[Cue]) -> None:
        if not fault:
            fault = self._judge(still_s)
        # Who was never still, or left, was so for all the time there is.
        still_s = min(still_s, self._stay_s) if not math.isnan(still_s) else self._stay_s
        self._done.append(
            Landed(self.side, self._peak_bw, self._difference, self._lag_ms, still_s, fault)
        )
        self._fault = fault
        cues.append(Cue("roost again" if fault else "roost still", len(self._done)))
        self._forget()
        if len(self._done) >= self._landings:
            self._step = "over"
            cues.append(Cue("roost over", len(self._done)))
            return
        if fault:
            self._call(cues)
        else:
            self._step, self._landed_s = "landed", self._time_s

    def _call(self, cues: list[Cue]) -> None:
        self._step = self._first_step()
        cues.append(Cue(f"roost {self.side}", len(self._done) + 1))

    def _judge(self, still_s: float) -> Fault:
        if self._one_foot or self._lag_ms > self._together_ms:
            return "one foot"
        if math.isnan(self._peak_bw + self._difference + self._lag_ms):
            return "unclear"
        if math.isnan(still_s):
            mean = self._sum_n / self._count if self._count else NAN
            if not abs(mean / self._weight_n - 1.0) <= _OFF_WEIGHT:
                return "held on"
        return ""

    def measures(self) -> dict[str, float]:
        """Means over all landings called for, missed ones as ``MISSED``; see ``ROOST``.

        All are NaN where nobody landed at all.
        """
        if not self._done:
            return dict.fromkeys((*ROOST.measures, "roost_landings"), NAN)
        missed = MISSED._replace(still_s=self._stay_s)
        counted = [missed if one.fault else one for one in self._done]
        counted += [missed] * (self._landings - len(counted))
        n = len(counted)
        return {
            "roost_peak_bw": math.fsum(min(c.peak_bw, missed.peak_bw) for c in counted) / n,
            "roost_difference_percent": math.fsum(c.difference_percent for c in counted) / n,
            "roost_lag_ms": math.fsum(c.lag_ms for c in counted) / n,
            "roost_still_s": math.fsum(c.still_s for c in counted) / n,
            "roost_landings": float(sum(not one.fault for one in self._done)),
        }


def _called(seed: int, landings: int, kneels: int, sides: int) -> tuple[Side, ...]:
    """Kneels first, since the trial begins on the board; then no side twice in a row.

    A linear congruential generator (MMIX; Knuth, The Art of Computer Programming, vol. 2, 3.3.4)
    draws the sides: a replay by any version of any library calls the same ones.

    >>> _called(3, 4, 1, 2)
    ('kneel', 'left', 'behind', 'left')
    """
    called: list[Side] = ["kneel"] * min(kneels, landings)
    allowed = SIDES[:sides]
    while len(called) < landings:
        others = [s for s in allowed if len(allowed) == 1 or not called or s != called[-1]]
        seed = (6364136223846793005 * seed + 1442695040888963407) % 2**64
        called.append(others[(seed >> 33) % len(others)])
    return tuple(called)


def _asked(level: Level) -> int:
    return round(dict(level.task).get("landings", FIELDS["landings"].usual))


def _explain(level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    cost = part.possible - part.earned
    asked, landed = _asked(level), measures.get("roost_landings", NAN)
    if math.isnan(part.value):
        return "Nobody hopped on: the branch stayed empty."
    if landed < asked - 0.5:
        return say(
            "{landed:.0f} of {asked} landings with both feet at once: −{cost:.1f}.",
            landed=landed,
            asked=asked,
            cost=cost,
        )
    template = {
        "roost_peak_bw": "The branch felt {value:.1f} times your weight: −{cost:.1f}.",
        "roost_difference_percent": "One foot took {value:.0f} % more than the other: −{cost:.1f}.",
        "roost_lag_ms": "The second foot came {value:.0f} ms after the first: −{cost:.1f}.",
        "roost_still_s": "It took {value:.1f} s to be still: −{cost:.1f}.",
    }.get(part.measure, "{value:.1f}: −{cost:.1f}.")
    return say(template, value=part.value, cost=cost)


_ADVICE: Final = {
    "roost_peak_bw": "Land without a sound, so that the young owls sleep on.",
    "roost_difference_percent": "Let the branch stay level as you arrive.",
    "roost_lag_ms": "One sound, not two, when you arrive.",
    "roost_still_s": "Look at the moon and let the branch come to rest.",
}


def _advise(level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    landed = measures.get("roost_landings", NAN)
    if math.isnan(part.value) or landed < _asked(level) - 0.5:
        return "Step off, wait for the call, then hop: both feet at once."
    return _ADVICE.get(part.measure, _ADVICE["roost_still_s"])


ROOST: Final = TaskKind(
    name="roost",
    make=RoostTask,
    explain=_explain,
    advise=_advise,
    praise="Soft, level and still: nobody woke up.",
    measures={
        "roost_peak_bw": Markable("body weights", False, "Soft"),
        "roost_difference_percent": Markable("%", False, "Level"),
        "roost_lag_ms": Markable("ms", False, "Together"),
        "roost_still_s": Markable("s", False, "Soon still"),
    },
    fields=FIELDS,
    ready="Off when it calls, and softly on",
    lesson=(
        (6.0, "Step off, to the side that the arrow shows"),
        (12.0, "Hop on: both feet at once, as soft as feathers"),
        (18.0, "Stay, still as an owl, until the moon is full"),
    ),
    unfiltered=True,
    leaves_board=True,
    # Impacts, and steps off and on, change the mean force; each landing looks at the weight itself.
    doubted=("one foot", "nobody"),
)
