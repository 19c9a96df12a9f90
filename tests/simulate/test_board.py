"""The simulated board: seeded to the byte, and as wrong as it is told to be."""

from itertools import islice

import numpy as np
import pytest

from swaytrainer.board import wire
from swaytrainer.simulate.board import BoardMake, SimulatedBoard

LOADS = (120.0, 130.0, 90.0, 100.0)


def samples(board: SimulatedBoard, n: int) -> list[wire.Sample]:
    decoder = wire.Decoder()
    data = b"".join(islice(board.stream(iter(lambda: LOADS, None)), n))
    return [f for f in decoder.feed(data) if isinstance(f, wire.Sample)]


def test_the_same_seed_gives_the_same_bytes() -> None:
    def stream(seed: int) -> bytes:
        make = BoardMake(lose_share=0.05, flip_share=0.05)
        return b"".join(SimulatedBoard(make, seed).stream([LOADS] * 200))

    assert stream(1) == stream(1)
    assert stream(1) != stream(2)


def test_gains_offsets_and_noise_are_as_told() -> None:
    board = SimulatedBoard(BoardMake(noise_counts=50.0), 3)
    counts = np.array([s[3:] for s in samples(board, 4000)], dtype=float)
    calibration = board.true_calibration()
    loads = np.array([calibration.loads(tuple(c)) for c in counts])
    assert np.allclose(loads.mean(axis=0), LOADS, atol=0.01)
    # Quantisation adds 1/12 of a count squared.
    assert np.allclose(counts.std(axis=0), np.hypot(50.0, 12**-0.5), rtol=0.05)


def test_stamps_and_sequence_count_up() -> None:
    got = samples(SimulatedBoard(BoardMake(clock_ppm=1000.0), 1), 1000)
    assert len(got) == 1000
    step = np.diff([s.time_us for s in got])
    assert np.all(np.abs(step - 12_512.5) <= 1.0)
    hellos = [s.sequence - i for i, s in enumerate(got)]
    assert hellos[0] == 1  # a hello goes first
    assert hellos[-1] == 13  # and one each second


def test_lost_and_flipped_frames_come_at_their_rate() -> None:
    make = BoardMake(lose_share=0.1, flip_share=0.1)
    decoder = wire.Decoder()
    good = list(decoder.feed(b"".join(SimulatedBoard(make, 5).stream([LOADS] * 4000))))
    assert len(good) == pytest.approx(50 + 4000 * 0.9 * 0.9, rel=0.03)
    assert decoder.counters.corrupt == pytest.approx(360, rel=0.2)


def test_a_dead_and_a_saturated_cell_say_so() -> None:
    board = SimulatedBoard(BoardMake(dead_cell=1), 1)
    [sample] = wire.Decoder().feed(board.sample((90_000.0, 1.0, 1.0, 1.0)))
    assert isinstance(sample, wire.Sample)
    assert sample.status == (1 << 1) | (1 << 4)
    assert sample.front_left == 2**23 - 1
    assert sample.front_right == 0
