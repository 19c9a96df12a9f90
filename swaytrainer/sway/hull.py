"""The area of the convex hull of the COP: the smallest fence without a dent around all of it.

Offline: A. M. Andrew's monotone chain (Information Processing Letters 1979;9:216-219), after
throwing away the inner points (Akl & Toussaint, Information Processing Letters 1978;7:219-222).
Live: the same two chains, kept sorted; a sample costs O(log h) to look up, h being the number of
corners, and nearly every sample ends there because it lies inside.

Limits: a few outermost samples make the whole area (mm²), so it repeats as poorly as the range,
never shrinks, and grows with the trial's length: compare at one duration only.
"""

from __future__ import annotations

from bisect import bisect_left
from math import isnan

import numpy as np

from swaytrainer.sway.cop import NAN, Array

#: Directions along which the extreme points are sought, both ways; the polygon between them holds
#: most others.
_ANGLES = np.arange(4) * (2.0 * np.pi / 8)
_DIRECTIONS = np.stack([np.cos(_ANGLES), np.sin(_ANGLES)], axis=1)


def convex_hull(x_mm: Array, y_mm: Array) -> Array:
    """Corners of the hull, counter-clockwise, shape (h, 2), mm.

    Args:
        x_mm, y_mm: shape (N,); NaN where there is no COP.

    Returns:
        Shape (0, 2) without a sample, (1, 2) for a point, (2, 2) for a straight line.

    >>> convex_hull(np.array([0.0, 2.0, 1.0, 1.0]), np.array([0.0, 0.0, 1.0, 0.5])).tolist()
    [[0.0, 0.0], [2.0, 0.0], [1.0, 1.0]]
    """
    points = np.stack([x_mm, y_mm])
    there = ~np.isnan(x_mm)
    if not there.all():
        points = points[:, there]
    points = _outer(points)
    forward = sorted(zip(points[0].tolist(), points[1].tolist(), strict=True))
    lower, upper = _chain(forward), _chain(forward[::-1])
    if len(lower) <= 1:
        return np.array(lower).reshape(-1, 2)
    return np.array(lower[:-1] + upper[:-1])


def hull_area_mm2(x_mm: Array, y_mm: Array) -> float:
    """Area of the hull of a whole trial; 0 for a point or a line, NaN without a sample.

    >>> hull_area_mm2(np.array([0.0, 2.0, 2.0, 0.0, 1.0]), np.array([0.0, 0.0, 3.0, 3.0, 1.0]))
    6.0
    """
    corners = convex_hull(x_mm, y_mm)
    if not len(corners):
        return NAN
    x, y = (corners - corners[0]).T  # about a corner, lest a far-off origin eats the digits
    return 0.5 * abs(float(x[:-1] @ y[1:] - y[:-1] @ x[1:]))


def _outer(points: Array) -> Array:
    """Shape (2, N) → (2, n): without the points strictly inside the polygon of the extreme ones."""
    if points.shape[1] < 32:
        return points
    along = _DIRECTIONS @ points
    corners = points[:, np.concatenate([along.argmax(axis=1), along.argmin(axis=1)])]
    edges = np.concatenate([corners[:, 1:], corners[:, :1]], axis=1) - corners
    real = edges.any(axis=0)
    corners, edges = corners[:, real], edges[:, real]
    if real.sum() < 3:
        return points
    # Left of every edge, by more than rounding could feign. About a corner, to keep the digits.
    about = points - corners[:, :1]
    normals = np.stack([-edges[1], edges[0]], axis=1)
    least = (normals * (corners - corners[:, :1]).T).sum(axis=1)
    # No point is further from a corner, along either axis, than the outermost corners are apart.
    hair = 1e-12 * float(np.ptp(corners, axis=1).max() * np.abs(edges).max())
    inside = (normals @ about > (least + hair)[:, None]).all(axis=0)
    return points.take(np.flatnonzero(~inside), axis=1)


def _chain(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Half the hull: the points, sorted, without those that turn clockwise or go straight on."""
    chain: list[tuple[float, float]] = []
    for p in points:
        if chain and p == chain[-1]:
            continue
        x, y = p
        while len(chain) > 1:
            (x0, y0), (x1, y1) = chain[-2], chain[-1]
            if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 0.0:
                break
            chain.pop()
        chain.append(p)
    return chain


class HullArea:
    """``hull_area_mm2``, sample by sample.

    >>> fence = HullArea()
    >>> for x_mm, y_mm in (0.0, 0.0), (2.0, 0.0), (2.0, 3.0), (1.0, 1.0), (0.0, 3.0):
    ...     fence.update(x_mm, y_mm)
    >>> fence.get()
    6.0
    """

    __slots__ = ("_above_x", "_above_y", "_below_x", "_below_y")

    def __init__(self) -> None:
        self._below_x: list[float] = []
        self._below_y: list[float] = []
        self._above_x: list[float] = []
        self._above_y: list[float] = []  # upside down (-y), so that one rule serves both chains

    def update(self, x_mm: float, y_mm: float) -> None:
        """Take one sample; one without a COP (NaN in ``x_mm``) is passed over."""
        xs = self._below_x
        i = bisect_left(xs, x_mm)
        if 0 < i < len(xs):
            x0 = xs[i - 1]
            ys = self._below_y
            y0 = ys[i - 1]
            if (xs[i] - x0) * (y_mm - y0) < (ys[i] - y0) * (x_mm - x0):
                _sag(xs, ys, i, x_mm, y_mm)
                return  # below the lower chain: cannot be above the upper one
            xs = self._above_x
            ys = self._above_y
            i = bisect_left(xs, x_mm)
            x0 = xs[i - 1]
            y0 = ys[i - 1]
            if (xs[i] - x0) * (-y_mm - y0) < (ys[i] - y0) * (x_mm - x0):
                _sag(xs, ys, i, x_mm, -y_mm)
        elif not isnan(x_mm):
            _sag(xs, self._below_y, i, x_mm, y_mm)
            xs = self._above_x
            _sag(xs, self._above_y, bisect_left(xs, x_mm), x_mm, -y_mm)

    def get(self) -> float:
        """Area so far, mm²: 0 for a point or a line, NaN without a sample."""
        if not self._below_x:
            return NAN
        level = self._below_y[0]
        below = _area_over(self._below_x, self._below_y, level)
        return max(-below - _area_over(self._above_x, self._above_y, -level), 0.0)


def _sag(xs: list[float], ys: list[float], i: int, x: float, y: float) -> None:
    """Let a lower chain (x strictly increasing) sag to a point on or below it, due at index i."""
    if i < len(xs) and xs[i] == x:
        if y >= ys[i]:
            return
        ys[i] = y
    else:
        xs.insert(i, x)
        ys.insert(i, y)
    while i > 1 and _above(xs, ys, i - 1):
        i -= 1
        del xs[i], ys[i]
    while i < len(xs) - 2 and _above(xs, ys, i + 1):
        del xs[i + 1], ys[i + 1]


def _above(xs: list[float], ys: list[float], i: int) -> bool:
    """Whether corner i lies on or above the line between its two neighbours."""
    x0, y0 = xs[i - 1], ys[i - 1]
    return (xs[i + 1] - x0) * (ys[i] - y0) >= (ys[i + 1] - y0) * (xs[i] - x0)


def _area_over(xs: list[float], ys: list[float], level: float) -> float:
    """∫ (y - level) dx along the chain."""
    area = 0.0
    for i in range(1, len(xs)):
        area += (xs[i] - xs[i - 1]) * (0.5 * (ys[i] + ys[i - 1]) - level)
    return area
