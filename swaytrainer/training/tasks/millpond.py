"""Millpond: stand still and even. The trial's own measures are all that it needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from swaytrainer.training.tasks.task import COMMON, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned


def explain_band(
    _level: Level, part: PartEarned, _measures: Mapping[str, float], tally: Tally
) -> str:
    """Where the weight was instead of inside the band; for any game that marks the band."""
    toes = tally.toes_s >= tally.heels_s
    seconds = tally.toes_s if toes else tally.heels_s
    if seconds < 0.05 * tally.planned_s:
        return say(
            "Even for {inside:.0f} of {planned:.0f} s.",
            inside=tally.inside_s,
            planned=tally.planned_s,
        )
    return say(
        "Too much weight on the toes for {seconds:.0f} of {planned:.0f} s: −{cost:.1f}."
        if toes
        else "Too much weight on the heels for {seconds:.0f} of {planned:.0f} s: −{cost:.1f}.",
        seconds=seconds,
        planned=tally.planned_s,
        cost=part.possible - part.earned,
    )


def _explain(level: Level, part: PartEarned, measures: Mapping[str, float], tally: Tally) -> str:
    if part.measure == "time_in_band_percent":
        return explain_band(level, part, measures, tally)
    if part.measure != "mean_speed_mm_s":
        return say(
            "Your sway was {value:.1f} {unit}: −{cost:.1f}.",
            value=part.value,
            unit=COMMON[part.measure].unit,
            cost=part.possible - part.earned,
        )
    return say(
        "The water moved at {value:.1f} mm/s; {full:g} earns all: −{cost:.1f}.",
        value=part.value,
        full=next(p.all_at for p in level.parts if p.measure == part.measure),
        cost=part.possible - part.earned,
    )


def _advise(_level: Level, part: PartEarned, _measures: Mapping[str, float], tally: Tally) -> str:
    if part.measure != "time_in_band_percent":
        return "Look far ahead and let the rings on the water run out."
    if tally.toes_s >= tally.heels_s:
        return "Let the lantern drift back, away from the reeds in front."
    return "Let the lantern drift forward, away from the reeds behind."


MILLPOND: Final = TaskKind(
    name="millpond",
    make=None,
    explain=_explain,
    advise=_advise,
    praise="Even and calm from start to end.",
    ready="Keep the water calm",
    lesson=(
        (5.0, "Lean forward a little: the lantern goes with you"),
        (10.0, "Now back over the whole sole: it floats in the lane"),
        (16.0, "Be still, and guests come to the light"),
    ),
)
