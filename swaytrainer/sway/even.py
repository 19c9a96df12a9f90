"""The longest unbroken piece of a trial on an even grid: what spectra, entropy and diffusion need.

They look at how samples follow one another over seconds, so that a gap can't be stepped over as a
path steps over it; and a trial in two halves is not the trial twice. So they are measured on the
longest piece, and the notes say so.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import DUST_MM, Array
from swaytrainer.sway.gaps import pieces
from swaytrainer.sway.prepare import Trace

#: Stamps that lie within this share of an interval of an even grid are taken as even.
EVEN_WITHIN = 0.1


class EvenPiece(NamedTuple):
    """The longest piece without a gap.

    Attributes:
        x_mm, y_mm: shape (K,), finite, evenly sampled; empty if no sample has a COP. An axis that
            moves less than ``DUST_MM`` is perfectly still, lest rounding pass for sway.
        rate_hz: samples a second of this piece.
        seconds: K / rate.
        whole: whether this is the whole trial.
        regridded: whether the stamps were uneven, so that the COP was put on an even grid
            (straight lines between samples).
    """

    x_mm: Array
    y_mm: Array
    rate_hz: float
    seconds: float
    whole: bool
    regridded: bool

    def lasts(self, seconds: float) -> bool:
        """Whether it is at least this long, but for rounding."""
        return self.seconds >= seconds * (1.0 - 1e-9)


def even_piece(trace: Trace) -> EvenPiece:
    """The longest unbroken piece of a trace; the first of them if several are as long.

    >>> from swaytrainer.sway.prepare import trace_from_cop
    >>> time = np.array([0.0, 0.1, 0.2, 0.9, 1.0])
    >>> piece = even_piece(trace_from_cop(time, np.full(5, 600.0), np.arange(5.0), np.arange(5.0)))
    >>> piece.x_mm.tolist(), piece.whole
    ([0.0, 1.0, 2.0], False)
    """
    longest = max(pieces(~trace.breaks[1:]), key=lambda piece: piece.stop - piece.start)
    time_s = trace.time_s[longest]
    if np.isnan(trace.x_mm[longest.start]):
        return EvenPiece(np.empty(0), np.empty(0), trace.rate_hz, 0.0, False, False)
    x_mm, y_mm = _without_dust(trace.x_mm[longest]), _without_dust(trace.y_mm[longest])
    whole = time_s.size == trace.time_s.size
    if time_s.size < 3:
        return EvenPiece(x_mm, y_mm, trace.rate_hz, time_s.size / trace.rate_hz, whole, False)
    rate_hz = (time_s.size - 1) / float(time_s[-1] - time_s[0])
    grid_s = time_s[0] + np.arange(time_s.size) / rate_hz
    regridded = float(np.abs(time_s - grid_s).max()) * rate_hz > EVEN_WITHIN
    if regridded:
        x_mm, y_mm = np.interp(grid_s, time_s, x_mm), np.interp(grid_s, time_s, y_mm)
    return EvenPiece(x_mm, y_mm, rate_hz, time_s.size / rate_hz, whole, regridded)


def _without_dust(x_mm: Array) -> Array:
    return x_mm if float(np.ptp(x_mm)) > DUST_MM else np.full(x_mm.size, x_mm[0])
