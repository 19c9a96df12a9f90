"""What a mark of the four strides is explained by, and what to try next."""

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

_TRY: Final = {
    "left": "Stand a little further right, as tall as a flagpole.",
    "right": "Stand a little further left, as tall as a flagpole.",
    "toes": "Look at the end of the hall and let the weight come back a little.",
    "heels": "Look at the end of the hall and let the weight come forward a little.",
}


def _leant(measures: Mapping[str, float]) -> str:
    """Where the weight was in most of the time that was not held; "" if nowhere."""
    side, seconds = max(
        ((side, measures.get(f"strides_{side}_s", 0.0)) for side in _TRY),
        key=lambda found: found[1],
    )
    return side if seconds > 0.1 else ""


def explain(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    """What cost the points."""
    cost = part.possible - part.earned
    if part.measure in COMMON:
        unit = COMMON[part.measure].unit
        return say("{value:.1f} {unit}: −{cost:.1f}.", value=part.value, unit=unit, cost=cost)
    if measures.get("strides_propped", 0.0) > 0.0:
        return "Some of the weight was missing: held on. Nothing to mark."
    if math.isnan(part.value):
        return "The four strides were not all seen: nothing to mark."
    if part.measure == "strides_held":
        return say("{held:.1f} of 4 strides held: −{cost:.1f}.", held=part.value, cost=cost)
    if part.measure == "strides_swallowed_percent":
        return say(
            "{percent:.0f} % of the strides swallowed: −{cost:.1f}.", percent=part.value, cost=cost
        )
    return say(
        "The weight moved at {value:.1f} mm/s forward and back: −{cost:.1f}.",
        value=part.value,
        cost=cost,
    )


def advise(_level: Level, part: PartEarned, measures: Mapping[str, float], _tally: Tally) -> str:
    """What to try next."""
    if measures.get("strides_propped", 0.0) > 0.0:
        return "Let go before the bell; the hand stays near."
    if part.measure == "strides_swallowed_percent":
        return "Let the horse come up under you at every stride."
    side = _leant(measures)
    if part.measure == "strides_held" and side:
        return _TRY[side]
    return "Find the far end of the hall with your eyes before the bell, and stay there."
