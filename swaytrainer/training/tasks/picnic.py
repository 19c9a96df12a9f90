"""Picnic: a blanket in the wind, its four corners held down by the four corners of the soles.

A guest sleeps on each corner for as long as the corner bears its due. A gust lifts an edge of the
blanket: it asks for weight there, and then for the weight back, without a step. The gust moves the
dues, not the vaulter: no push is needed, and standing through it answers nothing.

Dues are shares of the body's weight, not of what the plate bears: weight on a hand-hold is missing
from the corners. A corner within a twentieth of its due counts as full: that is more than an
ordinary stand sways from side to side, so that a wide stance, which sways less, earns nothing by
it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.corners import corner_shares
from swaytrainer.training.tasks.dice import Dice
from swaytrainer.training.tasks.explaining import explain_common
from swaytrainer.training.tasks.gusts import GLIDE_S, GRACE_S, WAYS, Answer, Gust, Way, plan
from swaytrainer.training.tasks.task import Cue, Field, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

State = Literal["asleep", "stirring", "awake"]

#: So full counts as full; see the module.
FULL_SHARE: Final = 0.95
#: On the plate all sleep; so a guest stirs below what the plate's edge leaves, and a little less.
_STIRS: Final = 1.25
#: It wakes so far below the share at which it stirs. Ours.
_WAKES_BELOW: Final = 0.2
#: Between two states lies this, so that none flickers.
_HYSTERESIS: Final = 0.03
#: The picture's corners follow with this lag; the measures do not wait.
_FOLLOWS_S: Final = 0.15
#: A foot that bears less than this of the load is up, or as good as up: that is a step.
STEP_PERCENT: Final = 8.0
#: A guest's waking is called out no oftener than this.
_CALL_EVERY_S: Final = 1.5

FIELDS: Final[dict[str, Field]] = {
    "gusts": Field(0, 8, 3, "", "gusts in a trial, as far as they fit"),
    "gust_s": Field(2.5, 8.0, 3.5, "s", "how long each blows"),
    "lean_percent": Field(12, 28, 18, "%", "share of the load that a gust wants moved towards it"),
    "ways": Field(4, 8, 4, "", "it comes from this many sides: 4, or 8 with the corners"),
    "plate_percent": Field(5, 11, 9, "%", "the plate's half width, in the same share"),
    "toes_percent": Field(30, 55, 42, "% toe share", "even: how much the balls of the feet bear"),
}

#: In the order of ``sway.corners``.
CORNERS: Final = ("front left", "front right", "rear left", "rear right")


class Corner(NamedTuple):
    """One corner of the blanket: how much of its due it bears (0 to 1), and its guest."""

    full: float
    state: State


@dataclass(frozen=True, slots=True)
class PicnicScene:
    """What the picture and the sound need. Places in % of the load from even, right and forward +.

    Attributes:
        elapsed_s: since the beginning.
        side, forward: where the weight is; NaN off the board.
        aim_side, aim_forward: where it ought to be.
        corners: in the order of ``CORNERS``.
        wind: where a gust comes from; None in calm air.
        wind_s: since it rose or fell, whichever was last.
        returning: a gust is over and the weight not yet back.
        answers: what each finished answer scored, 0 to 1: a way there and a way back each.
        planned: how many answers there will be.
        on_plate: the weight is where it ought to be.
        stepped: a foot is up.
    """

    elapsed_s: float
    side: float
    forward: float
    aim_side: float
    aim_forward: float
    corners: tuple[Corner, Corner, Corner, Corner]
    wind: Way | None
    wind_s: float
    returning: bool
    answers: tuple[float, ...]
    planned: int
    on_plate: bool
    stepped: bool


class PicnicTask:
    """The rules of one trial; see the module."""

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        self._feet = ground.feet
        self._per_n = 1.0 / ground.body_n
        self._even = number["toes_percent"]
        self._plate = number["plate_percent"]
        self._asleep = 1.0 - _STIRS * self._plate / min(self._even, 100.0 - self._even)
        self._gusts = plan(
            Dice(ground.seed), ground.level.seconds, round(number["gusts"]), number["gust_s"],
            number["lean_percent"], 8 if number["ways"] > 6 else 4,
        )  # fmt: skip
        self._planned = 2 * len(self._gusts)
        self._answers: list[Answer] = []
        self._next = 0
        self._gust: Gust | None = None
        self._changed_s = -math.inf
        self._from = self._to = self._aim = (0.0, 0.0)
        self._elapsed_s = 0.0
        self._place = (NAN, NAN)
        self._full = [1.0] * 4
        self._states: list[State] = ["asleep"] * 4
        self._stepped = self._on_plate = False
        self._called_s = -math.inf
        self._seconds = self._even_s = 0.0
        self._shares_s = [0.0] * 4
        self.done = False

    @property
    def scene(self) -> PicnicScene:
        """See ``PicnicScene``."""
        one, two, three, four = map(Corner, self._full, self._states)
        open_answer = self._answers[-1] if self._answers else None
        return PicnicScene(
            self._elapsed_s,
            *self._place,
            *self._aim,
            (one, two, three, four),
            self._gust.way if self._gust is not None else None,
            self._elapsed_s - self._changed_s if self._answers else math.inf,
            self._gust is None and open_answer is not None and not open_answer.closed,
            tuple(answer.score for answer in self._answers if answer.closed),
            self._planned,
            self._on_plate,
            self._stepped,
        )

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls "picnic gust", "... over", "... held" and "... woke"."""
        step_s = max(elapsed_s - self._elapsed_s, 0.0)
        self._elapsed_s = max(elapsed_s, self._elapsed_s)
        cues = self._blow()
        answer = self._answers[-1] if self._answers else None
        _, force_n, x_mm, y_mm, _ = sample
        toes = self._feet.toe_share_percent(y_mm)
        right = self._feet.right_share_percent(x_mm)
        there = math.isfinite(toes) and math.isfinite(right) and math.isfinite(force_n)
        self._stepped = not there or not STEP_PERCENT <= right <= 100.0 - STEP_PERCENT
        if answer is not None and not answer.closed and self._stepped and not gap:
            answer.spoil()
        if not there:
            self._place = (NAN, NAN)
            self._on_plate = False
            self._sleepers((0.0,) * 4, step_s)
            return cues
        side, forward = self._place = (right - 50.0, toes - self._even)
        away = math.hypot(side - self._aim[0], forward - self._aim[1])
        self._on_plate = away <= self._plate and not self._stepped
        shares = corner_shares(toes, right)
        dues = corner_shares(self._even + self._aim[1], 50.0 + self._aim[0])
        borne = min(max(force_n * self._per_n, 0.0), 1.0)
        full = [min(max(borne * s / d, 0.0), 1.0) for s, d in zip(shares, dues, strict=True)]
        poorest = min(full)
        if gap:
            step_s = 0.0
        if self._elapsed_s - self._changed_s >= GRACE_S:
            self._seconds += step_s
            # What is missing on a hand-hold comes off last: the twentieth is not meant for it.
            self._even_s += step_s * min(poorest / FULL_SHARE, borne)
            if self._gust is None:
                for k, share in enumerate(shares):
                    self._shares_s[k] += step_s * share
        if answer is not None and not answer.closed:
            held = answer.update(self._elapsed_s, self._on_plate, gap)
            if held:
                cues = (*cues, Cue("picnic held", len(self._answers)))
        return (*cues, *self._sleepers(full, step_s))

    def _blow(self) -> tuple[Cue, ...]:
        """Gusts rise and fall, and the aim glides after them (minimum jerk)."""
        now = self._elapsed_s
        cues: tuple[Cue, ...] = ()
        if self._gust is not None and now >= self._gust.end_s:
            self._turn(self._gust.end_s, (0.0, 0.0), self._gust)
            self._gust = None
            cues = (Cue("picnic over"),)
        elif self._next < len(self._gusts) and now >= self._gusts[self._next].begin_s:
            gust = self._gust = self._gusts[self._next]
            self._next += 1
            self._turn(gust.begin_s, (gust.side, gust.forward), gust)
            cues = (Cue("picnic gust", WAYS.index(gust.way)),)
        if self._answers:
            share = min((now - self._changed_s) / GLIDE_S, 1.0)
            way = share**3 * (10.0 - 15.0 * share + 6.0 * share * share)
            (x0, y0), (x1, y1) = self._from, self._to
            self._aim = (x0 + way * (x1 - x0), y0 + way * (y1 - y0))
        return cues

    def _turn(self, begin_s: float, aim: tuple[float, float], gust: Gust) -> None:
        before = self._answers[-1] if self._answers else None
        if before is not None:
            before.close()
        back = self._gust is gust and begin_s == gust.end_s
        self._answers.append(Answer(begin_s, gust.end_s - gust.begin_s, before if back else None))
        self._changed_s = begin_s
        self._from, self._to = self._aim, aim

    def _sleepers(self, full: Sequence[float], step_s: float) -> tuple[Cue, ...]:
        follow = step_s / (_FOLLOWS_S + step_s)
        woke = -1
        asleep, awake = self._asleep, self._asleep - _WAKES_BELOW
        for k in range(4):
            now = self._full[k] = self._full[k] + follow * (full[k] - self._full[k])
            before = self._states[k]
            if now < awake - (0.0 if before == "awake" else _HYSTERESIS):
                self._states[k] = "awake"
                if before != "awake":
                    woke = k
            elif now >= asleep - (_HYSTERESIS if before == "asleep" else 0.0):
                self._states[k] = "asleep"
            elif before == "asleep" or now >= awake:
                self._states[k] = "stirring"
        if woke < 0 or self._elapsed_s - self._called_s < _CALL_EVERY_S:
            return ()
        self._called_s = self._elapsed_s
        return (Cue("picnic woke", woke),)

    def measures(self) -> dict[str, float]:
        """See ``PICNIC``; and each corner's mean share of the load in calm air, and the answers.

        ``picnic_recovery_s`` is the mean over the answers that came, from the gust's rise or fall.
        """
        scores = [answer.score for answer in self._answers if answer.closed]
        # The last one ends with the trial; those that never began are answers that never came.
        if self._answers and not self._answers[-1].closed:
            scores.append(self._answers[-1].score)
        took = [a.took_s for a in self._answers if not math.isnan(a.took_s)]
        seconds, planned = self._seconds, self._planned
        calm = math.fsum(self._shares_s)
        return {
            "picnic_even_percent": 100.0 * self._even_s / seconds if seconds > 0.0 else NAN,
            "picnic_gusts_percent": 100.0 * math.fsum(scores) / planned if planned else NAN,
            "picnic_recovery_s": math.fsum(took) / len(took) if took else NAN,
            **{
                f"picnic_{name.replace(' ', '_')}_percent": 100.0 * s / calm if calm > 0.0 else NAN
                for name, s in zip(CORNERS, self._shares_s, strict=True)
            },
        }


#: Who sleeps where, and what is said when the corner was too light.
_LIGHT: Final = (
    "Front left was too light, and the cat woke: −{cost:.1f}.",
    "Front right was too light, and the hen woke: −{cost:.1f}.",
    "The left heel was too light, and the hedgehog woke: −{cost:.1f}.",
    "The right heel was too light, and the rabbit woke: −{cost:.1f}.",
)
_TOWARDS: Final = (
    "Let the apple roll nearer to the cat.",
    "Let the apple roll nearer to the hen.",
    "Let the apple roll nearer to the hedgehog.",
    "Let the apple roll nearer to the rabbit.",
)
#: A mean share so far below its due (of 1) is worth a name; else it was restlessness.
_NAMED: Final = 0.1


def _lightest(level: Level, measures: Mapping[str, float]) -> int:
    """The corner farthest below its due in calm air; -1 if all are near it."""
    even = dict(level.task).get("toes_percent", FIELDS["toes_percent"].usual)
    dues = corner_shares(even, 50.0)
    lacks = [
        1.0 - measures.get(f"picnic_{name.replace(' ', '_')}_percent", NAN) / (100.0 * due)
        for name, due in zip(CORNERS, dues, strict=True)
    ]
    worst = max(range(4), key=lambda k: -math.inf if math.isnan(lacks[k]) else lacks[k])
    return worst if lacks[worst] >= _NAMED else -1


def _explain(level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally) -> str:
    cost = part.possible - part.earned
    if part.measure == "picnic_gusts_percent":
        took = measures.get("picnic_recovery_s", NAN)
        if math.isnan(took):
            return say("No gust was answered in time: −{cost:.1f}.", cost=cost)
        return say(
            "{percent:.0f} % of the wind was held; you were there in {took:.1f} s: −{cost:.1f}.",
            percent=part.value,
            took=took,
            cost=cost,
        )
    if part.measure == "picnic_even_percent":
        light = _lightest(level, measures)
        if light >= 0:
            return say(_LIGHT[light], cost=cost)
        return say(
            "The blanket lay {percent:.0f} % even, but restless: −{cost:.1f}.",
            percent=part.value,
            cost=cost,
        )
    return explain_common(level, part, measures, tally)


def _advise(level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    if part.measure == "picnic_gusts_percent":
        if math.isnan(measures.get("picnic_recovery_s", NAN)):
            return "When the wind lifts an edge, follow the plate with the apple."
        return "Go with the plate at once, then stay on it."
    light = _lightest(level, measures) if part.measure == "picnic_even_percent" else -1
    return _TOWARDS[light] if light >= 0 else "Look far ahead and let the apple come to rest."


PICNIC: Final = TaskKind(
    name="picnic",
    make=PicnicTask,
    explain=_explain,
    advise=_advise,
    praise="Nobody woke, and the blanket stayed where it was.",
    measures={
        "picnic_even_percent": Markable("%", True, "Even corners"),
        "picnic_gusts_percent": Markable("%", True, "Wind held"),
    },
    fields=FIELDS,
    ready="Lay the apple on the plate",
    lesson=(
        (4.0, "Your weight rolls the apple: lay it on the plate"),
        (7.0, "On the plate, all four guests sleep"),
        (12.0, "Wind! Follow the plate and hold that edge down"),
        (17.0, "Over? Back to the middle, both feet down"),
    ),
)
