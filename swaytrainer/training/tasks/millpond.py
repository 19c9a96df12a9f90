"""Millpond: stand still and even.

Calm is the speed of the livelier direction, fore–aft or side to side, not the path's. With the feet
wide apart side-to-side sway falls and fore–aft sway hardly does (Day, Steiger, Thompson & Marsden,
J Physiol 1993;469:479-499, from memory), and one plate can't see how wide somebody stands: in half
minutes of two people with their feet on the same marks ML/AP speed was 0.25 to 0.58 on firm ground
and 0.36 to 0.98 on foam (computed from the open data of Santos & Duarte, PeerJ 2016;4:e2648), which
leaves no room for a limit that tells a wide stance from an honest one. So what a wide stance makes
smaller earns nothing; swaying from side to side faster than to and fro costs all the same. What it
costs: side-to-side sway that gets better below the fore–aft one is not seen in the mark, but in the
measures. And what little a wide stance may take off fore–aft sway can't be told at all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Final

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.path import PathLength
from swaytrainer.training.tasks.task import COMMON, Cue, Ground, Markable, TaskKind
from swaytrainer.words import say

if TYPE_CHECKING:
    from swaytrainer.training.level import Level
    from swaytrainer.training.mark import Tally
    from swaytrainer.training.outcome import PartEarned

CALM: Final = "calm_speed_mm_s"
#: The path's speed over that of fore–aft where ML/AP is at its median, 0.56 on firm ground and 0.77
#: on foam (68 trials of the same data), as in those of the half minutes that come near to it: 1.20
#: to 1.26 and 1.34 to 1.39. So a level's numbers can be read against speeds as commonly told.
FIRM_PATH_SHARE: Final = 1.25
SOFT_PATH_SHARE: Final = 1.4


@dataclass(frozen=True, slots=True)
class MillpondScene:
    """Nothing: the pond is drawn from what every trial shows."""


class MillpondTask:
    """Measures calm; see the module.

    >>> from types import SimpleNamespace
    >>> parts = (SimpleNamespace(measure="calm_speed_mm_s"),)
    >>> task = MillpondTask(SimpleNamespace(level=SimpleNamespace(base="firm", parts=parts)))
    >>> for n, (x_mm, y_mm) in enumerate([(0.0, 0.0), (2.0, 4.0), (5.0, 0.0)]):
    ...     _ = task.update(CopSample(float(n), 450.0, x_mm, y_mm, 0.0), float(n), False)
    >>> task.measures()  # 4 mm/s fore–aft, 2.5 from side to side
    {'calm_speed_mm_s': 5.0}
    """

    def __init__(self, ground: Ground) -> None:
        self._share = FIRM_PATH_SHARE if ground.level.base == "firm" else SOFT_PATH_SHARE
        self._path = PathLength()
        self._marked = any(part.measure == CALM for part in ground.level.parts)

    @property
    def done(self) -> bool:
        """Never: the time is all."""
        return False

    @property
    def scene(self) -> MillpondScene:
        """Nothing of its own."""
        return MillpondScene()

    def update(self, sample: CopSample, elapsed_s: float, gap: bool) -> Sequence[Cue]:
        """Take one sample; calls nothing. Off the board is a gap."""
        del elapsed_s
        on_board = isfinite(sample.x_mm) and isfinite(sample.y_mm)
        if gap or not on_board:
            self._path.gap()
        if on_board:
            self._path.update(sample.time_s, sample.x_mm, sample.y_mm)
        return ()

    def measures(self) -> dict[str, float]:
        """``calm_speed_mm_s``; NaN where nobody stood for two samples.

        Nothing where the level marks something else: so a recording made before there was calm
        still replays to what was shown.
        """
        if not self._marked:
            return {}
        walked = self._path.get()
        return {CALM: self._share * max(walked.mean_speed_ml_mm_s, walked.mean_speed_ap_mm_s)}


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
    if part.measure not in (CALM, "mean_speed_mm_s"):
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
    make=MillpondTask,
    explain=_explain,
    advise=_advise,
    praise="Even and calm from start to end.",
    measures={CALM: Markable("mm/s", False, "Calm")},
    ready="Keep the water calm",
    lesson=(
        (5.0, "Lean forward a little: the lantern goes with you"),
        (10.0, "Now back over the whole sole: it floats in the lane"),
        (16.0, "Be still, and guests come to the light"),
    ),
)
