"""Standing on one leg: which one, from when to when, how often the other foot came down.

One plate under both feet sees the joint COP only. What follows from that:

- A COP under one foot's outline is borne by that foot, as far as anyone can see: nearly all of it.
- A COP beyond the inner edge of the standing foot can't be borne by it: the other foot has touched
  the plate. Of a touch with a share p of the weight the COP moves by p times the distance between
  the feet, so the lightest touch that can be seen is that of ``visible_share_percent``; a lighter
  one stays under the standing foot and **can't be told from swaying**.
- A touch beside the plate, or a hand, takes load off: it shows as missing force, not as a touch.

The vaulter stands on the foot's own mark. On a foot put in the middle nobody sees which leg it is.

Frame: the board's, x to the right, y forward.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet
from swaytrainer.sway.gaps import Flags
from swaytrainer.sway.prepare import Trace, trace_from_cop
from swaytrainer.sway.table import Measure, sway_measures

#: Breadth of a foot in foot lengths: from memory, as in the simulator.
FOOT_BREADTH_SHARE: Final = 0.38
#: The COP may seem to be this far beyond the foot's edge: marks, feet and plate are no better.
EDGE_MM: Final = 4.0
#: Our own times. On one leg: the COP stays under one foot for so long at first; a touch is no
#: shorter than, and no longer than; longer is standing on two feet again. After the change to one
#: leg, and either side of a touch, the body still swings: so much isn't measured.
ONE_LEG_S: Final = 1.0
TOUCH_LEAST_S: Final = 0.05
TOUCH_MOST_S: Final = 1.5
SETTLE_S: Final = 1.0
AFTER_TOUCH_S: Final = 0.5
#: Touches nearer together than this are one.
_JOIN_S: Final = 0.15
#: Missing force that is told: this share of the weight, over half a second.
_LIGHT_SHARE: Final = 0.05

_RULE = "COP beyond the standing foot's inner edge: the other foot bears load"
_OURS = "our definition"

#: What ``measure_one_leg`` gives.
ONE_LEG_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "one_leg_start_s": Measure("s", "when the trial came to be on one leg", _OURS),
        "one_leg_s": Measure("s", "how long it was on that leg, touches included", _OURS),
        "one_leg_measured_s": Measure("s", "of that without swinging in and touches", _OURS),
        "one_leg_touches": Measure("", "touches of the other foot that one plate can see", _RULE),
        "one_leg_touch_s": Measure("s", "time with the other foot down", _RULE),
        "one_leg_longest_free_s": Measure("s", "longest time without a touch", _OURS),
        "one_leg_visible_share_percent": Measure(
            "%", "share of the weight from which on a touch can be seen", _RULE
        ),
    }
)


class Touch(NamedTuple):
    """The other foot was down.

    Attributes:
        start_s, end_s: when.
        share_percent: most of the weight that it bore, by the lever rule between the feet, counted
            from where the COP was on one leg.
    """

    start_s: float
    end_s: float
    share_percent: float


class Terms(NamedTuple):
    """What must be equal for two trials to be compared."""

    base: str = "firm"
    eyes: str = "open"
    feedback: str = "none"


@dataclass(frozen=True, slots=True, eq=False)
class OneLegResult:
    """A trial on one leg.

    Attributes:
        values: exactly the keys of ``ONE_LEG_MEASURES``; NaN where not measurable.
        notes: why, and what can't be seen, in sentences.
        leg: "left", "right", or "unknown".
        touches: one by one.
        sway: the keys of ``sway.table.MEASURES`` over the measured time; empty if there is none.
        terms: of the trial.
        rate_hz, filter: of the trace, which sway measures depend on.
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    leg: str
    touches: tuple[Touch, ...]
    sway: dict[str, float]
    terms: Terms
    rate_hz: float
    filter: str


def half_breadth_mm(feet: Feet) -> float:
    """Half a foot's breadth, from the way between heel and ball.

    >>> round(half_breadth_mm(Feet(-70.0, 50.0, -80.0, 80.0)), 1)
    38.0
    """
    length = (feet.ball_y_mm - feet.heel_y_mm) / (BALL_SHARE - HEEL_SHARE)
    return 0.5 * FOOT_BREADTH_SHARE * length


def measure_one_leg(
    trace: Trace,
    feet: Feet,
    *,
    weight_n: float | None = None,
    terms: Terms = Terms(),  # noqa: B008 - frozen
    foot_half_breadth_mm: float | None = None,
) -> OneLegResult:
    """Measure the longest stretch on one leg of a trial.

    Args:
        trace: the trial.
        feet: where both feet stand, or would stand: the marks.
        weight_n: the body's weight, to tell missing force; None takes the trial's median.
        terms: under which it was done, for ``one_leg_pair``.
        foot_half_breadth_mm: measured; None takes it from the feet's length.

    Raises:
        SwaytrainerError: feet that overlap, or a weight or breadth that can't be.
    """
    half = half_breadth_mm(feet) if foot_half_breadth_mm is None else foot_half_breadth_mm
    _check(feet, half, weight_n)
    apart = feet.right_x_mm - feet.left_x_mm
    reach = half + EDGE_MM
    values = dict.fromkeys(ONE_LEG_MEASURES, NAN)
    inner = {
        "left": (trace.x_mm - feet.left_x_mm) / reach,
        "right": (feet.right_x_mm - trace.x_mm) / reach,
    }
    spells = []
    for leg, beyond in inner.items():
        # NaN compares as not under the foot: a gap longer than a touch ends the stretch.
        found = _stretch(trace.time_s, np.abs(beyond) <= 1.0)
        if found is not None:
            spells.append(
                (float(trace.time_s[found.stop - 1] - trace.time_s[found.start]), leg, found)
            )
    if not spells:
        return OneLegResult(
            values,
            (_nowhere(trace.x_mm, feet),),
            "unknown",
            (),
            {},
            terms,
            trace.rate_hz,
            trace.filter,
        )
    _, leg, spell = max(spells, key=lambda s: s[0])
    touches, touching = _touches(trace.time_s, inner[leg], spell)
    time_s = trace.time_s[spell]
    free = ~touching
    home_x = float(np.nanmedian(trace.x_mm[spell][free]))
    toward = 1.0 if leg == "left" else -1.0
    shares = [
        100.0 * float(np.nanmax(toward * (trace.x_mm[spell][part] - home_x))) / apart
        for part in touches
    ]
    told = tuple(
        Touch(float(time_s[part.start]), float(time_s[part.stop - 1]), share)
        for part, share in zip(touches, shares, strict=True)
    )
    sub = _sub_trace(trace, spell, touching)
    inward = reach - toward * (home_x - (feet.left_x_mm if leg == "left" else feet.right_x_mm))
    values["one_leg_start_s"] = float(time_s[0])
    values["one_leg_s"] = float(time_s[-1] - time_s[0])
    values["one_leg_touches"] = float(len(told))
    values["one_leg_touch_s"] = math.fsum(touch.end_s - touch.start_s for touch in told)
    edges = [time_s[0], *(t for touch in told for t in (touch.start_s, touch.end_s)), time_s[-1]]
    values["one_leg_longest_free_s"] = float(
        max(b - a for a, b in zip(edges[::2], edges[1::2], strict=True))
    )
    values["one_leg_visible_share_percent"] = 100.0 * inward / apart
    notes = [
        f"A touch that bears less than {values['one_leg_visible_share_percent']:.0f} % of the"
        " weight stays under the standing foot and can't be seen by one plate; one beside the"
        " plate shows as missing force only."
    ]
    if trace.breaks[spell][1:].any():
        notes.append("Samples are missing: a touch in a gap isn't seen.")
    notes += _missing(trace, spell, weight_n)
    sway: dict[str, float] = {}
    if sub is None:
        notes.append("Too little is left between settling and touches to measure sway.")
    else:
        sway = sway_measures(sub)
        steps = np.diff(sub.time_s)[~sub.breaks[1:]]
        values["one_leg_measured_s"] = float(steps.sum())
    return OneLegResult(values, tuple(notes), leg, told, sway, terms, trace.rate_hz, trace.filter)


def _check(feet: Feet, half_mm: float, weight_n: float | None) -> None:
    if not (math.isfinite(half_mm) and half_mm > 0.0):
        raise SwaytrainerError(
            f"A foot can't be {2.0 * half_mm:g} mm broad.", "Give half its breadth in mm."
        )
    if feet.right_x_mm - feet.left_x_mm < 2.0 * (half_mm + EDGE_MM):
        raise SwaytrainerError(
            "The feet's marks are so near together that a COP can't tell one foot from the other.",
            "Set the marks further apart than a foot is broad.",
        )
    if weight_n is not None and not (math.isfinite(weight_n) and weight_n > 0.0):
        raise SwaytrainerError(
            f"A body can't weigh {weight_n:g} N.", "Give the weight in newtons, or leave it out."
        )


def _runs(flags: Flags) -> list[slice]:
    """Where flags are set, run by run."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [slice(a, b) for a, b in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)]


def _stretch(time_s: Array, under: Flags) -> slice | None:
    """The longest stretch under one foot, excursions of up to ``TOUCH_MOST_S`` within it."""
    best: slice | None = None
    start = end = -1
    for run in _runs(under):
        long = time_s[run.stop - 1] - time_s[run.start] >= ONE_LEG_S
        if start >= 0 and time_s[run.start] - time_s[end] > TOUCH_MOST_S:
            start = -1
        if start < 0:
            if not long:
                continue
            start = run.start
        end = run.stop - 1
        if best is None or time_s[end] - time_s[start] > time_s[best.stop - 1] - time_s[best.start]:
            best = slice(start, end + 1)
    return best


def _touches(time_s: Array, inner: Array, spell: slice) -> tuple[list[slice], Flags]:
    """Touches within a stretch, by its own sample numbers, and their samples."""
    time_s, inner = time_s[spell], inner[spell]
    out = inner > 1.0
    joined: list[slice] = []
    for run in _runs(out):
        if joined and time_s[run.start] - time_s[joined[-1].stop - 1] < _JOIN_S:
            joined[-1] = slice(joined[-1].start, run.stop)
        else:
            joined.append(run)
    found = [r for r in joined if time_s[r.stop - 1] - time_s[r.start] >= TOUCH_LEAST_S]
    touching = np.zeros(time_s.size, dtype=np.bool_)
    for run in found:
        touching[run] = True
    return found, touching


def _sub_trace(trace: Trace, spell: slice, touching: Flags) -> Trace | None:
    """The stretch without settling, touches and what follows them; None below a second."""
    time_s = trace.time_s[spell]
    keep = time_s - time_s[0] >= SETTLE_S
    for run in _runs(touching):
        near = (time_s >= time_s[run.start] - AFTER_TOUCH_S) & (
            time_s <= time_s[run.stop - 1] + AFTER_TOUCH_S
        )
        keep &= ~near
    left = np.flatnonzero(keep & ~np.isnan(trace.x_mm[spell]))
    if left.size < max(4.0, trace.rate_hz):
        return None
    part = slice(spell.start + int(left[0]), spell.start + int(left[-1]) + 1)
    kept = keep[left[0] : left[-1] + 1]
    return trace_from_cop(
        trace.time_s[part],
        trace.force_n[part],
        np.where(kept, trace.x_mm[part], NAN),
        np.where(kept, trace.y_mm[part], NAN),
        breaks=trace.breaks[part].copy(),
        filter_label=trace.filter,
    )


def _nowhere(x_mm: Array, feet: Feet) -> str:
    there = x_mm[~np.isnan(x_mm)]
    if not there.size:
        return "Nobody stood on the plate."
    share = feet.right_share_percent(float(np.median(there)))
    return (
        f"The COP never stayed under one foot's mark for {ONE_LEG_S:g} s (its middle is at"
        f" {share:.0f} % right): two feet, or a foot that isn't on its own mark."
    )


def _missing(trace: Trace, spell: slice, weight_n: float | None) -> list[str]:
    """What to say about missing force; the COP can't show a hand, or a foot beside the plate."""
    force = trace.force_n[spell]
    window = max(2, round(0.5 * trace.rate_hz))
    if force.size < window or not np.isfinite(force).all():
        return []
    weight = float(np.median(force)) if weight_n is None else weight_n
    means = np.convolve(force, np.full(window, 1.0 / window), mode="valid")
    light = float((means < (1.0 - _LIGHT_SHARE) * weight).mean())
    if light == 0.0:
        return []
    return [
        f"In {100.0 * light:.0f} % of the time more than {100.0 * _LIGHT_SHARE:.0f} % of the weight"
        " was missing: a hand on a support, or the other foot beside the plate."
    ]
