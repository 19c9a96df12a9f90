"""Echo: feel a place under the soles, go home, and find it again without being shown.

A round: FEEL (lean until the moth is met, and stay), HOME (back to where one stood at first, and
wait), RECALL (lean to the same place unseen; what the last second holds counts), TOLD (how it was).
What is compared is the place that was felt, not the moth's: the mean of the shares while it was
held. So nothing is won by holding it at its rim.

With e_k the error of round k, a vector (right share, toe share) in percentage points, the measures
are absolute, variable and constant error as motor learning uses them (Schmidt & Lee, Motor Control
and Learning, from memory): the mean of |e_k|, √(Σ|e_k - ē|²/(n - 1)), and the mean of e_k along the
way from home, positive beyond the place. A round that has no answer (never felt, never home, off
the board, held on to something, time over) counts as ``MISSED_PERCENT`` in the first and with its
square in the second. So does an error larger than that: giving up never pays.

Limits: one plate knows the joint COP alone; the errors are of the weight's place, not of joints.
The places lie nearer or farther, and forward, back, right and left as evenly as may be, so that
one remembered lean does not do for all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final, NamedTuple

from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.tasks.choices import shuffled
from swaytrainer.training.tasks.dice import Dice
from swaytrainer.training.tasks.task import COMMON, Cue, Field, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

#: Home is where the vaulter stands in the first seconds; held to a middle from which there is a
#: way to every side.
START_S: Final = 2.0
HOME_TOES: Final = (25.0, 60.0)
HOME_RIGHT: Final = (42.0, 58.0)
HOME_PERCENT: Final = 5.0
#: No place lies beyond these shares: on the heels or toes alone nobody should stand for a game.
TOES_WITHIN: Final = (6.0, 90.0)
RIGHT_WITHIN: Final = (22.0, 78.0)
#: The nearest place, as a share of the reach.
NEAR_SHARE: Final = 0.6
FEEL_LIMIT_S: Final = 9.0
HOME_LIMIT_S: Final = 6.0
TOLD_S: Final = 2.2
#: The last seconds of the recall that count, and how much of them must be there.
ANSWER_S: Final = 1.0
ANSWER_SHARE: Final = 0.6
#: Mean force in them against the weight: less was held on to something (our own value).
SUPPORT_SHARE: Final = 0.06
MISSED_PERCENT: Final = 30.0
#: Leaving a place takes this much more than coming to it, so that sway does not toggle.
LEAVE_FACTOR: Final = 1.4
SMOOTH_S: Final = 0.2
_NEVER: Final = math.inf
_WAYS: Final = ((0, 1), (0, -1), (1, 0), (-1, 0))


class Part(StrEnum):
    """What a round asks for at the moment."""

    START = "start"
    FEEL = "feel"
    HOME = "home"
    RECALL = "recall"
    TOLD = "told"
    OVER = "over"


class Place(NamedTuple):
    """Where the weight is, both in percent of the load."""

    right_percent: float
    toe_percent: float

    def away(self, other: Place) -> float:
        """Percentage points between two places; NaN if one is."""
        dx, dy = self.right_percent - other.right_percent, self.toe_percent - other.toe_percent
        return math.sqrt(dx * dx + dy * dy)


class Answer(NamedTuple):
    """How a round ended.

    Attributes:
        felt, recalled: the place held and the place found again; NaN where there was none.
        error_percent: between them; ``MISSED_PERCENT`` where one is missing.
        beyond_percent: along the way from home, positive beyond the place; NaN where missing.
        caught: the recalled place is as near as the level wants the felt one held.
        why: "" or why there is none: "not felt", "not home", "off", "held".
    """

    felt: Place
    recalled: Place
    error_percent: float
    beyond_percent: float
    caught: bool
    why: str = ""


NOWHERE: Final = Place(NAN, NAN)


@dataclass(frozen=True, slots=True)
class EchoScene:
    """What the picture and the sound know.

    Attributes:
        part: see ``Part``; ``left_s`` is what is left of it at most, ``hold`` (0 to 1) how much of
            the staying is done.
        number, rounds: of this round, from 1, and of all.
        home, target: the middle and the moth.
        here: where the weight is; NaN off the board.
        near_percent: how near counts as met.
        answers: of the rounds so far.
        closed: eyes are to be closed.
    """

    part: Part
    left_s: float
    hold: float
    number: int
    rounds: int
    home: Place
    target: Place
    here: Place
    near_percent: float
    answers: tuple[Answer, ...]
    closed: bool


FIELDS: Final[dict[str, Field]] = {
    "rounds": Field(2, 8, 4, "", "how many places are felt and found again"),
    "ways": Field(2, 4, 4, "", "2: forward and back; 4: right and left too"),
    "reach_percent": Field(14, 30, 18, "%", "how far the farthest place lies from home"),
    "near_percent": Field(2, 9, 4, "%", "how near to the moth counts as met"),
    "hold_s": Field(0.5, 4, 1.2, "s", "how long it is felt"),
    "wait_s": Field(0.3, 8, 0.8, "s", "how long to stay at home before it is looked for"),
    "recall_s": Field(2, 8, 4, "s", "time to find it again; the last second counts"),
}


def places(ground: Ground, home: Place, numbers: Mapping[str, float]) -> list[Place]:
    """The places of all rounds: each way as often as the others, distances spread evenly."""
    dice = Dice(ground.seed)
    rounds = round(numbers["rounds"])
    ways = _WAYS[: 4 if numbers["ways"] > 3 else 2]
    order: list[tuple[int, int]] = []
    while len(order) < rounds:
        again = shuffled(dice, ways)
        if order and again[0] == order[-1]:
            again.reverse()
        order += again
    steps = shuffled(dice, [(k + 0.5) / rounds for k in range(rounds)])
    found = []
    for (right, toe), step in zip(order, steps, strict=False):
        far = numbers["reach_percent"] * (NEAR_SHARE + (1 - NEAR_SHARE) * step)
        found.append(
            Place(
                _held(home.right_percent + right * far, RIGHT_WITHIN),
                _held(home.toe_percent + toe * far, TOES_WITHIN),
            )
        )
    return found


def _held(value: float, within: tuple[float, float]) -> float:
    return min(max(value, within[0]), within[1])


class _Mean:
    """The mean place and force over a spell."""

    __slots__ = ("count", "force", "right", "toe")

    def __init__(self) -> None:
        self.count = 0
        self.right = self.toe = self.force = 0.0

    def add(self, right: float, toe: float, force_n: float) -> None:
        self.count += 1
        self.right += right
        self.toe += toe
        self.force += force_n

    @property
    def place(self) -> Place:
        return Place(self.right / self.count, self.toe / self.count) if self.count else NOWHERE


class EchoTask:
    """One trial of echo. See the module for the rules.

    Args:
        ground: what the game's rules begin with.
    """

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        self._numbers = {name: given.get(name, f.usual) for name, f in FIELDS.items()}
        self._ground = ground
        self._near = self._numbers["near_percent"]
        self._closed = ground.level.eyes == "closed"
        self.rounds = round(self._numbers["rounds"])
        self.home = Place(50.0, 42.0)
        self.targets: list[Place] = [self.home]
        self.answers: list[Answer] = []
        self.part = Part.START
        self._began_s = self._now_s = 0.0
        self._here = NOWHERE
        self._force_n = 0.0
        self._mean = _Mean()
        self._held_since_s = _NEVER
        self._felt = NOWHERE
        self._called_s = -_NEVER

    @property
    def done(self) -> bool:
        """All rounds are over."""
        return self.part is Part.OVER

    @property
    def target(self) -> Place:
        """The moth of this round."""
        return self.targets[min(len(self.answers), len(self.targets) - 1)]

    @property
    def scene(self) -> EchoScene:
        """What the picture and the sound know."""
        told = self.part in (Part.TOLD, Part.OVER) and bool(self.answers)
        number = len(self.answers) + (0 if told else 1)
        held_s = max(self._now_s - self._held_since_s, 0.0)
        return EchoScene(
            part=self.part,
            left_s=max(self._limit_s() - (self._now_s - self._began_s), 0.0),
            hold=min(held_s / self._hold_s(), 1.0) if self._hold_s() else 0.0,
            number=min(number, self.rounds),
            rounds=self.rounds,
            home=self.home,
            target=self.targets[min(number, len(self.targets)) - 1],
            here=self._here,
            near_percent=self._near,
            answers=tuple(self.answers),
            closed=self._closed,
        )

    def _hold_s(self) -> float:
        if self.part is Part.FEEL:
            return self._numbers["hold_s"]
        return self._numbers["wait_s"] if self.part is Part.HOME else 0.0

    def _limit_s(self) -> float:
        if self.part is Part.FEEL:
            return FEEL_LIMIT_S + self._numbers["hold_s"]
        if self.part is Part.HOME:
            return HOME_LIMIT_S + self._numbers["wait_s"]
        if self.part is Part.RECALL:
            return self._numbers["recall_s"]
        return {Part.START: START_S, Part.TOLD: TOLD_S}.get(self.part, 0.0)

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; see ``tasks.task.Task``."""
        if self.part is Part.OVER:
            return ()
        step_s, self._now_s = elapsed_s - self._now_s, elapsed_s
        feet = self._ground.feet
        right, toe = feet.right_share_percent(sample.x_mm), feet.toe_share_percent(sample.y_mm)
        self._force_n = sample.force_n
        if gap or not math.isfinite(right) or not math.isfinite(toe):
            self._here = NOWHERE
            self._let_go()
        if math.isfinite(right) and math.isfinite(toe):
            self._follow(right, toe, max(step_s, 0.0))
            return self._in_part(right, toe)
        return self._time_over()

    def _follow(self, right: float, toe: float, step_s: float) -> None:
        last_right, last_toe = self._here
        if math.isnan(last_right):
            self._here = Place(right, toe)
            return
        share = step_s / (SMOOTH_S + step_s)
        self._here = Place(
            last_right + (right - last_right) * share, last_toe + (toe - last_toe) * share
        )

    def _let_go(self) -> None:
        self._held_since_s = _NEVER
        if self.part in (Part.FEEL, Part.HOME):
            self._mean = _Mean()

    def _go(self, part: Part) -> None:
        self.part = part
        self._began_s = self._called_s = self._now_s
        self._mean = _Mean()
        self._held_since_s = _NEVER

    def _in_part(self, right: float, toe: float) -> Sequence[Cue]:
        part, since_s = self.part, self._now_s - self._began_s
        if part is Part.START:
            self._mean.add(right, toe, self._force_n)
        elif part is Part.FEEL:
            return self._stay(self.target, self._near, right, toe)
        elif part is Part.HOME:
            return self._stay(self.home, HOME_PERCENT, right, toe)
        elif part is Part.RECALL and since_s > self._numbers["recall_s"] - ANSWER_S:
            self._mean.add(right, toe, self._force_n)
        return self._time_over()

    def _stay(self, place: Place, near: float, right: float, toe: float) -> Sequence[Cue]:
        """Meet a place and stay there for as long as is wanted."""
        away = self._here.away(place)
        held = self._held_since_s is not _NEVER
        if away > near * (LEAVE_FACTOR if held else 1.0):
            self._let_go()
            return self._time_over() or self._guide(place, away)
        self._mean.add(right, toe, self._force_n)
        if not held:
            self._held_since_s = self._now_s
            return (Cue("echo_here"),)
        if self._now_s - self._held_since_s < self._hold_s():
            return self._time_over()
        if self.part is Part.FEEL:
            self._felt = self._mean.place
            self._go(Part.HOME)
            return (Cue("echo_felt"),)
        self._go(Part.RECALL)
        return (Cue("echo_go"),)

    def _guide(self, place: Place, away: float) -> Sequence[Cue]:
        """With closed eyes a place is found by ear: which way, quicker the nearer; then silence."""
        if not self._closed:
            return ()
        pause_s = 0.4 + 0.5 * min(away / MISSED_PERCENT, 1.0)
        if self._now_s - self._called_s < pause_s:
            return ()
        self._called_s = self._now_s
        right = place.right_percent - self._here.right_percent
        toe = place.toe_percent - self._here.toe_percent
        if abs(toe) >= abs(right):
            return (Cue("echo_forward" if toe > 0 else "echo_back"),)
        return (Cue("echo_right" if right > 0 else "echo_left"),)

    def _time_over(self) -> Sequence[Cue]:
        if self._now_s - self._began_s < self._limit_s():
            return ()
        if self.part is Part.START:
            return self._begin()
        if self.part is Part.FEEL:
            return self._answer(NOWHERE, NOWHERE, "not felt")
        if self.part is Part.HOME:
            return self._answer(self._felt, NOWHERE, "not home")
        if self.part is Part.RECALL:
            return self._recalled()
        return self._next()

    def _begin(self) -> Sequence[Cue]:
        stood = self._mean.place
        if not math.isnan(stood.right_percent):
            self.home = Place(
                _held(stood.right_percent, HOME_RIGHT), _held(stood.toe_percent, HOME_TOES)
            )
        self.targets = places(self._ground, self.home, self._numbers)
        self._go(Part.FEEL)
        return (Cue("echo_look"),)

    def _recalled(self) -> Sequence[Cue]:
        mean = self._mean
        if mean.count < ANSWER_SHARE * ANSWER_S * self._ground.rate_hz:
            return self._answer(self._felt, NOWHERE, "off")
        if abs(mean.force / mean.count / self._ground.body_n - 1.0) > SUPPORT_SHARE:
            return self._answer(self._felt, NOWHERE, "held")
        return self._answer(self._felt, mean.place, "")

    def _answer(self, felt: Place, recalled: Place, why: str) -> Sequence[Cue]:
        error, beyond = MISSED_PERCENT, NAN
        if not why:
            error = min(recalled.away(felt), MISSED_PERCENT)
            way = felt.away(self.home)
            beyond = (
                (recalled.right_percent - felt.right_percent)
                * (felt.right_percent - self.home.right_percent)
                + (recalled.toe_percent - felt.toe_percent)
                * (felt.toe_percent - self.home.toe_percent)
            ) / way
        caught = not why and error <= self._near
        self.answers.append(Answer(felt, recalled, error, beyond, caught, why))
        self._go(Part.TOLD)
        if caught:
            return (Cue("echo_caught"),)
        if why:
            return (Cue("echo_missed"),)
        return (Cue("echo_beyond" if beyond > 0 else "echo_short"),)

    def _next(self) -> Sequence[Cue]:
        if len(self.answers) >= self.rounds:
            self._go(Part.OVER)
            return ()
        self._go(Part.FEEL)
        return (Cue("echo_look"),)

    def measures(self) -> dict[str, float]:
        """See the module; what has not been answered counts as missed."""
        found = [a for a in self.answers if not a.why]
        missed = self.rounds - len(found)
        right = [a.recalled.right_percent - a.felt.right_percent for a in found]
        toe = [a.recalled.toe_percent - a.felt.toe_percent for a in found]

        def mean_of(errors: Sequence[float]) -> float:
            held = (min(abs(error), MISSED_PERCENT) for error in errors)
            return (sum(held) + missed * MISSED_PERCENT) / self.rounds

        beyond = [a.beyond_percent for a in found]
        return {
            "echo_error_percent": mean_of([a.error_percent for a in found]),
            "echo_spread_percent": _spread(right, toe, missed),
            "echo_toe_error_percent": mean_of(toe),
            "echo_right_error_percent": mean_of(right),
            "echo_beyond_percent": sum(beyond) / len(beyond) if beyond else NAN,
            "echo_missed_rounds": float(missed),
        }


def _spread(right: Sequence[float], toe: Sequence[float], missed: int) -> float:
    """The variable error: how much the errors differ from each other."""
    count = len(right)
    squares = missed * MISSED_PERCENT**2
    if count:
        mean_right, mean_toe = sum(right) / count, sum(toe) / count
        squares += sum(
            (r - mean_right) ** 2 + (t - mean_toe) ** 2 for r, t in zip(right, toe, strict=True)
        )
    return min(math.sqrt(squares / (count + missed - 1)), 2 * MISSED_PERCENT)


MEASURES: Final[dict[str, Markable]] = {
    "echo_error_percent": Markable("%", False, "Near the place"),
    "echo_spread_percent": Markable("%", False, "Alike each time"),
    "echo_toe_error_percent": Markable("%", False, "Toes and heels"),
    "echo_right_error_percent": Markable("%", False, "Right and left"),
}


def _explain(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    cost = part.possible - part.earned
    missed = measures.get("echo_missed_rounds", 0.0)
    if missed >= 1.0:
        return say(
            "One moth got away without an answer: −{cost:.1f}."
            if missed < 2.0
            else "{missed:.0f} moths got away without an answer: −{cost:.1f}.",
            missed=missed,
            cost=cost,
        )
    if part.measure == "echo_spread_percent":
        return say(
            "Your answers lay {value:.0f} % apart from each other: −{cost:.1f}.",
            value=part.value,
            cost=cost,
        )
    if part.measure not in MEASURES:
        return say(
            "{label}: {value:.1f} {unit}, −{cost:.1f}.",
            label=COMMON[part.measure].label,
            value=part.value,
            unit=COMMON[part.measure].unit,
            cost=cost,
        )
    beyond = measures.get("echo_beyond_percent", NAN)
    if abs(beyond) < 0.5 * part.value or math.isnan(beyond):
        return say(
            "You came within {value:.0f} % of the place: −{cost:.1f}.", value=part.value, cost=cost
        )
    return say(
        "You flew {beyond:.0f} % too far: −{cost:.1f}."
        if beyond > 0
        else "You stopped {beyond:.0f} % short: −{cost:.1f}.",
        beyond=abs(beyond),
        cost=cost,
    )


def _advise(_level: Level, _part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    if measures.get("echo_missed_rounds", 0.0) >= 1.0:
        return "Meet the moth, come home, then fly out again at the call."
    beyond = measures.get("echo_beyond_percent", NAN)
    if beyond < -2.0:
        return "Fly on a little: the moth sits farther out than it seems."
    if beyond > 2.0:
        return "Stop a little sooner: the moth sits nearer than it seems."
    return "Notice where the ground presses while the light is on."


ECHO: Final = TaskKind(
    name="echo",
    make=EchoTask,
    explain=_explain,
    advise=_advise,
    praise="You found every place again in the dark.",
    measures=MEASURES,
    fields=FIELDS,
    # Feeling a place with feedback and finding it without is the game itself.
    feedbacks=("full",),
    ready="Find the moth, remember where",
    lesson=(
        (8.0, "Lean until you meet the moth, and stay there"),
        (13.0, "Then back to the perch: the light goes out"),
        (20.0, "At the call, lean to the same place and stay"),
    ),
)
