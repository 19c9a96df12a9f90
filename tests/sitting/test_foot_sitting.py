"""From the wire's bytes to found feet, on one plate and on two."""

from datetime import UTC, datetime

import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.body import BodyState
from swaytrainer.simulate.leaning import feet_visit
from swaytrainer.simulate.pair import SimulatedPair, share
from swaytrainer.simulate.scenario import distribute
from swaytrainer.sitting.foot_sitting import FootSitting
from tests.streams import WREN, board_of

NOON = datetime(2026, 5, 2, 12, 0, tzinfo=UTC)
LINE_MM = -120.0


def expect_romys_feet(sitting: FootSitting) -> None:
    found = sitting.finder.found(NOON)
    assert found.feet is not None, found.why_not
    feet = found.feet.feet(LINE_MM)
    for toes in (0.0, 40.0, 100.0):
        y = JUNIOR.y_at_toe_share_mm(toes, LINE_MM)
        assert feet.toe_share_percent(y) == pytest.approx(toes, abs=6.0)


def test_one_plate() -> None:
    board = board_of()
    calibration = board.true_calibration()
    sitting = FootSitting(calibration, board.board_id, 80.0, WREN)
    asked = []
    loads = feet_visit(JUNIOR, 80.0, 220.0, 170.0, 3)
    for n, data in enumerate(board.stream(loads)):
        sitting.feed(Received(n / 80.0, data))
        if sitting.instruction not in asked:
            asked.append(sitting.instruction)
    assert asked[0] == "Leave the board empty for a moment."
    assert asked[1].startswith("Step on")
    assert asked[-1] == "Done: step off."
    expect_romys_feet(sitting)


def test_two_plates() -> None:
    pair = SimulatedPair(apart_mm=JUNIOR.stance_width_mm)
    sitting = FootSitting(pair.true_calibration(), pair.board_id, 80.0, WREN)

    def on_two(loads: tuple[float, float, float, float]) -> tuple[tuple[float, ...], ...]:
        fl, fr, rl, rr = loads
        force = fl + fr + rl + rr
        x = 220.0 * (fr + rr - fl - rl) / force if force else 0.0
        y = 170.0 * (fl + fr - rl - rr) / force if force else 0.0
        feet = share(BodyState(force, x, y), pair.apart_mm)
        return tuple(distribute(*foot, 90.0, 170.0) for foot in feet)

    visit = (on_two(loads) for loads in feet_visit(JUNIOR, 80.0, 220.0, 170.0, 3))
    for n, data in enumerate(pair.stream(visit)):  # type: ignore[arg-type]
        sitting.feed(Received(n / 80.0, data))
    expect_romys_feet(sitting)


def test_what_breaks_it_off() -> None:
    board = board_of()
    sitting = FootSitting(board.true_calibration(), board.board_id, 80.0, WREN)
    sitting.feed(Silence(0.0, 1.0))
    for item in (Silence(6.0, 6.0), LinkBroken(1.0, "gone")):
        with pytest.raises(SwaytrainerError, match="broke off"):
            sitting.feed(item)
    with pytest.raises(SwaytrainerError, match="Another board"):
        sitting.feed(Received(2.0, board_of(2).hello()))
    with pytest.raises(SwaytrainerError, match="connected"):
        FootSitting(board.true_calibration(), "00000000000000ff", 80.0, WREN)


def test_samples_without_loads_are_no_hold() -> None:
    board = board_of()
    sitting = FootSitting(board.true_calibration(), board.board_id, 80.0, WREN)
    for n, data in enumerate(board.stream(feet_visit(JUNIOR, 80.0, 220.0, 170.0, 3))):
        for frame in wire.Decoder().feed(data):
            if isinstance(frame, wire.Sample):
                status = wire.STATUS_MIXED if n > 400 and n % 40 == 0 else 0
                line = wire.encode_sample(frame._replace(status=status))
                sitting.feed(Received(n / 80.0, line))
    assert not sitting.finder.done or sitting.finder.found(NOON).feet is None
