"""The plate's own acceleration: onto the loads' stamps, and the plate's inertia out of the loads.

Acceleration is in m/s², upward positive. Whether gravity is in it makes no difference: a base that
comes back has no acceleration on average, so the mean is taken off wherever it would count.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.butterworth import PAD_SAMPLES, zero_phase
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import GAP_INTERVALS, pieces
from swaytrainer.sway.prepare import Trace

#: Below this force nobody presses on the plate: no COP.
THRESHOLD_N = 20.0


@dataclass(frozen=True, slots=True, eq=False)
class PlateAcceleration:
    """What an accelerometer on the plate says, on stamps of its own.

    Attributes:
        time_s: shape (M,), increasing, on the loads' time axis as well as the clocks allow.
        up_m_s2: shape (M,), m/s², upward positive.

    Raises:
        SwaytrainerError: the stamps or values are not usable.

    >>> plate = PlateAcceleration(np.arange(5) / 10.0, np.array([0.0, 1.0, 0.0, -1.0, 0.0]))
    >>> plate.at(np.array([-1.0, 0.1, 0.3, 7.0])).tolist()
    [nan, 1.0, -1.0, nan]
    """

    time_s: Array
    up_m_s2: Array

    def __post_init__(self) -> None:
        if self.time_s.ndim != 1 or self.time_s.shape != self.up_m_s2.shape:
            raise ValueError("time and acceleration must have one shape (M,)")
        if self.time_s.size < 4:
            raise SwaytrainerError(
                f"There are {self.time_s.size} samples of acceleration: too few.",
                "Record the accelerometer for the whole trial.",
            )
        if not (np.isfinite(self.time_s).all() and np.isfinite(self.up_m_s2).all()):
            raise SwaytrainerError(
                "The acceleration holds values or times that are not numbers.",
                "Leave such rows out: a gap is seen by its times.",
            )
        if not (np.diff(self.time_s) > 0.0).all():
            raise SwaytrainerError(
                "The acceleration's times do not increase.",
                "Sort the rows by time, and give no time twice.",
            )

    @property
    def rate_hz(self) -> float:
        """Usual samples a second."""
        return 1.0 / float(np.median(np.diff(self.time_s)))

    def at(self, time_s: Array) -> Array:
        """The acceleration at other stamps; NaN before the first, after the last and in gaps.

        A cubic through each sample with the slopes of the parabola through it and its neighbours
        (Hermite's interpolation: Burden & Faires, Numerical Analysis, chapter 3,
        from memory). If the samples
        are much denser than the stamps, they are smoothed first, so that noise does not fold.

        Args:
            time_s: shape (N,), increasing.
        """
        t, a = self.time_s, self.up_m_s2
        wanted_hz = 1.0 / float(np.median(np.diff(time_s))) if time_s.size > 1 else self.rate_hz
        step = np.diff(t)
        usual_s = float(np.median(step))
        if self.rate_hz > 1.5 * wanted_hz:
            a = a.copy()
            for run in pieces(step <= GAP_INTERVALS * usual_s):
                if run.stop - run.start > PAD_SAMPLES:
                    a[run] = zero_phase(a[run], 0.4 * wanted_hz, self.rate_hz)
        rise = np.diff(a) / step
        inner = (step[1:] * rise[:-1] + step[:-1] * rise[1:]) / (step[1:] + step[:-1])
        slope = np.concatenate([[rise[0]], inner, [rise[-1]]])
        i = np.clip(np.searchsorted(t, time_s, side="right") - 1, 0, t.size - 2)
        h = step[i]
        r = (time_s - t[i]) / h
        value = (
            (1.0 + 2.0 * r) * (1.0 - r) ** 2 * a[i]
            + r * (1.0 - r) ** 2 * h * slope[i]
            + r * r * (3.0 - 2.0 * r) * a[i + 1]
            - r * r * (1.0 - r) * h * slope[i + 1]
        )
        dust = 1e-9 * usual_s
        outside = (time_s < t[0] - dust) | (time_s > t[-1] + dust)
        gap = h > GAP_INTERVALS * usual_s
        value[outside | (gap & (r > 0.0) & (r < 1.0))] = NAN
        return np.asarray(value)


def feet_only(trace: Trace, plate_m_s2: Array, plate_mass_kg: float) -> Trace:
    """The trace without the plate's inertia: what the feet press, and where.

    The empty board's tare has taken the plate's weight m_p·g off already; what is left is m_p·a_b,
    which acts at the plate's middle (Newton's second law): F_feet = F - m_p·a_b, and the COP is
    drawn out from the origin by F / F_feet. An acceleration late by τ is subtracted late: that
    leaves m_p·a_b·(1 - exp(-i·2πfτ)), so absorption is wrong by at most (m_p/m)·2·sin(πfτ), 7
    points for a plate of 6 kg under 45 kg at 1.8 Hz and 50 ms (``python -m tests.motion.errors``).

    Args:
        trace: of tared loads.
        plate_m_s2: shape (N,), upward, as from ``PlateAcceleration.at``; NaN where unknown.
        plate_mass_kg: all that lies on the cells without the body: plate, covering.

    Raises:
        SwaytrainerError: the mass is not zero or above.
    """
    if not 0.0 <= plate_mass_kg < np.inf:
        raise SwaytrainerError(
            f"A plate's mass is zero or above, not {plate_mass_kg:g} kg.",
            "Weigh what lies on the cells, in kilograms.",
        )
    known = np.isfinite(plate_m_s2)
    if not known.any():
        feet = np.full(trace.force_n.shape, NAN)
    else:
        feet = trace.force_n - plate_mass_kg * (plate_m_s2 - float(plate_m_s2[known].mean()))
    there = feet >= THRESHOLD_N
    stretch = np.divide(trace.force_n, feet, out=np.full(feet.shape, NAN), where=there)
    x, y = trace.x_mm * stretch, trace.y_mm * stretch
    lone = np.isnan(x)
    breaks = trace.breaks.copy()
    breaks[1:] |= lone[1:] | lone[:-1]
    return replace(trace, force_n=feet, x_mm=x, y_mm=y, breaks=breaks)
