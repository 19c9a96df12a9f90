"""Built COP paths with known answers, and random ones with gaps, for the tests of this room."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from hypothesis import strategies as st

from swaytrainer.sway.cop import Array, CellPlaces
from swaytrainer.sway.gaps import Flags

PLACES = CellPlaces.rectangle(220.0, 170.0)


class Walk(NamedTuple):
    """Samples in order; NaN where there is no COP; ``breaks[i]`` forbids the interval i-1 to i."""

    time_s: Array
    x_mm: Array
    y_mm: Array
    breaks: Flags


def circle(
    radius_mm: float = 10.0, turns_hz: float = 0.5, rate_hz: float = 100.0, seconds: float = 60.0
) -> Walk:
    """Whole turns about the plate's centre, N = seconds·rate samples."""
    n = round(seconds * rate_hz)
    time_s = np.arange(n) / rate_hz
    phase = 2.0 * math.pi * turns_hz * time_s
    return Walk(
        time_s, radius_mm * np.cos(phase), radius_mm * np.sin(phase), np.zeros(n, dtype=np.bool_)
    )


def loads(x_mm: Array, y_mm: Array, force_n: float | Array = 600.0) -> Array:
    """Corner loads (N, 4) of a rigid level plate (``PLACES``) with its COP at x, y: no twist."""
    right, front = x_mm / 220.0, y_mm / 170.0
    corners = [1 - right + front, 1 + right + front, 1 - right - front, 1 + right - front]
    return np.stack(corners, axis=1) * np.reshape(np.asarray(force_n) / 4.0, (-1, 1))


_coordinate = st.floats(-400.0, 400.0).map(lambda v: round(v, 3))
_sample = st.tuples(
    st.integers(1, 40),  # ms since the last sample
    st.one_of(st.tuples(_coordinate, _coordinate), st.just((math.nan, math.nan))),
    st.integers(0, 5).map(lambda v: v == 0),
)


@st.composite
def walks(draw: st.DrawFn, least: int = 2, most: int = 80) -> Walk:
    """Any walk on the plate, on uneven times, with gaps and samples without a COP."""
    samples = draw(st.lists(_sample, min_size=least, max_size=most))
    time_s = np.cumsum([sample[0] for sample in samples]) / 1000.0
    xy = np.array([sample[1] for sample in samples])
    return Walk(time_s, xy[:, 0], xy[:, 1], np.array([sample[2] for sample in samples]))
