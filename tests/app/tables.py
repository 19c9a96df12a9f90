"""Trials as files, of which every measure is known."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from swaytrainer.sway.cop import Array

RADIUS_MM, TURNS_HZ, RATE_HZ, N = 10.0, 0.5, 100.0, 3000
WHERE = ["--half-width", "200", "--half-depth", "150"]


def circle(n: int = N) -> tuple[Array, Array, Array]:
    """Times, x and y of a COP that runs round a circle: every measure has a closed form."""
    t = np.arange(n) / RATE_HZ
    turn = 2 * math.pi * TURNS_HZ * t
    return t, RADIUS_MM * np.cos(turn), RADIUS_MM * np.sin(turn)


def loads_of(x: Array, y: Array, force_n: float = 600.0) -> Array:
    """Loads of cells at (±200, ±150) mm, shape (N, 4)."""
    across, along = x / 200.0, y / 150.0
    signs = ((-1, 1), (1, 1), (-1, -1), (1, -1))
    return 0.25 * force_n * np.column_stack([1 + a * across + b * along for a, b in signs])


def write_loads(path: Path, time_s: Array, loads_n: Array) -> Path:
    header = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n"
    table = np.column_stack([time_s, loads_n])
    np.savetxt(path, table, "%.17g", delimiter=",", header=header, comments="")
    return path


def write_cop(path: Path, time_s: Array, x: Array, y: Array, force_n: Array | None = None) -> Path:
    columns, header = [time_s, x, y], "time_s,cop_x_mm,cop_y_mm"
    if force_n is not None:
        columns, header = [*columns, force_n], header + ",force_n"
    np.savetxt(path, np.column_stack(columns), "%.17g", delimiter=",", header=header, comments="")
    return path
