"""Tray: stand as still with a second task as without one.

Four turns: two ALONE and two BUSY, in the order alone, busy, busy, alone or the reverse (the seed
decides), so that getting used to it and getting tired weigh on both alike. Base, picture and length
are the same in both; the first ``CHANGE_S`` of each turn are not measured. In a busy turn either
the coach throws a ball to be caught and thrown back at each call (``calls`` = 0), or the kitchen
calls orders by two sounds, and after the turn a lean answers of which there were more, or standing
on that there were as many (``calls`` = 1). Who only guesses is right about both turns once in nine.

With v the mean COP speed, alone and busy, and m = min(v_alone, ``quiet_mm_s``) the measures are

    tray_alone_mm_s   v_alone
    tray_busy_mm_s    v_busy
    tray_cost_mm_s    mean over the busy turns of max(0, v_busy,k - m), where a turn with a wrong
                      answer or none counts as ``wrong_mm_s`` at least
    tray_cost_percent 100·(v_busy - v_alone)/v_alone: the dual-task cost as it is usually given
                      (Plummer & Eskes, Frontiers in Human Neuroscience 2015;9:225, from memory)

The cost in per cent is kept and never marked: who sways on purpose while alone makes it small. The
cost in mm/s gives no credit for an unrest beyond ``quiet_mm_s``, and a level marks
``tray_alone_mm_s`` beside it, at least as steeply and down to a speed that nobody stands at. So a
livelier stance alone loses as much as it saves, and the mark never rises with either speed; the
tests hold every shipped level to that.

Limits: the board knows nothing of a ball: whether it was thrown is the coach's to see. Two short
turns say less than long trials; a cost repeats poorly.
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

#: Unmeasured at the beginning of a turn: hands and head change over.
CHANGE_S: Final = 1.5
ASK_S: Final = 5.0
#: An answer is a lean of so much from where the turn was stood, for so long (our own values).
LEAN_PERCENT: Final = 8.0
LEAN_FOR_S: Final = 0.5
#: So long before the question's end, who has not leaned has answered "as many".
VERDICT_S: Final = 1.2
#: No call in the first and in the last moment of a turn.
FIRST_CALL_S: Final = 1.5
LAST_CALL_S: Final = 1.0
#: A turn of which less than this share was measured says nothing.
LEAST_SHARE: Final = 0.5
#: Nor does one whose mean force differs so much from the weight: a hand held on (our own value).
SUPPORT_SHARE: Final = 0.06
#: What the picture shows follows the speed of about this time.
UNREST_S: Final = 0.5
#: How long the picture shows what was called.
SHOWN_S: Final = 0.9
_NEVER: Final = math.inf


class Turn(StrEnum):
    """What is asked for at the moment."""

    ALONE = "alone"
    BUSY = "busy"
    ASK = "ask"
    OVER = "over"


class Order(StrEnum):
    """What the kitchen calls: low for a cake, high for a cup.

    As answers they mean the more frequent: a lean to the left, to the right, or none.
    """

    CAKE = "cake"
    CUP = "cup"
    SAME = "same"


class Spell(NamedTuple):
    """A turn's place in the trial."""

    turn: Turn
    begin_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class TrayScene:
    """What the picture and the sound know.

    Attributes:
        turn: see ``Turn``; ``left_s`` of it, ``number`` from 1 among the four, ``busy_hands`` where
            a ball is thrown, else orders are called.
        unrest: 0 (still) to 1 (as lively as ``quiet_mm_s``, or more); NaN off the board.
        called: what was called just now: "cake", "cup", "throw" or "".
        lean: -1 (far enough to the left for an answer) to 1.
        answer: given in this or the last question; None so far.
        right: whether that was so; None while it is open.
        rights: of the questions so far.
    """

    turn: Turn
    left_s: float
    number: int
    busy_hands: bool
    unrest: float
    called: str
    lean: float
    answer: Order | None
    right: bool | None
    rights: tuple[bool, ...]


FIELDS: Final[dict[str, Field]] = {
    "calls": Field(0, 1, 1, "", "1: orders are counted; 0: a ball is thrown and caught"),
    "every_s": Field(0.8, 5, 1.8, "s", "between two calls"),
    "quiet_mm_s": Field(5, 80, 20, "mm/s", "a livelier stance alone lowers the cost no further"),
    "wrong_mm_s": Field(0, 160, 40, "mm/s", "what a busy turn with a wrong answer costs at least"),
}


def spells(seconds: float, first: Turn, asked: bool) -> tuple[Spell, ...]:
    """The turns of a trial, one after another, and the questions after busy ones.

    >>> [f"{s.turn} {s.begin_s:g}" for s in spells(58.0, Turn.BUSY, True)]
    ['busy 0', 'ask 12', 'alone 17', 'alone 29', 'busy 41', 'ask 53']
    """
    other = Turn.ALONE if first is Turn.BUSY else Turn.BUSY
    ask_s = min(ASK_S, 0.15 * seconds) if asked else 0.0
    turn_s = (seconds - 2.0 * ask_s) / 4.0
    found: list[Spell] = []
    now_s = 0.0
    for turn in (first, other, other, first):
        found.append(Spell(turn, now_s, now_s + turn_s))
        now_s += turn_s
        if asked and turn is Turn.BUSY:
            found.append(Spell(Turn.ASK, now_s, now_s + ask_s))
            now_s += ask_s
    return tuple(found)


def orders(dice: Dice, count: int) -> list[Order]:
    """Calls of which one kind comes two times more often, or both alike.

    Each of the three is as likely. ``count`` is made even, so that it tells nothing.
    """
    half = count // 2
    if half < 1:
        return []
    cups = half + dice.below(3) - 1
    return shuffled(dice, [Order.CUP] * cups + [Order.CAKE] * (2 * half - cups))


class _Way:
    """Path and time of one turn."""

    __slots__ = ("body_n", "force", "planned_s", "right", "seconds", "shares", "way_mm")

    def __init__(self, planned_s: float, body_n: float) -> None:
        self.planned_s, self.body_n = planned_s, body_n
        self.way_mm = self.seconds = self.right = self.force = 0.0
        self.shares = 0

    @property
    def speed(self) -> float:
        if not self.shares or self.seconds < LEAST_SHARE * self.planned_s:
            return NAN
        if abs(self.force / self.shares / self.body_n - 1.0) > SUPPORT_SHARE:
            return NAN
        return self.way_mm / self.seconds

    @property
    def middle(self) -> float:
        return self.right / self.shares if self.shares else NAN


class TrayTask:
    """One trial of tray. See the module for the rules.

    Args:
        ground: what the game's rules begin with.
    """

    def __init__(self, ground: Ground) -> None:
        given = dict(ground.level.task)
        self._numbers = {name: given.get(name, f.usual) for name, f in FIELDS.items()}
        self._feet = ground.feet
        self._asked = self._numbers["calls"] >= 0.5
        dice = Dice(ground.seed)
        first = (Turn.ALONE, Turn.BUSY)[dice.below(2)]
        self._spells = spells(ground.level.seconds, first, self._asked)
        self._calls = self._plan(dice)
        self._ways = [
            _Way(max(s.end_s - s.begin_s - CHANGE_S, 0.0), ground.body_n) for s in self._spells
        ]
        self._at = -1
        self._next_call = 0
        self._now_s = 0.0
        self._x = self._y = NAN
        self._speed = NAN
        self._right_percent = NAN
        self._middle = 50.0
        self._called: tuple[str, float] = ("", -_NEVER)
        self._leaning: tuple[Order | None, float] = (None, _NEVER)
        self.answers: list[tuple[Order | None, bool]] = []
        self._answer: Order | None = None

    def _plan(self, dice: Dice) -> list[tuple[float, str]]:
        """The times and words of all calls."""
        found: list[tuple[float, str]] = []
        for spell in self._spells:
            if spell.turn is not Turn.BUSY:
                continue
            room_s = spell.end_s - spell.begin_s - FIRST_CALL_S - LAST_CALL_S
            every_s = self._numbers["every_s"]
            count = math.floor(room_s / every_s) + 1 if room_s >= 0 else 0
            kinds = [str(kind) for kind in orders(dice, count)]
            words = kinds if self._asked else ["throw"] * count
            for k, word in enumerate(words):
                # Never quite on the beat, or the ear would do without the head.
                late_s = 0.3 * every_s * dice.uniform() if k < count - 1 else 0.0
                found.append((spell.begin_s + FIRST_CALL_S + k * every_s + late_s, word))
        return found

    @property
    def done(self) -> bool:
        """It goes on to the trial's end."""
        return False

    @property
    def _spell(self) -> Spell:
        return self._spells[max(self._at, 0)]

    @property
    def scene(self) -> TrayScene:
        """What the picture and the sound know."""
        turn = self._spell.turn
        asked = turn is Turn.ASK
        word, since_s = self._called
        number = sum(s.turn is not Turn.ASK for s in self._spells[: max(self._at, 0) + 1])
        lean = (self._right_percent - self._middle) / LEAN_PERCENT if asked else 0.0
        still_mm_s = 0.25 * self._numbers["quiet_mm_s"]
        unrest = (self._speed - still_mm_s) / (self._numbers["quiet_mm_s"] - still_mm_s)
        right = (self._answer is self._truth(self._at)) if asked and self._answer else None
        return TrayScene(
            turn=turn,
            left_s=max(self._spell.end_s - self._now_s, 0.0),
            number=number,
            busy_hands=not self._asked,
            unrest=NAN if math.isnan(unrest) else min(max(unrest, 0.0), 1.0),
            called=word if self._now_s - since_s < SHOWN_S and turn is Turn.BUSY else "",
            lean=0.0 if math.isnan(lean) else min(max(lean, -1.0), 1.0),
            answer=self._answer if asked else None,
            right=right,
            rights=tuple(right for _, right in self.answers),
        )

    def _truth(self, at: int) -> Order:
        """Of which there were more in the busy turn before a question."""
        spell = self._spells[max(at - 1, 0)]
        words = [w for t, w in self._calls if spell.begin_s <= t < spell.end_s]
        cups, cakes = words.count("cup"), words.count("cake")
        return Order.CUP if cups > cakes else Order.CAKE if cakes > cups else Order.SAME

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; see ``tasks.task.Task``."""
        cues = self._turn_to(elapsed_s)
        step_s, self._now_s = elapsed_s - self._now_s, elapsed_s
        x, y = sample.x_mm, sample.y_mm
        if gap or not (math.isfinite(x) and math.isfinite(y)):
            self._x = NAN
        if math.isfinite(x) and math.isfinite(y):
            self._right_percent = self._feet.right_share_percent(x)
            if not math.isnan(self._x) and step_s > 0.0:
                self._move(x - self._x, y - self._y, step_s, sample.force_n)
            self._x, self._y = x, y
        else:
            self._right_percent = self._speed = NAN
        if self._spell.turn is Turn.ASK:
            cues += self._listen()
        while self._next_call < len(self._calls) and self._calls[self._next_call][0] <= elapsed_s:
            word = self._calls[self._next_call][1]
            self._next_call += 1
            self._called = (word, elapsed_s)
            cues.append(Cue(f"tray_{word}"))
        return cues

    def _move(self, dx: float, dy: float, step_s: float, force_n: float) -> None:
        step_mm = math.sqrt(dx * dx + dy * dy)
        way = self._ways[max(self._at, 0)]
        spell = self._spell
        if spell.turn is not Turn.ASK and self._now_s - step_s >= spell.begin_s + CHANGE_S:
            way.way_mm += step_mm
            way.seconds += step_s
            way.right += self._right_percent
            way.force += force_n
            way.shares += 1
        share = step_s / (UNREST_S + step_s)
        speed = step_mm / step_s
        self._speed = (
            speed if math.isnan(self._speed) else self._speed + (speed - self._speed) * share
        )

    def _turn_to(self, elapsed_s: float) -> list[Cue]:
        """The turn that this moment belongs to; a call where it is a new one."""
        cues: list[Cue] = []
        while self._at + 1 < len(self._spells) and elapsed_s >= self._spells[self._at + 1].begin_s:
            self._close_question()
            before = self._spells[self._at].turn if self._at >= 0 else None
            self._at += 1
            turn = self._spell.turn
            if turn is Turn.ASK:
                middle = self._ways[self._at - 1].middle
                self._middle = 50.0 if math.isnan(middle) else middle
            if turn is not before:
                cues.append(Cue(f"tray_{turn}"))
        return cues

    def _close_question(self) -> None:
        if self._at >= 0 and self._spell.turn is Turn.ASK:
            truth = self._truth(self._at)
            self.answers.append((self._answer, self._answer is not None and self._answer is truth))
            self._answer = None
            self._leaning = (None, _NEVER)

    def _listen(self) -> list[Cue]:
        """A lean that is held is the answer, once."""
        if self._answer is not None:
            return []
        if math.isnan(self._right_percent):
            self._leaning = (None, _NEVER)
            return []
        lean = self._right_percent - self._middle
        if abs(lean) < LEAN_PERCENT and self._spell.end_s - self._now_s <= VERDICT_S:
            return self._answered(Order.SAME)
        way = None if not abs(lean) >= LEAN_PERCENT else Order.CUP if lean > 0 else Order.CAKE
        if way is None or way is not self._leaning[0]:
            self._leaning = (way, self._now_s)
            return []
        if self._now_s - self._leaning[1] < LEAN_FOR_S:
            return []
        return self._answered(way)

    def _answered(self, answer: Order) -> list[Cue]:
        self._answer = answer
        return [Cue("tray_right" if answer is self._truth(self._at) else "tray_wrong")]

    def measures(self) -> dict[str, float]:
        """See the module; NaN where a turn says nothing: less than half of it
        was measured, or a hand held on."""
        ways = list(zip(self._spells, self._ways, strict=True))
        alone = _together([way for spell, way in ways if spell.turn is Turn.ALONE])
        busy = [way for spell, way in ways if spell.turn is Turn.BUSY]
        both = _together(busy)
        given = [right for _, right in self.answers]
        if self._at >= 0 and self._spell.turn is Turn.ASK:
            given.append(self._answer is not None and self._answer is self._truth(self._at))
        rights = [*given, False, False][:2] if self._asked else [True, True]
        quiet = min(alone, self._numbers["quiet_mm_s"])
        costs = [
            max(0.0, way.speed - quiet, 0.0 if right else self._numbers["wrong_mm_s"])
            for way, right in zip(busy, rights, strict=True)
        ]
        known = not (math.isnan(alone) or math.isnan(both))
        return {
            "tray_alone_mm_s": alone,
            "tray_busy_mm_s": both,
            "tray_cost_mm_s": sum(costs) / 2.0 if known else NAN,
            "tray_cost_percent": 100.0 * (both / alone - 1.0) if known and alone > 0 else NAN,
            "tray_answers_percent": 50.0 * sum(rights) if self._asked else NAN,
        }


def _together(ways: Sequence[_Way]) -> float:
    """The mean speed over turns of one kind; NaN if one of them says nothing."""
    if any(math.isnan(way.speed) for way in ways):
        return NAN
    return sum(way.way_mm for way in ways) / sum(way.seconds for way in ways)


MEASURES: Final[dict[str, Markable]] = {
    "tray_alone_mm_s": Markable("mm/s", False, "Calm alone"),
    "tray_busy_mm_s": Markable("mm/s", False, "Calm when busy"),
    "tray_cost_mm_s": Markable("mm/s", False, "Cost of busy"),
    "tray_answers_percent": Markable("%", True, "Right answers"),
}


def _explain(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    cost = part.possible - part.earned
    answers = measures.get("tray_answers_percent", NAN)
    if math.isnan(part.value):
        return say("A turn was off the board, or held on to something: −{cost:.1f}.", cost=cost)
    if part.measure in ("tray_cost_mm_s", "tray_answers_percent") and answers < 100.0:
        return say(
            "The count was right once of twice: −{cost:.1f}."
            if answers > 0.0
            else "The count was right neither time: −{cost:.1f}.",
            cost=cost,
        )
    if part.measure == "tray_cost_mm_s":
        return say(
            "Alone {alone:.1f} mm/s, busy {busy:.1f} mm/s: −{cost:.1f}.",
            alone=measures.get("tray_alone_mm_s", NAN),
            busy=measures.get("tray_busy_mm_s", NAN),
            cost=cost,
        )
    if part.measure == "tray_alone_mm_s":
        return say(
            "The pudding moved at {value:.1f} mm/s with nothing to do: −{cost:.1f}.",
            value=part.value,
            cost=cost,
        )
    about = MEASURES.get(part.measure) or COMMON[part.measure]
    return say(
        "{label}: {value:.1f} {unit}, −{cost:.1f}.",
        label=about.label,
        value=part.value,
        unit=about.unit,
        cost=cost,
    )


def _advise(level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    if measures.get("tray_answers_percent", 100.0) < 100.0:
        return "Keep one finger for each cake, and let the cups go by."
    if part.measure == "tray_cost_mm_s":
        if dict(level.task).get("calls", FIELDS["calls"].usual) < 0.5:
            return "Let the ball come to you; the pudding stays where it is."
        return "Listen with the pudding first, and with the ears second."
    return "Look at the cherry, and let it come to rest."


TRAY: Final = TaskKind(
    name="tray",
    make=TrayTask,
    explain=_explain,
    advise=_advise,
    praise="Busy or not, the pudding stood still.",
    measures=MEASURES,
    fields=FIELDS,
    ready="The pudding stands still",
    half_time=False,
    lesson=(
        (7.0, "Stand still, and the pudding stands still"),
        (14.0, "Now and then there is more: count, or throw"),
        (20.0, "The pudding must not notice"),
    ),
)
