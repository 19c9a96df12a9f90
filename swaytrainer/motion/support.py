"""What happened in a trace besides standing: support, steps, hops, ways off the board.

The live watch, run over the whole trace: what it can't see stands in ``swaytrainer.motion.watch``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from swaytrainer.motion.carried import seen_from_percent
from swaytrainer.motion.incident import Incident, Kind, Limits
from swaytrainer.motion.watch import GAP_S, IncidentWatch
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

_OURS: Final = "ours: see swaytrainer.motion"

SUPPORT_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "support_count": Measure("", "how often something else carried weight", _OURS),
        "support_s": Measure("s", "for how long in all", _OURS),
        "support_most_percent": Measure("%", "the most of the weight, mean over one time", _OURS),
        "more_weight_count": Measure("", "how often there was more weight", _OURS),
        "step_count": Measure("", "feet set down elsewhere", _OURS),
        "hop_count": Measure("", "jumps that landed on the board", _OURS),
        "step_off_count": Measure("", "calm ways off the board", _OURS),
        "fall_count": Measure("", "falls off the board", _OURS),
        "left_count": Measure("", "times off the board, how is not known", _OURS),
    }
)


@dataclass(frozen=True, slots=True)
class SupportResult:
    """What ``measure_support`` found.

    Attributes:
        values: a number for each key of ``SUPPORT_MEASURES``; NaN where it can't be told.
        notes: why, and how light a support could be seen, in sentences.
        incidents: in the order in which they became sure.
        weight_n: the body's weight, NaN if none was found.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    incidents: tuple[Incident, ...]
    weight_n: float


def measure_support(
    trace: Trace,
    *,
    weight_n: float | None = None,
    limits: Limits | None = None,
    feet: Feet | None = None,
    base_moves: bool = False,
) -> SupportResult:
    """Every incident of a trace. Filtered or not: the limits hold for both.

    Args:
        trace: from ``prepare`` or ``trace_from_cop``.
        weight_n, limits, feet, base_moves: see ``IncidentWatch``.

    Raises:
        SwaytrainerError: a weight that nobody has.

    >>> import numpy as np
    >>> from swaytrainer.sway.prepare import trace_from_cop
    >>> time = np.arange(2000) / 100.0
    >>> force = np.where((time > 8.0) & (time < 9.0), 450.0, 500.0)
    >>> result = measure_support(trace_from_cop(time, force, np.zeros(2000), np.zeros(2000)))
    >>> result.values["support_count"], round(result.values["support_most_percent"])
    (1.0, 10)
    """
    watch = IncidentWatch(weight_n, limits=limits, feet=feet, base_moves=base_moves)
    found: list[Incident] = []
    for time_s, force_n, x_mm, y_mm in zip(
        trace.time_s.tolist(),
        trace.force_n.tolist(),
        trace.x_mm.tolist(),
        trace.y_mm.tolist(),
        strict=True,
    ):
        found += watch.update(time_s, force_n, x_mm, y_mm)
    found += watch.finish()
    if math.isnan(watch.weight_n):
        return SupportResult(
            dict.fromkeys(SUPPORT_MEASURES, math.nan),
            (
                f"No weight was found: nobody stood for {watch.limits.learn_s:g} s with"
                f" {watch.limits.least_n:g} N or more. Are the loads in newtons?",
            ),
            tuple(found),
            math.nan,
        )
    return SupportResult(
        _values(found, base_moves), _notes(trace, watch), tuple(found), watch.weight_n
    )


def _values(found: Sequence[Incident], base_moves: bool) -> dict[str, float]:
    counts = {kind: float(sum(i.kind is kind for i in found)) for kind in Kind}
    supports = [i for i in found if i.kind is Kind.SUPPORT]
    unknown = math.nan
    return {
        "support_count": unknown if base_moves else counts[Kind.SUPPORT],
        "support_s": unknown if base_moves else math.fsum(i.seconds for i in supports),
        "support_most_percent": unknown
        if base_moves
        else max((i.missing_percent for i in supports), default=0.0),
        "more_weight_count": unknown if base_moves else counts[Kind.LOADED],
        "step_count": unknown if base_moves else counts[Kind.STEP],
        "hop_count": counts[Kind.HOP],
        "step_off_count": unknown if base_moves else counts[Kind.STEP_OFF],
        "fall_count": unknown if base_moves else counts[Kind.FALL],
        "left_count": counts[Kind.LEFT],
    }


def _notes(trace: Trace, watch: IncidentWatch) -> tuple[str, ...]:
    if watch.base_moves:
        return (
            "On a moving base support, steps and how the board was left can't be told: force and"
            " COP are the base's too. Spells off it are told.",
        )
    notes = [
        "The lightest support that shows here: "
        + ", ".join(
            f"{seen_from_percent(watch.weight_n, s, watch.limits):.1f} % of the weight for {s:g} s"
            for s in (0.5, 2.0, 8.0)
        )
        + "."
    ]
    if trace.longest_gap_s > GAP_S:
        notes.append(
            f"What happened in or near a gap of {trace.longest_gap_s:.1f} s may be missing here."
        )
    return tuple(notes)
