"""A simulated vaulter who steps on and off as somebody who watches the screen would."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from swaytrainer.simulate.film import smooth

#: To read what the screen wants, and to do it, s. Off the board one looks longer.
_BEFORE_ON_S: Final = 4.0
_BEFORE_OFF_S: Final = 2.0
#: From nothing to the whole weight, s.
_STEP_S: Final = 0.7


def obliging_loads(
    standing: Iterator[tuple[float, ...]], wanted: Callable[[], bool], rate_hz: float
) -> Iterator[tuple[float, float, float, float]]:
    """Loads without end: the standing body's while it is wanted on the board, else none.

    Args:
        standing: corner loads of a body that stands, N, without end.
        wanted: whether the screen wants somebody on the board; asked with each sample.
        rate_hz: of the loads.
    """
    on, waited, weight = False, 0, 0.0
    while True:
        waited = waited + 1 if wanted() != on else 0
        if waited > rate_hz * (_BEFORE_OFF_S if on else _BEFORE_ON_S):
            on, waited = not on, 0
        weight = min(max(weight + (1.0 if on else -1.0) / (_STEP_S * rate_hz), 0.0), 1.0)
        if weight == 0.0:
            yield 0.0, 0.0, 0.0, 0.0
            continue
        share = smooth(weight)
        a, b, c, d = (share * load for load in next(standing))
        yield a, b, c, d
