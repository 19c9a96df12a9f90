"""When gusts come and from where, and how well each is answered."""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from swaytrainer.sway.cop import NAN
from swaytrainer.training.tasks.dice import Dice

Way = Literal[
    "front", "right", "back", "left", "front right", "back right", "back left", "front left"
]
#: The four sides first, then the corners.
WAYS: Final[tuple[Way, ...]] = (
    "front", "right", "back", "left", "front right", "back right", "back left", "front left",
)  # fmt: skip
_HALF: Final = math.sqrt(0.5)
#: Towards the wind: (right, forward).
TOWARDS: Final[dict[Way, tuple[float, float]]] = {
    "front": (0.0, 1.0),
    "right": (1.0, 0.0),
    "back": (0.0, -1.0),
    "left": (-1.0, 0.0),
    "front right": (_HALF, _HALF),
    "back right": (_HALF, -_HALF),
    "back left": (-_HALF, -_HALF),
    "front left": (-_HALF, _HALF),
}

#: Calm air before the first gust, and at least so much after each.
LEAD_S: Final = 3.0
CALM_S: Final = 3.0
#: The aim takes this long to move.
GLIDE_S: Final = 0.6
#: So long after a change evenness is not asked for: it is the answer's time.
GRACE_S: Final = 1.5
#: An answer is one that stays for this long.
HOLD_S: Final = 0.5
#: Within this after the change an answer earns all. Ours: the glide, and a quick reaction more
#: (screen, eye and filter included).
QUICK_S: Final = 1.1


class Gust(NamedTuple):
    """One gust: when, from where, and the share of the load it wants moved (% right, forward)."""

    begin_s: float
    end_s: float
    way: Way
    side: float
    forward: float


def plan(
    dice: Dice, seconds: float, count: int, gust_s: float, lean_percent: float, ways: int
) -> tuple[Gust, ...]:
    """As many gusts as fit, at times and from sides that nobody can foresee.

    No side comes again before every other one has come. What time is left over is dealt out among
    the calms at random.

    >>> [gust.way for gust in plan(Dice(4), 30.0, 3, 3.5, 18.0, 4)]
    ['right', 'back', 'left']
    """
    each_s = gust_s + CALM_S
    count = min(count, max(0, int((seconds - LEAD_S + 1e-9) / each_s)))
    left_s = seconds - LEAD_S - count * each_s
    cuts = sorted(dice.uniform() * left_s for _ in range(count))
    gusts: list[Gust] = []
    deck: list[Way] = []
    for k, cut_s in enumerate(cuts):
        if not deck:
            deck = list(WAYS[:ways])
        way = deck.pop(dice.below(len(deck)))
        right, forward = TOWARDS[way]
        begin_s = LEAD_S + k * each_s + cut_s
        lean = (lean_percent * right, lean_percent * forward)
        gusts.append(Gust(begin_s, begin_s + gust_s, way, *lean))
    return tuple(gusts)


class Answer:
    """Whether, and how soon, the weight came to where a change of the wind wanted it, and stayed.

    Args:
        begin_s: when the wind changed.
        last_s: nothing is earned so long after.
        before: for a way back, the way there: who never went has nothing to come back from.

    Attributes:
        score: 0 to 1.
        took_s: from the change until it had come; NaN until it has.
        closed: nothing changes any more.
    """

    score: float

    def __init__(self, begin_s: float, last_s: float, before: Answer | None = None) -> None:
        self.score = 0.0
        self._begin_s = begin_s
        self._barred = before is not None and before.score == 0.0
        self._last_s = last_s
        self._since_s = math.inf
        self.took_s = NAN
        self.closed = False

    def update(self, now_s: float, there: bool, gap: bool) -> bool:
        """Take a sample; True when the answer has just come."""
        if not there or gap:
            self._since_s = math.inf
        # What still is right while the aim begins to move is no answer.
        if there and self._since_s == math.inf and now_s >= self._begin_s + GLIDE_S:
            self._since_s = now_s
        if self.closed or now_s - self._since_s < HOLD_S:
            return False
        self.took_s = self._since_s - self._begin_s
        reached = (self._last_s - self.took_s) / (self._last_s - QUICK_S)
        self.score = 0.0 if self._barred else min(max(reached, 0.0), 1.0)
        self.closed = True
        return True

    def spoil(self) -> None:
        """A step answers nothing."""
        self.closed = True

    def close(self) -> None:
        """The wind changes again."""
        self.closed = True
