"""Simulated boards calibrated and loaded without a wire, counts straight into the guide."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from random import Random

from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.board.fit import Assumed, Fit, fit
from swaytrainer.board.guided import Guide, marked_spots
from swaytrainer.simulate.board import DECENT, BoardMake, SimulatedBoard

MADE = datetime(2026, 3, 1, tzinfo=UTC)
GRAVITY = 9.8127


@dataclass(frozen=True, slots=True)
class Helper:
    """Who calibrates, and how exactly.

    Attributes:
        masses_kg: what is believed.
        mass_u_kg: standard uncertainty of each.
        placing_mm: a mass lies within ± this of its mark, along each axis, evenly spread.
        gravity_u: standard uncertainty of the gravity that is taken, m/s².
        between_s: from one reading to the next.
    """

    masses_kg: tuple[float, ...] = (20.0, 10.0)
    mass_u_kg: float = 0.03
    placing_mm: float = 1.5
    gravity_u: float = 5e-4
    between_s: float = 12.0


def assumed(helper: Helper) -> Assumed:
    """What that helper would tell the program."""
    return Assumed(
        gravity_m_s2=GRAVITY,
        gravity_u_m_s2=helper.gravity_u,
        mass_u_kg=helper.mass_u_kg,
        placing_u_mm=helper.placing_mm / math.sqrt(3.0),
    )


def loads_of(make: BoardMake, force_n: float, x_mm: float, y_mm: float) -> Vector4:
    """Corner loads of a level plate, tared: at the rim of the foot area one may be negative, since
    the plate's own weight (some 15 N a corner) holds it down there.
    """
    across, along, quarter = x_mm / make.half_width_mm, y_mm / make.half_depth_mm, force_n / 4.0
    return (
        quarter * (1.0 - across + along),
        quarter * (1.0 + across + along),
        quarter * (1.0 - across - along),
        quarter * (1.0 + across - along),
    )


def calibrate(
    seed: int,
    make: BoardMake = DECENT,
    helper: Helper | None = None,
    on_step: Callable[[Guide], None] = lambda _guide: None,
    told: Assumed | None = None,
) -> tuple[SimulatedBoard, Fit]:
    """One board, calibrated by its guide: the true masses and places differ from the believed.

    ``told`` is what the helper tells the program, if that isn't the truth.
    """
    helper = helper or Helper()
    board = SimulatedBoard(make, seed)
    rng = Random(f"helper {seed}")
    gravity = GRAVITY + rng.gauss(0, helper.gravity_u)
    true_kg = {m: m + rng.gauss(0, helper.mass_u_kg) for m in helper.masses_kg}
    guide = Guide(marked_spots(make.half_width_mm, make.half_depth_mm), helper.masses_kg, GRAVITY)
    while (task := guide.task) is not None:
        on_step(guide)
        loads: Vector4 = (0.0, 0.0, 0.0, 0.0)
        if task.spot is not None:
            x, y = (
                at + rng.uniform(-1, 1) * helper.placing_mm
                for at in (task.spot.x_mm, task.spot.y_mm)
            )
            loads = loads_of(make, true_kg[task.mass_kg] * gravity, x, y)
        board.wait(helper.between_s)
        for _ in range(200):
            seen = board.observe(loads)
            assert seen is not None
            if guide.update(seen.time_s, seen.counts):
                break
        else:
            raise AssertionError(f"seed {seed}: not taken: {guide.instruction} {guide.hint}")
    return board, fit(
        board.board_id, MADE, board.drawn_places, guide.readings, told or assumed(helper)
    )


def shown(
    board: SimulatedBoard, calibration: Calibration, spots: list[tuple[float, float, float]]
) -> Iterator[tuple[float, float, float]]:
    """Mean force and COP that the calibrated board shows for each (N, x, y), freshly tared."""

    def mean(loads: Vector4) -> list[float]:
        sums = [0.0] * 4
        for _ in range(80):
            seen = board.observe(loads)
            assert seen is not None
            for i, load in enumerate(calibration.loads(seen.counts)):
                sums[i] += load / 80
        return sums

    for force_n, x_mm, y_mm in spots:
        tare = mean((0.0, 0.0, 0.0, 0.0))
        loaded = mean(loads_of(board.make, force_n, x_mm, y_mm))
        loads = [a - b for a, b in zip(loaded, tare, strict=True)]
        force = sum(loads)
        yield (
            force,
            sum(p[0] * w for p, w in zip(calibration.places, loads, strict=True)) / force,
            sum(p[1] * w for p, w in zip(calibration.places, loads, strict=True)) / force,
        )
