"""A watched board: what its report says, of good boards and of each built-in fault."""

import math
from collections.abc import Iterable
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.board import wire
from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.board.calibration import Calibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.fault import RATE_DIVISOR, Fault
from swaytrainer.simulate.pair import SimulatedPair, foot_loads
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, Weight
from swaytrainer.sitting.board_report import (
    BoardReport,
    CellWord,
    delay_of,
    floor_of,
    status_of_corners,
)
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.sway.noise import white_path_mm_s
from tests.streams import board_of, one_visit, received

EMPTY = Scenario((Empty(6.0),))
MASS = Scenario((Empty(3.0), Weight(20.0, 30.0, -40.0, 6.0)))
STANDS = Scenario((Empty(5.0), StepOn(), Stand(6.0)))


def hello_of(board: SimulatedBoard | SimulatedPair) -> wire.Hello:
    """What the board says of itself."""
    [hello] = wire.Decoder().feed(board.hello())
    assert isinstance(hello, wire.Hello)
    return hello


def watched(
    items: Iterable[Received], board: SimulatedBoard, calibration: Calibration | None
) -> BoardWatch:
    watch = BoardWatch(hello_of(board), calibration)
    for item in items:
        watch.feed(item)
        watch.worked_off(item.host_s + 0.004)
    return watch


def report_of(
    scenario: Scenario, make: BoardMake | None = None, fault: Fault | None = None
) -> BoardReport:
    board = board_of(4, make)
    board.afflict(fault)
    return watched(received(board, scenario), board, board.true_calibration()).report()


def test_a_good_empty_board() -> None:
    report = report_of(EMPTY)
    assert report.connected
    assert report.warnings == ()
    assert [c.word for c in report.cells] == [CellWord.FINE] * 4
    assert [c.name for c in report.cells] == [
        "front left",
        "front right",
        "rear left",
        "rear right",
    ]
    assert report.rate_hz == pytest.approx(80.0, rel=1e-4)
    assert (report.lost, report.corrupt, report.unknown) == (0, 0, 0)
    for cell in report.cells:
        assert cell.load_n == pytest.approx(0.0, abs=0.05)
        assert cell.noise_n == pytest.approx(0.018, rel=0.3)
    assert math.isnan(report.x_mm)
    assert report.queue == (pytest.approx(4.0), pytest.approx(4.0))
    assert (report.samples_per_read, report.most_per_read) == (1.0, 1)
    assert report.reads_hz == pytest.approx(80.0)
    assert math.isnan(report.drift_ppm)


def test_a_known_mass_at_a_known_place() -> None:
    report = report_of(MASS)
    assert report.force_n == pytest.approx(20.0 * 9.80665, abs=0.2)
    assert report.mass_kg == pytest.approx(20.0, abs=0.02)
    assert report.x_mm == pytest.approx(30.0, abs=0.2)
    assert report.y_mm == pytest.approx(-40.0, abs=0.2)
    assert sum(c.load_n for c in report.cells) == pytest.approx(20.0 * 9.80665, abs=0.2)
    assert report.twist_percent < 1.0
    assert report.floor.dead
    assert report.floor.force_n == pytest.approx(20.0 * 9.80665, abs=0.2)


def test_the_noise_floor_grows_with_the_noise_and_falls_with_the_weight() -> None:
    quiet = report_of(EMPTY).floor
    noisy = report_of(EMPTY, BoardMake(noise_counts=8 * 37.75)).floor
    assert quiet.why == noisy.why == ""
    assert noisy.speed_mm_s == pytest.approx(8 * quiet.speed_mm_s, rel=0.2)
    # Unfiltered white noise would walk √π·σ·rate (sway/noise.py); 10 Hz leaves a part of it.
    assert 0.05 < quiet.speed_mm_s / white_path_mm_s(quiet.cop_noise_mm, 80.0) < 0.25
    dead = report_of(MASS).floor
    assert dead.speed_mm_s * dead.force_n == pytest.approx(
        quiet.speed_mm_s * quiet.force_n, rel=0.35
    )


@pytest.mark.parametrize("seed", range(4))
def test_a_body_however_calm_is_no_dead_weight(seed: int) -> None:
    board = board_of(seed)
    watch = BoardWatch(hello_of(board), board.true_calibration())
    for item in received(board, STANDS, seed):
        watch.feed(item)
        if watch.cop.force_n > 100.0:
            assert not watch.report().floor.dead
    told = watch.report().floor
    assert "moves" in told.why
    # What the empty board said before is kept, with its age.
    assert told.age_s == pytest.approx(7.0, abs=1.5)
    assert 0.1 < told.speed_mm_s < 0.6
    assert all(math.isnan(c.noise_n) for c in watch.report().cells)


def test_an_uncalibrated_board_has_counts_but_no_loads() -> None:
    board = board_of(4)
    report = watched(received(board, MASS), board, None).report()
    assert [c.word for c in report.cells] == [CellWord.FINE] * 4
    for value in (report.force_n, report.x_mm, report.twist_n, *(c.load_n for c in report.cells)):
        assert math.isnan(value)
    assert all(math.isfinite(c.counts) and math.isfinite(c.noise_counts) for c in report.cells)
    assert "calibration" in report.floor.why
    assert any("Not calibrated" in w for w in report.warnings)


@pytest.mark.parametrize(
    ("shift", "word"),
    [(0, CellWord.MISSING), (4, CellWord.SATURATED), (8, CellWord.STUCK)],
)
@pytest.mark.parametrize("cell", range(4))
def test_what_the_board_says_of_a_cell_stands_at_its_corner(
    cell: int, shift: int, word: CellWord
) -> None:
    board = board_of(4)
    calibration = board.true_calibration()
    items = with_status(received(board, EMPTY), 1 << (shift + cell))
    words = [c.word for c in watched(items, board, calibration).report().cells]
    assert words == [word if i == cell else CellWord.FINE for i in range(4)]
    # Where cables are known to be swapped, the board's input 0 is the front right cell.
    swapped = replace(calibration, channels=(1, 0, 2, 3))
    words = [c.word for c in watched(items, board, swapped).report().cells]
    corner = {0: 1, 1: 0}.get(cell, cell)
    assert words == [word if i == corner else CellWord.FINE for i in range(4)]


def with_status(items: list[Received], status: int) -> list[Received]:
    """The same stream, each sample with these status bits."""
    changed = []
    for item in items:
        data = b""
        for frame in wire.Decoder().feed(item.data):
            if isinstance(frame, wire.Sample):
                data += wire.encode_sample(frame._replace(status=status))
            elif isinstance(frame, wire.Hello):
                data += wire.encode_hello(frame)
        changed.append(Received(item.host_s, data))
    return changed


def test_a_missing_cell_leaves_counts_of_the_others_and_no_loads() -> None:
    report = report_of(MASS, BoardMake(dead_cell=2))
    assert [c.word for c in report.cells][2] is CellWord.MISSING
    assert math.isnan(report.cells[2].counts)
    assert all(math.isfinite(c.counts) for i, c in enumerate(report.cells) if i != 2)
    assert all(math.isnan(c.load_n) for c in report.cells)
    assert math.isnan(report.force_n)
    assert "No signal from the rear left cell" in report.warnings[0]


def test_a_count_that_never_changes_is_stuck_even_if_the_board_does_not_say_so() -> None:
    report = report_of(EMPTY, BoardMake(noise_counts=0.0))
    assert [c.word for c in report.cells] == [CellWord.STUCK] * 4


def test_a_rocking_plate_is_told() -> None:
    report = report_of(STANDS, fault=Fault.ROCKING)
    assert report.twist_percent > 15.0
    assert any("rocks" in w for w in report.warnings)


def test_a_wrong_rate_is_told() -> None:
    report = report_of(EMPTY, fault=Fault.RATE)
    assert report.rate_hz == pytest.approx(80.0 / RATE_DIVISOR, rel=1e-3)
    assert report.nominal_hz == 80.0
    slow = report_of(Scenario((Empty(20.0),)), fault=Fault.RATE)
    assert any("instead of 80" in w for w in slow.warnings)


def test_a_board_that_announces_too_slow_a_rate_still_shows_its_loads() -> None:
    report = report_of(MASS, BoardMake(rate_hz=10.0))
    assert report.mass_kg == pytest.approx(20.0, abs=0.05)
    assert report.x_mm == pytest.approx(30.0, abs=0.5)
    assert any("at least 40" in w for w in report.warnings)
    assert math.isnan(report.floor.speed_mm_s)
    assert "10 Hz is impossible" in report.floor.why


def test_loss_and_damage_are_counted() -> None:
    report = report_of(one_visit(20.0), BoardMake(lose_share=0.02, flip_share=0.01))
    assert report.lost_percent == pytest.approx(3.0, abs=1.2)
    assert 5 < report.corrupt < 80
    assert report.rate_hz == pytest.approx(80.0, rel=0.02)


@pytest.mark.parametrize("ppm", [-150.0, 80.0])
def test_drift_is_told_after_a_while(ppm: float) -> None:
    board = board_of(4, BoardMake(clock_ppm=ppm))
    rng = Random(f"drift {ppm}")
    items = [
        Received(i.host_s + rng.expovariate(1000.0), i.data)
        for i in received(board, Scenario((Empty(40.0),)))
    ]
    report = watched(items, board, None).report()
    # The board's clock runs fast by so much: the host's outruns it by as much less.
    assert report.drift_ppm == pytest.approx(-ppm, abs=15.0)


def test_jitter_is_that_of_the_arrivals() -> None:
    board = board_of(4)
    rng = Random("jitter")
    lateness = [0.01 if rng.random() < 0.03 else rng.uniform(0.0, 0.002) for _ in range(1600)]
    items = [
        Received(i.host_s + late, i.data)
        for i, late in zip(received(board, Scenario((Empty(20.0),))), lateness, strict=True)
    ]
    report = watched(items, board, None).report()
    assert report.jitter.median_ms == pytest.approx(1.0, abs=0.15)
    assert report.jitter.p99_ms == pytest.approx(10.0, abs=0.3)


def test_what_piled_up_while_the_program_began_is_no_delay() -> None:
    board = board_of(4)
    items = received(board, EMPTY)
    late = [Received(max(i.host_s, items[70].host_s), i.data) for i in items]
    report = watched(late, board, None).report()
    assert report.jitter.p99_ms < 0.1
    assert report.samples_per_read == 1.0


def test_a_lazy_usb_chip_shows_as_bundles() -> None:
    board = board_of(4)
    items = received(board, EMPTY)
    bundled = [
        Received(items[n + 3].host_s, b"".join(i.data for i in items[n : n + 4]))
        for n in range(0, 480, 4)
    ]
    report = watched(bundled, board, None).report()
    assert (report.samples_per_read, report.most_per_read) == (4.0, 4)
    assert report.reads_hz == pytest.approx(20.0)
    # Of four samples 12.5 ms apart that arrive together the first is 37.5 ms late.
    assert report.jitter.p99_ms == pytest.approx(37.5, abs=1.0)
    # The middle of four equally frequent values lies anywhere between the second and third.
    assert 12.4 < report.jitter.median_ms < 25.1


def test_without_a_signal_nothing_old_looks_new() -> None:
    board = board_of(4)
    items = received(board, MASS)
    watch = watched(items, board, board.true_calibration())
    assert watch.report().mass_kg > 19.0
    watch.feed(Silence(items[-1].host_s + 3.0, 3.0))
    report = watch.report()
    assert not report.connected
    assert report.silent_s == 3.0
    assert [c.word for c in report.cells] == [CellWord.SILENT] * 4
    assert math.isnan(report.force_n)
    assert len(report.warnings) == 1
    watch.feed(LinkBroken(items[-1].host_s + 4.0, "gone"))
    assert math.isnan(watch.cop.force_n)
    again = received(board, EMPTY)
    for item in again:
        watch.feed(item)
    assert watch.report().connected


def test_another_board_is_refused() -> None:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), None)
    with pytest.raises(SwaytrainerError, match="Another board"):
        watch.feed(Received(1.0, board_of(5).hello()))


def test_too_little_is_no_number() -> None:
    board = board_of(4)
    for items in ([], received(board, EMPTY)[:1], received(board, EMPTY)[:2]):
        report = watched(items, board, board.true_calibration()).report()
        for value in (*report.jitter, *report.queue, report.drift_ppm, report.floor.speed_mm_s):
            assert math.isnan(value)
        assert "Too little" in report.floor.why


def test_the_report_does_not_depend_on_when_it_is_asked_for() -> None:
    def run(ask: bool) -> BoardReport:
        board = board_of(4)
        watch = BoardWatch(hello_of(board), board.true_calibration())
        for item in received(board, STANDS):
            watch.feed(item)
            if ask:
                watch.report()
        return watch.report()

    assert repr(run(True)) == repr(run(False))


@given(st.lists(st.floats(-1.0, 1.0), min_size=20, max_size=200))
def test_percentiles_are_numpys_own(values: list[float]) -> None:
    delay = delay_of(values)
    assert delay.median_ms == pytest.approx(1e3 * float(np.median(values)))
    assert delay.median_ms <= delay.p99_ms <= 1e3 * max(values) + 1e-9


@given(st.integers(0, 0xFFFF), st.permutations(range(4)))
def test_status_of_corners_keeps_every_bit(status: int, order: list[int]) -> None:
    a, b, c, d = order
    moved = status_of_corners(status, (a, b, c, d))
    assert moved.bit_count() == status.bit_count()
    assert moved & 0xF000 == status & 0xF000
    back = [0] * 4
    for corner, channel in enumerate(order):
        back[channel] = corner
    assert status_of_corners(moved, (back[0], back[1], back[2], back[3])) == status


@given(st.binary(max_size=300))
def test_no_bytes_upset_it(data: bytes) -> None:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), board.true_calibration())
    watch.feed(Received(1.0, data))
    watch.worked_off(1.0)
    watch.report()


def test_a_floor_needs_a_second() -> None:
    calibration = board_of(4).true_calibration()
    assert "Too little" in floor_of([], calibration).why
    assert "Too little" in floor_of([(0.0, 1.0, 2.0, 3.0, 4.0)], calibration).why


def pair_watch(calibrated: bool = True) -> tuple[BoardWatch, list[Received], SimulatedPair]:
    pair = SimulatedPair(seed=4)
    watch = BoardWatch(hello_of(pair), pair.true_calibration() if calibrated else None)
    loads = foot_loads(Scenario((Empty(5.0), StepOn(), Stand(6.0))), JUNIOR, pair, 1)
    items = [Received(100.0 + n / 80.0, data) for n, data in enumerate(pair.stream(loads))]
    return watch, items, pair


def test_two_plates_are_one_board_of_eight_cells() -> None:
    watch, items, _ = pair_watch()
    for item in items:
        watch.feed(item)
    report = watch.report()
    names = [c.name for c in report.cells]
    assert len(names) == 8
    assert names[0] == "left: front left"
    assert names[7] == "right: rear right"
    assert [c.word for c in report.cells] == [CellWord.FINE] * 8
    assert report.mass_kg == pytest.approx(JUNIOR.mass_kg, rel=0.01)
    assert sum(c.load_n for c in report.cells) == pytest.approx(report.force_n, rel=0.01)
    assert report.rate_hz == pytest.approx(80.0, rel=1e-3)
    assert 0.1 < report.floor.speed_mm_s < 0.8
    assert report.warnings == ()


@pytest.mark.parametrize("side", [0, 1])
def test_a_missing_cell_of_one_of_two_plates_is_named_with_its_plate(side: int) -> None:
    watch, items, _ = pair_watch()
    decoder = wire.Decoder()
    for item in items:
        for frame in decoder.feed(item.data):
            if isinstance(frame, wire.PairSample):
                frame = (  # noqa: PLW2901
                    frame._replace(left_status=4) if side == 0 else frame._replace(right_status=4)
                )
                watch.feed(Received(item.host_s, wire.encode_pair_sample(frame)))
    report = watch.report()
    missing = [c.name for c in report.cells if c.word is CellWord.MISSING]
    assert missing == [("left", "right")[side] + ": rear left"]
    assert math.isnan(report.force_n)
    assert f"{('left', 'right')[side]} plate's rear left" in report.warnings[0]


def test_two_plates_without_a_calibration_have_counts() -> None:
    watch, items, _ = pair_watch(calibrated=False)
    for item in items[:400]:
        watch.feed(item)
    report = watch.report()
    assert all(math.isfinite(c.counts) and math.isnan(c.load_n) for c in report.cells)
