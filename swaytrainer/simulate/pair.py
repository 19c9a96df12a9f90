"""A simulated board with two plates, one a foot, and what a standing body puts on each.

The feet share the load as the joint COP says. How a real body shares it from moment to moment is
not modelled beyond a slow exchange in opposite phase, which is our own guess.

Frame: the joint one, midway between the plates' middles, x to the right, y forward.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from swaytrainer.board import wire
from swaytrainer.board.pair import PairCalibration
from swaytrainer.simulate.athlete import Athlete
from swaytrainer.simulate.board import BoardMake, Loads, SimulatedBoard
from swaytrainer.simulate.body import BodyState
from swaytrainer.simulate.scenario import Scenario, body_states, distribute

#: A plate a foot is half as wide as one under both.
HALF_PLATE = BoardMake(half_width_mm=90.0, half_depth_mm=170.0)
#: The feet's COPs go apart and together, forward and back, by this and so often (our own guess).
EXCHANGE_MM = 4.0
EXCHANGE_HZ = 0.3


class SimulatedPair:
    """Two plates on one clock; the same seed gives the same bytes.

    Args:
        make: how each plate was built, its rate included; losses on the line are the first's.
        seed: as of a ``SimulatedBoard``.
        apart_mm: middle to middle.
    """

    def __init__(
        self, make: BoardMake = HALF_PLATE, seed: int = 1, apart_mm: float = 200.0
    ) -> None:
        self.make = make
        self.apart_mm = apart_mm
        self._left = SimulatedBoard(make, 2 * seed)
        self._right = SimulatedBoard(make, 2 * seed + 1)
        self.board_id = f"5157b0a3{seed & 0xFFFFFFFF:08x}"
        self._sequence = 0

    def true_calibration(self) -> PairCalibration:
        """The calibration that a perfect calibrator would find."""
        left, right = (
            replace(plate.true_calibration(), board_id=self.board_id)
            for plate in (self._left, self._right)
        )
        return PairCalibration(left, right, self.apart_mm)

    def hello(self) -> bytes:
        """A hello frame: eight cells."""
        hello = wire.Hello(
            self._next_sequence(),
            wire.WIRE_MAJOR,
            wire.WIRE_MINOR,
            (0, 1, 0),
            self.board_id,
            self.make.rate_hz,
            8,
            24,
            wire.FEATURE_SIMULTANEOUS,
        )
        return wire.encode_hello(hello)

    def _next_sequence(self) -> int:
        sequence, self._sequence = self._sequence, (self._sequence + 1) & 0xFFFF
        return sequence

    def sample(self, loads_n: tuple[Loads, Loads]) -> bytes:
        """The bytes of the next sample: what presses on the left plate and on the right one."""
        left, right = self._left.observe(loads_n[0]), self._right.observe(loads_n[1])
        if left is None or right is None:
            return b""
        time_us = round(left.time_s * 1e6) & 0xFFFFFFFF
        return wire.encode_pair_sample(
            wire.PairSample(
                self._next_sequence(),
                time_us,
                left.status,
                left.counts,
                right.status,
                right.counts,
            )
        )

    def stream(self, loads: Iterable[tuple[Loads, Loads]]) -> Iterator[bytes]:
        """A hello, then the bytes of each sample; again a hello every second."""
        every = max(1, round(self.make.rate_hz))
        for n, load in enumerate(loads):
            yield (self.hello() if n % every == 0 else b"") + self.sample(load)


def foot_loads(
    scenario: Scenario, athlete: Athlete, pair: SimulatedPair, seed: int
) -> Iterator[tuple[Loads, Loads]]:
    """Each plate's four loads, one pair a sample, as ``scenario.corner_loads`` makes one plate's.

    The feet stand on the plates' middles, so the athlete's own stance width does not matter.
    """
    make = pair.make
    wide = replace(athlete, stance_width_mm=pair.apart_mm)
    for n, state in enumerate(body_states(scenario, wide, make.rate_hz, seed)):
        apart_mm = EXCHANGE_MM * math.sin(2.0 * math.pi * EXCHANGE_HZ * n / make.rate_hz)
        left, right = share(state, pair.apart_mm, apart_mm)
        yield (
            distribute(*left, make.half_width_mm, make.half_depth_mm),
            distribute(*right, make.half_width_mm, make.half_depth_mm),
        )


def share(
    state: BodyState, apart_mm: float, exchange_mm: float = 0.0
) -> tuple[BodyState, BodyState]:
    """A body's force and joint COP on two feet, each in its plate's own frame.

    Force and both moments of the two add up to the body's.

    Args:
        state: force (N) and joint COP (mm).
        apart_mm: middle to middle of the plates.
        exchange_mm: by how much the left foot's COP is in front of, and the right one's behind.

    >>> share(BodyState(600.0, 50.0, 10.0), 200.0)
    (BodyState(force_n=150.0, x_mm=0.0, y_mm=10.0), BodyState(force_n=450.0, x_mm=0.0, y_mm=10.0))
    """
    right = min(max(0.5 + state.x_mm / apart_mm, 0.0), 1.0)
    # What lies beyond a foot's middle is that foot's own: all the load is on it.
    beyond_mm = state.x_mm - (right - 0.5) * apart_mm
    left_y = state.y_mm + exchange_mm * right
    right_y = state.y_mm - exchange_mm * (1.0 - right)
    return (
        BodyState(state.force_n * (1.0 - right), beyond_mm, left_y),
        BodyState(state.force_n * right, beyond_mm, right_y),
    )
