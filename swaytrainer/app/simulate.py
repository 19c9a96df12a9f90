"""``swaytrainer simulate``: a simulated board for everything that wants one."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator

from swaytrainer.board.guided import marked_spots
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import DECENT, Loads, SimulatedBoard
from swaytrainer.simulate.body import MANNERS
from swaytrainer.simulate.fault import Fault
from swaytrainer.simulate.leaning import check_visit, feet_visit
from swaytrainer.simulate.pair import HALF_PLATE, SimulatedPair, foot_loads
from swaytrainer.simulate.scenario import (
    CornerLoads,
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


class _Done:
    """What of the script one host has seen to its end: the next one needs no more of it."""

    calibration = False
    plates = 0
    check = False


def _loads(
    options: argparse.Namespace, board: SimulatedBoard, done: _Done
) -> Iterator[CornerLoads]:
    """What happens on it. A fault begins after a calibration, as a board's trouble does."""
    make = board.make

    def play(*steps: Step) -> Iterator[CornerLoads]:
        return corner_loads(
            Scenario(steps),
            JUNIOR,
            make.rate_hz,
            make.half_width_mm,
            make.half_depth_mm,
            options.seed,
        )

    if options.calibrate and not done.calibration:
        yield from play(Empty(4.0))
        spots = marked_spots(make.half_width_mm, make.half_depth_mm)
        yield from play(*(Weight(_MASS_KG, s.x_mm, s.y_mm, 3.0) for s in spots))
        # Here, not at the end: who calibrates leaves as soon as the board was empty again.
        done.calibration = True
        yield from play(Empty(2.0))
    if options.fault is not None:
        board.afflict(Fault(options.fault))
    if options.check and not done.check:
        yield from check_visit(
            JUNIOR,
            _MASS_KG,
            make.rate_hz,
            make.half_width_mm,
            make.half_depth_mm,
            options.seed,
        )
        done.check = True
    if options.feet:
        yield from feet_visit(
            JUNIOR, make.rate_hz, make.half_width_mm, make.half_depth_mm, options.seed
        )
    yield from play(*_visits(options).steps)


def _foot_loads(
    options: argparse.Namespace, pair: SimulatedPair, done: _Done
) -> Iterator[tuple[Loads, Loads]]:
    """The same for two plates; who calibrates comes once for each, the left one first."""
    make = pair.make
    nothing: Loads = (0.0, 0.0, 0.0, 0.0)
    if options.calibrate and done.plates < 2:
        which = done.plates
        spots = marked_spots(make.half_width_mm, make.half_depth_mm)
        marks = [Weight(_MASS_KG, s.x_mm, s.y_mm, 3.0) for s in spots]
        steps: tuple[Step, ...] = (Empty(4.0), *marks, Empty(4.0))
        half = (make.half_width_mm, make.half_depth_mm)
        for n, load in enumerate(corner_loads(Scenario(steps), JUNIOR, make.rate_hz, *half, 1)):
            if n == round((4.5 + 3.0 * len(spots)) * make.rate_hz):
                done.plates = which + 1
            yield (load, nothing) if which == 0 else (nothing, load)
    yield from foot_loads(_visits(options), JUNIOR, pair, options.seed)


def _visits(options: argparse.Namespace) -> Scenario:
    visit = (StepOn(), Stand(45.0, MANNERS[options.manner]), StepOff(), Empty(15.0))
    steps: list[Step] = [Empty(6.0)]
    steps += [step for _ in range(_VISITS) for step in visit]
    return Scenario((*steps, Empty(math.inf)))


def _serve_pair(options: argparse.Namespace) -> SimulatorServer:
    for option in ("check", "fault", "feet", "pty"):
        if getattr(options, option):
            raise SwaytrainerError(
                f"--{option} has no meaning for two plates here.", "Leave it or --two-plates out."
            )
    pair, done = SimulatedPair(seed=options.seed), _Done()
    return SimulatorServer.on_tcp(
        pair,
        _foot_loads(options, pair, done),
        port=options.tcp_port,
        anew=(lambda: _foot_loads(options, pair, done)) if options.calibrate else None,
    )


def simulate(options: argparse.Namespace) -> int:
    """Serve until interrupted."""
    if options.manner not in MANNERS:
        raise SwaytrainerError(
            f"Nobody stands in the manner {options.manner!r}.",
            "Choose one of " + ", ".join(MANNERS) + ".",
        )
    if options.fault is not None and options.fault not in set(Fault):
        raise SwaytrainerError(
            f"There is no fault {options.fault!r}.", "Choose one of " + ", ".join(Fault) + "."
        )
    make = DECENT
    board = SimulatedBoard(make, options.seed)
    done = _Done()
    if options.two_plates:
        server = _serve_pair(options)
    elif options.pty:
        server = SimulatorServer.on_pty(board, _loads(options, board, done))
    else:
        # A look with 'board' must not use up the masses that 'calibrate' waits for; but once they
        # were on their marks, the next who comes wants a vaulter.
        scripted = options.calibrate or options.check or options.feet
        server = SimulatorServer.on_tcp(
            board,
            _loads(options, board, done),
            port=options.tcp_port,
            anew=(lambda: _loads(options, board, done)) if scripted else None,
        )
    print(f"Board {server.board_id} at {server.url}; it starts when it is asked.")
    if options.two_plates and options.calibrate:
        size = (
            f"--half-width {HALF_PLATE.half_width_mm:g} --half-depth {HALF_PLATE.half_depth_mm:g}"
        )
        for plate in ("left", "right"):
            print(
                f"  swaytrainer --port {server.url} calibrate --mass {_MASS_KG:g} {size}"
                f" --plate {plate} --plates-apart 200"
            )
    elif options.calibrate:
        print(f"  swaytrainer --port {server.url} calibrate --mass {_MASS_KG:g}")
    if options.check:
        print(f"  swaytrainer --port {server.url} check --mass {_MASS_KG:g}")
    if options.feet:
        print(f"  swaytrainer --port {server.url} feet NAME")
    if not (options.calibrate or options.check or options.feet):
        print(f"  swaytrainer --port {server.url}")
    print("Ctrl-C ends it.")
    sys.stdout.flush()
    try:
        server.ended.wait()
    finally:
        server.close()
    return 0
