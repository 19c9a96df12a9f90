"""Curves of many samples that draw fast: minima and maxima kept while the samples come.

A plot has a thousand or two columns of pixels, an hour of sway millions of samples. Of each four
neighbours the least and the largest value are kept, of each four of those again, and so on: what a
plot shows of any stretch is found in a few thousand steps, and no peak is ever left out, however
far it is zoomed out. A new sample changes one bucket of each level.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from swaytrainer.sway.cop import Array

Values = NDArray[np.float32]
_FACTOR: Final = 4
_LEVELS: Final = 9
#: The oldest samples go in blocks that whole buckets of every level fit in.
_WHOLE: Final = _FACTOR**_LEVELS
_FIRST: Final = _WHOLE


class Drawn(NamedTuple):
    """What to draw of one curve: shape (N,) each; NaN in ``values`` is a gap in the line."""

    time_s: Array
    values: Values


class Curves:
    """Several curves over one time.

    Args:
        names: of the curves.
        most: samples that are kept; beyond that the oldest go, a quarter at a time.

    >>> curves = Curves(("force_n",))
    >>> curves.extend([0.0, 0.1, 0.2], [[600.0], [610.0], [605.0]])
    >>> curves.drawn("force_n", 0.0, 0.2, 100).values.tolist()
    [600.0, 610.0, 605.0]
    """

    def __init__(self, names: tuple[str, ...], most: int = 4_000_000) -> None:
        self.names = names
        self._row = {name: i for i, name in enumerate(names)}
        self._most = max(4 * _WHOLE, -(-most // _WHOLE) * _WHOLE)
        self.dropped = 0
        self._n = 0
        self._time: Array = np.empty(0)
        self._base: Values = _empty(len(names), 0)
        self._low: list[Values] = []
        self._high: list[Values] = []
        self._room(_FIRST)

    def _room(self, size: int) -> None:
        """Make room for ``size`` samples, keeping those there are."""
        n = self._n
        time, base = np.full(size, np.nan), _empty(len(self.names), size)
        low, high = [], []
        for level in range(1, _LEVELS + 1):
            width = size // _FACTOR**level
            low.append(_empty(len(self.names), width))
            high.append(_empty(len(self.names), width))
            if n:
                have = min(self._low[level - 1].shape[1], width)
                low[-1][:, :have] = self._low[level - 1][:, :have]
                high[-1][:, :have] = self._high[level - 1][:, :have]
        if n:
            time[:n], base[:, :n] = self._time[:n], self._base[:, :n]
        self._time, self._base, self._low, self._high = time, base, low, high

    def __len__(self) -> int:
        return self._n

    @property
    def span_s(self) -> tuple[float, float]:
        """Times of the oldest sample kept and of the newest; NaN without one."""
        if not self._n:
            return np.nan, np.nan
        return float(self._time[0]), float(self._time[self._n - 1])

    def extend(
        self, times_s: list[float] | Array, rows: list[list[float]] | Array | Values
    ) -> None:
        """Append samples.

        Args:
            times_s: shape (N,), s; none before the newest there is (a tie is let pass).
            rows: shape (N, curves). What is not finite is a gap.

        Raises:
            ValueError: times that are not finite or go back, or another shape.
        """
        times = np.asarray(times_s, dtype=np.float64)
        values = np.asarray(rows, dtype=np.float32).T if len(times) else _empty(len(self.names), 0)
        if values.shape != (len(self.names), times.size):
            raise ValueError(f"{times.size} times need as many rows of {len(self.names)} values")
        if not times.size:
            return
        newest = self._time[self._n - 1] if self._n else -np.inf
        if not np.isfinite(times).all() or times[0] < newest or (np.diff(times) < 0.0).any():
            raise ValueError("times must be finite and must not go back")
        if not np.isfinite(values).all():
            values = np.where(np.isfinite(values), values, np.float32(np.nan))
        for begin in range(0, times.size, _WHOLE):
            self._put(times[begin : begin + _WHOLE], values[:, begin : begin + _WHOLE])

    def _put(self, times: Array, values: Values) -> None:
        if self._n + times.size > self._time.size:
            if self._time.size * 2 <= self._most:
                self._room(self._time.size * 2)
            elif self._time.size < self._most:
                self._room(self._most)
            else:
                self._drop()
        first, last = self._n, self._n + times.size
        self._time[first:last] = times
        self._base[:, first:last] = values
        self._n = last
        low = high = self._base
        for level in range(_LEVELS):
            first //= _FACTOR
            last = -(-last // _FACTOR)
            part = slice(first * _FACTOR, last * _FACTOR)
            shape = (len(self.names), last - first, _FACTOR)
            # Beyond the newest sample stands NaN, which fmin and fmax pass over.
            self._low[level][:, first:last] = np.fmin.reduce(low[:, part].reshape(shape), axis=2)
            self._high[level][:, first:last] = np.fmax.reduce(high[:, part].reshape(shape), axis=2)
            low, high = self._low[level], self._high[level]

    def _drop(self) -> None:
        """Forget the oldest quarter."""
        cut = max(_WHOLE, self._time.size // 4 // _WHOLE * _WHOLE)
        self.dropped += cut
        self._n -= cut
        for kept in (self._time, self._base):
            kept[..., :-cut] = kept[..., cut:].copy()
            kept[..., -cut:] = np.nan
        for level in range(_LEVELS):
            width = cut // _FACTOR ** (level + 1)
            for kept in (self._low[level], self._high[level]):
                kept[:, :-width] = kept[:, width:].copy()
                kept[:, -width:] = np.nan

    def _between(self, from_s: float, to_s: float) -> tuple[int, int]:
        time = self._time[: self._n]
        first = int(np.searchsorted(time, from_s, "left"))
        return first, int(np.searchsorted(time, to_s, "right"))

    def stretch(self, name: str, from_s: float, to_s: float) -> Drawn:
        """Every sample of a stretch, both ends included."""
        first, last = self._between(from_s, to_s)
        return Drawn(self._time[first:last], self._base[self._row[name], first:last])

    def value(self, name: str, at_s: float) -> float:
        """The newest value at a time or before; NaN without one."""
        last = int(np.searchsorted(self._time[: self._n], at_s, "right"))
        return float(self._base[self._row[name], last - 1]) if last else float("nan")

    def drawn(self, name: str, from_s: float, to_s: float, columns: int) -> Drawn:
        """What a plot ``columns`` wide shows of a stretch, one sample beyond either end included.

        Returns:
            The samples themselves, where there are at most two a column; else the least and the
            largest of each bucket, about two points a column.
        """
        row, columns = self._row[name], max(1, columns)
        first, last = self._between(from_s, to_s)
        first, last = max(0, first - 1), min(self._n, last + 1)
        level, step = 0, 1
        while (last - first) // step > 2 * columns and level < _LEVELS:
            level, step = level + 1, step * _FACTOR
        if not level:
            return Drawn(self._time[first:last], self._base[row, first:last])
        begin, end = first // step, -(-last // step)
        low, high = self._low[level - 1][row, begin:end], self._high[level - 1][row, begin:end]
        from_sample = begin * step
        if end - begin > columns:
            # Two buckets in one column look like one of both.
            even = (end - begin) // 2 * 2
            low = np.append(np.fmin(low[0:even:2], low[1:even:2]), low[even:])
            high = np.append(np.fmax(high[0:even:2], high[1:even:2]), high[even:])
            step *= 2
        values = np.empty(2 * low.size, dtype=np.float32)
        values[0::2], values[1::2] = low, high
        times = self._time[from_sample : from_sample + low.size * step : step]
        return Drawn(np.repeat(times, 2), values)


def _empty(rows: int, size: int) -> Values:
    return np.full((rows, size), np.nan, dtype=np.float32)
