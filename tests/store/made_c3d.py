"""C3D files written by an independent library (ezc3d), of plates whose truth is known.

A force at a known point of the surface gives the channels by M = r × F + T; nothing here divides
by a force, as the reader does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ezc3d
import numpy as np

from swaytrainer.sway.cop import Array

RATE_HZ = 200.0
FRAME_RATE_HZ = 100.0


@dataclass(frozen=True)
class MadePlate:
    """A plate somewhere on the floor, and what acts on it.

    Attributes:
        kind: its type, 1 to 4.
        at_mm: the COP in the plate's own frame about the middle of its surface, shape (2, N).
        force_n: on the plate, in its own frame (z down), shape (3, N).
        middle_mm, turned_deg: where it lies on the floor, and how it is turned, seen from above.
        size_mm: along its x and y.
        origin_mm: ORIGIN.
    """

    kind: int
    at_mm: Array
    force_n: Array
    middle_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turned_deg: float = 0.0
    size_mm: tuple[float, float] = (600.0, 400.0)
    origin_mm: tuple[float, float, float] = (0.0, 0.0, -40.0)
    matrix: Array = field(default_factory=lambda: np.eye(6))

    def axes(self) -> Array:
        """x, y and z (down) in the laboratory's frame (z up)."""
        turn = np.radians(self.turned_deg)
        y = np.array([-np.sin(turn), np.cos(turn), 0.0])
        z = np.array([0.0, 0.0, -1.0])
        return np.stack([np.cross(y, z), y, z])

    def corners_mm(self) -> Array:
        x, y, _ = self.axes()
        half_x, half_y = self.size_mm[0] / 2, self.size_mm[1] / 2
        signs = ((1, 1), (-1, 1), (-1, -1), (1, -1))
        return np.array(
            [np.array(self.middle_mm) + a * half_x * x + b * half_y * y for a, b in signs]
        )

    def cop_in_lab_mm(self) -> Array:
        """Shape (3, N)."""
        x, y, _ = self.axes()
        return (
            np.array(self.middle_mm)[:, None]
            + np.outer(x, self.at_mm[0])
            + np.outer(y, self.at_mm[1])
        )

    def channels(self) -> Array:
        f_x, f_y, f_z = self.force_n
        n = f_z.size
        if self.kind == 1:
            return np.stack([f_x, f_y, f_z, *self.at_mm, np.full(n, 300.0)])
        height = self.origin_mm[2]
        if self.kind == 3:
            # Sensors at (±a, ±b); each bears a share, with a twist that no COP may show.
            a, b = self.origin_mm[0], self.origin_mm[1]
            r = np.stack([*self.at_mm, np.full(n, height)])
            m_x, m_y, _ = np.cross(r.T, self.force_n.T).T
            signs = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
            vertical = 0.25 * (
                f_z[None] + np.outer(signs[:, 1], m_x) / b - np.outer(signs[:, 0], m_y) / a
            )
            vertical += 7.0 * np.array([1, -1, 1, -1])[:, None]
            return np.stack([0.3 * f_x, 0.7 * f_x, 0.6 * f_y, 0.4 * f_y, *vertical])
        r = np.stack([*self.at_mm, np.zeros(n)]) + np.array(self.origin_mm)[:, None]
        moments = np.cross(r.T, self.force_n.T).T
        moments[2] += 300.0
        out = np.concatenate([self.force_n, moments])
        return out if self.kind == 2 else np.linalg.solve(self.matrix, out)


def standing(n: int = 2000, seed: int = 1, force_n: float = 600.0) -> tuple[Array, Array]:
    """A COP (2, N) and a force (3, N) with shear, for a plate whose z is down."""
    t = np.arange(n) / RATE_HZ
    rng = np.random.default_rng(seed)
    p = rng.uniform(0.0, 6.0, 6)
    at = np.stack([12 * np.sin(1.3 * t + p[0]) + 20, 15 * np.sin(0.9 * t + p[1]) - 35])
    force = np.stack(
        [
            6 * np.sin(2.1 * t + p[2]),
            4 * np.cos(1.7 * t + p[3]),
            force_n + 9 * np.sin(5.0 * t + p[4]),
        ]
    )
    return at, force


def write(
    path: Path,
    plates: Sequence[MadePlate],
    *,
    moment_unit: str = "Nmm",
    point_unit: str = "mm",
    change: Any = None,
) -> Path:
    """Write the plates as one file.

    Args:
        path: of the file.
        plates: one after another in the channels.
        moment_unit, point_unit: as the file names them; lengths and moments are in them.
        change: called with the library's object before it is written.
    """
    per_mm = {"mm": 1.0, "m": 1e-3, "cm": 0.1}[point_unit]
    per_nmm = {"Nmm": 1.0, "N.m": 1e-3, "": per_mm, "V": per_mm}[moment_unit]
    data: list[Array] = []
    units: list[str] = []
    places: list[list[int]] = []
    for plate in plates:
        values = plate.channels().copy()
        if plate.kind == 1:
            values[3:5] *= per_mm
        elif plate.kind != 3:
            values[3:6] *= per_nmm
        places.append([len(units) + 1 + i for i in range(len(values))])
        units += {
            1: ["N", "N", "N", point_unit, point_unit, moment_unit],
            3: ["N"] * 8,
        }.get(plate.kind, ["N"] * 3 + [moment_unit] * 3)
        data.append(values)
    c = ezc3d.c3d()
    c["parameters"]["POINT"]["RATE"]["value"] = [FRAME_RATE_HZ]
    c["parameters"]["POINT"]["UNITS"]["value"] = [point_unit]
    c["parameters"]["ANALOG"]["RATE"]["value"] = [RATE_HZ]
    c["parameters"]["ANALOG"]["LABELS"]["value"] = [f"c{i}" for i in range(len(units))]
    c["parameters"]["ANALOG"]["UNITS"]["value"] = units
    every = np.concatenate(data)
    c["data"]["analogs"] = every[None]
    c["data"]["points"] = np.zeros((4, 0, int(every.shape[1] * FRAME_RATE_HZ / RATE_HZ)))
    width = max(len(p) for p in places)
    channel = [p + [0] * (width - len(p)) for p in places]
    _ints(c, "USED", [len(plates)], [1])
    _ints(c, "TYPE", [p.kind for p in plates], [len(plates)])
    _ints(c, "ZERO", [1, 10], [2])
    _ints(c, "CHANNEL", [v for p in channel for v in p], [width, len(plates)])
    corners = np.stack([p.corners_mm() * per_mm for p in plates])
    c.add_parameter("FORCE_PLATFORM", "CORNERS", corners.transpose(2, 1, 0))
    origin = np.array([p.origin_mm for p in plates]) * per_mm
    c.add_parameter("FORCE_PLATFORM", "ORIGIN", origin.T)
    if any(p.kind == 4 for p in plates):
        scale = np.array([1, 1, 1, per_nmm, per_nmm, per_nmm])
        matrices = np.stack([np.diag(scale) @ p.matrix @ np.diag(1 / scale) for p in plates])
        c.add_parameter("FORCE_PLATFORM", "CAL_MATRIX", matrices.transpose(1, 2, 0))
    if change is not None:
        change(c)
    c.write(str(path))
    return path


def _ints(c: Any, name: str, values: list[int], shape: list[int]) -> None:
    # The library's own add_parameter stores whole numbers as floating ones.
    parameter = ezc3d.ezc3d.Parameter(name, "")
    parameter.set(ezc3d.ezc3d.VecInt(values), shape)
    c["parameters"].add_parameter("FORCE_PLATFORM", parameter)
