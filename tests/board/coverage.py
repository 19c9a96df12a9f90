"""Does the stated uncertainty of a calibration hold? Over many simulated boards.

``python -m tests.board.coverage`` calibrates 1,000 boards of a decent home build, each with its own
gains, offsets, misplaced cells, cross-talk, noise and warm-up, by a helper who places masses and
knows their weight only so well; then loads each at spots of the foot area and counts how often
force and COP are within the 95 % that the calibration states. ``--boards N`` takes fewer.
It prints the figures that the contributors' guide quotes.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from swaytrainer.simulate.board import DECENT, BoardMake
from tests.board.boards import Helper, calibrate, shown

#: (N, x mm, y mm): under a child and an adult, in the middle and at the rim of the foot area.
SPOTS = [
    (300.0, 0.0, 0.0),
    (600.0, 0.0, -40.0),
    (300.0, -90.0, -40.0),
    (600.0, 90.0, -40.0),
    (450.0, 0.0, 50.0),
    (450.0, -120.0, 100.0),
    (450.0, 120.0, -100.0),
]


@dataclass(frozen=True, slots=True)
class Coverage:
    """Shares of (board, spot) where the truth lies inside the stated 95 %, and how wrong they are.

    Attributes:
        boards: how many.
        force, x, y: shares inside.
        by_spot: the least and the largest share of any one spot and quantity.
        error_p95_mm, error_max_mm: of the COP's distance from the truth.
        force_p95_percent: of the force's error.
        stated_mm, stated_percent: medians of what was stated.
    """

    boards: int
    force: float
    x: float
    y: float
    by_spot: tuple[float, float]
    error_p95_mm: float
    error_max_mm: float
    force_p95_percent: float
    stated_mm: float
    stated_percent: float


def coverage(
    seeds: Iterable[int], make: BoardMake = DECENT, helper: Helper | None = None
) -> Coverage:
    """Calibrate and load the boards of these seeds."""
    errors, stated = [], []
    for seed in seeds:
        board, fitted = calibrate(seed, make, helper)
        calibration = fitted.calibration
        for spot, seen in zip(SPOTS, shown(board, calibration, SPOTS), strict=True):
            promised = calibration.expanded(*spot)
            assert promised is not None
            errors.append([seen[i] - spot[i] for i in range(3)])
            stated.append(promised)
    error = np.array(errors).reshape(-1, len(SPOTS), 3)
    promise = np.array(stated).reshape(-1, len(SPOTS), 3)
    inside = np.abs(error) <= promise
    by_spot = inside.mean(axis=0)
    force_n = np.array([s[0] for s in SPOTS])[:, None]
    apart = np.hypot(error[..., 1], error[..., 2])
    force, x, y = (float(v) for v in inside.mean(axis=(0, 1)))
    return Coverage(
        len(error),
        force,
        x,
        y,
        (float(by_spot.min()), float(by_spot.max())),
        float(np.quantile(apart, 0.95)),
        float(apart.max()),
        float(np.quantile(np.abs(error[..., :1]) / force_n, 0.95)) * 100.0,
        float(np.median(np.hypot(promise[..., 1], promise[..., 2]))),
        float(np.median(promise[..., :1] / force_n)) * 100.0,
    )


#: Other boards and helpers than the fit assumes: how far the statement then holds.
OTHERS: dict[str, tuple[BoardMake, Helper]] = {
    "cells twice as far off, twice the cross-talk": (
        replace(DECENT, cell_place_mm=4.0, cross_talk=0.02),
        Helper(),
    ),
    "no cell off, no cross-talk": (replace(DECENT, cell_place_mm=0.0, cross_talk=0.0), Helper()),
    "one mass of 20 kg": (DECENT, Helper(masses_kg=(20.0,))),
    "zeros that go four times as far": (replace(DECENT, drift_n=1.2), Helper()),
    "placed within 3 mm, and said so": (DECENT, Helper(placing_mm=3.0)),
}


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--boards", type=int, default=1000)
    boards = parser.parse_args().boards
    print_one(f"{boards} decent boards", coverage(range(boards)))
    for name, (make, helper) in OTHERS.items():
        few = max(50, boards // 5)
        print_one(f"{few} boards, {name}", coverage(range(few), make, helper))


def print_one(name: str, c: Coverage) -> None:
    """One line of figures and one of errors."""
    print(
        f"{name}: truth within the stated 95 %: force {c.force:.1%}, x {c.x:.1%}, y {c.y:.1%}"
        f" (single spots {c.by_spot[0]:.1%} to {c.by_spot[1]:.1%})"
    )
    print(
        f"  COP error p95 {c.error_p95_mm:.2f} mm, worst {c.error_max_mm:.2f} mm (stated, median"
        f" ±{c.stated_mm:.2f} mm); force error p95 {c.force_p95_percent:.2f} % (stated, median"
        f" ±{c.stated_percent:.2f} %)",
        flush=True,
    )


if __name__ == "__main__":
    main()
