"""Bending of an orthotropic plate with free edges and ribs on springs, by Ritz's method.

Thin-plate theory (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959,
chapter 11 on orthotropic plates). The deflection is a sum of products of Legendre polynomials,
w = Σ c_ij P_i(2x/A) P_j(2y/B), and the coefficients make the total energy

    ½ ∫∫ D_x w_xx² + D_y w_yy² + 2 D_1 w_xx w_yy + 4 D_xy w_xy² dA
        + ½ Σ EI_r ∫ w_rr² dr + ½ Σ k_s w_s² - ∫∫ q w dA

smallest (r runs along a rib, s over the springs). Free edges need no condition in this method.
D_x = E_x t³/12 and so on; Poisson's ratio of plywood is small (its plies cross), so D_1 = 0 here.
A rib bends with the plate but slides along it (screws, no glue): its own EI is added, no more.
Springs may push and pull. Ritz's answers are a little too stiff, the less so the more terms.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Plywood:
    """A sheet of plywood; moduli and strengths from bending tests of the whole thickness (N/mm²).

    Attributes:
        thickness_mm: real, not nominal.
        along_n_mm2, across_n_mm2: bending moduli along the face grain and across it.
        shear_n_mm2: in-plane shear modulus.
        strength_along_n_mm2, strength_across_n_mm2: bending strengths.
        grain: the axis that the face grain runs along, "x" or "y".
        density_kg_m3: mass.
    """

    thickness_mm: float
    along_n_mm2: float
    across_n_mm2: float
    shear_n_mm2: float
    strength_along_n_mm2: float
    strength_across_n_mm2: float
    density_kg_m3: float
    grain: str = "y"


@dataclass(frozen=True, slots=True)
class Rib:
    """A straight bar under the plate, from (x, y) along one axis.

    Attributes:
        axis: "x" or "y".
        across_mm: the other coordinate.
        from_mm, to_mm: where it begins and ends along its axis.
        stiffness_n_mm2: EI.
        half_height_mm, modulus_n_mm2: for its bending stress.
        mass_kg_m: of one metre.
    """

    axis: str
    across_mm: float
    from_mm: float
    to_mm: float
    stiffness_n_mm2: float
    half_height_mm: float
    modulus_n_mm2: float
    mass_kg_m: float


@dataclass(frozen=True, slots=True)
class Patch:
    """A force (N) spread evenly over a rectangle about (x, y)."""

    force_n: float
    x_mm: float
    y_mm: float
    width_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Bent:
    """What a load does to the plate.

    Attributes:
        deflection_mm: deepest point below its unloaded place.
        sag_mm: deepest point below the plane through the springs' mean.
        springs_n: force in each spring, pressing positive.
        stress_x_n_mm2, stress_y_n_mm2: the plate's largest bending stresses by 6 M / t².
        rib_n_mm2: the ribs' largest bending stress.
    """

    deflection_mm: float
    sag_mm: float
    springs_n: tuple[float, ...]
    stress_x_n_mm2: float
    stress_y_n_mm2: float
    rib_n_mm2: float


class Plate:
    """A rectangular plate about the origin on springs.

    Args:
        width_mm, depth_mm: its sides along x and y.
        wood: what it is made of.
        springs: (x mm, y mm, stiffness N/mm) each.
        ribs: bars under it.
        terms: polynomials a side.
    """

    def __init__(
        self,
        width_mm: float,
        depth_mm: float,
        wood: Plywood,
        springs: Sequence[tuple[float, float, float]],
        ribs: Sequence[Rib] = (),
        terms: int = 15,
    ) -> None:
        self.width_mm, self.depth_mm, self.wood = width_mm, depth_mm, wood
        self.springs, self.ribs = tuple(springs), tuple(ribs)
        self.terms = terms
        cubed = wood.thickness_mm**3 / 12
        along, across = wood.along_n_mm2 * cubed, wood.across_n_mm2 * cubed
        self._d_x, self._d_y = (along, across) if wood.grain == "x" else (across, along)
        self._d_xy = wood.shear_n_mm2 * cubed
        nodes, weights = legendre.leggauss(terms + 2)
        p = [self._values(nodes, order) for order in range(3)]
        # Integrals of products of derivatives over one side, in the side's own coordinate.
        whole = [np.einsum("gi,gj,g->ij", d, d, weights) for d in p]
        a, b = width_mm / 2, depth_mm / 2
        # N, mm and tonnes go together: kg / 1000, and kg/m³ · 1e-12 for the density.
        self.mass = (
            np.kron(whole[0], whole[0]) * a * b * wood.density_kg_m3 * 1e-12 * wood.thickness_mm
        )
        self.stiffness = (
            self._d_x * np.kron(whole[2], whole[0]) * b / a**3
            + self._d_y * np.kron(whole[0], whole[2]) * a / b**3
            + 4 * self._d_xy * np.kron(whole[1], whole[1]) / (a * b)
        )
        for x, y, k in self.springs:
            shape = self._shape(x, y)
            self.stiffness += k * np.outer(shape, shape)
        for rib in self.ribs:
            curved, plain = self._along(rib, nodes)
            scaled = weights[:, None] * (rib.to_mm - rib.from_mm) / 2
            self.stiffness += rib.stiffness_n_mm2 * curved.T @ (scaled * curved)
            self.mass += rib.mass_kg_m * 1e-6 * plain.T @ (scaled * plain)

    def _along(self, rib: Rib, at: Array) -> tuple[Array, Array]:
        """Curvature along a rib and deflection (points by coefficients), at -1 to 1 along it."""
        middle, half = (rib.from_mm + rib.to_mm) / 2, (rib.to_mm - rib.from_mm) / 2
        a, b = self.width_mm / 2, self.depth_mm / 2
        side, other = (a, b) if rib.axis == "x" else (b, a)
        run = (middle + half * at) / side
        fixed = self._values(np.array([rib.across_mm / other]), 0)[0]
        both = []
        for order in (2, 0):
            moving = self._values(run, order) / side**order
            ij = "gi,j->gij" if rib.axis == "x" else "gj,i->gij"
            both.append(np.einsum(ij, moving, fixed).reshape(len(at), -1))
        return both[0], both[1]

    def _values(self, at: Array, order: int) -> Array:
        """Derivatives of that order of all polynomials (columns) at points (rows)."""
        derive = np.asarray(legendre.legder(np.eye(self.terms), order))
        return np.asarray(legendre.legvander(at, self.terms - 1 - order) @ derive)

    def _shape(self, x_mm: float, y_mm: float, order_x: int = 0, order_y: int = 0) -> Array:
        a, b = self.width_mm / 2, self.depth_mm / 2
        along = self._values(np.array([x_mm / a]), order_x)[0] / a**order_x
        across = self._values(np.array([y_mm / b]), order_y)[0] / b**order_y
        return np.kron(along, across)

    def _force(self, patch: Patch) -> Array:
        nodes, weights = legendre.leggauss(self.terms)
        along = self._values((patch.x_mm + nodes * patch.width_mm / 2) / (self.width_mm / 2), 0)
        across = self._values((patch.y_mm + nodes * patch.depth_mm / 2) / (self.depth_mm / 2), 0)
        return np.asarray(patch.force_n / 4 * np.kron(weights @ along, weights @ across))

    def bend(self, load: Sequence[Patch], grid: int = 51) -> Bent:
        """Deflection, spring forces and stresses under a load, looked for on a grid of points."""
        force = np.sum([self._force(patch) for patch in load], axis=0)
        c = np.linalg.solve(self.stiffness, force)
        table = c.reshape(self.terms, self.terms)
        side = np.linspace(-1, 1, grid)
        value, second = self._values(side, 0), self._values(side, 2)
        a, b = self.width_mm / 2, self.depth_mm / 2
        w = value @ table @ value.T
        along = np.abs(self._d_x * (second @ table @ value.T) / a**2)
        across = np.abs(self._d_y * (value @ table @ second.T) / b**2)
        at_springs = [float(self._shape(x, y) @ c) for x, y, _ in self.springs]
        section = 6 / self.wood.thickness_mm**2
        in_ribs = [
            float(np.abs(self._along(rib, side)[0] @ c).max())
            * rib.modulus_n_mm2
            * rib.half_height_mm
            for rib in self.ribs
        ]
        return Bent(
            float(w.max()),
            float(w.max()) - sum(at_springs) / len(at_springs),
            tuple(k * w_s for (_, _, k), w_s in zip(self.springs, at_springs, strict=True)),
            float(along.max()) * section,
            float(across.max()) * section,
            max(in_ribs, default=0.0),
        )

    def frequencies_hz(self, riders: Sequence[tuple[float, float, float]] = ()) -> Array:
        """Natural frequencies, lowest first, with rigid masses (x mm, y mm, kg) riding on it."""
        mass = self.mass.copy()
        for x, y, kg in riders:
            shape = self._shape(x, y)
            mass += kg / 1000 * np.outer(shape, shape)
        # Cholesky turns K v = λ M v into an ordinary symmetric eigenproblem.
        half = np.linalg.inv(np.linalg.cholesky(mass))
        squares = np.linalg.eigvalsh(half @ self.stiffness @ half.T)
        return np.asarray(np.sqrt(np.maximum(squares, 0.0)) / (2 * math.pi), dtype=np.float64)
