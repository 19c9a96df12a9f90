"""A vaulter on a simulated board who looks at the screen, and answers with weight and knees."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Iterator
from random import Random

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.film import smooth
from swaytrainer.simulate.scenario import distribute

#: Somebody does this when that has come true.
Act = tuple[Callable[[], bool], str]

_RATE_HZ = 80.0
_WEIGHT_N = 400.0
_LEAN_MM = 60.0
_DEPTH_M, _HALF_S = 0.1, 0.45


class Puppet:
    """Four loads at 80 a second, without end.

    Args:
        acts: "on", "off", "left", "right", "bends", each done when its condition holds; more may
            be appended while it runs.
    """

    def __init__(self, acts: list[Act]) -> None:
        self.acts = acts
        self._on = False
        self._rng = Random(7)
        self._plan: deque[tuple[float, float]] = deque()
        self._n = 0
        self._sure = False

    def __iter__(self) -> Iterator[tuple[float, float, float, float]]:
        while True:
            yield self._next()

    def _next(self) -> tuple[float, float, float, float]:
        self._n += 1
        # Looks up once a second, and acts at the second look.
        if not self._plan and self.acts and self._n % 80 == 0:
            again, self._sure = self._sure, self.acts[0][0]()
            if again and self._sure:
                self._sure = False
                self._begin(self.acts.pop(0)[1])
        share, aside_mm = self._plan.popleft() if self._plan else (1.0, 0.0)
        if not self._on:
            force_n = x_mm = y_mm = 0.0
        else:
            time_s = self._n / _RATE_HZ
            force_n = share * _WEIGHT_N + self._rng.gauss(0.0, 1.5)
            x_mm = aside_mm + 2.0 * math.sin(1.7 * time_s)
            y_mm = -10.0 + 3.0 * math.sin(1.3 * time_s)
        loads = distribute(force_n, x_mm, y_mm, 220.0, 170.0)
        noisy = [load + self._rng.gauss(0.0, 0.05) for load in loads]
        return noisy[0], noisy[1], noisy[2], noisy[3]

    def _begin(self, act: str) -> None:
        if act in ("on", "off"):
            self._on = act == "on"
        elif act == "bends":
            for height_m in 2 * (-_DEPTH_M, _DEPTH_M):
                gain = 2.0 * math.pi * height_m / (_HALF_S * _HALF_S * STANDARD_GRAVITY)
                count = round(_HALF_S * _RATE_HZ)
                self._plan.extend(
                    (1.0 + gain * math.sin(2.0 * math.pi * n / count), 0.0) for n in range(count)
                )
        else:
            side = 1.0 if act == "right" else -1.0
            there = [smooth(n / 40.0) for n in range(40)]
            path = there + [1.0] * 60 + there[::-1]
            self._plan.extend((1.0, side * _LEAN_MM * part) for part in path)
        # A moment of quiet between two acts, as people have.
        self._plan.extend([(1.0, 0.0)] * round(1.0 * _RATE_HZ))
