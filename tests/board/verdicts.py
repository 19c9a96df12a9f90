"""What ``swaytrainer check`` makes of good boards and of each built-in fault.

``python -m tests.board.verdicts`` prints the table that the contributors' guide quotes: 200 good
boards, and 40 of each fault. Counts go straight into the check, without a wire. Each board was
calibrated by the guide before its fault began, so it is as wrong as a calibrated board is.
"""

from __future__ import annotations

import argparse
from collections import Counter
from functools import lru_cache

from swaytrainer.board.acceptance import Check
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.findings import Trouble, Verdict
from swaytrainer.simulate.athlete import ATHLETES
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault
from swaytrainer.simulate.leaning import check_visit
from tests.board.boards import GRAVITY, calibrate

MASS_KG = 20.0

#: What must be said of each fault, first of all; one of these. A loose screw whose slips happen to
#: cancel looks like a plate that binds: it fails all the same.
EXPECTED: dict[Fault, set[Trouble]] = {
    Fault.SWAPPED: {Trouble.SWAPPED},
    Fault.REVERSED: {Trouble.REVERSED},
    Fault.DEAD: {Trouble.DEAD},
    Fault.ROCKING: {Trouble.ROCKING},
    Fault.GAIN: {Trouble.GAIN},
    Fault.RATE: {Trouble.RATE},
    Fault.NOISY: {Trouble.NOISY},
    Fault.LOOSE: {Trouble.LOOSE, Trouble.BOUND, Trouble.ROCKING},
    Fault.BOUND: {Trouble.BOUND},
    Fault.ID: {Trouble.ID},
}


@lru_cache(maxsize=64)
def calibration_of(seed: int) -> Calibration:
    """The board's own calibration, from its guide."""
    return calibrate(seed)[1].calibration


def visit(board: SimulatedBoard, check: Check, seed: int) -> Verdict | None:
    """One visit of somebody to the board; None if the check didn't come to an end."""
    make = board.make
    board.wait(600.0)
    for loads in check_visit(
        ATHLETES[seed % len(ATHLETES)],
        MASS_KG,
        make.rate_hz,
        make.half_width_mm,
        make.half_depth_mm,
        seed,
        gravity_m_s2=GRAVITY,
    ):
        seen = board.observe(loads)
        if seen is not None:
            check.update(seen.time_s, seen.counts, seen.status)
        if check.verdict is not None:
            return check.verdict
    return None


def verdict_of(
    seed: int, fault: Fault | None, calibration: Calibration | None = None
) -> Verdict | None:
    """The verdict on one board, by its own calibration if no other is given."""
    board = SimulatedBoard(DECENT, seed)
    calibration = calibration or calibration_of(seed)
    board.afflict(fault)
    check = Check(calibration, board.announced_id, board.make.rate_hz, MASS_KG, GRAVITY)
    return visit(board, check, seed)


def words(verdict: Verdict | None) -> str:
    """A verdict for the table."""
    if verdict is None:
        return "no verdict"
    said = "pass" if verdict.passed else "fail: " + ", ".join(f.trouble for f in verdict.findings)
    return said + (" (fix offered)" if verdict.fix is not None else "")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--good", type=int, default=200)
    parser.add_argument("--each", type=int, default=40)
    options = parser.parse_args()
    for fault, boards in ((None, options.good), *((f, options.each) for f in Fault)):
        tally = Counter(words(verdict_of(seed, fault)) for seed in range(boards))
        outcome = "; ".join(f"{n} × {said}" for said, n in tally.most_common())
        print(f"{fault or 'good board':<18} {outcome}", flush=True)


if __name__ == "__main__":
    main()
