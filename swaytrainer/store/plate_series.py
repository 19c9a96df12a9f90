"""A trial's samples as any file gives them: four loads, and where they act."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from swaytrainer.sway.cop import Array, CellPlaces, Places

#: Where the four cells stand that carry somebody else's force and moments. Any place will do.
_STAND_INS: Final = CellPlaces.rectangle(100.0, 100.0)


@dataclass(frozen=True, slots=True, eq=False)
class PlateSeries:
    """Samples of one plate, unfiltered.

    Attributes:
        time_s: shape (N,).
        loads_n: shape (N, cells), in the order of ``places``. Without real corner loads these are
            four that make up the same force and COP, without a twist.
        places: where those loads act, mm.
        twist_known: the four loads are real ones.
        force_known: the force is the real one; else it stands in, the same in each sample.
        notes: how it was read, in sentences.
        acceleration: times (s) and the plate's upward acceleration (m/s²), shape (M,) each; None
            if it is unknown.
    """

    time_s: Array
    loads_n: Array
    places: Places
    twist_known: bool = True
    force_known: bool = True
    notes: tuple[str, ...] = ()
    acceleration: tuple[Array, Array] | None = None


def series_of_moments(
    time_s: Array,
    force_n: Array,
    force_x_nmm: Array,
    force_y_nmm: Array,
    *,
    force_known: bool = True,
    notes: tuple[str, ...] = (),
) -> PlateSeries:
    """Force and moments as the four loads that carry them.

    With cells at (±a, ±b) the load of each is F/4 ± F·x/(4a) ± F·y/(4b): the moment balance of
    ``cop_arrays`` solved for loads without a twist. So another laboratory's plate goes the very
    way of our own: force and moments are filtered, and only then divided.

    Args:
        time_s, force_n: shape (N,).
        force_x_nmm, force_y_nmm: shape (N,), force times COP, N·mm, in our frame.
        force_known, notes: as in ``PlateSeries``.

    >>> one = np.array([600.0])
    >>> series_of_moments(np.array([0.0]), one, 10.0 * one, 0.0 * one).loads_n.tolist()
    [[135.0, 165.0, 135.0, 165.0]]
    """
    signs = np.asarray(_STAND_INS) / 100.0
    half_mm = 100.0
    loads = 0.25 * (
        force_n[:, None]
        + force_x_nmm[:, None] * signs[:, 0] / half_mm
        + force_y_nmm[:, None] * signs[:, 1] / half_mm
    )
    return PlateSeries(time_s, loads, _STAND_INS, False, force_known, notes)
