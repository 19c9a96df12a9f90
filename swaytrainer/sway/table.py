"""Every measure of a trial under its key, with unit, meaning and source."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from swaytrainer.sway.about_mean import (
    distances_mm,
    mean_distance_mm,
    mean_frequency_hz,
    sway_area_rate_mm2_s,
)
from swaytrainer.sway.band import time_in_band
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.ellipse import prediction_ellipse
from swaytrainer.sway.extent import extent
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.gaps import pieces
from swaytrainer.sway.hull import hull_area_mm2
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.spectrum import BAND_HIGH_HZ, SpectralValues, spectral
from swaytrainer.sway.spread import spread

#: A spectrum needs this much in one piece: half of it is one segment, and its first step (0.1 Hz)
#: must lie below the band's lower end (0.15 Hz).
SPECTRUM_LEAST_S = 20.0

#: Stamps that lie within this share of an interval of an even grid are taken as even.
EVEN_WITHIN = 0.1

_PRIETO = "Prieto et al. 1996, IEEE Trans Biomed Eng 43:956-966"
_SCHUBERT = "Schubert & Kirchner 2014, Gait & Posture 39:518-522"
_OURS = "lever rule over the feet"


class Measure(NamedTuple):
    """What a key stands for."""

    unit: str
    meaning: str
    source: str


#: The sway measures, in the order of every table. ML: left-right (x), AP: forward-back (y).
MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "path_length_mm": Measure("mm", "length of the COP's path", _PRIETO),
        "mean_speed_mm_s": Measure("mm/s", "path length over time", _PRIETO),
        "mean_speed_ml_mm_s": Measure("mm/s", "path along x only, over time", _PRIETO),
        "mean_speed_ap_mm_s": Measure("mm/s", "path along y only, over time", _PRIETO),
        "rms_ml_mm": Measure("mm", "root mean square of x about its mean (1/N)", _PRIETO),
        "rms_ap_mm": Measure("mm", "root mean square of y about its mean (1/N)", _PRIETO),
        "mean_distance_mm": Measure("mm", "mean distance d from the mean COP", _PRIETO),
        "range_ml_mm": Measure("mm", "largest minus smallest x", _PRIETO),
        "range_ap_mm": Measure("mm", "largest minus smallest y", _PRIETO),
        "ellipse_area_mm2": Measure("mm²", "area of the 95 % prediction ellipse", _SCHUBERT),
        "ellipse_major_mm": Measure("mm", "its longer semi-axis", _SCHUBERT),
        "ellipse_minor_mm": Measure("mm", "its shorter semi-axis", _SCHUBERT),
        "ellipse_angle_deg": Measure(
            "°", "its longer axis from +x, counter-clockwise, (-90, 90]", _SCHUBERT
        ),
        "hull_area_mm2": Measure("mm²", "area of the convex hull", "Andrew 1979, IPL 9:216-219"),
        "sway_area_rate_mm2_s": Measure("mm²/s", "area swept about the mean COP", _PRIETO),
        "mean_frequency_hz": Measure("Hz", "mean speed / (2π·mean distance)", _PRIETO),
        "median_frequency_hz": Measure("Hz", "half of d's power, 0.15-5 Hz, lies below", _PRIETO),
        "edge_frequency_95_hz": Measure("Hz", "95 % of d's power lies below", _PRIETO),
        "median_frequency_ml_hz": Measure("Hz", "half of x's power lies below", _PRIETO),
        "median_frequency_ap_hz": Measure("Hz", "half of y's power lies below", _PRIETO),
        "edge_frequency_95_ml_hz": Measure("Hz", "95 % of x's power lies below", _PRIETO),
        "edge_frequency_95_ap_hz": Measure("Hz", "95 % of y's power lies below", _PRIETO),
    }
)

#: The measures that need to know where the feet stand.
FOOT_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "toe_share_percent": Measure("%", "mean share of the load on the balls", _OURS),
        "right_share_percent": Measure("%", "mean share of the load on the right foot", _OURS),
        "time_in_band_percent": Measure("%", "time with the toe share inside its band", _OURS),
        "longest_spell_s": Measure("s", "longest time inside the band at a stretch", _OURS),
    }
)


class _SpectrumInput(NamedTuple):
    """An even, unbroken piece of a trace, or why there is none."""

    x_mm: Array
    y_mm: Array
    notes: tuple[str, ...]


def sway_measures(trace: Trace) -> dict[str, float]:
    """All of ``MEASURES`` for one trial; NaN where one cannot be computed (see ``notes``)."""
    time_s, x_mm, y_mm, breaks = trace.time_s, trace.x_mm, trace.y_mm, trace.breaks
    walked = path(time_s, x_mm, y_mm, breaks)
    about = spread(x_mm, y_mm)
    distance_mm = mean_distance_mm(x_mm, y_mm)
    even = _spectrum_input(trace)
    d = _spectral(distances_mm(even.x_mm, even.y_mm), trace.rate_hz)
    ml = _spectral(even.x_mm, trace.rate_hz)
    ap = _spectral(even.y_mm, trace.rate_hz)
    values: dict[str, float] = {
        **walked._asdict(),
        "rms_ml_mm": about.rms_ml_mm,
        "rms_ap_mm": about.rms_ap_mm,
        "mean_distance_mm": distance_mm,
        **extent(x_mm, y_mm)._asdict(),
        **prediction_ellipse(about.covariance_mm2)._asdict(),
        "hull_area_mm2": hull_area_mm2(x_mm, y_mm),
        "sway_area_rate_mm2_s": sway_area_rate_mm2_s(time_s, x_mm, y_mm, breaks),
        "mean_frequency_hz": mean_frequency_hz(walked.mean_speed_mm_s, distance_mm),
        **d._asdict(),
        "median_frequency_ml_hz": ml.median_frequency_hz,
        "median_frequency_ap_hz": ap.median_frequency_hz,
        "edge_frequency_95_ml_hz": ml.edge_frequency_95_hz,
        "edge_frequency_95_ap_hz": ap.edge_frequency_95_hz,
    }
    return values


def foot_measures(
    trace: Trace, feet: Feet, band_low_percent: float, band_high_percent: float
) -> dict[str, float]:
    """All of ``FOOT_MEASURES`` for one trial.

    The shares are means over the samples that have a COP, of each sample's own share.

    Args:
        trace: the trial.
        feet: where the feet stood.
        band_low_percent, band_high_percent: the toe share's band.
    """
    there = ~np.isnan(trace.x_mm)
    toes = feet.toe_share_percent(trace.y_mm)
    right = feet.right_share_percent(trace.x_mm)
    band = time_in_band(trace.time_s, toes, band_low_percent, band_high_percent, trace.breaks)
    return {
        "toe_share_percent": float(toes[there].mean()) if there.any() else NAN,
        "right_share_percent": float(right[there].mean()) if there.any() else NAN,
        **band._asdict(),
    }


def notes(trace: Trace) -> list[str]:
    """What a reader of the table should know about how the values came about, in sentences."""
    said: list[str] = []
    mean_n = float(np.nanmean(trace.force_n))
    if mean_n < 130.0:  # 13 kg: no child that vaults is as light
        said.append(
            f"The mean force is {mean_n:.0f} N, a body of {mean_n / 9.81:.1f} kg:"
            " are the loads kilograms? The COP does not depend on it, the threshold does."
        )
    if trace.rate_hz < 50.0 or trace.duration_s < 25.0:
        said.append(
            f"{trace.duration_s:.1f} s at {trace.rate_hz:.1f} Hz: a measured trial has at least"
            " 25 s and 50 Hz (Scoppa et al. 2013)."
        )
    if trace.lost_percent > 0.0:
        said.append(
            f"{trace.lost_percent:.2f} % of the samples are lost or without a COP, at most"
            f" {trace.longest_gap_s * 1000.0:.0f} ms at a stretch; nothing was bridged."
        )
    said.extend(_spectrum_input(trace).notes)
    return said


def _spectral(x: Array, rate_hz: float) -> SpectralValues:
    return spectral(x, rate_hz) if x.size else SpectralValues(NAN, NAN)


def _spectrum_input(trace: Trace) -> _SpectrumInput:
    """The longest unbroken piece of the trace, put on an even grid if its stamps are not."""
    nothing = np.empty(0)
    if trace.rate_hz < 2.0 * BAND_HIGH_HZ:
        return _SpectrumInput(
            nothing,
            nothing,
            (f"No spectra: {trace.rate_hz:.1f} Hz cannot show the band up to 5 Hz.",),
        )
    whole = max(pieces(~trace.breaks[1:]), key=lambda piece: piece.stop - piece.start)
    time_s = trace.time_s[whole]
    x_mm, y_mm = trace.x_mm[whole], trace.y_mm[whole]
    seconds = time_s.size / trace.rate_hz
    if seconds < SPECTRUM_LEAST_S * (1.0 - 1e-9) or np.isnan(x_mm[0]):
        return _SpectrumInput(
            nothing,
            nothing,
            (
                f"No spectra: they need {SPECTRUM_LEAST_S:g} s without a gap,"
                f" the longest piece has {seconds:.1f} s.",
            ),
        )
    said: list[str] = []
    if time_s.size < trace.time_s.size:
        said.append(f"Spectra are of the longest piece without a gap, {seconds:.1f} s.")
    grid_s = time_s[0] + np.arange(time_s.size) * ((time_s[-1] - time_s[0]) / (time_s.size - 1))
    if float(np.abs(time_s - grid_s).max()) * trace.rate_hz > EVEN_WITHIN:
        x_mm, y_mm = np.interp(grid_s, time_s, x_mm), np.interp(grid_s, time_s, y_mm)
        said.append(
            "The samples are uneven in time: for the spectra they were put on an even grid."
        )
    return _SpectrumInput(x_mm, y_mm, tuple(said))
