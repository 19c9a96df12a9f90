"""What noise, drift and clocks cost: ``python -m tests.motion.errors [--seeds N]`` prints it.

Mean and standard deviation over seeds of (found - true) absorption, in percentage points, for
stiff, supple and bouncing legs on a sine of 30 mm at 1.8 Hz, 30 s; then the residual speed of the
COP that a rocking base leaves behind.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from swaytrainer.motion.absorption import measure_absorption
from swaytrainer.motion.strides import measure_strides
from swaytrainer.motion.unsteadiness import measure_unsteadiness
from swaytrainer.simulate.riding import (
    BOUNCING,
    CANTER,
    PERFECT,
    RIGID,
    SUPPLE,
    Accelerometer,
    Legs,
    MovingBase,
)
from swaytrainer.sway.path import path
from tests.motion.rides import PLATE_KG, feet_trace, plate_of, ridden, trace_of

CASES: dict[str, Accelerometer] = {
    "perfect, 200 Hz": PERFECT,
    "noise 0.03 m/s² rms": Accelerometer(100.0, 0.03, 0.0, 0.0),
    "noise 0.3 m/s² rms": Accelerometer(100.0, 0.3, 0.0, 0.0),
    "bias 0.5, drift 0.5 m/s² a minute": Accelerometer(100.0, 0.0, 0.5, 0.5),
    "50 Hz": Accelerometer(50.0, 0.0, 0.0, 0.0),
    "25 Hz": Accelerometer(25.0, 0.0, 0.0, 0.0),
    "late by 5 ms": Accelerometer(200.0, 0.0, 0.0, 0.0, late_s=0.005),
    "late by 20 ms": Accelerometer(200.0, 0.0, 0.0, 0.0, late_s=0.020),
    "late by 50 ms": Accelerometer(200.0, 0.0, 0.0, 0.0, late_s=0.050),
    "clock 100 ppm fast": Accelerometer(200.0, 0.0, 0.0, 0.0, clock_ppm=100.0),
    "clock 1000 ppm fast": Accelerometer(200.0, 0.0, 0.0, 0.0, clock_ppm=1000.0),
    "all: noise, bias, drift, 20 ms, 100 ppm": Accelerometer(
        100.0, 0.03, 0.2, 0.1, late_s=0.020, clock_ppm=100.0
    ),
}


class Off(NamedTuple):
    """Error of absorption in percentage points, and the phase (degrees) that was found."""

    mean: float
    deviation: float
    phase_deg: float


def off(
    legs: Legs,
    sensor: Accelerometer,
    seeds: Iterable[int],
    *,
    plate_kg: float = PLATE_KG,
    take_out: bool = True,
    base: MovingBase | None = None,
) -> Off:
    """How wrong absorption is."""
    base = base or MovingBase(30.0, 1.8)
    wrong, phases = [], []
    for seed in seeds:
        made = ridden(base, legs, 30.0, seed=seed, accelerometer=sensor, plate_kg=plate_kg)
        found = measure_absorption(
            trace_of(made), plate_of(made), plate_mass_kg=plate_kg if take_out else None
        )
        true = 100.0 * (1.0 - legs.transmissibility(base.cadence_hz))
        wrong.append(found.values["absorption_percent"] - true)
        phases.append(found.harmonics[0].phase_deg)
    return Off(float(np.mean(wrong)), float(np.std(wrong)), float(np.mean(phases)))


class Leak(NamedTuple):
    """COP speeds, mm/s: raw, the vaulter's own, and what the split gives."""

    raw: float
    own: float
    residual: float


def leak(rock_mm: float, irregular: float, seeds: Iterable[int], sway: bool = True) -> Leak:
    """What a rocking base leaves in the residual."""
    rows = []
    for seed in seeds:
        base = MovingBase(20.0, 1.8, irregular, irregular, CANTER, rock_ap_mm=rock_mm)
        made = ridden(base, SUPPLE, 30.0, seed=seed, accelerometer=Accelerometer(), sway=sway)
        trace = feet_trace(made)
        split = measure_unsteadiness(trace, measure_strides(trace, plate_of(made)))
        rows.append(
            (
                path(trace.time_s, trace.x_mm, trace.y_mm, trace.breaks).mean_speed_mm_s,
                path(made.time_s, made.sway_x_mm, made.sway_y_mm).mean_speed_mm_s,
                split.values["residual_speed_mm_s"],
            )
        )
    return Leak(*np.mean(rows, axis=0).tolist())


def main() -> None:
    """Print both tables."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--seeds", type=int, default=10)
    seeds = range(ask.parse_args().seeds)
    print(f"{'accelerometer':44}" + "".join(f"{m.name:>27}" for m in (RIGID, SUPPLE, BOUNCING)))

    def row(name: str, cells: list[Off]) -> None:
        print(
            f"{name:44}"
            + "".join(f"{c.mean:+9.2f} ± {c.deviation:4.2f} {c.phase_deg:+8.1f}°" for c in cells)
        )

    for name, sensor in CASES.items():
        row(name, [off(legs, sensor, seeds) for legs in (RIGID, SUPPLE, BOUNCING)])
    for name in ("late by 20 ms", "late by 50 ms"):
        cells = [off(m, CASES[name], seeds, plate_kg=0.0) for m in (RIGID, SUPPLE, BOUNCING)]
        row(f"{name}, a plate without mass", cells)
    cells = [off(m, PERFECT, seeds, take_out=False) for m in (RIGID, SUPPLE, BOUNCING)]
    row("perfect, the plate's 6 kg left in", cells)
    uneven = MovingBase(20.0, 1.8, 0.15, 0.15, CANTER)
    cells = [off(m, PERFECT, seeds, base=uneven) for m in (RIGID, SUPPLE, BOUNCING)]
    row("perfect, strides ± 15 %", cells)
    print("\nCOP speed, mm/s      raw     own     residual   residual of a body that does not sway")
    for rock in (0.0, 10.0, 30.0):
        for irregular in (0.0, 0.05, 0.15):
            found = leak(rock, irregular, seeds)
            alone = leak(rock, irregular, seeds, sway=False)
            print(
                f"{rock:3.0f} mm, ± {100.0 * irregular:2.0f} % {found.raw:11.1f} {found.own:7.1f}"
                f" {found.residual:10.1f} {alone.residual:12.1f}"
            )


if __name__ == "__main__":
    main()
