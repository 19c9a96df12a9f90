from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from swaytrainer.sway.even import even_piece
from swaytrainer.sway.gaps import pieces
from swaytrainer.sway.prepare import Trace, trace_from_cop
from tests.sway.made import Walk, walks


def trace_of(time_s: np.ndarray, x_mm: np.ndarray) -> Trace:
    return trace_from_cop(time_s, np.full(time_s.size, 600.0), x_mm, -x_mm)


def test_the_longest_piece_is_taken_as_it_is_if_even() -> None:
    time_s = np.arange(1000) / 80.0
    x_mm = np.sin(time_s)
    x_mm[300] = np.nan
    even = even_piece(trace_of(time_s, x_mm))
    np.testing.assert_array_equal(even.x_mm, x_mm[301:])
    np.testing.assert_array_equal(even.y_mm, -x_mm[301:])
    assert (even.whole, even.regridded) == (False, False)
    assert even.seconds == pytest.approx(699 / 80.0, rel=1e-12)
    assert even.lasts(699 / 80.0)
    assert not even.lasts(700 / 80.0)


def test_uneven_stamps_are_put_on_a_grid_that_begins_and_ends_with_them() -> None:
    shake = np.random.default_rng(2).uniform(-0.2, 0.2, size=1000)
    time_s = (np.arange(1000) + shake) / 80.0
    even = even_piece(trace_of(time_s, 5.0 * time_s))  # a ramp stays one on any grid
    assert (even.whole, even.regridded) == (True, True)
    np.testing.assert_allclose(even.x_mm, np.linspace(even.x_mm[0], even.x_mm[-1], 1000))
    assert even.x_mm[[0, -1]] == pytest.approx(5.0 * time_s[[0, -1]], rel=1e-12)


@given(walks())
def test_it_is_a_piece_and_none_is_longer(walk: Walk) -> None:
    trace = trace_from_cop(
        walk.time_s, np.full(walk.time_s.size, 600.0), walk.x_mm, walk.y_mm, breaks=walk.breaks
    )
    even = even_piece(trace)
    # A sample without a COP is a piece of one, too, and no piece to measure.
    longest = max(piece.stop - piece.start for piece in pieces(~trace.breaks[1:]))
    assert even.x_mm.size == even.y_mm.size
    assert np.isfinite(even.x_mm).all()
    if longest > 1:
        assert even.x_mm.size == longest
    assert even.x_mm.size <= longest


def test_an_empty_board_has_no_piece() -> None:
    even = even_piece(trace_of(np.arange(10) / 80.0, np.full(10, np.nan)))
    assert (even.x_mm.size, even.seconds) == (0, 0.0)
