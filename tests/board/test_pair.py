"""Two plates as one board: calibration, its file, and what can be wrong with it."""

from dataclasses import replace

import numpy as np
import pytest

from swaytrainer.board.calibration import Calibration, Uncertainty
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.board.pair import PairCalibration, Plate
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.pair import SimulatedPair
from swaytrainer.sway.cop import CellPlaces

PAIR = SimulatedPair(seed=3, apart_mm=240.0).true_calibration()


def test_the_file_keeps_both_plates() -> None:
    swapped = replace(PAIR, right=replace(PAIR.right, channels=(1, 0, 2, 3)))
    for pair in (PAIR, swapped):
        assert from_toml(to_toml(pair), "x") == pair
    assert "format = 3" in to_toml(PAIR)  # an older program must refuse it


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("[right", "[wrong", "right must be a table"),
        ("plates_apart_mm = 240.0", "plates_apart_mm = 2.0", "2 mm apart"),
        ("plates_apart_mm = 240.0\n", "", "plates_apart_mm is missing"),
        ("[left.rear_left]", "[left.rear]", "left plate: rear_left"),
    ],
)
def test_a_mad_file_is_refused(old: str, new: str, why: str) -> None:
    text = to_toml(PAIR)
    assert old in text
    with pytest.raises(SwaytrainerError, match=why):
        from_toml(text.replace(old, new), "x")


def test_plates_of_two_boards_are_no_pair() -> None:
    with pytest.raises(SwaytrainerError, match="left plate is of board"):
        PairCalibration(PAIR.left, replace(PAIR.right, board_id="00000000000000ff"), 240.0)
    with pytest.raises(SwaytrainerError, match="is connected"):
        PAIR.for_board("00000000000000ff")


def test_counts_become_eight_loads_in_the_joint_frame() -> None:
    counts = [
        (100.0 * (n + 1)) / gain + offset
        for plate in (PAIR.left, PAIR.right)
        for n, (gain, offset) in enumerate(
            zip(plate.gain_n_per_count, plate.offset_counts, strict=True)
        )
    ]
    want = (100.0, 200.0, 300.0, 400.0) * 2
    assert PAIR.loads(counts) == pytest.approx(want)
    tare = tuple(range(8))
    assert PAIR.loads(counts, tare) == pytest.approx(
        [w - t for w, t in zip(want, tare, strict=True)]
    )
    xs = [x for x, _ in PAIR.places]
    assert max(xs[:4]) == pytest.approx(-120.0 + 90.0)
    assert min(xs[4:]) == pytest.approx(120.0 - 90.0)
    assert PAIR.plate(Plate.LEFT) is PAIR.left
    assert PAIR.with_plate(Plate.RIGHT, PAIR.left).right is PAIR.left


def test_the_joint_uncertainty_covers_errors_drawn_from_each_plates_own() -> None:
    """GUM JCGM 100:2008 5.1.2 against drawing: 95 % of the drawn errors lie within it."""
    covariance = tuple(tuple(4e-6 if i == j else 0.0 for j in range(i + 1)) for i in range(9))
    u = Uncertainty(covariance, zero_n=0.02, noise_n=0.02)
    places = CellPlaces.rectangle(90.0, 170.0)
    one = replace(PAIR.left, uncertainty=u, places=places)
    pair = PairCalibration(one, one, 240.0)
    expanded = pair.expanded(600.0, 30.0, 20.0)
    assert expanded is not None
    rng = np.random.default_rng(5)
    shares = (0.5 - 30.0 / 240.0, 0.5 + 30.0 / 240.0)
    moved = np.zeros((4000, 3))
    for share, middle in zip(shares, (-120.0, 120.0), strict=True):
        error = rng.normal(0, 2e-3, (4000, 3, 3))
        w = 600.0 * share * np.array([1.0, 0.0, 0.2])
        shown = w + np.einsum("nij,j->ni", error, w)
        moved[:, 0] += shown[:, 0]
        moved[:, 1] += shown[:, 0] * middle + 100.0 * shown[:, 1]
        moved[:, 2] += 100.0 * shown[:, 2]
    force = moved[:, 0]
    off = np.abs(np.column_stack([force - 600, moved[:, 1] / force - 30, moved[:, 2] / force - 20]))
    for axis in range(3):
        assert 0.93 < float((off[:, axis] <= expanded[axis]).mean()) < 0.97, axis


def test_it_knows_no_uncertainty_that_a_plate_lacks() -> None:
    assert isinstance(PAIR.left, Calibration)
    assert PAIR.expanded(500.0, 0.0, 0.0) is None
