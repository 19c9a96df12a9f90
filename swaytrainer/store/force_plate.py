"""From a force plate's channels to force and centre of pressure in our frame.

Conventions of the C3D User Guide (c3d.org, "The FORCE_PLATFORM group"): each plate has its own
right-handed frame, its z axis as a rule downwards; CORNERS 1 to 4 lie in the quadrants (+x +y),
(-x +y), (-x -y), (+x -y) of that frame; ORIGIN leads, in that frame, from the origin of the
measured moments to the middle of the working surface (types 2 and 4), so that its z is negative
where the origin lies below. Types:

1  Fx Fy Fz, COP x and y, free moment
2  Fx Fy Fz Mx My Mz
3  Fx12 Fx34 Fy14 Fy23 Fz1 Fz2 Fz3 Fz4: sensors under the four quadrants, ORIGIN holds how far
   they are from the plate's y axis, from its x axis, and (negative) from its surface
4  as 2, after a 6 × 6 calibration matrix

The COP follows from M = r × F about the origin, with the force acting in the surface at height
r_z = ORIGIN z: r_x = (r_z·Fx - My)/Fz, r_y = (r_z·Fy + Mx)/Fz. All but the last division is
linear, so what leaves this module is force and force times place, ready to be filtered.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array

#: Channels of each type that can be read.
CHANNELS: Final = {1: 6, 2: 6, 3: 8, 4: 6}
#: The edges of a plate, by their corners: "12" is the edge at +y of the plate's own frame.
EDGES: Final = ("12", "23", "34", "41")

#: Below this mean, N, a plate pushes: its file counts the other way round.
_PUSHES_N: Final = -20.0
#: Plates whose surfaces are farther apart, mm, or more tilted, have no joint COP.
_ONE_LEVEL_MM: Final = 5.0
_ONE_LEVEL_COSINE: Final = 0.9998  # 1°


class Wrench(NamedTuple):
    """Force times place in a plate's own frame, about the middle of its surface; shape (N,) each.

    Attributes:
        z_n: force along the plate's z.
        zx_nmm, zy_nmm: that force times the COP's x and y.
    """

    z_n: Array
    zx_nmm: Array
    zy_nmm: Array


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """One force plate.

    Attributes:
        number: counted from 1.
        kind: its type.
        corners_mm: shape (4, 3), in the laboratory's frame.
        wrench: what it measured.
    """

    number: int
    kind: int
    corners_mm: Array
    wrench: Wrench

    @property
    def middle_mm(self) -> Array:
        """The middle of the surface in the laboratory's frame, shape (3,)."""
        return np.asarray(self.corners_mm.mean(axis=0), dtype=np.float64)

    def axes(self) -> Array:
        """The plate's x, y and z as unit vectors in the laboratory's frame, shape (3, 3).

        Raises:
            SwaytrainerError: the corners are no rectangle of a plate's size.
        """
        one, two, three, four = self.corners_mm
        along_x, along_y = one + four - two - three, one + two - three - four
        width, depth = (float(np.linalg.norm(v)) / 2.0 for v in (along_x, along_y))
        if not (50.0 <= width <= 5000.0 and 50.0 <= depth <= 5000.0):
            raise SwaytrainerError(
                f"Plate {self.number} is {width:.3g} mm by {depth:.3g} mm by its corners.",
                "Mend FORCE_PLATFORM:CORNERS, or POINT:UNITS, in which they are given.",
            )
        x = along_x / (2.0 * width)
        y = along_y / (2.0 * depth)
        if abs(float(x @ y)) > 0.05:
            raise SwaytrainerError(
                f"The corners of plate {self.number} make no rectangle.",
                "Put FORCE_PLATFORM:CORNERS into the order of the quadrants.",
            )
        z = np.cross(x, y)
        return np.stack([x, y, z / np.linalg.norm(z)])


class JointLoad(NamedTuple):
    """Force, and force times COP, in our frame: x right, y forward; shape (N,) each."""

    force_n: Array
    force_x_nmm: Array
    force_y_nmm: Array
    notes: tuple[str, ...]


def wrench_of(
    kind: int, channels: Array, origin_mm: Array, matrix: Array | None = None, moment: float = 1.0
) -> Wrench:
    """What a plate of this type measured.

    Args:
        kind: 1 to 4.
        channels: shape (6, N) or, for type 3, (8, N): forces in N, places in mm.
        origin_mm: ORIGIN, shape (3,), mm.
        matrix: of type 4, shape (6, 6), rows are outputs.
        moment: N·mm in one unit of the moments.

    >>> feet = np.array([[0.0], [0.0], [600.0], [6000.0], [-3000.0], [0.0]])
    >>> w = wrench_of(2, feet, np.array([0.0, 0.0, -40.0]))
    >>> float(w.zx_nmm[0] / w.z_n[0]), float(w.zy_nmm[0] / w.z_n[0])
    (5.0, 10.0)
    """
    if kind == 1:
        f_z = channels[2]
        return Wrench(f_z, f_z * channels[3], f_z * channels[4])
    away_x, away_y, height = (float(value) for value in origin_mm)
    if kind == 3:
        f_x, f_y = channels[0] + channels[1], channels[2] + channels[3]
        one, two, three, four = channels[4:8]
        f_z = one + two + three + four
        m_x = away_y * (one + two - three - four)
        m_y = away_x * (two + three - one - four)
        away_x = away_y = 0.0  # the sensors stand around the middle
    else:
        f_x, f_y, f_z, m_x, m_y, _ = channels if matrix is None else matrix @ channels
        m_x, m_y = m_x * moment, m_y * moment
    return Wrench(f_z, height * f_x - m_y - away_x * f_z, height * f_y + m_x - away_y * f_z)


def joint_load(plates: list[Plate], forward_edge: str) -> JointLoad:
    """One plate, or several at one level as if they were one.

    Origin: the middle of the plate, or of the plates' middles. Forward: over an edge of the first.

    Args:
        plates: at least one.
        forward_edge: one of ``EDGES``.

    Raises:
        SwaytrainerError: corners that make no plate, or plates at several levels.
    """
    frames = [plate.axes() for plate in plates]
    normal = frames[0][2]
    # The laboratory's vertical is its axis across the plate, and that axis points up.
    axis = int(np.argmax(np.abs(normal)))
    up = normal * np.sign(normal[axis])
    forward = {"12": frames[0][1], "23": -frames[0][0], "34": -frames[0][1], "41": frames[0][0]}[
        forward_edge
    ]
    right = np.cross(forward, up)
    middle = np.mean([plate.middle_mm for plate in plates], axis=0)
    notes: list[str] = []
    force, force_x, force_y = (np.zeros(plates[0].wrench.z_n.shape) for _ in range(3))
    shares: list[float] = []
    for plate, frame in zip(plates, frames, strict=True):
        _check_level(plate, frame, plates[0], normal)
        down = -np.sign(frame[2] @ up)
        if float((down * plate.wrench.z_n).mean()) < _PUSHES_N:
            down = -down
            notes.append(
                f"Plate {plate.number} gives the force that it pushes back with: its sign was"
                " turned. The COP is the same."
            )
        z, zx, zy = (down * part for part in plate.wrench)
        away = plate.middle_mm - middle
        along = np.stack([away, frame[0], frame[1]])  # what z, z·x and z·y are multiplied by
        for_x, for_y = along @ right, along @ forward
        force_x += z * for_x[0] + zx * for_x[1] + zy * for_x[2]
        force_y += z * for_y[0] + zx * for_y[1] + zy * for_y[2]
        force += z
        shares.append(float(z.mean()))
    if len(plates) > 1 and sum(shares) > 0.0:
        said = ", ".join(
            f"plate {plate.number} {100.0 * share / sum(shares):.1f} %"
            for plate, share in zip(plates, shares, strict=True)
        )
        notes.append(f"One COP of {len(plates)} plates; of the force bear {said}.")
    return JointLoad(force, force_x, force_y, tuple(notes))


def _check_level(plate: Plate, frame: Array, first: Plate, normal: Array) -> None:
    step_mm = abs(float((plate.middle_mm - first.middle_mm) @ normal))
    if step_mm > _ONE_LEVEL_MM or abs(float(frame[2] @ normal)) < _ONE_LEVEL_COSINE:
        raise SwaytrainerError(
            f"Plates {first.number} and {plate.number} are not at one level.",
            "Measure them one by one, with --plate and a number.",
        )
