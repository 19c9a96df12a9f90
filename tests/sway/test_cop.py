from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.sway.cop import CellPlaces, cop_arrays
from tests.sway.made import PLACES, loads


@given(st.floats(-300.0, 300.0), st.floats(-300.0, 300.0), st.floats(30.0, 3000.0))
def test_a_single_load_on_a_rigid_plate_is_found_where_it_stands(
    x_mm: float, y_mm: float, force_n: float
) -> None:
    """Moment balance of a plate on four supports: COP = Σ F·p / ΣF, twist 0."""
    four = loads(np.array([x_mm]), np.array([y_mm]), force_n)
    force, x, y, twist = cop_arrays(four, PLACES, 20.0)
    assert force[0] == pytest.approx(force_n, rel=1e-12)
    assert (x[0], y[0]) == pytest.approx((x_mm, y_mm), abs=1e-9)
    assert twist[0] == pytest.approx(0.0, abs=1e-9 * force_n)


def test_cells_may_stand_anywhere() -> None:
    places = CellPlaces((-200.0, 150.0), (210.0, 140.0), (-190.0, -160.0), (205.0, -155.0))
    _, x, y, _ = cop_arrays(np.eye(4) * 100.0, places, 20.0)
    np.testing.assert_allclose(np.stack([x, y], axis=1), places, rtol=1e-12)


def test_a_rocking_plate_twists_but_moves_no_cop() -> None:
    rock = np.array([[150.0, 150.0, 150.0, 150.0]]) + np.array([[9.0, -9.0, -9.0, 9.0]])
    _, x, y, twist = cop_arrays(rock, PLACES, 20.0)
    assert (x[0], y[0]) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert twist[0] == pytest.approx(36.0)


def test_an_empty_board_has_no_cop() -> None:
    _, x, y, _ = cop_arrays(np.array([[4.9, 4.9, 4.9, 4.9], [5.0, 5.0, 5.0, 5.0]]), PLACES, 20.0)
    assert math.isnan(x[0])
    assert math.isnan(y[0])
    assert (x[1], y[1]) == (0.0, 0.0)
