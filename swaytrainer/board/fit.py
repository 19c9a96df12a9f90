"""From readings under known masses on known spots to a calibration and its uncertainty.

**What can be known.** A reading is four mean counts d (less the empty board's) under a mass m at a
spot (x, y). What a board shows of it are three numbers w = (F, F·x, F·y), linear in the counts:
w = A·d, A being 3×4: twelve unknowns. But a rigid plate that lies level spreads every w over its
cells in one way only, d = C·w, so all the readings there can ever be span three dimensions of the
four that the counts have: they determine A·C = 1, nine equations for twelve unknowns. The fourth
direction, how A answers to a pattern of counts that no load on a level plate makes (a plate that
is twisted by an uneven floor), no mass shows.

So A is written as the board is built, w = P(p)·X·diag(g)·d with four gains g, cross-talk X
(4×4, its diagonal 1: that is the gain's) and the cells' true places p, and the undetermined rest
is held by what is known of any sound build, weakly: places as drawn to some millimetres, cross-talk
some percent, gains free. This is the maximum of the posterior for normal priors
(Tikhonov's ridge; Gauss-Newton, Nocedal & Wright, Numerical Optimization, 2nd edition, 10.3).
Masses and gravity enter as further unknowns with their own uncertainty, so that what is common
to all readings is not averaged away.

So force and COP are determined by the readings; of gains, cross-talk and places taken one by one
only some combinations are, the rest is the drawing's. Whether the readings do determine w is told
by the condition number of the matrix of (F, F·x, F·y) over the readings, and by the uncertainty
that comes out; if they don't, there is a refusal and no calibration.

**Uncertainty** (GUM, JCGM 100:2008): type A is each mean's own noise, measured; type B are the
mass, its placing, gravity and the zero's drift between the empty boards. The posterior covariance
of all unknowns is carried on to the error of w (GUM 5.2.2); ``calibration.Uncertainty`` keeps it.
Where the residuals of force, or those of place, are larger than that allows (at 99.9 %), their
assumed uncertainty is enlarged to what they show (Birge's ratio; Bodnar & Elster, Metrologia
2014;51:516-521 (from memory)). Not in it: what the cells do at loads
far from the masses (linearity, creep), and a floor that twists the plate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.board.calibration import (
    LEVER_MM,
    Calibration,
    Expanded,
    Uncertainty,
    Vector4,
)
from swaytrainer.board.gravity import ANYWHERE_UNCERTAINTY_M_S2, STANDARD_GRAVITY
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array, CellPlaces

CELL_NAMES: Final = ("front left", "front right", "rear left", "rear right")
#: Where a vaulter's COP can be: within these of the plate's centre, mm.
FOOT_AREA_MM: Final = (120.0, 100.0)
#: The load at which a calibration's uncertainty is told, N.
TOLD_AT_N: Final = 500.0

#: A residual beyond these is no sound board's, or no mass's on its mark.
_WORST_FORCE_SHARE: Final = 0.01
_WORST_PLACE_MM: Final = 8.0
#: Beyond this the spots (or masses) don't tell force and moments apart; nine marks have 1.4.
_WORST_CONDITION: Final = 10.0
#: A calibration that can't promise this in the foot area (95 %) is none.
_WORST_EXPANDED_SHARE: Final = 0.02
_WORST_EXPANDED_MM: Final = 4.0
_STEPS: Final = 8


@dataclass(frozen=True, slots=True)
class Spot:
    """A marked spot of the plate (mm), and how to call it."""

    name: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Reading:
    """Mean counts while a known mass lay on a spot; the empty board has spot None and mass 0.

    Attributes:
        spot, mass_kg: what lay where.
        counts: means.
        time_s: the middle of the time they are the mean of.
        noise_counts: rms noise of one sample, a cell.
        samples: how many the mean is of.
    """

    spot: Spot | None
    mass_kg: float
    counts: Vector4
    time_s: float = 0.0
    noise_counts: Vector4 = (0.0, 0.0, 0.0, 0.0)
    samples: int = 1


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is known before, and how well: standard uncertainties.

    Attributes:
        gravity_m_s2, gravity_u_m_s2: see ``board.gravity``.
        mass_u_kg: of each mass.
        placing_u_mm: of a mass's centre on its mark, along each axis.
        cell_place_u_mm: of a cell's place against the drawing, along each axis.
        cross_talk_u: of what one cell hears of another's load, as a share.
    """

    gravity_m_s2: float = STANDARD_GRAVITY
    gravity_u_m_s2: float = ANYWHERE_UNCERTAINTY_M_S2
    mass_u_kg: float = 0.03
    placing_u_mm: float = 0.9
    cell_place_u_mm: float = 5.0
    cross_talk_u: float = 0.03


class Residual(NamedTuple):
    """What the finished calibration makes of one reading, less what really lay there."""

    spot: Spot
    mass_kg: float
    force_n: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Fit:
    """A calibration and how well it fits.

    Attributes:
        calibration: with its uncertainty.
        residuals: one a reading with a mass, in order.
        residual_n: RMS of the force's residuals.
        worst_place_mm: the longest of the places' residuals.
        condition: condition number of the readings' (F, F·x, F·y).
        drift_n: how far the zeros went from the first empty board to the last; the worst cell.
        foot_area: the largest uncertainties in the foot area under 500 N (95 %).
        notes: what the readings could not show, in sentences.
    """

    calibration: Calibration
    residuals: tuple[Residual, ...]
    residual_n: float
    worst_place_mm: float
    condition: float
    drift_n: float
    foot_area: Expanded
    notes: tuple[str, ...] = ()


_AGAIN: Final = (
    "Start the calibration again: put the mass exactly on each mark, and nothing else on the board."
)


def fit(
    board_id: str,
    made: datetime,
    places: CellPlaces,
    readings: Sequence[Reading],
    assumed: Assumed | None = None,
) -> Fit:
    """Calibrate.

    Args:
        board_id, made: for the file.
        places: where the cells are by the drawing, mm.
        readings: at least one of the empty board, and of three with a mass, in the order taken.
        assumed: what is known before.

    Raises:
        SwaytrainerError: a cell is dead, the readings don't determine force and COP, or they
            contradict each other by more than a sound board does.
    """
    known = assumed or Assumed()
    empties = [r for r in readings if r.spot is None]
    loaded = [r for r in readings if r.spot is not None]
    if not empties:
        raise SwaytrainerError("Without the empty board its zero is unknown.", _AGAIN)
    if len(loaded) < 3:
        raise SwaytrainerError(f"{len(loaded)} spots are too few to calibrate.", _AGAIN)
    condition = _condition(loaded)
    zeros = _Zeros(empties)
    change = np.array([np.subtract(r.counts, zeros.at(r.time_s)) for r in loaded])
    gains = _rough_gains(change, loaded, np.asarray(places), known.gravity_m_s2)
    system = _System(change, loaded, gains, np.asarray(places), zeros, known)
    theta, cov = system.solve()
    calibration = system.calibration(theta, board_id, made, empties[-1].counts)
    residuals = tuple(_residual(calibration, zeros, r, known.gravity_m_s2) for r in loaded)
    worst_mm = max(math.hypot(r.x_mm, r.y_mm) for r in residuals)
    rms_n = math.sqrt(math.fsum(r.force_n**2 for r in residuals) / len(residuals))
    rms_mm = math.sqrt(math.fsum(r.x_mm**2 + r.y_mm**2 for r in residuals) / len(residuals))
    system.refuse_masses(theta)
    _refuse_residuals(residuals, known.gravity_m_s2)
    calibration = _with_trust(
        calibration, rms_n, rms_mm, known.gravity_m_s2, system.trust(theta, cov)
    )
    foot_area = _foot_area(calibration)
    if (
        foot_area.force_n > _WORST_EXPANDED_SHARE * TOLD_AT_N
        or max(foot_area.x_mm, foot_area.y_mm) > _WORST_EXPANDED_MM
    ):
        raise SwaytrainerError(
            f"These spots and masses leave ±{foot_area.force_n / TOLD_AT_N:.1%} of force and"
            f" ±{max(foot_area.x_mm, foot_area.y_mm):.1f} mm open: too much.",
            "Take a heavier mass or one that is better known, place it more exactly, and use all"
            " the marks.",
        )
    notes = []
    if len({r.mass_kg for r in loaded}) < 2:
        notes.append(
            "With one mass alone, neither its weight nor the board's linearity is checked."
        )
    if len(empties) < 2:
        notes.append("The board was seen empty once only: its drift is unknown.")
    return Fit(
        calibration,
        residuals,
        rms_n,
        worst_mm,
        condition,
        zeros.drift_n(np.abs(gains)),
        foot_area,
        tuple(notes),
    )


def _condition(loaded: Sequence[Reading]) -> float:
    """Condition number of the readings' (F, F·x, F·y), the lengths in units of 100 mm."""
    rows = []
    for r in loaded:
        assert r.spot is not None
        rows.append([r.mass_kg * v for v in (1.0, r.spot.x_mm / 100.0, r.spot.y_mm / 100.0)])
    singular = np.linalg.svd(np.array(rows), compute_uv=False)
    condition = math.inf if singular[-1] <= 0.0 else float(singular[0] / singular[-1])
    if condition > _WORST_CONDITION:
        what = "infinite" if condition > 1e6 else f"{condition:.0f}"
        raise SwaytrainerError(
            f"The spots are too much alike, or lie in one line (condition number {what}, at most"
            f" {_WORST_CONDITION:.0f}): force and both moments can't be told apart.",
            "Use all the marks: the middle, the sides and the corners.",
        )
    return condition


class _Zeros:
    """The empty board's counts, between the times when it was seen empty."""

    def __init__(self, empties: Sequence[Reading]) -> None:
        self._times = np.array([r.time_s for r in empties])
        self._counts = np.array([r.counts for r in empties])
        self._shares = np.array(
            [np.array(r.noise_counts) / math.sqrt(max(r.samples, 1)) for r in empties]
        )

    def at(self, time_s: float) -> Array:
        """By straight lines."""
        return np.array([np.interp(time_s, self._times, c) for c in self._counts.T])

    def drift_n(self, gains: Array) -> float:
        return float((np.abs(self._counts[-1] - self._counts[0]) * gains).max())

    def u_n(self, gains: Array) -> float:
        """Standard uncertainty of one cell's zero at any time in between, N (rms of the cells).

        Type A: the means' noise. Type B: a drift that isn't straight may bulge by a quarter of
        its whole; a rectangular distribution of that half-width. With one empty board alone a
        tenth of a newton is taken (our own guess).
        """
        noise = float(np.mean((self._shares * gains) ** 2))
        if len(self._times) < 2:
            return math.sqrt(noise + 0.1**2)
        bulge = (self._counts[-1] - self._counts[0]) * gains / 4.0
        return math.sqrt(noise + float(np.mean(bulge**2)) / 3.0)


def _rough_gains(change: Array, loaded: Sequence[Reading], where: Array, gravity: float) -> Array:
    """Four gains by least squares, the places as drawn and no cross-talk: a start."""
    rows, wanted = [], []
    for d, r in zip(change, loaded, strict=True):
        assert r.spot is not None
        newton = r.mass_kg * gravity
        # Moments are divided by a length, so that all equations are in newtons.
        for lever, target in (
            (np.ones(4), 1.0),
            (where[:, 0] / LEVER_MM, r.spot.x_mm / LEVER_MM),
            (where[:, 1] / LEVER_MM, r.spot.y_mm / LEVER_MM),
        ):
            rows.append(d * lever)
            wanted.append(newton * target)
    matrix = np.array(rows)
    scale = np.abs(matrix).max(axis=0)
    typical = float(np.median(scale))
    for name, s in zip(CELL_NAMES, scale, strict=True):
        if s <= 1e-3 * typical or s == 0.0:
            raise SwaytrainerError(
                f"The {name} cell never moved.", "Check its cable, then calibrate again."
            )
    solution, *_ = np.linalg.lstsq(matrix / scale, np.array(wanted), rcond=None)
    gains: Array = solution / scale
    if not np.all(np.abs(gains) > 1e-3 * np.abs(gains).max()):
        raise SwaytrainerError(
            "The readings give a cell no weight at all: two cables may be swapped.", _AGAIN
        )
    return gains


_OFF_DIAGONAL: Final = tuple((i, j) for i in range(4) for j in range(4) if i != j)


class _System:
    """The equations; unknowns are, in this order: four relative gains, eight places (mm), twelve
    cross-talks, each mass's relative error, gravity's relative error.
    """

    def __init__(
        self,
        change: Array,
        loaded: Sequence[Reading],
        gains: Array,
        where: Array,
        zeros: _Zeros,
        known: Assumed,
    ) -> None:
        self._d = change * gains  # newtons, as if there were no cross-talk
        self._gains, self._where = gains, where
        self._masses = sorted({r.mass_kg for r in loaded})
        self._mass_at = [self._masses.index(r.mass_kg) for r in loaded]
        self._weight_n = np.array([r.mass_kg * known.gravity_m_s2 for r in loaded])
        self._spots = np.array([(s.x_mm, s.y_mm) for r in loaded if (s := r.spot) is not None])
        size = np.abs(gains)
        self._zero_n = zeros.u_n(size)
        self._placing_u_mm = known.placing_u_mm
        noise = np.array([r.noise_counts for r in loaded]) * size
        self.noise_n = float(np.sqrt(np.mean(noise**2)))
        mean_n = [
            math.sqrt(float(np.mean(n**2)) / max(r.samples, 1))
            for n, r in zip(noise, loaded, strict=True)
        ]
        # A cell's mean is off by its own noise and by its zero; never taken as exact to less
        # than a ten-thousandth of the weight, which no load cell is.
        self._cell_u_n = np.sqrt(
            np.square(mean_n) + self._zero_n**2 + (0.5e-4 * self._weight_n) ** 2
        )
        self.prior_u = np.concatenate(
            [
                np.full(4, 0.5),
                np.full(8, known.cell_place_u_mm),
                np.full(12, known.cross_talk_u),
                [known.mass_u_kg / m for m in self._masses],
                [known.gravity_u_m_s2 / known.gravity_m_s2],
            ]
        )

    def _parts(self, theta: Array) -> tuple[Array, Array, Array]:
        talk = np.eye(4)
        for value, (i, j) in zip(theta[12:24], _OFF_DIAGONAL, strict=True):
            talk[i, j] = value
        return 1.0 + theta[:4], self._where + theta[4:12].reshape(4, 2), talk

    def _equations(self, theta: Array) -> tuple[Array, Array]:
        """Weighted residuals of all readings, and their derivatives."""
        gain, where, talk = self._parts(theta)
        rows, values = [], []
        for k, d in enumerate(self._d):
            u = gain * d
            loads = talk @ u
            force = float(loads.sum())
            cop = loads @ where / force
            by_load = _by_load(talk, u, d)  # (4, unknowns)
            weight = self._weight_n[k]
            cell = self._cell_u_n[k]
            row = np.zeros(self.prior_u.size)
            row[: by_load.shape[1]] = by_load.sum(axis=0)
            row[24 + self._mass_at[k]] -= weight
            row[-1] -= weight
            share = 1.0 + theta[24 + self._mass_at[k]] + theta[-1]
            rows.append(row / (2.0 * cell))
            values.append((force - weight * share) / (2.0 * cell))
            for axis in (0, 1):
                arm = where[:, axis] - cop[axis]
                row = np.zeros(self.prior_u.size)
                row[: by_load.shape[1]] = arm @ by_load / force
                for i in range(4):
                    row[4 + 2 * i + axis] += loads[i] / force
                off = math.hypot(self._placing_u_mm, cell * float(np.sqrt((arm**2).sum())) / weight)
                rows.append(row / off)
                values.append((cop[axis] - self._spots[k, axis]) / off)
        return np.array(values), np.array(rows)

    def solve(self) -> tuple[Array, Array]:
        """The unknowns and their covariance."""
        theta, cov, ratios = self._solve_once()
        if max(ratios) > 1.0:
            self._cell_u_n = self._cell_u_n * math.sqrt(ratios[0])
            self._placing_u_mm *= math.sqrt(ratios[1])
            theta, cov, _ = self._solve_once()
        return theta, cov

    def _solve_once(self) -> tuple[Array, Array, tuple[float, float]]:
        """And Birge's ratios of force and place, 1 where the residuals are as told."""
        theta = np.zeros(self.prior_u.size)
        prior = np.diag(1.0 / self.prior_u**2)
        for _ in range(_STEPS):
            values, rows = self._equations(theta)
            normal = rows.T @ rows + prior
            step = np.linalg.solve(normal, rows.T @ values + prior @ theta)
            theta = theta - step
            if np.all(np.abs(step) < 1e-9 * self.prior_u):
                break
        values, rows = self._equations(theta)
        cov: Array = np.asarray(np.linalg.inv(rows.T @ rows + prior), dtype=np.float64)
        free = 1.0 - np.einsum("ij,jk,ik->i", rows, cov, rows)
        force = np.arange(values.size) % 3 == 0
        return (
            theta,
            cov,
            (_birge(values[force], free[force]), _birge(values[~force], free[~force])),
        )

    def refuse_masses(self, theta: Array) -> None:
        """Two masses that contradict each other: one was typed or weighed wrongly."""
        if len(self._masses) < 2:
            return
        for mass, error, u in zip(self._masses, theta[24:-1], self.prior_u[24:-1], strict=True):
            if abs(error) > 4.0 * u and abs(error) > 0.002:
                raise SwaytrainerError(
                    f"The masses contradict each other: {mass:g} kg weighs like"
                    f" {mass * (1.0 + error):.2f} kg beside the others.",
                    "Weigh them all on one scale, give each its own figure, and start again.",
                )

    def calibration(
        self, theta: Array, board_id: str, made: datetime, offset: Vector4
    ) -> Calibration:
        gain, where, talk = self._parts(theta)
        return Calibration(
            board_id,
            made,
            _vector(self._gains * gain),
            offset,
            CellPlaces(*((float(x), float(y)) for x, y in where)),
            tuple(_vector(row) for row in talk),
        )

    def trust(self, theta: Array, cov: Array) -> Uncertainty:
        """The covariance of E (see ``calibration.Uncertainty``)."""
        gain, where, talk = self._parts(theta)
        basis = np.column_stack([np.ones(4), where / LEVER_MM])  # (4, 3)
        # A rigid level plate on four equal springs: the loads are a plane over the cells' places.
        spread = basis @ np.linalg.inv(basis.T @ basis)  # (4, 3): loads of a unit w
        out = np.zeros((9, self.prior_u.size))
        for b in range(3):
            loads = spread[:, b]
            u = np.linalg.solve(talk, loads)
            by_load = _by_load(talk, u, u / gain)
            for row in range(3):
                out[3 * row + b, : by_load.shape[1]] += basis[:, row] @ by_load
            for i in range(4):
                for axis in (0, 1):
                    out[3 * (1 + axis) + b, 4 + 2 * i + axis] += loads[i] / LEVER_MM
        error = out @ cov @ out.T
        lower = tuple(tuple(float(f"{error[i, j]:.6g}") for j in range(i + 1)) for i in range(9))
        return Uncertainty(lower, float(f"{self._zero_n:.4g}"), float(f"{self.noise_n:.4g}"))


def _by_load(talk: Array, u: Array, d: Array) -> Array:
    """Derivatives of the loads by gains and cross-talk (places don't change them): (4, 24)."""
    rows = np.zeros((4, 24))
    rows[:, :4] = talk * d
    for n, (i, j) in enumerate(_OFF_DIAGONAL):
        rows[i, 12 + n] = u[j]
    return rows


def _vector(values: Array) -> Vector4:
    a, b, c, d = (float(v) for v in values)
    return (a, b, c, d)


def _birge(values: Array, free: Array) -> float:
    """χ² over its freedom, if it is beyond chance; 1 otherwise."""
    chi2, freedom = float(values @ values), float(free.sum())
    return chi2 / freedom if freedom > 1.0 and chi2 > _chi2_999(freedom) else 1.0


def _chi2_999(freedom: float) -> float:
    """99.9 % quantile of χ² (Wilson & Hilferty, PNAS 1931;17:684-688; within 1 % from 3 on)."""
    share = 2.0 / (9.0 * freedom)
    return freedom * (1.0 - share + 3.0902 * math.sqrt(share)) ** 3


def _with_trust(
    c: Calibration, rms_n: float, rms_mm: float, gravity: float, trust: Uncertainty
) -> Calibration:
    return Calibration(
        c.board_id,
        c.made,
        c.gain_n_per_count,
        c.offset_counts,
        c.places,
        c.cross_talk,
        residual_n=round(rms_n, 4),
        residual_mm=round(rms_mm, 4),
        gravity_m_s2=gravity,
        uncertainty=trust,
    )


def _residual(c: Calibration, zeros: _Zeros, r: Reading, gravity: float) -> Residual:
    spot = r.spot
    assert spot is not None
    counts = np.subtract(r.counts, zeros.at(r.time_s)) + np.array(c.offset_counts)
    loads = np.array(c.loads(_vector(counts)))
    force = float(loads.sum())
    x, y = loads @ np.asarray(c.places) / force
    return Residual(
        spot,
        r.mass_kg,
        force - r.mass_kg * gravity,
        float(x) - spot.x_mm,
        float(y) - spot.y_mm,
    )


def _refuse_residuals(residuals: Sequence[Residual], gravity: float) -> None:
    def badness(r: Residual) -> float:
        return max(
            math.hypot(r.x_mm, r.y_mm) / _WORST_PLACE_MM,
            abs(r.force_n) / (_WORST_FORCE_SHARE * r.mass_kg * gravity),
        )

    worst = max(residuals, key=badness)
    if badness(worst) > 1.0:
        raise SwaytrainerError(
            f"The fit leaves {worst.force_n:+.1f} N and"
            f" {math.hypot(worst.x_mm, worst.y_mm):.1f} mm at {worst.spot.name}: a mass lay beside"
            " its mark, its weight was wrong, or a cell binds.",
            _AGAIN,
        )


def _foot_area(c: Calibration) -> Expanded:
    trust = c.uncertainty
    assert trust is not None
    x, y = FOOT_AREA_MM
    corners = [
        trust.expanded(c.places, TOLD_AT_N, a, b)
        for a, b in ((0.0, 0.0), (-x, y), (x, y), (-x, -y), (x, -y))
    ]
    return Expanded(*(max(values) for values in zip(*corners, strict=True)))
