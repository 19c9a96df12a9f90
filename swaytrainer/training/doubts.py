"""When a trial was not what it was to be: held on, sat down, a bag, one foot, somebody else.

One plate can't see who stands on it or how; but some things it can rule out. The limits are our
own, wide enough for any honest trial on a still base.
"""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.words import say

#: Mean force of the trial against the weight taken in the countdown.
WEIGHT_SHARE: Final = 0.10
#: Two feet: neither bears less than this.
LIGHT_FOOT_PERCENT: Final = 20.0
#: The stillest of 951 minutes of 80 people, firm ground, moved at 4.4 mm/s (computed from the
#: published results of Santos & Duarte, PeerJ 2016;4:e2648). A dead thing shows the board's noise.
NO_PERSON_MM_S: Final = 2.0


#: Everything that may make a trial doubtful. What a game asks for is no doubt of its: a squat
#: changes the force, one leg is one foot.
ALL: Final = ("weight", "one foot", "nobody")


def doubts(
    body_n: float,
    mean_force_n: float,
    measures: dict[str, float],
    doubted: tuple[str, ...] = ALL,
) -> list[str]:
    """Sentences on why this trial can't count; none for an honest one.

    Args:
        body_n: weight in the countdown.
        mean_force_n: mean over the time on the board; NaN if there was none.
        measures: the trial's live measures.
        doubted: which of ``ALL`` are looked at.

    >>> doubts(450.0, 452.0, {"mean_speed_mm_s": 9.0, "right_share_percent": 52.0})
    []
    """
    found: list[str] = []
    change = mean_force_n / body_n - 1.0
    if "weight" in doubted and abs(change) > WEIGHT_SHARE:
        found.append(
            say(
                "{percent:.0f} % of the weight was missing: held on, or sat down."
                if change < 0
                else "{percent:.0f} % more weight than before: somebody else was on the board.",
                percent=abs(change) * 100.0,
            )
        )
    right = measures.get("right_share_percent", math.nan)
    if "one foot" in doubted and min(right, 100.0 - right) < LIGHT_FOOT_PERCENT:
        found.append("Nearly all the weight was on one foot.")
    if "nobody" in doubted and measures.get("mean_speed_mm_s", math.nan) < NO_PERSON_MM_S:
        found.append("Nothing moved: no person stands as still as that.")
    return found
