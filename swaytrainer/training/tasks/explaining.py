"""Words for the measures that any game may mark, where a game has none of its own for them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from swaytrainer.training.tasks.millpond import explain_band
from swaytrainer.training.tasks.task import COMMON
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned


def explain_common(
    level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally
) -> str:
    """One line on why a part in one of ``COMMON`` cost points."""
    if part.measure == "time_in_band_percent":
        return explain_band(level, part, measures, tally)
    return say(
        "Your sway was {value:.1f} {unit}: −{cost:.1f}.",
        value=part.value,
        unit=COMMON[part.measure].unit,
        cost=part.possible - part.earned,
    )
