"""When a trial was not what it was to be: held on, sat down, a bag, one foot, somebody else.

One plate can't see who stands on it or how; but some things it can rule out. The limits are our
own, wide enough for any honest trial on a still base.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from swaytrainer.motion.incident import Incident, Kind, Limits
from swaytrainer.words import say

#: Two feet: neither bears less than this.
LIGHT_FOOT_PERCENT: Final = 20.0
#: The stillest of 951 minutes of 80 people, firm ground, moved at 4.4 mm/s (computed from the
#: published results of Santos & Duarte, PeerJ 2016;4:e2648). A dead thing shows the board's noise.
NO_PERSON_MM_S: Final = 2.0
#: With more than this missing, the vaulter was off the board, and that is booked as such.
OFF_PERCENT: Final = 50.0
#: A plate on a dome or disc tilts. At 15° it feels the cosine of that, 96.6 % of a weight.
TILTING_SHARE: Final = 0.034
#: These do not tilt under a standing vaulter, and the weight was taken on them.
_LEVEL_BASES: Final = ("firm", "foam")
_MOVING_BASES: Final = ("moving barrel",)
#: Everything that may make a trial doubtful. What a game asks for is no doubt of its: one leg is
#: one foot, and what hops on and off is not weighed.
ALL: Final = ("weight", "one foot", "nobody")


#: Another weight than somebody usually has by this share is another person, or carries something;
#: clothes and a meal are less. Ours.
UNUSUAL_SHARE: Final = 0.12


def weight_doubt(body_n: float, usual_n: float | None) -> str | None:
    """A sentence if this can't be who it is said to be, or not alone; None if nothing is odd.

    Args:
        body_n: the weight in the countdown.
        usual_n: of the same vaulter on the last days; None while it is not known.

    >>> weight_doubt(450.0, 430.0), weight_doubt(450.0, None)
    (None, None)
    >>> print(weight_doubt(550.0, 440.0))
    25 % heavier than usual: put down what you carry, or say who you are.
    """
    if usual_n is None or not usual_n > 0.0:
        return None
    more = body_n / usual_n - 1.0
    if abs(more) <= UNUSUAL_SHARE:
        return None
    template = (
        "{percent:.0f} % heavier than usual: put down what you carry, or say who you are."
        if more > 0.0
        else "{percent:.0f} % lighter than usual: say who you are, and hold on to nothing."
    )
    return say(template, percent=100.0 * abs(more))


def base_moves(base: str) -> bool:
    """Whether force and COP are the base's own as well."""
    return base in _MOVING_BASES


def limits_on(base: str) -> Limits:
    """What a watch may think of a force, on this base, against the countdown's weight."""
    usual = Limits()
    if base in _LEVEL_BASES:
        return replace(usual, given_share=usual.weight_share)
    return replace(usual, given_share=TILTING_SHARE)


def doubts(
    incidents: Sequence[Incident],
    measures: dict[str, float],
    doubted: tuple[str, ...] = ALL,
) -> list[str]:
    """Sentences on why this trial can't count; none for an honest one.

    Steps and ways off the board are the vaulter's own: they cost, but are no doubt.

    Args:
        incidents: of the trial.
        measures: the trial's live measures.
        doubted: which of ``ALL`` are looked at.

    >>> doubts((), {"mean_speed_mm_s": 9.0, "right_share_percent": 52.0})
    []
    """
    found: list[str] = []
    for incident in incidents if "weight" in doubted else ():
        percent, seconds = incident.missing_percent, incident.seconds
        if incident.kind is Kind.SUPPORT and percent < OFF_PERCENT:
            found.append(
                say(
                    "{percent:.0f} % of the weight was missing for {seconds:.1f} s:"
                    " held on, or sat down.",
                    percent=percent,
                    seconds=seconds,
                )
            )
        elif incident.kind is Kind.LOADED:
            found.append(
                say(
                    "{percent:.0f} % more weight than before for {seconds:.1f} s: somebody else"
                    " was on the board, or held on in the countdown.",
                    percent=-percent,
                    seconds=seconds,
                )
            )
    right = measures.get("right_share_percent", math.nan)
    if "one foot" in doubted and min(right, 100.0 - right) < LIGHT_FOOT_PERCENT:
        found.append("Nearly all the weight was on one foot.")
    if "nobody" in doubted and measures.get("mean_speed_mm_s", math.nan) < NO_PERSON_MM_S:
        found.append("Nothing moved: no person stands as still as that.")
    return found
