"""What the skew of four converters does to the COP, in the simulated chip.

    python -m tests.hardware.skew

A load whose COP is known goes through the firmware once with four converters in step and once with
four that wander through all phases; printed is the COP's error against the truth at the stamp, and
the bound that ``hardware/DELAY.md`` derives. The modelled converters take their input at one
moment; real ones average over several periods, which softens the fastest changes.
"""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from swaytrainer.simulate.scenario import distribute
from tests.hardware.bench import NOMINAL_US, Run, play

HALF_WIDTH_MM, HALF_DEPTH_MM = 220.0, 170.0
COUNTS_PER_N = 1000.0
ROWS_HZ = 2000.0
STEP_S = 1.0 / ROWS_HZ
#: Below this there is no COP worth an error.
LOADED_N = 200.0
WEIGHT_N = 45.0 * 9.80665

#: Time in s to force in N, x and y in mm.
Load = Callable[[float], tuple[float, float, float]]


def sway(t_s: float) -> tuple[float, float, float]:
    """Standing: the COP goes ±10 mm forward and back, twice in three seconds; force steady."""
    return WEIGHT_N, 0.0, 10.0 * math.sin(2 * math.pi * t_s / 1.5)


def breathing(t_s: float) -> tuple[float, float, float]:
    """Bending the knees a little: the force goes ±10 % at 1 Hz, the COP stays."""
    return WEIGHT_N * (1 + 0.1 * math.sin(2 * math.pi * t_s)), 0.0, 0.0


def landing(t_s: float) -> tuple[float, float, float]:
    """Once a second a landing of four body weights within 0.12 s, at one spot, then standing."""
    into_s = t_s % 1.0
    pulse = math.sin(math.pi * into_s / 0.12) ** 2 if into_s < 0.12 else 0.0
    return WEIGHT_N * (1.0 + 3.0 * pulse), 0.0, 0.0


@dataclass(frozen=True)
class Skew:
    """Errors of the COP in mm over all samples with somebody on the board."""

    rms_x_mm: float
    rms_y_mm: float
    largest_x_mm: float
    largest_y_mm: float


def bound_x_mm(load: Load, seconds: float) -> float:
    """a·T/2·max(|dF/dt|/F): both left cells fresh, both right ones a period old."""
    steepest = 0.0
    for n in range(1, int(seconds * ROWS_HZ) - 1):
        before, now, after = (load((n + k) * STEP_S)[0] for k in (-1, 0, 1))
        steepest = max(steepest, abs(after - before) / (2 * STEP_S) / now)
    return HALF_WIDTH_MM * NOMINAL_US * 1e-6 / 2 * steepest


def through_the_chip(load: Load, seconds: float, *options: object) -> Run:
    """The load as counts, row by row, played through the firmware."""
    rows = []
    for n in range(int(seconds * ROWS_HZ)):
        force_n, x_mm, y_mm = load(n * STEP_S)
        corners = distribute(force_n, x_mm, y_mm, HALF_WIDTH_MM, HALF_DEPTH_MM)
        rows.append(" ".join(repr(c * COUNTS_PER_N) for c in corners))
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "script"
        script.write_text("\n".join([repr(ROWS_HZ), *rows]))
        return play(seconds, "--script", script, *options)


def skew_of(load: Load, met: Run) -> Skew:
    """The COP of each sample against the truth at the moment its last line fell."""
    errors: list[tuple[float, float]] = []
    for sample, read in zip(met.samples, met.truth, strict=True):
        if sample.status:
            continue
        fl, fr, rl, rr = (c / COUNTS_PER_N for c in sample[3:])
        force_n = fl + fr + rl + rr
        if force_n < LOADED_N:
            continue
        _, x_mm, y_mm = load(max(read.edge_us) * 1e-6)
        errors.append(
            (
                HALF_WIDTH_MM * (fr + rr - fl - rl) / force_n - x_mm,
                HALF_DEPTH_MM * (fl + fr - rl - rr) / force_n - y_mm,
            )
        )

    def rms(values: Sequence[float]) -> float:
        return math.sqrt(math.fsum(v * v for v in values) / len(values))

    x, y = zip(*errors, strict=True)
    return Skew(rms(x), rms(y), max(map(abs, x)), max(map(abs, y)))


IN_STEP = ("--rates", "80,80,80,80")
#: One per cent from slowest to fastest: every phase comes by in a few seconds.
WANDERING = ("--rates", "79.6,79.896,80.168,80.4", "--offsets", "0,3100,7000,9900")


def _main() -> None:
    print("COP error, mm        in step: rms x, y | wandering: rms x, y, largest x, y | bound x")
    for load in (sway, breathing, landing):
        one = skew_of(load, through_the_chip(load, 60.0, *IN_STEP))
        four = skew_of(load, through_the_chip(load, 60.0, *WANDERING))
        print(
            f"{load.__name__:18} {one.rms_x_mm:8.3f} {one.rms_y_mm:8.3f} |"
            f" {four.rms_x_mm:7.2f} {four.rms_y_mm:7.2f}"
            f" {four.largest_x_mm:7.2f} {four.largest_y_mm:7.2f} |"
            f" {bound_x_mm(load, 2.0):7.2f}"
        )


if __name__ == "__main__":
    _main()
