"""A stretch of simulated standing, sample by sample, to be bent into what happens in it.

Frame: the board's, x right, y forward, mm; the force as a share of the weight; s.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.body import StandingBody


class Film:
    """Force (share of the weight) and COP of somebody who stands, to be bent.

    Args:
        body: who stands.
        rate_hz, seconds: how many samples.
        weight_n: the body's.
        rng: for whoever bends it.
    """

    def __init__(
        self, body: StandingBody, rate_hz: float, seconds: float, weight_n: float, rng: Random
    ) -> None:
        self.rng = rng
        self.rate_hz = rate_hz
        self.athlete = body.athlete
        self.heel_line_mm = body.heel_line_mm
        count = round(seconds * rate_hz)
        states = [body.step(1.0 / rate_hz) for _ in range(count)]
        self.share = [s.force_n / weight_n for s in states]
        self.x = [s.x_mm for s in states]
        self.y = [s.y_mm for s in states]
        self.middle_x = math.fsum(self.x) / count
        self.middle_y = math.fsum(self.y) / count
        self._sway_x = [x - self.middle_x for x in self.x]
        self._sway_y = [y - self.middle_y for y in self.y]

    def each(self, start_s: float, seconds: float, act: Callable[[int, float], None]) -> float:
        """Call ``act(index, part done)`` on the samples of a stretch; its end."""
        for n in range(math.ceil(start_s * self.rate_hz), len(self.x)):
            done = (n / self.rate_hz - start_s) / seconds
            if done >= 1.0:
                break
            act(n, done)
        return start_s + seconds

    def rise(self, start_s: float, seconds: float, height_m: float) -> float:
        """The centre goes up (down: negative) smoothly: z = h·(u − sin(2πu)/2π)."""
        gain = height_m * 2.0 * math.pi / (seconds * seconds * STANDARD_GRAVITY)

        def act(n: int, done: float) -> None:
            self.share[n] += gain * math.sin(2.0 * math.pi * done)

        return self.each(start_s, seconds, act)

    def kick(self, start_s: float, seconds: float, speed_m_s: float) -> float:
        """A half-sine of force that changes the centre's speed by so much."""
        peak = speed_m_s * math.pi / (2.0 * STANDARD_GRAVITY * seconds)

        def act(n: int, done: float) -> None:
            self.share[n] += peak * math.sin(math.pi * done)

        return self.each(start_s, seconds, act)

    def move(self, start_s: float, seconds: float, dx_mm: float, dy_mm: float) -> float:
        """The COP goes elsewhere, smoothly, and stays there."""
        for n in range(math.ceil(start_s * self.rate_hz), len(self.x)):
            part = smooth((n / self.rate_hz - start_s) / seconds)
            self.x[n] += part * dx_mm
            self.y[n] += part * dy_mm
        return start_s + seconds

    def aim(self, start_s: float, seconds: float, x_mm: float, y_mm: float, keep: float) -> float:
        """The COP goes to a spot and stays; ``keep`` of its sway goes on there."""
        for n in range(math.ceil(start_s * self.rate_hz), len(self.x)):
            part = smooth((n / self.rate_hz - start_s) / seconds)
            there_x = x_mm + keep * self._sway_x[n]
            there_y = y_mm + keep * self._sway_y[n]
            self.x[n] += part * (there_x - self.x[n])
            self.y[n] += part * (there_y - self.y[n])
        return start_s + seconds

    def unload(self, start_s: float, seconds: float, to_share: float = 0.0) -> float:
        """The weight goes off the board."""
        for n in range(math.ceil(start_s * self.rate_hz), len(self.x)):
            part = smooth((n / self.rate_hz - start_s) / seconds)
            self.share[n] *= 1.0 + part * (to_share - 1.0)
        return start_s + seconds


def smooth(share: float) -> float:
    """From 0 to 1 without a corner; flat outside."""
    share = min(max(share, 0.0), 1.0)
    return share * share * (3.0 - 2.0 * share)
