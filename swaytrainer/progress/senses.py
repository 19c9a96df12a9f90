"""Of each measure: which way is better, and on which scale its days scatter evenly."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from swaytrainer.training.tasks.catalogue import KINDS

Better = Literal["less", "more", "neither"]


class Sense(NamedTuple):
    """How a measure's change is read.

    Attributes:
        better: "less", "more", or "neither" where a change is no merit by itself.
        log: compare logarithms. Of lengths, areas, speeds and frequencies the scatter grows with
            the value, and its logarithm scatters evenly: in the open standing trials (Santos &
            Duarte 2016, PeerJ 4:e2648, subjects under 60 with three trials) the SD over a
            subject's trials of speed, area and mean frequency goes with his mean (rank correlation
            0.26 to 0.70 in the twelve combinations with the four conditions), that of the
            logarithm hardly (−0.28 to 0.10). Shares in percent, marks and angles have bounds
            or signs and stay as they are.
        least, most: the measure's bounds.
    """

    better: Better
    log: bool
    least: float = -math.inf
    most: float = math.inf


_CALM = Sense("less", log=True)
_RATE = Sense("neither", log=True)
#: Entropy may be 0, and the long diffusion of a COP that always comes back lies about 0: no log.
_PLAIN = Sense("neither", log=False)
#: A share may leave 0 to 100 %: the lever rule over the feet goes on beyond heels and balls.
_SHARE = Sense("neither", log=False)

#: Which way is better is common practice, no source: less sway is calmer. A frequency or a share
#: of the load has its right place in the middle, so a change of it is only told. The ellipse's
#: angle is missing: angles have no mean that a difference or a line could be built on.
SENSES: Mapping[str, Sense] = MappingProxyType(
    {
        "mark": Sense("more", log=False, least=0.0, most=10.0),
        "path_length_mm": _CALM,
        "mean_speed_mm_s": _CALM,
        "mean_speed_ml_mm_s": _CALM,
        "mean_speed_ap_mm_s": _CALM,
        "rms_ml_mm": _CALM,
        "rms_ap_mm": _CALM,
        "mean_distance_mm": _CALM,
        "range_ml_mm": _CALM,
        "range_ap_mm": _CALM,
        "ellipse_area_mm2": _CALM,
        "ellipse_major_mm": _CALM,
        "ellipse_minor_mm": _CALM,
        "hull_area_mm2": _CALM,
        "sway_area_rate_mm2_s": _CALM,
        "mean_frequency_hz": _RATE,
        "median_frequency_hz": _RATE,
        "edge_frequency_95_hz": _RATE,
        "median_frequency_ml_hz": _RATE,
        "median_frequency_ap_hz": _RATE,
        "edge_frequency_95_ml_hz": _RATE,
        "edge_frequency_95_ap_hz": _RATE,
        "sample_entropy_ml": _PLAIN,
        "sample_entropy_ap": _PLAIN,
        **{
            f"{what}_{axis}mm2_s": scale
            for what, scale in (("diffusion_short", _RATE), ("diffusion_long", _PLAIN))
            for axis in ("", "ml_", "ap_")
        },
        **{f"critical_time_{axis}s": _RATE for axis in ("", "ml_", "ap_")},
        **{f"critical_displacement_{axis}mm2": _RATE for axis in ("", "ml_", "ap_")},
        "toe_share_percent": _SHARE,
        "right_share_percent": _SHARE,
        "time_in_band_percent": Sense("more", log=False, least=0.0, most=100.0),
        "longest_spell_s": Sense("more", log=False, least=0.0),
    }
)


def senses() -> dict[str, Sense]:
    """``SENSES``, and what the games measure by themselves, as it is."""
    found = {**SENSES, "calm_speed_mm_s": _CALM}
    for kind in KINDS.values():
        for key, measure in kind.measures.items():
            better: Better = "more" if measure.more_is_better else "less"
            found.setdefault(key, Sense(better, log=False))
    return found


def sense_of(measure: str) -> Sense:
    """The sense of a measure; of one that nobody knows: neither way, as it is.

    >>> sense_of("mean_speed_mm_s")
    Sense(better='less', log=True, least=-inf, most=inf)
    """
    return SENSES.get(measure) or senses().get(measure, Sense("neither", log=False))
