"""Every measure of a trial under its key, with unit, meaning and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
from swaytrainer.sway.cop import DUST_MM, NAN
from swaytrainer.sway.diffusion import diffusion
from swaytrainer.sway.ellipse import prediction_ellipse
from swaytrainer.sway.entropy import (
    ENTROPY_LEAST_HZ,
    ENTROPY_LEAST_S,
    block_means,
    sample_entropy,
)
from swaytrainer.sway.even import EvenPiece, even_piece
from swaytrainer.sway.extent import extent
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.hull import hull_area_mm2
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.remarks import AREA_LEAST_SAMPLES, remarks
from swaytrainer.sway.spectrum import (
    SPECTRUM_LEAST_HZ,
    SPECTRUM_LEAST_S,
    SpectralValues,
    spectral,
)
from swaytrainer.sway.spread import spread

_PRIETO = "Prieto et al. 1996, IEEE Trans Biomed Eng 43:956-966"
_SCHUBERT = "Schubert & Kirchner 2014, Gait & Posture 39:518-522"
_RICHMAN = "Richman & Moorman 2000, Am J Physiol 278:H2039-H2049"
_COLLINS = "Collins & De Luca 1993, Exp Brain Res 95:308-318"
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
        "sample_entropy_ml": Measure("1", "sample entropy of x, m 2, r 0.2·SD, 20 Hz", _RICHMAN),
        "sample_entropy_ap": Measure("1", "sample entropy of y, m 2, r 0.2·SD, 20 Hz", _RICHMAN),
        "diffusion_short_mm2_s": Measure("mm²/s", "planar diffusion up to 0.5 s", _COLLINS),
        "diffusion_long_mm2_s": Measure("mm²/s", "planar diffusion from 2.5 to 10 s", _COLLINS),
        "critical_time_s": Measure("s", "where the two lines of diffusion cross", _COLLINS),
        "critical_displacement_mm2": Measure("mm²", "mean square displacement there", _COLLINS),
        "diffusion_short_ml_mm2_s": Measure("mm²/s", "diffusion of x up to 0.5 s", _COLLINS),
        "diffusion_short_ap_mm2_s": Measure("mm²/s", "diffusion of y up to 0.5 s", _COLLINS),
        "diffusion_long_ml_mm2_s": Measure("mm²/s", "diffusion of x from 2.5 to 10 s", _COLLINS),
        "diffusion_long_ap_mm2_s": Measure("mm²/s", "diffusion of y from 2.5 to 10 s", _COLLINS),
        "critical_time_ml_s": Measure("s", "where x's two lines cross", _COLLINS),
        "critical_time_ap_s": Measure("s", "where y's two lines cross", _COLLINS),
        "critical_displacement_ml_mm2": Measure("mm²", "x's mean square there", _COLLINS),
        "critical_displacement_ap_mm2": Measure("mm²", "y's mean square there", _COLLINS),
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


@dataclass(frozen=True, slots=True)
class SwayResult:
    """What a trial's sway comes to.

    Attributes:
        values: all of ``MEASURES``, in their order; NaN where one cannot be given.
        notes: what a reader should know about how they came about, and why one is NaN.
    """

    values: dict[str, float]
    notes: tuple[str, ...]


def measure_sway(trace: Trace) -> SwayResult:
    """Measure one trial.

    >>> from swaytrainer.sway.prepare import trace_from_cop
    >>> time = np.arange(3000) / 50.0
    >>> turn = 2.0 * np.pi * 0.5 * time
    >>> trace = trace_from_cop(time, np.full(3000, 600.0), 10.0 * np.cos(turn), 10.0 * np.sin(turn))
    >>> result = measure_sway(trace)
    >>> round(result.values["mean_frequency_hz"], 3), round(result.values["rms_ml_mm"], 3)
    (0.5, 7.071)
    """
    even = even_piece(trace)
    values = {**_values_at_once(trace), **_spectra(even), **_entropies(even), **_diffusion(even)}
    ordered = {key: values[key] for key in MEASURES}
    return SwayResult(ordered, remarks(trace, even, ordered))


def sway_measures(trace: Trace) -> dict[str, float]:
    """The values of ``measure_sway``."""
    return measure_sway(trace).values


def notes(trace: Trace) -> list[str]:
    """The notes of ``measure_sway``."""
    return list(measure_sway(trace).notes)


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


def _values_at_once(trace: Trace) -> dict[str, float]:
    """The measures that take any samples with a COP, whatever gaps lie between."""
    time_s, x_mm, y_mm, breaks = trace.time_s, trace.x_mm, trace.y_mm, trace.breaks
    walked = path(time_s, x_mm, y_mm, breaks)
    about = spread(x_mm, y_mm)
    middle_mm = (about.mean_x_mm, about.mean_y_mm)
    distance_mm = mean_distance_mm(x_mm, y_mm, middle_mm)
    enough = about.samples >= AREA_LEAST_SAMPLES
    ellipse = prediction_ellipse(about.covariance_mm2 if enough else (NAN, NAN, NAN))
    if not distance_mm > DUST_MM:  # a ratio or a direction of dust would look like sway
        ellipse = ellipse._replace(ellipse_angle_deg=NAN)
    return {
        **walked._asdict(),
        "rms_ml_mm": about.rms_ml_mm,
        "rms_ap_mm": about.rms_ap_mm,
        "mean_distance_mm": distance_mm,
        **extent(x_mm, y_mm)._asdict(),
        **ellipse._asdict(),
        "hull_area_mm2": hull_area_mm2(x_mm, y_mm) if enough else NAN,
        "sway_area_rate_mm2_s": (
            sway_area_rate_mm2_s(time_s, x_mm, y_mm, breaks, middle_mm) if enough else NAN
        ),
        "mean_frequency_hz": mean_frequency_hz(
            walked.mean_speed_mm_s, distance_mm if enough and distance_mm > DUST_MM else NAN
        ),
    }


def _spectra(even: EvenPiece) -> dict[str, float]:
    d = ml = ap = SpectralValues(NAN, NAN)
    if even.lasts(SPECTRUM_LEAST_S) and even.rate_hz >= SPECTRUM_LEAST_HZ:
        d = spectral(distances_mm(even.x_mm, even.y_mm), even.rate_hz)
        ml, ap = spectral(even.x_mm, even.rate_hz), spectral(even.y_mm, even.rate_hz)
    return {
        **d._asdict(),
        "median_frequency_ml_hz": ml.median_frequency_hz,
        "median_frequency_ap_hz": ap.median_frequency_hz,
        "edge_frequency_95_ml_hz": ml.edge_frequency_95_hz,
        "edge_frequency_95_ap_hz": ap.edge_frequency_95_hz,
    }


def _entropies(even: EvenPiece) -> dict[str, float]:
    ml = ap = NAN
    if even.lasts(ENTROPY_LEAST_S) and even.rate_hz >= ENTROPY_LEAST_HZ:
        ml, ap = (sample_entropy(block_means(v, even.rate_hz)) for v in (even.x_mm, even.y_mm))
    return {"sample_entropy_ml": ml, "sample_entropy_ap": ap}


def _diffusion(even: EvenPiece) -> dict[str, float]:
    plane, ml, ap = diffusion(even.x_mm, even.y_mm, even.rate_hz)
    return {
        **plane._asdict(),
        "diffusion_short_ml_mm2_s": ml.diffusion_short_mm2_s,
        "diffusion_short_ap_mm2_s": ap.diffusion_short_mm2_s,
        "diffusion_long_ml_mm2_s": ml.diffusion_long_mm2_s,
        "diffusion_long_ap_mm2_s": ap.diffusion_long_mm2_s,
        "critical_time_ml_s": ml.critical_time_s,
        "critical_time_ap_s": ap.critical_time_s,
        "critical_displacement_ml_mm2": ml.critical_displacement_mm2,
        "critical_displacement_ap_mm2": ap.critical_displacement_mm2,
    }
