"""Two plates, one a foot: the joint COP, each foot's own, and whether the feet work together.

Frame: the joint one, x to the right, y forward, mm. With a plate a foot nothing is inferred: how
much each foot bears is measured, and so is where under it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

#: The band whose sway is compared between the feet: most of quiet standing's power lies in it
#: (Prieto et al. 1996 take 0.15-5 Hz; above 2 Hz a foot's COP is mostly noise: our own choice).
BAND_HZ: Final = (0.15, 2.0)
#: Below this the feet have no common rhythm whose phase would mean anything (our own limit).
LEAST_COHERENCE: Final = 0.5
_LEAST_S: Final = 20.0

_OURS = "definition"
_CROSS = "cross spectrum, Bendat & Piersol, Random Data, ch. 5 (from memory)"

TWO_FEET_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "right_share_percent": Measure("%", "mean share of the load on the right foot", _OURS),
        "left_mean_speed_mm_s": Measure("mm/s", "speed of the left foot's own COP", _OURS),
        "right_mean_speed_mm_s": Measure("mm/s", "speed of the right foot's own COP", _OURS),
        "feet_coherence_ap": Measure(
            "1", "how far both feet's COPs share one rhythm forward and back, 0.15-2 Hz", _CROSS
        ),
        "feet_phase_ap_deg": Measure(
            "°", "by how much the left foot's COP goes ahead of the right one's", _CROSS
        ),
    }
)


class Joint(NamedTuple):
    """Force (N) and COP (mm) of two feet together, each of shape (N,)."""

    force_n: Array
    x_mm: Array
    y_mm: Array


@dataclass(frozen=True, slots=True)
class TwoFeetResult:
    """``values`` under the keys of ``TWO_FEET_MEASURES``, NaN where ``notes`` say why."""

    values: dict[str, float]
    notes: tuple[str, ...] = ()


def joint_cop(left: Joint, right: Joint) -> Joint:
    """Both feet's force, and the COP of it: p = (F_l·p_l + F_r·p_r) / (F_l + F_r).

    The moment balance of two plates. NaN where either foot has no COP.

    >>> one = np.array([1.0])
    >>> left, right = Joint(300 * one, -100 * one, 0 * one), Joint(100 * one, 100 * one, 40 * one)
    >>> [float(v[0]) for v in joint_cop(left, right)]
    [400.0, -50.0, 10.0]
    """
    force = left.force_n + right.force_n
    some = np.where(force > 0.0, force, np.nan)
    return Joint(
        force,
        (left.force_n * left.x_mm + right.force_n * right.x_mm) / some,
        (left.force_n * left.y_mm + right.force_n * right.y_mm) / some,
    )


class Phase(NamedTuple):
    """Coherence (0 to 1) and phase (°, positive: the first series leads) of two series."""

    coherence: float
    degrees: float


def phase_between(first: Array, second: Array, rate_hz: float) -> Phase:
    """One phase and one coherence for the whole of ``BAND_HZ``.

    S is summed over the band before it is divided, |Σ S12| / √(Σ S11 · Σ S22): each frequency
    counts by its power, and a phase that changes within the band lowers the coherence.

    Args:
        first, second: shape (N,), evenly sampled, finite, at least 20 s.
        rate_hz: samples a second.

    Returns:
        NaN for the phase below ``LEAST_COHERENCE``; both NaN where a series doesn't move.

    >>> t = np.arange(6000) / 100.0
    >>> phase = phase_between(np.sin(2 * np.pi * t), np.sin(2 * np.pi * t - 0.5), 100.0)
    >>> round(phase.coherence, 3), round(phase.degrees, 1)  # 0.5 rad are 28.6°
    (1.0, 28.6)
    """
    from scipy.signal import csd

    segment = first.size // 2
    frequency_hz, cross = csd(first, second, rate_hz, nperseg=segment)
    _, own1 = csd(first, first, rate_hz, nperseg=segment)
    _, own2 = csd(second, second, rate_hz, nperseg=segment)
    band = (frequency_hz >= BAND_HZ[0]) & (frequency_hz <= BAND_HZ[1])
    total = complex(cross[band].sum())
    power = float(own1[band].real.sum()) * float(own2[band].real.sum())
    dust = 1e-24 * float(np.abs(first).max() * np.abs(second).max()) ** 2
    if not power > dust:
        return Phase(NAN, NAN)
    coherence = abs(total) / math.sqrt(power)
    # conj(X1)·X2 turns by minus the lag of the second behind the first.
    degrees = -math.degrees(math.atan2(total.imag, total.real))
    return Phase(coherence, degrees if coherence >= LEAST_COHERENCE else NAN)


def measure_two_feet(left: Trace, right: Trace) -> TwoFeetResult:
    """All of ``TWO_FEET_MEASURES``.

    Args:
        left, right: each foot's own trace, from the same samples.

    Raises:
        ValueError: they are not of the same samples.
    """
    if left.time_s.shape != right.time_s.shape or not np.array_equal(left.time_s, right.time_s):
        raise ValueError("the two feet must have the same samples")
    notes: list[str] = []
    total = left.force_n + right.force_n
    there = total > 0.0
    share = 100.0 * float(right.force_n[there].sum() / total[there].sum()) if there.any() else NAN
    both = ~(np.isnan(left.y_mm) | np.isnan(right.y_mm) | left.breaks | right.breaks)
    both[0] = not (math.isnan(left.y_mm[0]) or math.isnan(right.y_mm[0]))
    phase = Phase(NAN, NAN)
    if not both.all():
        notes.append("No phase between the feet: one of them left its plate, or samples are lost.")
    elif left.duration_s < _LEAST_S:
        notes.append(f"No phase between the feet: it needs {_LEAST_S:g} s.")
    else:
        phase = phase_between(left.y_mm, right.y_mm, left.rate_hz)
        if math.isnan(phase.degrees):
            notes.append("The feet share no rhythm forward and back: no phase between them.")
    speeds = [
        path(foot.time_s, foot.x_mm, foot.y_mm, foot.breaks).mean_speed_mm_s
        for foot in (left, right)
    ]
    values = dict(
        zip(TWO_FEET_MEASURES, (share, *speeds, phase.coherence, phase.degrees), strict=True)
    )
    return TwoFeetResult(values, tuple(notes))


def measure_each_foot(each_foot: tuple[Trace, Trace] | None) -> TwoFeetResult:
    """``measure_two_feet`` of a trial; NaN, with the reason, where it was on one plate."""
    if each_foot is None:
        nothing = dict.fromkeys(TWO_FEET_MEASURES, NAN)
        why = "One plate can't tell what is under each foot: take a board with two plates."
        return TwoFeetResult(nothing, (why,))
    return measure_two_feet(*each_foot)
