"""What a reader should know about how the values of a trial came about, and why one is missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isnan

import numpy as np

from swaytrainer.sway.cop import DUST_MM
from swaytrainer.sway.diffusion import DIFFUSION_LEAST_HZ, DIFFUSION_LEAST_S, LONG_TO_S
from swaytrainer.sway.entropy import ENTROPY_LEAST_HZ, ENTROPY_LEAST_S, ENTROPY_RATE_HZ
from swaytrainer.sway.even import EvenPiece
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.spectrum import (
    BAND_HIGH_HZ,
    BAND_LOW_HZ,
    SPECTRUM_LEAST_HZ,
    SPECTRUM_LEAST_S,
)

#: Two samples always lie on a line: an area, an ellipse or a frequency of theirs says nothing.
AREA_LEAST_SAMPLES = 3

_LIGHTEST_N = 130.0  # 13 kg: no child that vaults is as light

#: A trial of 25 s ends with the last sample before them.
_NEARLY = 0.999


def remarks(trace: Trace, even: EvenPiece, values: Mapping[str, float]) -> tuple[str, ...]:
    """All remarks, in sentences.

    Args:
        trace: the trial.
        even: its longest piece without a gap.
        values: all of ``table.MEASURES`` of it. Each that is NaN is given a reason.
    """
    samples = int((~np.isnan(trace.x_mm)).sum())
    if samples == 0:
        return ("Nobody is on the board: no sample has a COP, so nothing is measured.",)
    return (*_of_trial(trace), *_of_values_at_once(samples, values), *_of_piece(even, values))


def _of_trial(trace: Trace) -> Iterable[str]:
    known_n = trace.force_n[~np.isnan(trace.force_n)]
    mean_n = float(known_n.mean()) if known_n.size else float("nan")
    if mean_n < _LIGHTEST_N:
        yield (
            f"The mean force is {mean_n:.0f} N, a body of {mean_n / 9.81:.1f} kg:"
            " are the loads kilograms? The COP does not depend on it, the threshold does."
        )
    if trace.rate_hz < 50.0 * _NEARLY or trace.duration_s < 25.0 * _NEARLY:
        yield (
            f"{trace.duration_s:.1f} s at {trace.rate_hz:.1f} Hz: a measured trial has at least"
            " 25 s and 50 Hz (Scoppa et al. 2013)."
        )
    if trace.lost_percent > 0.0:
        yield (
            f"{trace.lost_percent:.2f} % of the samples are lost or without a COP, at most"
            f" {trace.longest_gap_s * 1000.0:.0f} ms at a stretch; nothing was bridged."
        )


def _of_values_at_once(samples: int, values: Mapping[str, float]) -> Iterable[str]:
    if isnan(values["path_length_mm"]):
        yield (
            "No path, speed, mean frequency or swept area: no two neighbouring samples have a COP."
        )
    if samples < AREA_LEAST_SAMPLES:
        yield (
            f"Only {samples} sample{'s have' if samples > 1 else ' has'} a COP: areas, the ellipse"
            f" and the mean frequency need {AREA_LEAST_SAMPLES}."
        )
    elif values["mean_distance_mm"] <= DUST_MM:
        yield (
            "The COP does not move at all: no mean frequency, and no angle of the ellipse."
            " Is the signal frozen?"
        )
    elif isnan(values["ellipse_angle_deg"]):
        yield "No angle of the ellipse: the sway is the same in all directions."


def _of_piece(even: EvenPiece, values: Mapping[str, float]) -> Iterable[str]:
    """On spectra, entropy and diffusion, which are of the longest piece without a gap."""
    given: list[str] = []
    for name, least_s, least_hz, why_hz in (
        (
            "spectra",
            SPECTRUM_LEAST_S,
            SPECTRUM_LEAST_HZ,
            f"show the band up to {BAND_HIGH_HZ:g} Hz",
        ),
        ("entropy", ENTROPY_LEAST_S, ENTROPY_LEAST_HZ, f"give {ENTROPY_RATE_HZ:g} values a second"),
        ("diffusion", DIFFUSION_LEAST_S, DIFFUSION_LEAST_HZ, "show how it grows within 0.5 s"),
    ):
        if even.rate_hz < least_hz:
            yield f"No {name}: {even.rate_hz:.1f} Hz cannot {why_hz}."
        elif not even.lasts(least_s):
            yield (
                f"No {name}: {least_s:g} s without a gap are needed,"
                f" the longest piece has {even.seconds:.1f} s."
            )
        else:
            given.append(name)
    if not given:
        return
    names = ", ".join(given)
    if not even.whole:
        yield f"Of the longest piece without a gap, {even.seconds:.1f} s: {names}."
    if even.regridded:
        yield f"The samples are uneven in time; put on an even grid for: {names}."
    if "spectra" in given:
        yield from _missing(
            values,
            {"d": "edge_frequency_95_hz", "x": "edge_frequency_95_ml_hz",
             "y": "edge_frequency_95_ap_hz"},
            f"No spectral frequencies of {{}}: no power from {BAND_LOW_HZ:g} to"
            f" {BAND_HIGH_HZ:g} Hz.",
        )  # fmt: skip
    if "entropy" in given:
        yield (
            f"Sample entropy is of {ENTROPY_RATE_HZ:g} values a second, each the mean of a"
            " twentieth of a second."
        )
        yield from _missing(
            values,
            {"x": "sample_entropy_ml", "y": "sample_entropy_ap"},
            "No sample entropy of {}: it does not move, or no stretch of it comes again.",
        )
    if "diffusion" in given:
        yield from _missing(
            values,
            {"the plane": "diffusion_short_mm2_s", "x": "diffusion_short_ml_mm2_s",
             "y": "diffusion_short_ap_mm2_s"},
            "No diffusion of {}: it does not move.",
        )  # fmt: skip
        yield from _missing(
            values,
            {"the plane": "critical_time_s", "x": "critical_time_ml_s", "y": "critical_time_ap_s"},
            f"No critical point of diffusion of {{}}: the lines of short and long lags do not"
            f" cross between 0 and {LONG_TO_S:g} s.",
        )


def _missing(values: Mapping[str, float], keys: Mapping[str, str], why: str) -> Iterable[str]:
    missing = [name for name, key in keys.items() if isnan(values[key])]
    if missing:
        yield why.format(" and ".join(missing))
