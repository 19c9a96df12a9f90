"""How far the COP went along each axis: max - min.

Prieto et al., IEEE Trans Biomed Eng 1996;43:956-966. It rests on two samples of the whole trial,
so it repeats poorly; it grows with the trial's length, and a single scratch of the ear makes it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.spread import with_cop


class ExtentValues(NamedTuple):
    """Ranges (mm) along x (ML) and y (AP). NaN without a sample."""

    range_ml_mm: float
    range_ap_mm: float


def extent(x_mm: Array, y_mm: Array) -> ExtentValues:
    """Ranges of a whole trial; shape (N,), NaN where there is no COP.

    >>> extent(np.array([1.0, np.nan, 4.0]), np.array([-1.0, np.nan, -3.0]))
    ExtentValues(range_ml_mm=3.0, range_ap_mm=2.0)
    """
    x, y = with_cop(x_mm, y_mm)
    if not x.size:
        return ExtentValues(NAN, NAN)
    return ExtentValues(float(np.ptp(x)), float(np.ptp(y)))


class Extent:
    """``extent``, sample by sample.

    >>> reach = Extent()
    >>> for x_mm, y_mm in (1.0, -1.0), (4.0, -3.0):
    ...     reach.update(x_mm, y_mm)
    >>> reach.get()
    ExtentValues(range_ml_mm=3.0, range_ap_mm=2.0)
    """

    __slots__ = ("_high_x", "_high_y", "_low_x", "_low_y")

    def __init__(self) -> None:
        self._low_x = self._low_y = math.inf
        self._high_x = self._high_y = -math.inf

    def update(self, x_mm: float, y_mm: float) -> None:
        """Take one sample; one without a COP (NaN) is passed over."""
        if not self._low_x <= x_mm <= self._high_x:
            self._low_x = min(self._low_x, x_mm)
            self._high_x = max(self._high_x, x_mm)
        if not self._low_y <= y_mm <= self._high_y:
            self._low_y = min(self._low_y, y_mm)
            self._high_y = max(self._high_y, y_mm)

    def get(self) -> ExtentValues:
        """Ranges so far."""
        if self._high_x < self._low_x:
            return ExtentValues(NAN, NAN)
        return ExtentValues(self._high_x - self._low_x, self._high_y - self._low_y)
