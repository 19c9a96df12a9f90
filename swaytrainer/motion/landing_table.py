"""What is told of landings: one by one, and of a trial under its keys."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from swaytrainer.motion.landing_feet import FeetAtLanding
from swaytrainer.motion.landing_find import Moment, Peak
from swaytrainer.motion.landing_settle import QuietStance
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.table import Measure

_LINTHORNE = "Linthorne 2001, Am J Phys 69:1198-1204"
_OURS = "our definition"
_LEVER = "lever rule over the feet"

#: What ``measure_landing`` gives: counts, and means over the landings that have the value.
LANDING_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "landing_count": Measure("", "landings, hops and jumps from outside", _OURS),
        "landing_saturated": Measure("", "of these, with a cell at its end", _OURS),
        "landing_weight_n": Measure("N", "body weight, given or from quiet standing", _OURS),
        "landing_flight_s": Measure("s", "mean flight time of the hops", _LINTHORNE),
        "landing_flight_within_s": Measure("s", "± of a flight time, from the rate", _OURS),
        "landing_height_mm": Measure("mm", "mean height of the hops, g·t²/8", _LINTHORNE),
        "landing_height_within_mm": Measure("mm", "± of a height, from the rate", _OURS),
        "landing_peak_bw": Measure("BW", "mean peak force in body weights", _OURS),
        "landing_peak_largest_bw": Measure("BW", "the largest peak", _OURS),
        "landing_peak_short_bw": Measure("BW", "what the rate may hide of a peak", _OURS),
        "landing_loading_s": Measure("s", "mean time from contact to peak", _OURS),
        "landing_loading_within_s": Measure("s", "± of a loading time, from the rate", _OURS),
        "landing_loading_rate_bw_s": Measure("BW/s", "peak over loading time", _OURS),
        "landing_feet_lag_s": Measure("s", "until the second foot bears a tenth", _LEVER),
        "landing_feet_even_s": Measure("s", "until the COP is in the middle third", _LEVER),
        "landing_right_share_percent": Measure("%", "load on the right, contact to peak", _LEVER),
        "landing_toe_share_contact_percent": Measure("%", "toe share at first contact", _LEVER),
        "landing_toe_share_peak_percent": Measure("%", "toe share at the peak", _LEVER),
        "landing_force_still_s": Measure(
            "s", "from contact until F stays within ±5 % of body weight for 1 s", _OURS
        ),
        "landing_time_to_still_s": Measure(
            "s", "the same, with the COP's speed in that second in the quiet range", _OURS
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Landing:
    """One landing; NaN for what is not known of it. Times are the trace's, in s.

    Attributes:
        takeoff, contact: when; ``takeoff`` is ``NEVER`` for a jump from outside.
        flight_s, height_mm: of a hop.
        impulse_height_mm: the same height from the push-off's impulse, if quiet standing came
            within 3 s before it. Not tied to the posture at landing, but to the weight: 1 % of that
            changes it by about a tenth.
        half_step_s: half of the time between two samples.
        peak: of the force; None if the trace ends or the force still rises a quarter of a second
            after contact.
        peak_bw: in body weights.
        saturated: a cell was at its end: the peak is **at least** this, and loading time, rate and
            the shares after it are unknown.
        loading_s: contact to peak.
        feet: the feet's part.
        force_still_s, time_to_still_s: see ``landing_settle``.
    """

    takeoff: Moment
    contact: Moment
    flight_s: float
    height_mm: float
    height_within_mm: float
    impulse_height_mm: float
    half_step_s: float
    peak: Peak | None
    peak_bw: float
    saturated: bool
    loading_s: float
    feet: FeetAtLanding
    force_still_s: float
    time_to_still_s: float

    @property
    def flight_within_s(self) -> float:
        """The largest error of the flight time: both its ends lie between two samples."""
        return self.takeoff.within_s + self.contact.within_s

    @property
    def loading_within_s(self) -> float:
        """The largest error of the loading time; the peak lies within half an interval."""
        return self.contact.within_s + self.half_step_s

    @property
    def loading_rate_bw_s(self) -> float:
        """Peak over loading time."""
        return self.peak_bw / self.loading_s if self.loading_s > 0.0 else NAN


@dataclass(frozen=True, slots=True)
class LandingResult:
    """All landings of a trace.

    Attributes:
        values: exactly the keys of ``LANDING_MEASURES``; NaN where not measurable.
        notes: why, and what else to know, in sentences.
        landings: one by one.
        steps_s: when somebody stepped onto the board without landing.
        stance: weight and quiet speed that were used; None if the weight is unknown.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    landings: tuple[Landing, ...]
    steps_s: tuple[float, ...]
    stance: QuietStance | None


def _mean(values: list[float]) -> float:
    known = [value for value in values if not math.isnan(value)]
    return math.fsum(known) / len(known) if known else NAN


def landing_values(landings: Sequence[Landing], stance: QuietStance | None) -> dict[str, float]:
    """All of ``LANDING_MEASURES``: means over the landings in which each is known."""
    peaks = [one.peak_bw for one in landings if not math.isnan(one.peak_bw)]
    weight_n = NAN if stance is None else stance.weight_n
    shorts = [one.peak.short_n / weight_n for one in landings if one.peak is not None]
    loadings = [one for one in landings if not math.isnan(one.loading_s) and one.peak is not None]
    values = (
        float(len(landings)),
        float(sum(one.saturated for one in landings)),
        weight_n,
        _mean([one.flight_s for one in landings]),
        _mean([one.flight_within_s for one in landings]),
        _mean([one.height_mm for one in landings]),
        _mean([one.height_within_mm for one in landings]),
        _mean(peaks),
        max(peaks) if peaks else NAN,
        _mean(shorts),
        _mean([one.loading_s for one in loadings]),
        _mean([one.loading_within_s for one in loadings]),
        _mean([one.loading_rate_bw_s for one in loadings]),
        _mean([one.feet.lag_s for one in landings]),
        _mean([one.feet.even_s for one in landings]),
        _mean([one.feet.right_share_percent for one in landings]),
        _mean([one.feet.toe_share_contact_percent for one in landings]),
        _mean([one.feet.toe_share_peak_percent for one in landings]),
        _mean([one.force_still_s for one in landings]),
        _mean([one.time_to_still_s for one in landings]),
    )
    return dict(zip(LANDING_MEASURES, values, strict=True))
