"""The vaulter's own unsteadiness on a moving base: the COP without what each stride does to it.

Most of the COP's path on a moving base is the base's. The mean over time-normalised strides is the
stride-locked part; what is left is the vaulter's. A raw path on a moving base is never offered.

Of N strides the mean takes 1/N of the residual with it; rms and speed are given back by
√(N/(N-1)), as with any standard deviation. Uneven strides leave some of the locked part in the
residual, the more the wider the base rocks: ``python -m tests.motion.errors`` prints how much.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from swaytrainer.motion.acceleration import PlateAcceleration, feet_only
from swaytrainer.motion.strides import (
    Stride,
    Strides,
    like_the_loads,
    measure_strides,
    normalised,
    stride_phase,
)
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

#: Fewer strides than these don't make a mean.
LEAST_STRIDES = 8
_POINTS = 64

_OURS = "COP less its mean over time-normalised strides"

UNSTEADINESS_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "residual_rms_ml_mm": Measure("mm", "root mean square of the residual's x", _OURS),
        "residual_rms_ap_mm": Measure("mm", "root mean square of the residual's y", _OURS),
        "residual_speed_mm_s": Measure("mm/s", "path of the residual over time", _OURS),
        "locked_range_ml_mm": Measure(
            "mm", "how far the strides drag x, largest - smallest", _OURS
        ),
        "locked_range_ap_mm": Measure(
            "mm", "how far the strides drag y, largest - smallest", _OURS
        ),
        "stride_variation_mm": Measure(
            "mm", "rms between a stride's shape, about its own mean, and the mean shape", _OURS
        ),
    }
)


class StrideResidual(NamedTuple):
    """One stride's residual; NaN where the stride has a gap.

    Attributes:
        stride: from when to when.
        rms_mm: root mean square length of the residual.
        speed_mm_s: its path over time.
    """

    stride: Stride
    rms_mm: float
    speed_mm_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Unsteadiness:
    """The COP, split.

    Attributes:
        values: under the keys of ``UNSTEADINESS_MEASURES``.
        notes: what could not be measured and why.
        locked_x_mm, locked_y_mm: shape (64,), the locked part about the mean COP, at even phases
            from the stride's lowest point; empty if there is none.
        residual_x_mm, residual_y_mm: shape (N,), the trace's COP less the locked part and the
            mean COP; NaN outside the strides.
        each: stride by stride.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    locked_x_mm: Array
    locked_y_mm: Array
    residual_x_mm: Array
    residual_y_mm: Array
    each: tuple[StrideResidual, ...]


def measure_unsteadiness(trace: Trace, strides: Strides) -> Unsteadiness:
    """Split the COP of a trial.

    Args:
        trace: the trial; filtered as other COP speeds that it is compared with. With an
            accelerometer take the plate's inertia out before (``acceleration.feet_only``).
        strides: from ``measure_strides`` of this trial.
    """
    values = dict.fromkeys(UNSTEADINESS_MEASURES, NAN)
    nothing, unknown = np.empty(0), np.full(trace.time_s.shape, NAN)
    x_rows, y_rows = (
        np.array(
            [normalised(trace.time_s, v, s, _POINTS, trace.breaks) for s in strides.each]
        ).reshape(-1, _POINTS)
        for v in (trace.x_mm, trace.y_mm)
    )
    whole = np.isfinite(x_rows).all(axis=1)
    count = int(whole.sum())
    if count < LEAST_STRIDES:
        reason = (
            f"No split of the COP: {count} whole strides, at least {LEAST_STRIDES} are needed."
            if strides.each
            else "No split of the COP without strides."
        )
        empty = tuple(StrideResidual(stride, NAN, NAN) for stride in strides.each)
        return Unsteadiness(values, (reason,), nothing, nothing, unknown, unknown, empty)
    x_rows, y_rows = x_rows[whole], y_rows[whole]
    # The mean of each stride is sway, not stride.
    x_shapes = x_rows - x_rows.mean(axis=1, keepdims=True)
    y_shapes = y_rows - y_rows.mean(axis=1, keepdims=True)
    locked_x, locked_y = x_shapes.mean(axis=0), y_shapes.mean(axis=0)
    back = math.sqrt(count / (count - 1))

    number, phase = stride_phase(strides.each, trace.time_s)
    inside = (number >= 0) & whole[np.maximum(number, 0)] & np.isfinite(trace.x_mm)
    at = np.arange(_POINTS + 1) / _POINTS
    residuals = []
    for cop, locked in ((trace.x_mm, locked_x), (trace.y_mm, locked_y)):
        rest = unknown.copy()
        rest[inside] = cop[inside] - np.interp(phase[inside], at, np.append(locked, locked[0]))
        residuals.append(rest - rest[inside].mean())
    x, y = residuals
    walked = path(trace.time_s, x, y, trace.breaks)
    between = (x_shapes - locked_x) ** 2 + (y_shapes - locked_y) ** 2
    values.update(
        residual_rms_ml_mm=float(np.sqrt(np.mean(x[inside] ** 2))),
        residual_rms_ap_mm=float(np.sqrt(np.mean(y[inside] ** 2))),
        residual_speed_mm_s=back * walked.mean_speed_mm_s,
        locked_range_ml_mm=float(np.ptp(locked_x)),
        locked_range_ap_mm=float(np.ptp(locked_y)),
        stride_variation_mm=back * math.sqrt(float(between.mean())),
    )
    notes = []
    if count < len(strides.each):
        notes.append(f"{len(strides.each) - count} strides with a gap in the COP were left out.")
    each = []
    for i, stride in enumerate(strides.each):
        mine = np.flatnonzero(inside & (number == i))
        if mine.size < 2:
            each.append(StrideResidual(stride, NAN, NAN))
            continue
        part = slice(int(mine[0]), int(mine[-1]) + 1)
        own = path(trace.time_s[part], x[part], y[part], trace.breaks[part])
        each.append(
            StrideResidual(
                stride,
                float(np.sqrt(np.mean(x[mine] ** 2 + y[mine] ** 2))),
                back * own.mean_speed_mm_s,
            )
        )
    return Unsteadiness(values, tuple(notes), locked_x, locked_y, x, y, tuple(each))


def measure_own_sway(
    trace: Trace,
    plate: PlateAcceleration | None = None,
    plate_mass_kg: float | None = None,
    loads_cutoff_hz: float | None = 10.0,
) -> Unsteadiness:
    """Find the strides, take the plate's own inertia out where it is known, and split the COP.

    Args:
        trace: the trial.
        plate: the plate's acceleration, None without an accelerometer.
        plate_mass_kg: what lies on the cells without the body; None leaves the inertia in.
        loads_cutoff_hz: how the loads were filtered (zero-phase), so that the acceleration can be
            filtered alike; None if they were not.
    """
    strides = measure_strides(trace, plate)
    if plate is None or plate_mass_kg is None:
        return measure_unsteadiness(trace, strides)
    up = like_the_loads(plate.at(trace.time_s), trace, loads_cutoff_hz)
    return measure_unsteadiness(feet_only(trace, up, plate_mass_kg), strides)
