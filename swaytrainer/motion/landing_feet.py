"""Which foot lands first, how long before the other, and on toes or heels: from one plate's COP.

While one foot alone is down, the joint COP is under it. When the second comes down, the COP sets
out from the first, by the lever rule (``sway.feet``): the second foot's share of the load is how
far the COP has come. Two times tell of it, both from the first contact:

- the **lag**: until the second foot bears a tenth of the load. If both feet load evenly, L(t) and
  L(t - lag) with L growing like t, that is 1.125 times the true lag;
- **even**: until the COP reaches the middle third of the way between the feet. With the same L that
  is twice the true lag: it says when the load is shared, not when the second foot came down.

All this supposes that the vaulter lands where ``Feet`` says: on the marks.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

import numpy as np

from swaytrainer.motion.landing_find import PEAK_WITHIN_S, Contact, Moment
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.feet import Feet

#: The COP is looked at from this load on (body weights): below it noise and the plate's own
#: ringing move it about. Ours.
COP_FROM_BW: Final = 0.1
#: The second foot is down when it bears this share. Less could be a first foot that rolls from edge
#: to edge: some 10 mm of 160 mm between the feet, 6 %. Ours.
DOWN_SHARE_PERCENT: Final = 10.0
_THIRD_PERCENT: Final = 100.0 / 3.0
#: A COP that lies this far beside the line from foot to foot is none of these feet's (percent).
_BESIDE_PERCENT: Final = 35.0

FirstFoot = Literal["left", "right", "together", "unknown"]


class FeetAtLanding(NamedTuple):
    """What the COP says of the feet; NaN where it doesn't.

    Attributes:
        first_foot: "together" if the COP was in the middle third from its first sample on.
        lag_s, lag_within_s: of the second foot, and how far that may be wrong for the rate.
        even_s: until the COP was in the middle third.
        toe_share_contact_percent, right_share_contact_percent: at the first sample with a COP.
        toe_share_peak_percent: at the peak.
        right_share_percent: of all load from contact to peak.
        problem: why something is unknown, in a sentence; "" if nothing is.
    """

    first_foot: FirstFoot
    lag_s: float
    lag_within_s: float
    even_s: float
    toe_share_contact_percent: float
    right_share_contact_percent: float
    toe_share_peak_percent: float
    right_share_percent: float
    problem: str


def unknown_feet(problem: str) -> FeetAtLanding:
    """Nothing is known of the feet, and why."""
    return FeetAtLanding("unknown", NAN, NAN, NAN, NAN, NAN, NAN, NAN, problem)


def feet_at_landing(
    time_s: Array,
    force_n: Array,
    x_mm: Array,
    y_mm: Array,
    contact: Contact,
    touched: Moment,
    peak: int,
    feet: Feet,
    weight_n: float,
) -> FeetAtLanding:
    """The feet's part of one landing.

    Args:
        time_s, force_n, x_mm, y_mm: shape (N,), one piece without gaps.
        contact, touched: the onset, and when it was.
        peak: number of the peak's sample.
        feet: where the vaulter lands.
        weight_n: the body's weight.
    """
    until = int(np.searchsorted(time_s, time_s[contact.first] + PEAK_WITHIN_S))
    window = slice(contact.first, until)
    borne = force_n[window] >= COP_FROM_BW * weight_n
    with_cop = np.flatnonzero(borne & ~np.isnan(x_mm[window]) & ~np.isnan(y_mm[window]))
    if with_cop.size == 0:
        return unknown_feet("There is no COP at the landing: nothing is known of the feet.")
    rows = contact.first + with_cop
    right = feet.right_share_percent(x_mm[rows])
    toes = feet.toe_share_percent(y_mm[rows])
    if not -_BESIDE_PERCENT <= right[0] <= 100.0 + _BESIDE_PERCENT:
        return unknown_feet(
            f"The landing's first COP, x = {x_mm[rows[0]]:.0f} mm, is beside the feet's places:"
            " the vaulter did not land on the marks."
        )
    since_s = time_s[rows] - touched.time_s
    loading = rows <= peak
    at_peak = np.flatnonzero(rows == peak)
    share = NAN
    if loading.any():
        share = float(np.average(right[loading], weights=force_n[rows][loading]))
    first, other = _first_foot(float(right[0]), right)
    down = _reaches(since_s, other, DOWN_SHARE_PERCENT)
    even = _reaches(since_s, other, _THIRD_PERCENT)
    problem = "" if down is not None else "The second foot bore no tenth of the load: one landed."
    lag_s = lag_within_s = NAN
    if down is not None:
        lag_s = max(0.0, down.time_s)
        lag_within_s = down.within_s + touched.within_s
    return FeetAtLanding(
        first,
        lag_s,
        lag_within_s,
        NAN if even is None else max(0.0, even.time_s),
        float(toes[0]),
        float(right[0]),
        float(toes[at_peak[0]]) if at_peak.size else NAN,
        share,
        problem,
    )


def _first_foot(at_first: float, right: Array) -> tuple[FirstFoot, Array]:
    """Which foot was first, and the other one's share (percent)."""
    if at_first < _THIRD_PERCENT:
        return "left", right
    if at_first > 100.0 - _THIRD_PERCENT:
        return "right", 100.0 - right
    return "together", np.minimum(right, 100.0 - right)


def _reaches(since_s: Array, share: Array, wanted: float) -> Moment | None:
    """When the share first comes to ``wanted``, by a straight line between the samples."""
    there = np.flatnonzero(share >= wanted)
    if there.size == 0:
        return None
    k = int(there[0])
    if k == 0:  # somewhere between the contact and the first COP
        end_s = max(0.0, float(since_s[0]))
        return Moment(0.5 * end_s, 0.0, end_s)
    low_s, high_s = float(since_s[k - 1]), float(since_s[k])
    part = (wanted - float(share[k - 1])) / float(share[k] - share[k - 1])
    return Moment(low_s + part * (high_s - low_s), low_s, high_s)
