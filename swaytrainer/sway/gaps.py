"""Which intervals between samples may be walked across, and which pieces stay whole.

A gap is never bridged: no path, no area and no time is counted across it. A sample without a
COP (NaN) is a gap too.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from swaytrainer.sway.cop import Array

#: An interval longer than this many usual ones is a gap: at 1.5, one lost sample is one.
GAP_INTERVALS = 1.5

#: Beyond either of these a trial does not count (common practice, no source).
LOST_LIMIT_PERCENT = 2.0
GAP_LIMIT_S = 0.100

Flags = NDArray[np.bool_]


def bridged(x: Array, breaks: Flags | None = None) -> Flags:
    """Shape (N-1,): whether the interval from sample i to i+1 counts.

    Args:
        x: shape (N,); NaN where there is no COP.
        breaks: shape (N,); ``breaks[i]`` forbids the interval from i-1 to i (``breaks[0]`` has
            no say). None forbids nothing.

    >>> bridged(np.array([0.0, 1.0, np.nan, 2.0, 3.0])).tolist()
    [True, False, False, True]
    """
    there = ~np.isnan(x)
    both = there[1:] & there[:-1]
    return both if breaks is None else both & ~breaks[1:]


def pieces(whole: Flags) -> list[slice]:
    """The runs of samples that are joined by intervals that count, in order.

    Args:
        whole: shape (N-1,), as from ``bridged``.

    >>> pieces(np.array([True, False, True, True]))
    [slice(0, 2, None), slice(2, 5, None)]
    """
    edges = [0, *(np.flatnonzero(~whole) + 1).tolist(), whole.size + 1]
    return [slice(a, b) for a, b in pairwise(edges)]
