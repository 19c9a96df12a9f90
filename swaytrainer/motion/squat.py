"""Squats on a still plate: how many, how deep, at which tempo, and what the soles do on the way.

The height of the body's centre of mass comes from the force (``squat_height``), the toe and right
share from the COP and the feet's places (``sway.feet``). The question behind it is whether the
heels keep their share all the way down: the depth at which they lose it is a screen of the
ankles' mobility that a coach can repeat. It is no diagnosis.

Depth is the centre of mass's: less than the hips'. While the body speeds up and slows down the COP
also carries the inertia of trunk and legs going forward and back; one plate can't part the two, so
compare squats of one tempo.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.squat_height import (
    GRAVITY_M_S2,
    SPELL_LIMIT_S,
    Heights,
    heights,
)
from swaytrainer.motion.squat_repetition import (
    BOTTOM_SHARE,
    PARTIAL_MM,
    Dip,
    Repetition,
    find_dips,
    repetition_of,
    span_of,
)
from swaytrainer.motion.squat_shares import ShareBin, share_profile
from swaytrainer.sway.band import time_in_band
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

#: A dip at least this deep is a repetition (the centre of mass, mm); a shallower one is a partial
#: dip. Ours.
LEAST_DEPTH_MM: Final = 80.0
#: Where the middle between the feet is known to (standard uncertainty, mm; ours), and what
#: counts as even, in percent either side of 50 (ours).
_MIDDLE_U_MM: Final = 2.0
EVEN_PERCENT: Final = 5.0

_NEWTON = "F = m(g + a), integrated twice between still stands"
_LEVER = "lever rule over the feet"
_OURS = "our definition"

#: What ``measure_squat`` gives.
SQUAT_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "squat_repetitions": Measure("", "squats between the first and last still stand", _OURS),
        "squat_partial_dips": Measure("", "dips too shallow to count", _OURS),
        "squat_depth_mm": Measure("mm", "mean depth of the centre of mass", _NEWTON),
        "squat_depth_u95_mm": Measure("mm", "expanded uncertainty of one depth (95 %)", _NEWTON),
        "squat_depth_spread_mm": Measure("mm", "SD of the depths", _NEWTON),
        "squat_down_s": Measure("s", "mean time going down", _OURS),
        "squat_hold_s": Measure("s", "mean time between going down and going up", _OURS),
        "squat_up_s": Measure("s", "mean time going up", _OURS),
        "squat_toe_share_percent": Measure("%", "mean toe share during the squats", _LEVER),
        "squat_toe_share_bottom_percent": Measure(
            "%", "mean toe share in the deepest fifth", _LEVER
        ),
        "squat_time_in_band_percent": Measure(
            "%", "time of the squats with the toe share inside its band", _LEVER
        ),
        "squat_heel_loss_depth_mm": Measure(
            "mm", "median depth below which the toe share is above its band, going down", _OURS
        ),
        "squat_heel_loss_repetitions": Measure("", "squats in which the heels lost it", _OURS),
        "squat_right_share_bottom_percent": Measure(
            "%", "mean right share in the deepest fifth", _LEVER
        ),
        "squat_right_share_bottom_u95_percent": Measure(
            "%", "expanded uncertainty of it: repetitions, and the feet's places", _LEVER
        ),
    }
)


@dataclass(frozen=True, slots=True, eq=False)
class SquatResult:
    """A trial of squats.

    Attributes:
        values: exactly the keys of ``SQUAT_MEASURES``; NaN where not measurable.
        notes: why, and what else to know, in sentences.
        repetitions: one by one.
        profile: the shares by depth, ten bins from standing to the deepest squat; empty without
            feet or depths.
        evenness: "even", "right", "left" (more on that foot at the bottom) or "not settled".
        heights: height and speed of the centre of mass over the trace.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    repetitions: tuple[Repetition, ...]
    profile: tuple[ShareBin, ...]
    evenness: str
    heights: Heights


def measure_squat(
    trace: Trace,
    feet: Feet | None = None,
    *,
    band_percent: tuple[float, float] = (35.0, 50.0),
    weight_n: float | None = None,
    base_still: bool = True,
    least_depth_mm: float = LEAST_DEPTH_MM,
    gravity_m_s2: float = GRAVITY_M_S2,
) -> SquatResult:
    """Count and measure the squats of a trial.

    How slow a squat may be: in simulation ways of 300 mm in 4 s and of 150 mm in 3 s are followed;
    slower ones look like standing, and are refused (up to some 12 s for 300 mm; beyond, nobody can
    tell them from standing, and none is counted).

    Tempo: a way is timed while the speed is above 15 mm/s and 5 % of its fastest; of a
    minimum-jerk movement that is 88 % of its time, and the hold gets the rest.

    Args:
        trace: the trial, force and COP; begins and ends with a still stand.
        feet: where the feet stand; without it there are no shares.
        band_percent: the toe share's band, low and high.
        weight_n: the body's weight from elsewhere, to tell a hand that bears load all the time.
        base_still: False on anything that gives or moves: no depth then.
        least_depth_mm: what counts as a squat.
        gravity_m_s2: the place's own.

    Raises:
        SwaytrainerError: a band, depth, weight or gravity that can't be.
    """
    _check(band_percent, least_depth_mm, weight_n, gravity_m_s2)
    if not base_still:
        said = ("The base moves or gives: force tells no depth there, and no squats are counted.",)
        nothing = np.full(trace.time_s.size, NAN)
        unknown = Heights(nothing, nothing, nothing, NAN, (), (), said)
        return _result(trace, None, band_percent, unknown, [], [], gravity_m_s2)
    found = heights(trace, weight_n=weight_n, gravity_m_s2=gravity_m_s2)
    dips = find_dips(-found.height_mm)
    deep = [dip for dip in dips if dip.depth_mm >= least_depth_mm]
    shallow = [dip for dip in dips if dip.depth_mm < least_depth_mm]
    return _result(trace, feet, band_percent, found, deep, shallow, gravity_m_s2)


def _check(
    band: tuple[float, float], least_mm: float, weight_n: float | None, gravity_m_s2: float
) -> None:
    if not (all(map(math.isfinite, band)) and band[0] < band[1]):
        raise SwaytrainerError(
            f"A toe share can't have a band from {band[0]:g} to {band[1]:g} %.",
            "Give its lower edge first, both in percent.",
        )
    if not (math.isfinite(least_mm) and least_mm >= PARTIAL_MM):
        raise SwaytrainerError(
            f"A squat can't be told from swaying by {least_mm:g} mm.",
            f"Give at least {PARTIAL_MM:g} mm as the depth that counts.",
        )
    if weight_n is not None and not (math.isfinite(weight_n) and weight_n > 0.0):
        raise SwaytrainerError(
            f"A body can't weigh {weight_n:g} N.", "Give the weight in newtons, or leave it out."
        )
    if not 9.7 < gravity_m_s2 < 9.9:
        raise SwaytrainerError(
            f"Gravity is {gravity_m_s2:g} m/s² nowhere on earth.", "Give it in m/s², about 9.81."
        )


def _result(
    trace: Trace,
    feet: Feet | None,
    band: tuple[float, float],
    found: Heights,
    deep: Sequence[Dip],
    shallow: Sequence[Dip],
    gravity_m_s2: float,
) -> SquatResult:
    notes = list(found.notes)
    toes = None if feet is None else feet.toe_share_percent(trace.y_mm)
    right = None if feet is None else feet.right_share_percent(trace.x_mm)
    deep = [span_of(found, dip) for dip in deep]
    repetitions = [
        repetition_of(trace.time_s, trace.rate_hz, found, dip, band[1], toes, right, gravity_m_s2)
        for dip in deep
    ]
    known = np.flatnonzero(np.isfinite(found.height_mm))
    values = dict.fromkeys(SQUAT_MEASURES, NAN)
    if known.size and np.isfinite(found.height_mm[known[0] : known[-1] + 1]).all():
        values["squat_repetitions"] = float(len(deep))
        values["squat_partial_dips"] = float(len(shallow))
        _tell_edges(trace, known, notes)
        if not deep:
            notes.append("No squat was found: the body never sank far enough between still stands.")
    elif known.size:
        notes.append("A part between the still stands couldn't be read, so the squats aren't"
                     " counted; those that could be read are listed.")  # fmt: skip
    for key in ("down_s", "hold_s", "up_s", "depth_mm"):
        values[f"squat_{key}"] = _mean([getattr(r, key) for r in repetitions])
    depths = np.array([r.depth_mm for r in repetitions if not math.isnan(r.depth_mm)])
    if len(depths) < len(repetitions):
        notes.append(
            f"No depth for {len(repetitions) - len(depths)} of {len(repetitions)} squats: more than"
            f" {SPELL_LIMIT_S:g} s of movement without a still stand. Stand still between them."
        )
    if len(depths):
        values["squat_depth_u95_mm"] = max(
            r.depth_u95_mm for r in repetitions if not math.isnan(r.depth_u95_mm)
        )
    if len(depths) > 1:
        values["squat_depth_spread_mm"] = float(depths.std(ddof=1))
    profile: tuple[ShareBin, ...] = ()
    evenness = "not settled"
    if feet is None or toes is None or right is None:
        if repetitions:
            notes.append("Without the feet's places there are no toe and right shares.")
    elif repetitions:
        _add_toes(trace, found, deep, band, toes, values)
        profile = share_profile(
            -found.height_mm,
            toes,
            right,
            [d for d, r in zip(deep, repetitions, strict=True) if not math.isnan(r.depth_mm)],
        )
        _add_heel_loss(repetitions, toes, deep, band[1], values, notes)
        width = feet.right_x_mm - feet.left_x_mm
        evenness = _add_evenness(repetitions, 100.0 * _MIDDLE_U_MM / width, values, notes)
    return SquatResult(
        values, tuple(dict.fromkeys(notes)), tuple(repetitions), profile, evenness, found
    )


def _tell_edges(trace: Trace, known: NDArray[np.intp], notes: list[str]) -> None:
    before = float(trace.time_s[known[0]] - trace.time_s[0])
    after = float(trace.time_s[-1] - trace.time_s[known[-1]])
    for seconds, where in (before, "first"), (after, "last"):
        if seconds > 1.0:
            notes.append(f"The {where} {seconds:.1f} s lie outside the still stands: not counted.")


def _add_toes(
    trace: Trace,
    found: Heights,
    deep: Sequence[Dip],
    band: tuple[float, float],
    toes: Array,
    values: dict[str, float],
) -> None:
    squats = np.zeros(toes.size, dtype=np.bool_)
    bottom = squats.copy()
    for dip in deep:
        part = slice(dip.start, dip.end + 1)
        squats[part] = True
        bottom[part] = -found.height_mm[part] >= BOTTOM_SHARE * dip.depth_mm
    values["squat_toe_share_percent"] = float(toes[squats].mean())
    values["squat_toe_share_bottom_percent"] = float(toes[bottom].mean())
    values["squat_time_in_band_percent"] = time_in_band(
        trace.time_s, np.where(squats, toes, NAN), *band, trace.breaks
    ).time_in_band_percent


def _add_heel_loss(
    repetitions: Sequence[Repetition],
    toes: Array,
    deep: Sequence[Dip],
    edge_percent: float,
    values: dict[str, float],
    notes: list[str],
) -> None:
    able = [r for r in repetitions if not math.isnan(r.depth_mm)]
    if not able:
        return
    lost = [r.heel_loss_depth_mm for r in able if not math.isnan(r.heel_loss_depth_mm)]
    values["squat_heel_loss_repetitions"] = float(len(lost))
    if 2 * len(lost) > len(able):
        values["squat_heel_loss_depth_mm"] = float(np.median(lost))
    elif lost:
        notes.append(
            f"The heels lost their share in {len(lost)} of {len(able)} squats: too few for a depth."
        )
    if np.median([toes[dip.start] for dip in deep]) > edge_percent:
        notes.append("The toes are heavy before the squat begins: stand over the whole sole first.")


def _add_evenness(
    repetitions: Sequence[Repetition],
    feet_u_percent: float,
    values: dict[str, float],
    notes: list[str],
) -> str:
    shares = np.array([r.right_share_bottom_percent for r in repetitions])
    mean = values["squat_right_share_bottom_percent"] = float(shares.mean())
    if shares.size < 2:
        notes.append("One squat alone doesn't tell left from right: do three or more.")
        return "not settled"
    from scipy.special import stdtrit

    spread = float(stdtrit(shares.size - 1, 0.975)) * float(shares.std(ddof=1))
    wide = math.hypot(spread / math.sqrt(shares.size), 1.96 * feet_u_percent)
    values["squat_right_share_bottom_u95_percent"] = wide
    off = mean - 50.0
    if abs(off) + wide <= EVEN_PERCENT:
        return "even"
    if abs(off) - wide > EVEN_PERCENT:
        return "right" if off > 0.0 else "left"
    return "not settled"


def _mean(numbers: Sequence[float]) -> float:
    there = [x for x in numbers if not math.isnan(x)]
    return math.fsum(there) / len(there) if there else NAN
