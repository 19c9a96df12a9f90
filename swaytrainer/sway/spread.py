"""Mean, root mean square and covariance of the COP.

rms about the mean with 1/N: Prieto et al., IEEE Trans Biomed Eng 1996;43:956-966. Variances and
covariance with 1/(N-1), as the prediction ellipse asks. All samples that have a COP count alike;
their order and the gaps between them do not matter.

Limits: the size of sway (mm), not its pace. A drift or a step counts as sway, and a long trial has
more of it.
"""

from __future__ import annotations

from math import isnan, sqrt
from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array


class SpreadValues(NamedTuple):
    """How many samples, their mean (mm), and the sums of squares about it (mm²)."""

    samples: int
    mean_x_mm: float
    mean_y_mm: float
    sum_xx_mm2: float
    sum_yy_mm2: float
    sum_xy_mm2: float

    @property
    def rms_ml_mm(self) -> float:
        """Root mean square of x about its mean, with 1/N. NaN without a sample."""
        return sqrt(self.sum_xx_mm2 / self.samples) if self.samples else NAN

    @property
    def rms_ap_mm(self) -> float:
        """Root mean square of y about its mean, with 1/N. NaN without a sample."""
        return sqrt(self.sum_yy_mm2 / self.samples) if self.samples else NAN

    @property
    def covariance_mm2(self) -> tuple[float, float, float]:
        """(var x, var y, cov xy) with 1/(N-1). NaN below two samples."""
        if self.samples < 2:
            return NAN, NAN, NAN
        free = self.samples - 1
        return self.sum_xx_mm2 / free, self.sum_yy_mm2 / free, self.sum_xy_mm2 / free


NO_SPREAD = SpreadValues(0, NAN, NAN, NAN, NAN, NAN)


def with_cop(x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
    """The samples of both axes that have a COP (are no NaN); the very arrays if all have."""
    there = ~np.isnan(x_mm)
    return (x_mm, y_mm) if there.all() else (x_mm[there], y_mm[there])


def centre(x_mm: Array, y_mm: Array) -> tuple[float, float]:
    """Mean COP (mm) over the samples that have one; NaN without a sample.

    Taken as steps from the first of them, so that the mean of equal samples is exactly theirs.
    """
    x, y = with_cop(x_mm, y_mm)
    if not x.size:
        return NAN, NAN
    return _mean(x), _mean(y)


def _mean(x: Array) -> float:
    first = float(x[0])
    return first + float((x - first).mean())


def spread(x_mm: Array, y_mm: Array) -> SpreadValues:
    """Mean and sums of squares of a whole trial, in two passes.

    Args:
        x_mm, y_mm: shape (N,); NaN where there is no COP.

    >>> both = spread(np.array([0.0, 2.0, np.nan]), np.array([1.0, 5.0, np.nan]))
    >>> both.mean_x_mm, both.rms_ap_mm, both.covariance_mm2
    (1.0, 2.0, (2.0, 8.0, 4.0))
    """
    x, y = with_cop(x_mm, y_mm)
    if not x.size:
        return NO_SPREAD
    mean_x, mean_y = _mean(x), _mean(y)
    dx, dy = x - mean_x, y - mean_y
    return SpreadValues(int(x.size), mean_x, mean_y, float(dx @ dx), float(dy @ dy), float(dx @ dy))


class Spread:
    """``spread``, sample by sample (Welford, Technometrics 1962;4:419-420).

    >>> both = Spread()
    >>> both.update(0.0, 1.0)
    >>> both.update(2.0, 5.0)
    >>> both.get().covariance_mm2
    (2.0, 8.0, 4.0)
    """

    __slots__ = ("_mean_x", "_mean_y", "_n", "_xx", "_xy", "_yy")

    def __init__(self) -> None:
        self._n = 0
        self._mean_x = self._mean_y = 0.0
        self._xx = self._yy = self._xy = 0.0

    def update(self, x_mm: float, y_mm: float) -> None:
        """Take one sample; one without a COP (NaN in ``x_mm``) is passed over."""
        if isnan(x_mm):
            return
        self._n = n = self._n + 1
        dx = x_mm - self._mean_x
        dy = y_mm - self._mean_y
        self._mean_x += dx / n
        self._mean_y = mean_y = self._mean_y + dy / n
        after_y = y_mm - mean_y
        self._xx += dx * (x_mm - self._mean_x)
        self._yy += dy * after_y
        self._xy += dx * after_y

    def get(self) -> SpreadValues:
        """Mean and sums of squares so far."""
        if not self._n:
            return NO_SPREAD
        return SpreadValues(self._n, self._mean_x, self._mean_y, self._xx, self._yy, self._xy)
