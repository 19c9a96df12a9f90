"""Cadence and phase while it happens: known two strides after a base begins to move.

The last three and a half seconds are kept, at 40 to 80 samples a second whatever the board's rate.
Twenty times a second ``cadence.best_period`` looks at them; the phase comes from the Fourier
coefficient of the last period, which the harmonics cannot disturb: a whole number of them fits in.
Work and memory a sample are bounded, and nothing is used that has not happened yet.

So few strides tell less than a whole trial: ``python -m tests.motion.cadences`` counts how often
the cadence is right.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.cadence import (
    CADENCE_HIGH_HZ,
    CADENCE_LOW_HZ,
    LEAST_M_S2,
    LEAST_RIPPLE,
    LEAST_ROCK_MM,
    band,
    best_period,
)
from swaytrainer.sway.cop import NAN, Array

Kind = Literal["acceleration", "force", "COP"]
#: Two and a half of the slowest strides, 15 % too long.
WINDOW_S: Final = 2.5 * 1.15 / CADENCE_LOW_HZ
#: Of so few strides more is asked than of a whole trial; once found, one odd stride is let pass.
_FOUND_CLARITY: Final = 0.6
_KEPT_CLARITY: Final = 0.4
#: Integrated only once, a beat stands out more: an earlier repeat must be better to be believed.
_NEARLY: Final = 0.85
_KEPT_HZ: Final = 40.0
_LOOK_S: Final = 0.05
_LEAST: Final = {"acceleration": LEAST_M_S2, "force": LEAST_RIPPLE, "COP": LEAST_ROCK_MM}


class LiveCadence(NamedTuple):
    """What is known of the strides now.

    Attributes:
        time_s: of the newest sample that was looked at.
        cadence_hz: NaN while there is none.
        phase: 0-1, 0 where acceleration or force is highest (COP: furthest along its axis), as in
            ``strides``; NaN while there is no cadence.
        turns: strides since the cadence was found; never goes back until it is lost.
        clarity: how well the last strides repeat, to 1.
    """

    time_s: float
    cadence_hz: float
    phase: float
    turns: float
    clarity: float


class LiveStrides:
    """Give it samples of one signal; ``get`` says cadence and phase.

    Args:
        rate_hz: samples a second, at least 24.
        kind: upward acceleration (m/s²), force (N), or COP along one axis (mm).

    Raises:
        SwaytrainerError: the rate is too low to see strides.

    >>> live = LiveStrides(100.0, "acceleration")
    >>> for n in range(201):
    ...     new = live.update(n / 100.0, 3.0 * math.cos(2.0 * math.pi * 2.0 * n / 100.0))
    >>> now = live.get()
    >>> round(now.cadence_hz, 1), round((now.phase + 0.5) % 1.0, 1)
    (2.0, 0.5)
    """

    def __init__(self, rate_hz: float, kind: Kind) -> None:
        if not 8.0 * CADENCE_HIGH_HZ <= rate_hz < math.inf:
            raise SwaytrainerError(
                f"{rate_hz:g} samples a second are too few to see strides live.",
                f"Use a board of at least {8.0 * CADENCE_HIGH_HZ:g} Hz.",
            )
        self.kind: Kind = kind
        self._together = max(1, int(rate_hz // _KEPT_HZ))
        self._rate_hz = rate_hz / self._together
        self._size = math.ceil(WINDOW_S * self._rate_hz)
        # Twice as long as needed, each value twice: the newest are always in one piece.
        self._kept = np.zeros(2 * self._size)
        self._every = max(1, round(_LOOK_S * self._rate_hz))
        self._least = _LEAST[kind]
        self.gap()

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        self._count = 0
        self._time_s = NAN
        self._newest_s = -math.inf
        self._sum = self._sum_s = 0.0
        self._taken = 0
        self._period_s = self._clarity = self._phase = NAN
        self._turns = self._furthest = 0.0

    def update(self, time_s: float, value: float) -> bool:
        """Take one sample; one that is not a number, or whose time does not increase, is a gap.

        Returns:
            Whether ``get`` has something new.
        """
        if not (math.isfinite(value) and math.isfinite(time_s)):
            self.gap()
            return True
        if time_s <= self._newest_s:
            self.gap()
        self._newest_s = time_s
        self._sum += value
        self._sum_s += time_s
        self._taken += 1
        if self._taken < self._together:
            return False
        at = self._count % self._size
        self._kept[at] = self._kept[at + self._size] = self._sum / self._taken
        self._time_s = self._sum_s / self._taken
        self._sum = self._sum_s = 0.0
        self._taken = 0
        self._count += 1
        if self._count % self._every == 0:
            self._look()
        self._follow()
        return True

    def get(self) -> LiveCadence:
        """What is known now."""
        found = not math.isnan(self._period_s)
        return LiveCadence(
            self._time_s,
            1.0 / self._period_s if found else NAN,
            self._phase,
            self._furthest,
            self._clarity,
        )

    def _window(self) -> Array:
        length = min(self._count, self._size)
        end = (self._count - 1) % self._size + self._size + 1
        window = self._kept[end - length : end]
        if self.kind != "force":
            return window
        mean = float(window.mean())
        return np.asarray(window / mean if mean > 0.0 else window * 0.0)

    def _look(self) -> None:
        window = self._window()
        if window.size < 2.0 * self._rate_hz / CADENCE_HIGH_HZ:
            return
        # Once integrated: twice would leave too much of a bow at the ends of so short a piece.
        integrals = 0 if self.kind == "COP" else 1
        quick = band(window, self._rate_hz, CADENCE_LOW_HZ, 10.0, 0)
        period_s = clarity = NAN
        if float(np.sqrt(np.mean(quick * quick))) >= self._least:
            swing = band(window, self._rate_hz, CADENCE_LOW_HZ, 10.0, integrals)
            period_s, clarity = best_period(swing, self._rate_hz, _NEARLY)
        self._clarity = clarity
        asked = _FOUND_CLARITY if math.isnan(self._period_s) else _KEPT_CLARITY
        # Short windows can offer a period from beyond the range of cadences: that is none.
        within = 0.8 / CADENCE_HIGH_HZ <= period_s <= 1.25 / CADENCE_LOW_HZ
        if not (clarity >= asked and within):
            self._period_s = self._phase = NAN
            self._turns = self._furthest = 0.0
        else:
            self._period_s = period_s

    def _follow(self) -> None:
        if math.isnan(self._period_s):
            return
        window = self._window()
        length = min(round(self._period_s * self._rate_hz), window.size)
        last = window[window.size - length :]
        ago = np.arange(1 - length, 1) / length
        turning = complex((last - last.mean()) @ np.exp(-2j * np.pi * ago))
        phase = math.atan2(turning.imag, turning.real) / (2.0 * math.pi) % 1.0
        if not math.isnan(self._phase):
            self._turns += (phase - self._phase + 0.5) % 1.0 - 0.5
            self._furthest = max(self._furthest, self._turns)
        self._phase = phase
