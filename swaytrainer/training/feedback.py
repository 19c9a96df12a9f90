"""What a vaulter sees and hears of the own sway while a trial runs.

Feedback that is always on makes dependent on it (guidance hypothesis: Salmoni, Schmidt & Walter
1984, from memory); so a level may fade it, and fading follows success.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

FULL: Final = "full"
FADED: Final = "faded"
BANDWIDTH: Final = "bandwidth"
SOUND: Final = "sound"
NONE: Final = "none"
#: Words that a level file may use.
FEEDBACKS: Final = (FULL, FADED, BANDWIDTH, SOUND, NONE)
#: After so many passed trials of a sitting a faded level shows the result alone.
SUMMARY_AFTER: Final = 3


class Feedback(NamedTuple):
    """What one trial gives.

    Attributes:
        kind: "full", "bandwidth", "sound" or "none": part of the terms on which trials compare.
        picture: the game is to be seen.
        sound: the tone is to be heard.
        outside_only: both only while the weight is outside the band.
    """

    kind: str
    picture: bool
    sound: bool
    outside_only: bool = False


_OF: Final = {
    FULL: Feedback(FULL, True, True),
    BANDWIDTH: Feedback(BANDWIDTH, True, True, True),
    SOUND: Feedback(SOUND, False, True),
    NONE: Feedback(NONE, False, False),
}


def feedback_for(wanted: str, marks: Sequence[float | None], pass_mark: float) -> Feedback:
    """What the next trial of a sitting gives.

    A faded level begins in full. Once a trial was passed, every second one is without; after
    ``SUMMARY_AFTER`` passed ones only the result is told. A trial that is missed brings the
    picture back.

    Args:
        wanted: the level's word.
        marks: of the sitting so far, None where a trial didn't count.
        pass_mark: the level's.

    >>> [feedback_for("faded", marks, 6.0).kind for marks in ([], [7.0], [7.0, 7.0], [7.0] * 3)]
    ['full', 'none', 'full', 'none']
    >>> feedback_for("faded", [7.0, 7.0, 7.0, 4.0], 6.0).kind
    'full'
    """
    if wanted != FADED:
        return _OF[wanted]
    counted = [mark for mark in marks if mark is not None]
    passes = sum(mark >= pass_mark for mark in counted)
    missed = bool(counted) and counted[-1] < pass_mark
    without = not missed and (passes >= SUMMARY_AFTER or passes % 2 == 1)
    return _OF[NONE if without else FULL]
