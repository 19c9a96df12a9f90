"""What a mark of the ribbon is explained by, and what to try next."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from swaytrainer.training.tasks.task import COMMON
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

#: What happened in less than this share of the strides does not explain a mark.
OFTEN: Final = 0.25

_WORST: Final = {
    "stiff": "Stiff in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "rough": "Jerky in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "off_beat": "Beside the canter in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "held": "Held on in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "unmoved": "The base did not move in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "off": "Off the board in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
}
_LEANT: Final = {
    "left": "Too far left in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "right": "Too far right in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "toes": "On the toes in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
    "heels": "On the heels in {n:.0f} of {all:.0f} strides: −{cost:.1f}.",
}
_TRY: Final = {
    "stiff": "Let the horse come up under you at every stride.",
    "rough": "Draw the ribbon softly: small and round, no stamping.",
    "off_beat": "Listen first, then go along: one soft wave for three beats.",
    "held": "Let the rail go: one hand above it is enough.",
    "unmoved": "Ask for a push in time with the hoofbeats.",
    "off": "Stay with the horse, and let the hand-hold be near.",
    "left": "Carry the ribbon a little further to the right.",
    "right": "Carry the ribbon a little further to the left.",
    "toes": "Carry the ribbon a little further back.",
    "heels": "Carry the ribbon a little further forward.",
}


def _most(measures: Mapping[str, float], names: Mapping[str, str]) -> tuple[str, float]:
    """Which of these happened most often, and how often."""
    return max(
        ((name, measures.get(f"ribbon_{name}_strides", 0.0)) for name in names),
        key=lambda found: found[1],
    )


def explain(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    """What cost the points: what most of the spoilt strides had in common."""
    cost = part.possible - part.earned
    if part.measure in COMMON:
        unit = COMMON[part.measure].unit
        return say("{value:.1f} {unit}: −{cost:.1f}.", value=part.value, unit=unit, cost=cost)
    if math.isnan(part.value):
        return "Not one whole stride was seen: nothing to mark."
    said = _WORST if part.measure == "ribbon_smooth_percent" else _LEANT
    name, times = _most(measures, said)
    if times < 1.0:  # even all the time, but what is not ridden does not count
        said = _WORST
        name, times = _most(measures, said)
    if times < OFTEN * measures["ribbon_strides"]:
        return say("{percent:.0f} % swallowed: −{cost:.1f}.", percent=part.value, cost=cost)
    return say(said[name], n=times, all=measures["ribbon_strides"], cost=cost)


def advise(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    """What to try next, in pictures of the ribbon and not of the body."""
    names = _LEANT if part.measure == "ribbon_even_percent" else _WORST
    name, times = _most(measures, names)
    if times < 1.0:
        name, times = _most(measures, _WORST)
    return _TRY[name] if times >= 1.0 else "Rounder still: the ribbon wants no corner at all."
