"""Which stretch of time is looked at: the newest, or one held still while the sitting runs on.

All times are seconds since the recording began, so that two recordings side by side share one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

WIDTHS_S: Final = (10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 14400.0)


@dataclass(frozen=True, slots=True)
class Gaze:
    """What is looked at.

    Attributes:
        width_s: how much time is shown, one of ``WIDTHS_S``.
        end_s: where it ends; None while it follows the newest sample.

    >>> held = Gaze().frozen(100.0).moved(-0.5, 100.0)
    >>> held.stretch(140.0)
    (10.0, 70.0)
    """

    width_s: float = 60.0
    end_s: float | None = None

    @property
    def follows(self) -> bool:
        """It shows the newest."""
        return self.end_s is None

    def stretch(self, newest_s: float) -> tuple[float, float]:
        """From when to when, s; from 0 where there is less than the width.

        While it follows it moves on by a tenth of the width at a time: a picture that stands is
        easier to read than one that flows, and its axes need not be drawn thirty times a second.
        """
        end = self.end_s
        if end is None:
            step = 0.1 * self.width_s
            end = math.ceil(newest_s / step) * step if math.isfinite(newest_s) else 0.0
        if not math.isfinite(end):
            end = 0.0
        end = max(end, self.width_s)
        return end - self.width_s, end

    def at_s(self, newest_s: float) -> float:
        """The moment that numbers, cloud and spectrum are of: the stretch's end, or the newest."""
        end = self.end_s if self.end_s is not None else newest_s
        return min(end, newest_s) if math.isfinite(newest_s) else newest_s

    def frozen(self, newest_s: float) -> Gaze:
        """Held still here."""
        return replace(self, end_s=self.at_s(newest_s) if math.isfinite(newest_s) else 0.0)

    def following(self) -> Gaze:
        """At the newest again."""
        return replace(self, end_s=None)

    def moved(self, widths: float, newest_s: float) -> Gaze:
        """Back (below zero) or on by so many widths; held still, within what there is."""
        end = self.at_s(newest_s) + widths * self.width_s
        newest_s = newest_s if math.isfinite(newest_s) else 0.0
        return replace(self, end_s=min(max(end, 0.0), newest_s))

    def zoomed(self, steps: int) -> Gaze:
        """Wider (above zero) or narrower by steps of ``WIDTHS_S``."""
        at = min(range(len(WIDTHS_S)), key=lambda i: abs(WIDTHS_S[i] - self.width_s))
        return replace(self, width_s=WIDTHS_S[min(max(at + steps, 0), len(WIDTHS_S) - 1)])


def scale(low: float, high: float, least: float, below: float = math.inf) -> tuple[float, float]:
    """A range with round ends that holds what is shown; it changes in steps, so it stands still.

    Args:
        low, high: of what is shown; NaN if nothing is.
        least: the range is no smaller than this.
        below: where it begins at most; 0 for a range that holds zero.

    >>> scale(3.0, 461.0, 100.0, below=0.0)
    (0.0, 500.0)
    """
    # A range that needn't hold anything beyond what is shown: ``below`` is infinite.
    if not (math.isfinite(low) and math.isfinite(high)):
        low, high = (below, below + least) if math.isfinite(below) else (0.0, least)
    if below - 0.05 * (high - low) <= low:
        low = below  # the noise of an empty board is no reason for a step below zero
    low, high = min(low, below), max(high, low + 1e-9)
    span = max(high - low, least)
    step = 10.0 ** math.floor(math.log10(span / 2.0))
    step *= next(m for m in (1.0, 2.0, 5.0, 10.0) if span / (step * m) <= 6.0)
    begin = math.floor(low / step) * step
    end = math.ceil(max(high, low + least) / step - 1e-9) * step
    return begin, end
