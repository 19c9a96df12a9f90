"""The heard canter, and what the force does in each of its strides.

A canter's stride has three beats and then a moment in the air: outside hind leg, the diagonal pair,
the leading foreleg (common practice, no source). When in the stride they fall is from memory.
"""

from __future__ import annotations

import cmath
import math
from typing import Final, NamedTuple

from swaytrainer.sway.cop import NAN

#: When the three beats fall, in strides from the first; after the third the horse floats.
BEATS: Final = (0.0, 0.25, 0.5)
#: The cadence wanders once up and down in so many strides: like no whole number of anything.
_WANDER_STRIDES: Final = 11.3
#: The golden ratio's fraction spreads whole seeds evenly over the wander's beginnings.
_GOLDEN: Final = 0.618033988749895
#: A beat that is this late (a gap lies before it) is not heard any more, in strides.
_STALE: Final = 0.2
_TURN: Final = 2.0 * math.pi
_ROOT2: Final = math.sqrt(2.0)


class Canter:
    """Strides one after another from 0 s on.

    Args:
        cadence_hz: strides a second, in the mean.
        drift_percent: the cadence wanders slowly by ± so much.
        seed: where the wandering begins.

    Attributes:
        stride: number of the stride at hand, from 0.
        phase: how far through it, 0 to 1.
        period_s: how long it lasts.

    >>> canter = Canter(2.0, 0.0, 1)
    >>> [canter.update(t) for t in (0.0, 0.1, 0.13, 0.25, 0.5)]
    [(1,), (), (2,), (3,), (1,)]
    >>> canter.stride, canter.phase
    (1, 0.0)
    """

    def __init__(self, cadence_hz: float, drift_percent: float = 0.0, seed: int = 0) -> None:
        self._cadence_hz = cadence_hz
        self._drift = 0.01 * drift_percent
        self._start = seed * _GOLDEN % 1.0
        self.stride = -1
        self.phase = 0.0
        self._begin_s = self._end_s = 0.0
        self._beaten = len(BEATS)
        self._next_stride()

    @property
    def period_s(self) -> float:
        """See above."""
        return self._end_s - self._begin_s

    def _next_stride(self) -> None:
        self.stride += 1
        self._begin_s = self._end_s
        wander = math.sin(_TURN * (self.stride / _WANDER_STRIDES + self._start))
        self._end_s += 1.0 / (self._cadence_hz * (1.0 + self._drift * wander))
        self._beaten = 0

    def update(self, elapsed_s: float) -> tuple[int, ...]:
        """Go on to a time, which never goes back; the beats that fall now, 1 to 3."""
        while elapsed_s >= self._end_s - 1e-9:
            self._next_stride()
        self.phase = max((elapsed_s - self._begin_s) / self.period_s, 0.0)
        fallen: tuple[int, ...] = ()
        while self._beaten < len(BEATS) and self.phase >= BEATS[self._beaten] - 1e-9:
            self._beaten += 1
            if self.phase - BEATS[self._beaten - 1] < _STALE:
                fallen += (self._beaten,)
        return fallen


class Ridden(NamedTuple):
    """What the force and the weight's place did in one stride.

    Attributes:
        whole: no gap in it, and enough samples; what follows is NaN if not.
        weight: mean force over the body's weight, less one.
        power: mean square of the force about its mean, in weights².
        wave: the force at the cadence, rms in weights, turned by its phase: √2 times the first
            Fourier coefficient of the stride, so that |wave|² is its share of ``power``.
        x_mm, y_mm: mean COP; NaN if there was none at some time.
    """

    whole: bool
    weight: float
    power: float
    wave: complex
    x_mm: float
    y_mm: float


_NO_STRIDE: Final = Ridden(False, NAN, NAN, complex(NAN, NAN), NAN, NAN)


class StrideSums:
    """Adds up the samples of one stride; bounded work for each.

    >>> sums = StrideSums()
    >>> for n in range(40):
    ...     sums.add(n / 40, 0.1 * math.cos(2.0 * math.pi * n / 40), 0.0, -10.0)
    >>> ridden = sums.take(40)
    >>> round(abs(ridden.wave), 4), round(ridden.power, 4)  # 0.1/√2 and 0.1²/2
    (0.0707, 0.005)
    """

    def __init__(self) -> None:
        self.restart()

    def restart(self, broken: bool = False) -> None:
        """Begin a stride; a broken one has already lost something."""
        self._broken = broken
        self._count = 0
        self._f = self._ff = self._x = self._y = 0.0
        self._turn = self._f_turn = 0j

    def gap(self) -> None:
        """Something of this stride is missing."""
        self._broken = True

    def add(self, phase: float, ripple: float, x_mm: float, y_mm: float) -> None:
        """A sample: where in the stride, force over weight less one, COP."""
        turn = cmath.rect(1.0, -_TURN * phase)
        self._count += 1
        self._f += ripple
        self._ff += ripple * ripple
        self._turn += turn
        self._f_turn += ripple * turn
        self._x += x_mm
        self._y += y_mm

    def take(self, expected: float) -> Ridden:
        """The stride, of which so many samples were expected; the next one begins."""
        count, broken = self._count, self._broken
        f, ff, x, y = self._f, self._ff, self._x, self._y
        wave = self._f_turn
        if count:
            wave -= f / count * self._turn
        self.restart()
        if broken or count < max(0.8 * expected - 1.0, 8.0) or not math.isfinite(ff):
            return _NO_STRIDE
        mean = f / count
        return Ridden(
            True,
            mean,
            max(ff / count - mean * mean, 0.0),
            _ROOT2 * wave / count,
            x / count,
            y / count,
        )
