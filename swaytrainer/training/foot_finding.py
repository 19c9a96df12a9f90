"""Half a minute that finds a vaulter's heels and balls by doing, with a hand on a support.

With the toes lifted the COP lies under the heels, up on the balls under these; on one foot it lies
under that foot (common practice, no source). Heels and balls are found twice: by how much the two
tries differ is how well they are known.

Not asked of anybody on something that gives way: the board lies firm on the floor.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum
from typing import Final, NamedTuple

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.words import say

#: A pose is held for so long; with the time to get there the whole takes half a minute.
HOLD_S: Final = 1.5
#: After so long without a hold a hint is given; after this it is given up.
PATIENCE_S: Final = 6.0
GIVE_UP_S: Final = 30.0
#: A hold is one while the COP stays within this (largest less smallest, mm) and the force within
#: this share: wider than quiet standing (some 10 mm in a second and a half), since it is hard to
#: balance on heels alone. Our own limits.
_SPREAD_MM: Final = 22.0
_FORCE_SPREAD: Final = 0.12
#: With less than this share of the weight on the board, the support bears too much of it.
_LEAST_SHARE: Final = 0.6
#: How far from the even stance a pose must be, as a share of foot length or of stance width.
_AWAY_FOOT: Final = 0.08
_AWAY_SIDE: Final = 0.18
#: Two tries may differ by this (mm); more, and the feet were moved, or it was no hold.
_AGREE_MM: Final = 18.0
#: From heel to ball: 0.60 foot lengths (0.735 - 0.135, from memory); a lean instead of lifted toes
#: gives much less.
_LEVER: Final = BALL_SHARE - HEEL_SHARE
_LEVER_WITHIN: Final = 0.18
#: A heel on its line bears 0.135 foot lengths in front of it; beyond these it stood elsewhere, or
#: the board shows nonsense.
_HEEL_BEARS: Final = (0.0, 0.3)
#: No better than this is claimed however well two tries agree: the sole is no knife's edge.
_LEAST_U_MM: Final = 1.5
#: Of a side, tried once: how far under a foot the COP may lie beside its middle (our own guess).
_U_SIDE_MM: Final = 5.0


class Pose(StrEnum):
    """What is asked for."""

    EVEN = "even"
    HEELS = "heels"
    BALLS = "balls"
    LEFT = "left"
    RIGHT = "right"


#: In this order.
POSES: Final = (
    Pose.EVEN,
    Pose.HEELS,
    Pose.BALLS,
    Pose.HEELS,
    Pose.BALLS,
    Pose.LEFT,
    Pose.RIGHT,
)

WORDS: Final = {
    Pose.EVEN: "Heels on the line, a hand on the support. Stand evenly.",
    Pose.HEELS: "Lift your toes: stand on your heels.",
    Pose.BALLS: "Up onto the balls of your feet.",
    Pose.LEFT: "All weight on your left foot.",
    Pose.RIGHT: "All weight on your right foot.",
}

HINTS: Final = {
    Pose.EVEN: "Stand still for a moment, weight over both feet.",
    Pose.HEELS: "Toes and balls off the board, then hold still.",
    Pose.BALLS: "Heels off the board, then hold still.",
    Pose.LEFT: "Further to the left, until the right foot bears nothing; hold still.",
    Pose.RIGHT: "Further to the right, until the left foot bears nothing; hold still.",
}


class Hold(NamedTuple):
    """Where the COP was (mm, mean) while a pose was held."""

    pose: Pose
    x_mm: float
    y_mm: float


class Found(NamedTuple):
    """The end: feet, or a sentence why the foot's length must do instead."""

    feet: FoundFeet | None
    why_not: str = ""


class FootFinder:
    """Watches the COP and takes a hold once the pose asked for is there, and still.

    Pure: fed with samples, asked for what to do next.

    Args:
        vaulter, stance: whose feet, and how they stand.
        foot_length_mm, stance_width_mm: by the ruler; for what poses must look like.
        heel_line_mm: y of the board's heel line.

    Attributes:
        holds: what was taken so far.
        hint: what is missing, if it takes long; else empty.
    """

    def __init__(
        self,
        vaulter: str,
        stance: str,
        foot_length_mm: float,
        stance_width_mm: float,
        heel_line_mm: float,
    ) -> None:
        self.holds: list[Hold] = []
        self.hint = ""
        self._vaulter = vaulter
        self._stance = stance
        self._foot_mm = foot_length_mm
        self._width_mm = stance_width_mm
        self._heel_line_mm = heel_line_mm
        self._window: deque[CopSample] = deque()
        self._since_s: float | None = None
        self._weight_n = math.nan
        self._given_up = ""

    @property
    def pose(self) -> Pose | None:
        """What is asked for now; None at the end."""
        return None if self.done else POSES[len(self.holds)]

    @property
    def done(self) -> bool:
        """All is taken, or it was given up."""
        return bool(self._given_up) or len(self.holds) == len(POSES)

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        pose = self.pose
        return "Done: step off." if pose is None else WORDS[pose]

    @property
    def held_share(self) -> float:
        """How much of the hold is done, 0 to 1, for a picture."""
        if len(self._window) < 2:
            return 0.0
        return min(1.0, (self._window[-1].time_s - self._window[0].time_s) / HOLD_S)

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        self._window.clear()

    def update(self, sample: CopSample) -> bool:
        """Take one sample; True when a hold was just taken."""
        pose = self.pose
        if pose is None:
            return False
        if math.isnan(sample.x_mm):
            self._window.clear()
            if self.holds:
                self._given_up = "Somebody stepped off in the middle."
            return False
        if self._since_s is None:
            self._since_s = sample.time_s
        waited_s = sample.time_s - self._since_s
        if waited_s > GIVE_UP_S:
            self._given_up = say("It took too long: {pose}", pose=WORDS[pose])
            return False
        why = self._why_not(pose, sample)
        if why is None:
            self._window.append(sample)
            self._drop_moved()
        else:
            self._window.clear()
        if waited_s > PATIENCE_S:
            self.hint = why or HINTS[pose]
        window = self._window
        if not window or window[-1].time_s - window[0].time_s < HOLD_S:
            return False
        self.holds.append(Hold(pose, *_mean(window)))
        if pose is Pose.EVEN:
            self._weight_n = math.fsum(s.force_n for s in window) / len(window)
        self._window.clear()
        self._since_s = None
        self.hint = ""
        return True

    def _why_not(self, pose: Pose, sample: CopSample) -> str | None:
        """Why this sample can't be of the pose, in words for the screen; None if it can."""
        if pose is Pose.EVEN:
            return None
        if sample.force_n < _LEAST_SHARE * self._weight_n:
            return "Lean less on the support: your weight belongs on the board."
        even = self.holds[0]
        along = (sample.y_mm - even.y_mm) / self._foot_mm
        across = (sample.x_mm - even.x_mm) / self._width_mm
        there = {
            Pose.HEELS: -along > _AWAY_FOOT,
            Pose.BALLS: along > _AWAY_FOOT,
            Pose.LEFT: -across > _AWAY_SIDE,
            Pose.RIGHT: across > _AWAY_SIDE,
        }[pose]
        return None if there else HINTS[pose]

    def _drop_moved(self) -> None:
        """Let the window begin after the last movement."""
        window = self._window
        while len(window) > 1:
            xs, ys = [s.x_mm for s in window], [s.y_mm for s in window]
            forces = [s.force_n for s in window]
            moved = max(max(xs) - min(xs), max(ys) - min(ys)) > _SPREAD_MM
            if not moved and max(forces) - min(forces) <= _FORCE_SPREAD * max(forces):
                return
            window.popleft()

    def found(self, made: datetime) -> Found:
        """What came of it.

        Args:
            made: now, with a time zone.

        Raises:
            ValueError: it is not done yet.
        """
        if not self.done:
            raise ValueError("not all poses were held")
        if self._given_up:
            return self._refused(self._given_up)
        heels, balls = (
            [h.y_mm for h in self.holds if h.pose is pose] for pose in (Pose.HEELS, Pose.BALLS)
        )
        for name, tries in (("on the heels", heels), ("on the balls", balls)):
            if abs(tries[0] - tries[1]) > _AGREE_MM:
                return self._refused(
                    say(
                        "The two tries {name} lie {apart:.0f} mm apart.",
                        name=name,
                        apart=abs(tries[0] - tries[1]),
                    )
                )
        heel, ball = math.fsum(heels) / 2.0, math.fsum(balls) / 2.0
        lever = (ball - heel) / self._foot_mm
        if abs(lever - _LEVER) > _LEVER_WITHIN:
            much = "too little" if lever < _LEVER else "too much"
            return self._refused(
                say(
                    "From heels to balls it was {lever:.0f} mm, {much} for a foot of {foot:.0f} mm:"
                    " toes or heels stayed down, or the feet moved.",
                    lever=ball - heel,
                    much=much,
                    foot=self._foot_mm,
                )
            )
        bears = (heel - self._heel_line_mm) / self._foot_mm
        if not _HEEL_BEARS[0] <= bears <= _HEEL_BEARS[1]:
            return self._refused(
                say(
                    "The heels seemed to bear {off:.0f} mm behind the heel line: were they on it?"
                    " If so, check the board with 'swaytrainer check'."
                    if bears < 0.0
                    else "The heels seemed to bear {off:.0f} mm in front of the heel line: were"
                    " they on it? If so, check the board with 'swaytrainer check'.",
                    off=abs(heel - self._heel_line_mm),
                )
            )
        left, right = (
            next(h.x_mm for h in self.holds if h.pose is pose) for pose in (Pose.LEFT, Pose.RIGHT)
        )
        if abs(right - left - self._width_mm) > 0.45 * self._width_mm:
            return self._refused(
                say(
                    "From left to right it was {across:.0f} mm, but the feet stand {apart:.0f} mm"
                    " apart.",
                    across=right - left,
                    apart=self._width_mm,
                )
            )
        return Found(
            FoundFeet(
                self._vaulter,
                self._stance,
                made,
                heel - self._heel_line_mm,
                ball - self._heel_line_mm,
                left,
                right,
                line_uncertainty_mm((heels[0] - heels[1], balls[0] - balls[1])),
                _U_SIDE_MM,
            ).check()
        )

    def _refused(self, why: str) -> Found:
        return Found(
            None,
            say(
                "{why} Until it is done again, heels and balls are reckoned from foot length.",
                why=why,
            ),
        )


def line_uncertainty_mm(differences_mm: Sequence[float]) -> float:
    """Standard uncertainty of the mean of two tries, from the differences of several such pairs.

    A difference of two has twice a try's variance, a mean of two half of it: u² = mean(d²)/4
    (GUM JCGM 100:2008, 4.2, pooled as in 4.2.4). Never below what a sole's own width leaves open.

    >>> line_uncertainty_mm((6.0, 8.0))  # √(50/4)
    3.5355339059327378
    """
    pooled = math.fsum(d * d for d in differences_mm) / len(differences_mm)
    return max(_LEAST_U_MM, math.sqrt(pooled / 4.0))


def _mean(window: deque[CopSample]) -> tuple[float, float]:
    n = len(window)
    return math.fsum(s.x_mm for s in window) / n, math.fsum(s.y_mm for s in window) / n
