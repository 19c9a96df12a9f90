"""The calibration file, and counts to newtons against a general matrix product."""

import math
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.board.calibration import Calibration
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces

PLAIN = Calibration(
    "00000000000000a1",
    datetime(2026, 3, 1, 18, 30, tzinfo=UTC),
    (0.0004, 0.00041, -0.00039, 0.0004),
    (1000.5, -20000.0, 8.0, 0.25),
    CellPlaces.rectangle(220.0, 170.0),
    residual_n=0.21,
)
CROSSED = Calibration(
    **{
        **{f: getattr(PLAIN, f) for f in PLAIN.__slots__},
        "cross_talk": (
            (1.01, 0.002, 0.0, -0.004),
            (0.0, 0.99, 0.001, 0.0),
            (0.003, 0.0, 1.0, 0.0),
            (0.0, 0.0, -0.02, 1.02),
        ),
    }
)


@pytest.mark.parametrize("calibration", [PLAIN, CROSSED])
def test_the_file_brings_back_what_was_kept(calibration: Calibration) -> None:
    assert from_toml(to_toml(calibration), "x") == calibration


@given(st.tuples(*[st.integers(-(2**23), 2**23 - 1)] * 4), st.tuples(*[st.floats(-50, 50)] * 4))
def test_loads_are_the_matrix_product(
    counts: tuple[int, ...], tare: tuple[float, float, float, float]
) -> None:
    for c in (PLAIN, CROSSED):
        expected = np.array(c.cross_talk) @ (
            np.array(c.gain_n_per_count) * (np.array(counts) - c.offset_counts)
        ) - np.array(tare)
        assert np.allclose(c.loads(counts, tare), expected, rtol=1e-12, atol=1e-9)


def test_another_boards_calibration_is_refused() -> None:
    assert PLAIN.for_board("00000000000000a1") is PLAIN
    with pytest.raises(SwaytrainerError, match=r"00000000000000b2.*calibrate"):
        PLAIN.for_board("00000000000000b2")


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("format = 1", "format = 4", "format 4.*Update"),
        ("format = 1", "", "format is missing"),
        ('"00000000000000a1"', '"A1"', "16 hexadecimal"),
        ("+00:00", "", "time zone"),
        ("gain_n_per_count = 0.0004\n", "", r"front_left.gain_n_per_count is missing"),
        ("gain_n_per_count = 0.0004\n", "gain_n_per_count = 1.0\n", "full scale"),
        ("gain_n_per_count = 0.0004\n", "gain_n_per_count = 0\n", "full scale"),
        ("gain_n_per_count = 0.0004\n", "gain_n_per_count = nan\n", "must be a number"),
        ("gain_n_per_count = 0.0004\n", 'gain_n_per_count = "4"\n', "must be a number"),
        ("x_mm = -220.0", "x_mm = 220.0", "front_left.x_mm.*negative"),
        ("load_limit_kg = 120.0", "load_limit_kg = 5", "between 20 and 500"),
        ("[rear_right]", "[rear_rght]", "rear_right"),
        ("made =", "made", "not valid TOML"),
    ],
)
def test_a_mad_file_is_refused_with_field_and_remedy(old: str, new: str, why: str) -> None:
    text = to_toml(PLAIN)
    assert old in text
    with pytest.raises(SwaytrainerError, match=why) as caught:
        from_toml(text.replace(old, new, 1), "board.toml")
    assert "board.toml" in str(caught.value)
    assert caught.value.remedy


def test_mad_cross_talk_is_refused() -> None:
    text = to_toml(CROSSED)
    with pytest.raises(SwaytrainerError, match="identity"):
        from_toml(text.replace("1.01", "1.5"), "x")
    with pytest.raises(SwaytrainerError, match="four rows"):
        from_toml(text.replace("[1.01, 0.002, 0.0, -0.004]", "[1.01]"), "x")


SWAPPED = replace(PLAIN, channels=(1, 0, 2, 3))


def test_swapped_channels_are_kept_and_used() -> None:
    text = to_toml(SWAPPED)
    assert "format = 2" in text  # an older program must not read it as if they weren't
    assert "format = 1" in to_toml(PLAIN)
    assert from_toml(text, "x") == SWAPPED
    assert SWAPPED.loads((1.0, 2.0, 3.0, 4.0)) == PLAIN.loads((2.0, 1.0, 3.0, 4.0))
    for mad in ("[0, 0, 2, 3]", "[0, 1, 2]", "3", "[true, false, 2, 3]"):
        with pytest.raises(SwaytrainerError, match="channels must be"):
            from_toml(text.replace("[1, 0, 2, 3]", mad), "x")


def test_an_unknown_residual_stays_unknown() -> None:
    text = to_toml(PLAIN).replace("residual_n = 0.21\n", "")
    calibration = from_toml(text, "x")
    assert isinstance(calibration, Calibration)
    assert math.isnan(calibration.residual_n)
