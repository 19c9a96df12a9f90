"""Does the body swallow the base's motion, ride it stiffly, or bounce on it?

With an accelerometer on the plate: the body's mean acceleration a = F_feet/m - g (Newton's second
law) against the base's, as a transfer function at the cadence and its harmonics. The idea is that
of ISO 10326-1, which compares the vibration above and below a seat (from memory). Without one: how
much the force ripples, which compares at the same base, height and cadence only.

On a base that moves A·sin(2πft), a stiff body ripples by A·(2πf)²/(g·√2): 30 mm at 1.8 Hz, 28 %.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.acceleration import THRESHOLD_N, PlateAcceleration, feet_only
from swaytrainer.motion.cadence import LEAST_M_S2, even_runs, force_breaks, on_grid
from swaytrainer.motion.strides import (
    Stride,
    Strides,
    like_the_loads,
    measure_strides,
    normalised,
    stride_phase,
)
from swaytrainer.motion.transfer import Transfer, least_coherence, spectra, transfer
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

GRAVITY_M_S2: Final = 9.80665
#: A segment holds so many strides, and there must be so many half-overlapping ones.
_SEGMENT_STRIDES, _LEAST_SEGMENTS = 6, 5
#: Half the width of the band about the cadence and each harmonic, in cadences.
_HALF_BAND = 0.4
_HARMONICS = 3
#: What a harmonic must have of the base's whole motion.
_LEAST_SHARE = 0.05
#: A stride's own gain is taken over it and so many on either side.
_ASIDE = 2
_POINTS = 64
_PLATE_LEFT_IN = (
    "The force holds the plate's own inertia: a stiff body seems to take on more of the base's"
    " motion, by the plate's mass over the body's."
)
#: Less mean force than this share of the weight: somebody holds on.
_SUPPORTED = 0.95
#: 13 kg: no child that vaults is as light.
LIGHTEST_N = 130.0

_NEWTON = "Newton's second law; Bendat & Piersol, Random Data, chapter 6 (from memory)"

ABSORPTION_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "absorption_percent": Measure(
            "%", "100·(1 - |H|) at the cadence: 0 stiff, below 0 bouncing", _NEWTON
        ),
        "transmissibility": Measure("", "|H|, body's over base's acceleration", _NEWTON),
        "absorption_coherence": Measure(
            "", "share of the body's power that is the base's", _NEWTON
        ),
        "base_rms_m_s2": Measure("m/s²", "root mean square of the base's acceleration", "defined"),
        "force_ripple_percent": Measure(
            "%", "100·rms(F - mean F) / mean F; same base, height and cadence only", "defined"
        ),
        "flight_percent": Measure("%", "time with nobody pressing on the plate", "defined"),
    }
)


class StrideAbsorption(NamedTuple):
    """One stride's numbers, NaN where not measurable.

    Attributes:
        stride: from when to when.
        force_ripple_percent: of this stride alone.
        absorption_percent: over this stride and two on either side.
        coherence: of those strides.
    """

    stride: Stride
    force_ripple_percent: float
    absorption_percent: float
    coherence: float


@dataclass(frozen=True, slots=True, eq=False)
class Absorption:
    """How a body took a moving base.

    Attributes:
        values: under the keys of ``ABSORPTION_MEASURES``.
        notes: what is not measurable and why; what to know about the rest.
        harmonics: at once, twice and three times the cadence; empty without an accelerometer.
        each: stride by stride.
        strides: where they are.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    harmonics: tuple[Transfer, ...]
    each: tuple[StrideAbsorption, ...]
    strides: Strides


def measure_absorption(
    trace: Trace,
    plate: PlateAcceleration | None = None,
    *,
    plate_mass_kg: float | None = None,
    body_mass_kg: float | None = None,
    loads_cutoff_hz: float | None = None,
    gravity_m_s2: float = GRAVITY_M_S2,
) -> Absorption:
    """Absorption and ripple of a trial on a moving base.

    Args:
        trace: of tared loads, best unfiltered (``prepare(..., cutoff_hz=None)``).
        plate: the plate's acceleration, if there is an accelerometer.
        plate_mass_kg: all that lies on the cells without the body; its inertia is taken out.
        body_mass_kg: the vaulter's; None: from the mean force, as if nothing else bore weight.
        loads_cutoff_hz: that of ``prepare``, if it filtered; the acceleration is then filtered
            alike. An unlike filter would look like absorption.
        gravity_m_s2: local gravity.

    Raises:
        SwaytrainerError: a mass is impossible, or the filters are not alike.
    """
    if body_mass_kg is not None and not 0.0 < body_mass_kg < math.inf:
        raise SwaytrainerError(
            f"A body's mass is above zero, not {body_mass_kg:g} kg.", "Give it in kilograms."
        )
    if plate is not None:
        _check_filter(trace, loads_cutoff_hz)
    strides = measure_strides(trace, plate)
    values = dict.fromkeys(ABSORPTION_MEASURES, NAN)
    notes = list(strides.notes)
    up = None if plate is None else like_the_loads(plate.at(trace.time_s), trace, loads_cutoff_hz)
    if up is not None and not np.isfinite(up).any():
        up = None  # its clock is elsewhere: the strides' notes say so
    feet = trace
    if up is not None and plate_mass_kg is not None:
        feet = feet_only(trace, up, plate_mass_kg)
    elif plate_mass_kg != 0.0:
        notes.append(_PLATE_LEFT_IN)
    force = feet.force_n
    known = np.isfinite(force)
    mean_n = float(force[known].mean()) if known.any() else NAN
    wrong = _wrong_force(mean_n, body_mass_kg, gravity_m_s2)
    if wrong:
        return Absorption(values, (*notes, wrong), (), (), strides)
    mass_kg = mean_n / gravity_m_s2 if body_mass_kg is None else body_mass_kg
    number, _ = stride_phase(strides.each, trace.time_s)
    used = known & (number >= 0) if strides.each else known
    values["force_ripple_percent"] = _ripple(force[used])
    values["flight_percent"] = 100.0 * float((force[known] < THRESHOLD_N).mean())
    notes += _remarks(values["flight_percent"], mean_n / (mass_kg * gravity_m_s2), strides)
    a = force / mass_kg - gravity_m_s2
    b = np.full(force.shape, NAN) if up is None else up
    breaks = force_breaks(feet)
    harmonics: tuple[Transfer, ...] = ()
    if up is not None and strides.each:
        seen = b[used & np.isfinite(b)]
        values["base_rms_m_s2"] = float(seen.std()) if seen.size else NAN
        harmonics = _harmonics(feet, a, b, breaks, strides.cadence_hz)
    if harmonics:
        values["absorption_coherence"] = harmonics[0].coherence
        values["transmissibility"] = harmonics[0].gain
        values["absorption_percent"] = harmonics[0].absorption_percent
    notes += _why_not(up is not None, strides, harmonics)
    each = _each(trace.time_s, force, a, b, breaks, strides.each)
    return Absorption(values, tuple(notes), harmonics, each, strides)


def _remarks(flight_percent: float, borne: float, strides: Strides) -> list[str]:
    """What to know about the force; ``borne``: the share of the weight that the feet bear."""
    said = []
    if not strides.each:
        said.append("The ripple is of the whole trial.")
    if borne < _SUPPORTED:
        said.append(
            f"The feet bear {100.0 * borne:.0f} % of the weight: something else bears the rest,"
            " so this is no free ride."
        )
    if flight_percent > 0.0:
        said.append(f"In {flight_percent:.1f} % of the time the body was off the plate.")
    return said


def _why_not(sensed: bool, strides: Strides, harmonics: tuple[Transfer, ...]) -> list[str]:
    """Why there is no absorption; nothing if there is."""
    if not sensed:
        return ["Absorption is not measurable without an accelerometer on the plate."]
    if not strides.each:
        return ["Absorption is not measurable without a cadence."]
    if not harmonics:
        return [
            f"Absorption is not measurable: it needs {3 * _SEGMENT_STRIDES} strides without a"
            " gap in loads or acceleration."
        ]
    reason = harmonics[0].reason
    return [f"Absorption is not measurable: {reason}."] if reason else []


def stride_gain(base: Array, body: Array) -> tuple[float, float]:
    """|H1| and coherence at the cadence over some whole strides.

    Each stride is a segment of one period, its first Fourier coefficient the cadence's.

    Args:
        base, body: shape (strides, points), each row one stride at even phases.

    Returns:
        The gain is NaN where the coherence is below ``least_coherence``.

    >>> wave = np.cos(2.0 * np.pi * np.arange(16) / 16.0)
    >>> gain, coherence = stride_gain(np.array([wave, wave]), 0.5 * np.array([wave, wave]))
    >>> round(gain, 9), round(coherence, 9)
    (0.5, 1.0)
    """
    turn = np.exp(-2j * np.pi * np.arange(base.shape[1]) / base.shape[1])
    b, a = base @ turn, body @ turn
    power_b, power_a = float((np.abs(b) ** 2).sum()), float((np.abs(a) ** 2).sum())
    if not (power_b > 0.0 and power_a > 0.0):
        return NAN, NAN
    cross = abs(complex((a * b.conj()).sum()))
    coherence = cross * cross / (power_b * power_a)
    return (cross / power_b if coherence >= least_coherence(b.size) else NAN), coherence


def _wrong_force(mean_n: float, body_mass_kg: float | None, gravity_m_s2: float) -> str:
    if not mean_n >= THRESHOLD_N:
        return f"Nothing is measurable: the mean force is {mean_n:.1f} N, nobody is on the plate."
    if mean_n < LIGHTEST_N:
        return (
            f"Nothing is measurable: the mean force is {mean_n:.0f} N, a body of"
            f" {mean_n / gravity_m_s2:.1f} kg. Are the loads kilograms? Give them in newtons."
        )
    if body_mass_kg is not None and not 0.5 < mean_n / (body_mass_kg * gravity_m_s2) < 1.5:
        return (
            f"Nothing is measurable: the mean force is {mean_n:.0f} N and the body's weight"
            f" {body_mass_kg * gravity_m_s2:.0f} N. Is it the right vaulter, and are the loads"
            " tared?"
        )
    return ""


def _ripple(force_n: Array) -> float:
    if force_n.size < 2:
        return NAN
    mean_n = float(force_n.mean())
    return 100.0 * float(force_n.std()) / mean_n if mean_n >= THRESHOLD_N else NAN


def _check_filter(trace: Trace, cutoff_hz: float | None) -> None:
    alike = "none"
    if cutoff_hz is not None:
        alike = f"zero-phase Butterworth, order 4, -6 dB at {cutoff_hz:g} Hz"
    if trace.filter != alike:
        raise SwaytrainerError(
            f"The loads were filtered ({trace.filter}), the acceleration would be otherwise"
            f" ({alike}).",
            "Prepare the loads without a filter, or give loads_cutoff_hz the same cut-off.",
        )


def _harmonics(
    trace: Trace, a: Array, b: Array, breaks: Flags, cadence_hz: float
) -> tuple[Transfer, ...]:
    """At the cadence and its harmonics, as far as the rate goes; empty if it is too short."""
    rate_hz = trace.rate_hz
    _, body = on_grid(trace, a, breaks)
    grid_s, base = on_grid(trace, b, breaks)
    both = base + body  # NaN where either is
    runs = even_runs(grid_s, both, rate_hz, np.zeros(grid_s.size, dtype=np.bool_))
    segment = round(_SEGMENT_STRIDES / cadence_hz * rate_hz)
    sums = spectra([(base[run], body[run]) for run in runs], rate_hz, segment)
    if sums.segments < _LEAST_SEGMENTS:
        return ()
    least = max(LEAST_M_S2, _LEAST_SHARE * math.sqrt(float(sums.base.sum())))
    return tuple(
        transfer(sums, k * cadence_hz, _HALF_BAND * cadence_hz, least)
        for k in range(1, _HARMONICS + 1)
        if (k + _HALF_BAND) * cadence_hz < 0.4 * rate_hz
    )


def _each(
    time_s: Array, force: Array, a: Array, b: Array, breaks: Flags, each: tuple[Stride, ...]
) -> tuple[StrideAbsorption, ...]:
    bases = [normalised(time_s, b, stride, _POINTS, breaks) for stride in each]
    bodies = [normalised(time_s, a, stride, _POINTS, breaks) for stride in each]
    out = []
    for i, stride in enumerate(each):
        from_i, to_i = max(0, i - _ASIDE), i + _ASIDE + 1
        base, body = np.array(bases[from_i:to_i]), np.array(bodies[from_i:to_i])
        whole = np.isfinite(base).all(axis=1) & np.isfinite(body).all(axis=1)
        gain = coherence = NAN
        if whole.sum() >= 2 and np.isfinite(bases[i]).all():
            gain, coherence = stride_gain(base[whole], body[whole])
        forces = normalised(time_s, force, stride, _POINTS, breaks)
        ripple = _ripple(forces) if np.isfinite(forces).all() else NAN
        out.append(StrideAbsorption(stride, ripple, 100.0 * (1.0 - gain), coherence))
    return tuple(out)
