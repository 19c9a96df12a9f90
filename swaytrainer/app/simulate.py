"""``swaytrainer simulate``: a simulated board for everything that wants one."""

from __future__ import annotations

import argparse
import math
import sys

from swaytrainer.board.guided import marked_spots
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.body import MANNERS
from swaytrainer.simulate.scenario import (
    Empty,
    Scenario,
    Stand,
    Step,
    StepOff,
    StepOn,
    Weight,
    corner_loads,
)
from swaytrainer.simulate.server import SimulatorServer

_MASS_KG = 20.0
_VISITS = 50


def simulate(options: argparse.Namespace) -> int:
    """Serve until interrupted."""
    if options.manner not in MANNERS:
        raise SwaytrainerError(
            f"Nobody stands in the manner {options.manner!r}.",
            "Choose one of " + ", ".join(MANNERS) + ".",
        )
    make = BoardMake()
    board = SimulatedBoard(make, options.seed)
    steps: list[Step] = [Empty(4.0)]
    if options.calibrate:
        spots = marked_spots(make.half_width_mm, make.half_depth_mm)
        steps += [Weight(_MASS_KG, spot.x_mm, spot.y_mm, 3.0) for spot in spots]
        steps.append(Empty(10.0))
    for _ in range(_VISITS):
        steps += [StepOn(), Stand(45.0, MANNERS[options.manner]), StepOff(), Empty(15.0)]
    steps.append(Empty(math.inf))
    loads = corner_loads(
        Scenario(tuple(steps)),
        JUNIOR,
        make.rate_hz,
        make.half_width_mm,
        make.half_depth_mm,
        options.seed,
    )
    if options.pty:
        server = SimulatorServer.on_pty(board, loads)
    else:
        server = SimulatorServer.on_tcp(board, loads, port=options.tcp_port)
    print(f"Board {board.board_id} at {server.url}; it starts when it is asked.")
    if options.calibrate:
        print(f"  swaytrainer --port {server.url} calibrate --mass {_MASS_KG:g}")
    else:
        print(f"  swaytrainer --port {server.url}")
    print("Ctrl-C ends it.")
    sys.stdout.flush()
    try:
        server.ended.wait()
    finally:
        server.close()
    return 0
