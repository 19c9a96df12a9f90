"""All live measures of a trial in one bundle: what a sitting feeds with each COP sample."""

from __future__ import annotations

from math import isfinite

from swaytrainer.sway.band import TimeInBand
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.ellipse import prediction_ellipse
from swaytrainer.sway.extent import Extent
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.hull import HullArea
from swaytrainer.sway.path import PathLength
from swaytrainer.sway.remarks import AREA_LEAST_SAMPLES
from swaytrainer.sway.spread import Spread


class LiveSway:
    """The measures that are exact sample by sample, under the keys of ``table``.

    They equal ``table.sway_measures`` and ``table.foot_measures`` of the same samples; but a live
    COP comes from the causal filter and an offline one from the zero-phase filter, so the two
    ways of one trial differ a little.

    Attributes:
        path, spread, extent, hull, band: the parts, to be read.

    Args:
        feet: where the vaulter's feet stand.
        band_low_percent, band_high_percent: the toe share's band.

    >>> live = LiveSway(Feet(-70.0, 50.0, -80.0, 80.0), 35.0, 50.0)
    >>> for n in range(3):
    ...     live.update(CopSample(n / 80.0, 600.0, float(n), -16.0, 0.0))
    >>> round(live.get()["mean_speed_mm_s"], 9), live.get()["time_in_band_percent"]
    (80.0, 100.0)
    """

    __slots__ = ("_feet", "band", "extent", "hull", "path", "spread")

    def __init__(self, feet: Feet, band_low_percent: float, band_high_percent: float) -> None:
        self._feet = feet
        self.path = PathLength()
        self.spread = Spread()
        self.extent = Extent()
        self.hull = HullArea()
        self.band = TimeInBand(band_low_percent, band_high_percent)

    def gap(self) -> None:
        """Samples were lost: the next interval is not bridged."""
        self.path.gap()
        self.band.gap()

    def update(self, cop: CopSample) -> None:
        """Take one sample, times increasing; one without a COP (not finite) is a gap."""
        time_s, _, x_mm, y_mm, _ = cop
        if not (isfinite(x_mm) and isfinite(y_mm)):
            self.gap()
            return
        self.path.update(time_s, x_mm, y_mm)
        self.spread.update(x_mm, y_mm)
        self.extent.update(x_mm, y_mm)
        self.hull.update(x_mm, y_mm)
        self.band.update(time_s, self._feet.toe_share_percent(y_mm))

    def get(self) -> dict[str, float]:
        """The measures so far; NaN where there is nothing to measure yet."""
        spread = self.spread.get()
        enough = spread.samples >= AREA_LEAST_SAMPLES
        covariance_mm2 = spread.covariance_mm2 if enough else (NAN, NAN, NAN)
        return {
            **self.path.get()._asdict(),
            "rms_ml_mm": spread.rms_ml_mm,
            "rms_ap_mm": spread.rms_ap_mm,
            **self.extent.get()._asdict(),
            "ellipse_area_mm2": prediction_ellipse(covariance_mm2).ellipse_area_mm2,
            "hull_area_mm2": self.hull.get() if enough else NAN,
            # The lever rule is linear: the mean of the shares is the share of the mean COP.
            "toe_share_percent": self._feet.toe_share_percent(spread.mean_y_mm),
            "right_share_percent": self._feet.right_share_percent(spread.mean_x_mm),
            **self.band.get()._asdict(),
        }
