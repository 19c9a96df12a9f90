"""Streams of a simulated board for tests: the wire's bytes without a wire."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from random import Random

from swaytrainer.board.arrivals import Received
from swaytrainer.simulate.athlete import JUNIOR, Athlete
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.body import ORDINARY, Manner
from swaytrainer.simulate.scenario import (
    Empty,
    Scenario,
    Stand,
    StepOff,
    StepOn,
    corner_loads,
)
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.sitting.view import Event
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import Vaulter

WREN = Vaulter("Wren", JUNIOR.foot_length_mm, JUNIOR.stance_width_mm)
NOON = datetime(2026, 5, 2, 12, 0, tzinfo=UTC)


def short_level(seconds: float = 6.0, trials: int = 1) -> Level:
    return replace(shipped_levels()[0], seconds=seconds, trials=trials, rest_s=2.0)


def one_visit(stand_s: float = 14.0, manner: Manner = ORDINARY) -> Scenario:
    return Scenario((Empty(2.5), StepOn(), Stand(stand_s, manner), StepOff(), Empty(8.0)))


def setup_for(board: SimulatedBoard, level: Level | None = None) -> Setup:
    return Setup(
        board.true_calibration(),
        level or short_level(),
        WREN,
        BoardFacts(board.board_id, board.make.rate_hz),
    )


def received(
    board: SimulatedBoard,
    scenario: Scenario,
    seed: int = 1,
    athlete: Athlete = JUNIOR,
    pieces: int | None = None,
) -> list[Received]:
    """What a link would hand on: frame by frame, or cut at random if ``pieces`` is a seed."""
    make = board.make
    loads = corner_loads(
        scenario, athlete, make.rate_hz, make.half_width_mm, make.half_depth_mm, seed
    )
    frames = [
        Received(100.0 + (n + 1) / make.rate_hz, data)
        for n, data in enumerate(board.stream(loads))
        if data
    ]
    return frames if pieces is None else list(cut(frames, pieces))


def cut(frames: list[Received], seed: int) -> Iterator[Received]:
    """The same bytes in other pieces; the times stay those of the last byte's arrival."""
    rng = Random(seed)
    rest = b""
    for frame in frames:
        rest += frame.data
        n = rng.randrange(len(rest) + 1)
        if n:
            yield Received(frame.host_s, rest[:n])
            rest = rest[n:]
    if rest:
        yield Received(frames[-1].host_s, rest)


def board_of(seed: int = 1, make: BoardMake | None = None) -> SimulatedBoard:
    return SimulatedBoard(make or BoardMake(), seed)


def run(sitting: Sitting, items: list[Received]) -> list[Event]:
    return [event for item in items for event in sitting.feed(item)]
