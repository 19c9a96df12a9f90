"""Two quick knee bends, told from one squat, from waving arms and from a fight for balance.

The height of the centre of mass comes from z'' = g·(F/W − 1), F the force and W the weight
(Newton's second law), integrated twice with a leak so that a weight that is wrong by a few parts in
a thousand does not carry it away. A bend is a way down and most of it up again; two bends between
two quiet moments, near the middle of the stance, are the gesture: no more, no less. Depths and
times are ours; depths go with the body's height.

``motion.squat_watch`` measures depth from the last still stand, in mm that may be shown. Here the
ground may move, the turning points matter, and the mm are good for nothing else.
"""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.sway.cop import NAN

#: A force within this share of the weight is quiet.
QUIET_SHARE: Final = 0.05
#: Quiet for so long before the first bend, and after the second.
QUIET_BEFORE_S: Final = 0.7
QUIET_AFTER_S: Final = 0.5
#: Quiet for so long after one bend: there is no second one coming.
GIVE_UP_S: Final = 0.9
#: All of it, from the first move to the quiet after it.
LIMIT_S: Final = 5.0
#: One bend, from standing to standing.
BEND_S: Final = (0.25, 2.0)
#: From the bottom of one to the bottom of the other.
APART_S: Final = (0.4, 2.2)
#: A bend has gone down by this share of the body's height, and this share of that up again.
DEPTH_SHARE: Final = 0.039
BACK_SHARE: Final = 0.6
#: At the bottom of a quick bend the force is above the weight by this share at least.
STRONG_SHARE: Final = 0.11
#: The deeper of the two, against the other.
UNLIKE: Final = 2.0
#: Rising above standing first by more than this share of a bend is no bend: heels up, or a jump.
ABOVE_SHARE: Final = 0.6
#: Lighter than this is a hop; further than this from the middle (in % of the load) is balancing:
#: when the knees begin to bend, and at any time.
LEAST_SHARE: Final = 0.25
ASIDE_PERCENT: Final = (12.0, 21.0)
#: Where the COP may go along the feet: % of the way from heel to ball, from where it usually is.
ALONG_PERCENT: Final = 40.0
_LEAK_S: Final = 1.0


class TwoBends:
    """Counts knee bends between quiet moments.

    Args:
        height_mm: of the body; it scales the depth.
        gravity_mm_s2: the place's own.

    Attributes:
        count: bends of the pair that is under way.
        progress: 0 to 1, 1 at the moment it is understood.
    """

    __slots__ = (
        "_began_s",
        "_bottom_s",
        "_calm_s",
        "_depth_mm",
        "_first_mm",
        "_gravity",
        "_high",
        "_high_s",
        "_least_mm",
        "_low",
        "_low_s",
        "_peak",
        "_quiet_s",
        "_speed",
        "_time_s",
        "_under_way",
        "count",
        "progress",
    )  # fmt: skip

    count: int
    _peak: float

    def __init__(self, height_mm: float, gravity_mm_s2: float) -> None:
        self._least_mm = DEPTH_SHARE * height_mm
        self._gravity = gravity_mm_s2
        self.count = 0
        self._peak = 0.0
        self.restart()

    @property
    def under_way(self) -> bool:
        """A movement that may become the gesture has begun."""
        return self._under_way

    @property
    def quiet_s(self) -> float:
        """For how long the force has been quiet."""
        return max(0.0, self._time_s - self._quiet_s) if self._time_s >= self._quiet_s else 0.0

    def restart(self) -> None:
        """What was before is not known: quiet must come first."""
        self._time_s = NAN
        self._quiet_s = self._calm_s = math.inf
        self._spoil()

    def update(
        self,
        time_s: float,
        force_share: float,
        aside_percent: float,
        along_percent: float,
        calm: bool,
        still: bool,
    ) -> bool:
        """One sample; True once, when two bends and the quiet after them are over.

        Args:
            time_s: increasing.
            force_share: force over weight.
            aside_percent: load on the right foot above what is usual.
            along_percent: toe share above what is usual.
            calm: it runs no faster than this body's does at other times.
            still: the ground lets somebody stand; only then a gesture may begin.
        """
        step_s = time_s - self._time_s
        self._time_s = time_s
        off = force_share - 1.0
        if not calm:
            self._calm_s = math.inf
        elif math.isinf(self._calm_s):
            self._calm_s = time_s
        if abs(off) <= QUIET_SHARE:
            if math.isinf(self._quiet_s):
                self._quiet_s = time_s
        else:
            since_s = max(self._quiet_s, self._calm_s)
            even = still and abs(aside_percent) <= ASIDE_PERCENT[0]
            if not self._under_way and even and time_s - since_s >= QUIET_BEFORE_S:
                self._begin(time_s)
            self._quiet_s = math.inf
        if not self._under_way or math.isnan(step_s):
            return False
        self._speed += step_s * (self._gravity * off - self._speed / _LEAK_S)
        self._depth_mm -= step_s * (self._speed + self._depth_mm / _LEAK_S)
        # After a first bend the leak overshoots: only the beginning can be trusted.
        rises = self.count == 0 and -self._depth_mm > ABOVE_SHARE * self._least_mm
        if (
            time_s - self._began_s > LIMIT_S
            or force_share < LEAST_SHARE
            or abs(aside_percent) > ASIDE_PERCENT[1]
            or abs(along_percent) > ALONG_PERCENT
            or rises
        ):
            self._spoil()
            return False
        self._peak = max(self._peak, off)
        self._turn()
        return self._judge()

    def _begin(self, time_s: float) -> None:
        self._under_way = True
        self._began_s = self._high_s = time_s
        self._speed = self._depth_mm = self._high = 0.0
        self._low = self._low_s = NAN
        self._peak = 0.0

    def _spoil(self) -> None:
        self._under_way = False
        self._began_s = self._high_s = self._low = self._low_s = NAN
        self._speed = self._depth_mm = self._high = 0.0
        self._first_mm = self._peak = 0.0
        self._bottom_s = NAN
        self.count = 0
        self.progress = 0.0

    def _turn(self) -> None:
        """Follow the turning points; depths are positive downward."""
        depth = self._depth_mm
        if math.isnan(self._low):
            if depth <= self._high:
                self._high, self._high_s = depth, self._time_s
            elif depth - self._high >= self._least_mm:
                self._low, self._low_s = depth, self._time_s
        elif depth >= self._low:
            self._low, self._low_s = depth, self._time_s
        elif self._low - depth >= BACK_SHARE * (self._low - self._high):
            self._bent(self._low - self._high)

    def _bent(self, depth_mm: float) -> None:
        seconds = self._time_s - self._high_s
        quick = BEND_S[0] <= seconds <= BEND_S[1] and self._peak >= STRONG_SHARE
        if not quick or self.count == 2:
            self._spoil()
            return
        if self.count == 0:
            self._first_mm, self._bottom_s = depth_mm, self._low_s
        else:
            apart_s = self._low_s - self._bottom_s
            ratio = max(depth_mm, self._first_mm) / min(depth_mm, self._first_mm)
            if not APART_S[0] <= apart_s <= APART_S[1] or ratio > UNLIKE:
                self._spoil()
                return
        self.count += 1
        self._peak = 0.0
        self._high, self._high_s = self._depth_mm, self._time_s
        self._low = self._low_s = NAN

    def _judge(self) -> bool:
        """After the turning points: is it over, and what was it."""
        if not self._under_way:
            return False
        quiet_s = self.quiet_s
        if self.count == 2 and min(quiet_s, self._time_s - self._calm_s) >= QUIET_AFTER_S:
            self._spoil()
            self.progress = 1.0
            return True
        if self.count < 2 and quiet_s >= GIVE_UP_S:
            self._spoil()
            return False
        swing = min(1.0, max(0.0, self._depth_mm - self._high) / self._least_mm)
        if self.count == 2:
            self.progress = 0.8 + 0.2 * min(1.0, quiet_s / QUIET_AFTER_S)
        else:
            self.progress = 0.4 * self.count + 0.3 * swing
        return False
