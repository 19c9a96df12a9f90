"""How high a hop was: from its flight time, and from the impulse of its push-off.

Both from Linthorne 2001, Am J Phys 69:1198-1204. The flight time supposes that the body has the
same shape when it leaves and when it lands; the impulse does not, but hangs on the body's weight:
an error of 1 % of it is one of 0.01·(v + g·T) in the speed v after a push-off of T. In the open
jump that is 0.11 m/s and 24 mm, a tenth of its height.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from swaytrainer.motion.landing_find import NEVER, Contact, Moment
from swaytrainer.motion.landing_settle import STILL_S, quiet_samples
from swaytrainer.sway.cop import NAN, Array

#: By definition (3rd CGPM, 1901).
STANDARD_GRAVITY: Final = 9.80665
#: A push-off begins at most this long after quiet standing. Ours.
_PUSH_WITHIN_S: Final = 3.0


def height_of_flight_mm(flight_s: float, gravity_m_s2: float = STANDARD_GRAVITY) -> float:
    """g·t²/8: up and down again in t (Linthorne 2001).

    >>> round(height_of_flight_mm(0.4), 1)
    196.1
    """
    return 125.0 * gravity_m_s2 * flight_s * flight_s


def impulse_height_mm(
    time_s: Array,
    force_n: Array,
    weight_n: float,
    takeoff_s: float,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> float:
    """v = ∫(F - W)dt / m from standing still to the take-off, then v²/(2g).

    Args:
        time_s, force_n: shape (N,), from standing still to the last sample before the take-off.
        weight_n: the body's weight.
        takeoff_s: when the force was nothing.

    Returns:
        NaN if the body does not go up.

    >>> time = np.arange(0.0, 0.2001, 0.001)
    >>> force = np.full(time.size, 1200.0)  # W more than standing for 0.2 s: v = 0.2·g
    >>> round(impulse_height_mm(time, force, 600.0, 0.2), 1)
    196.1
    """
    seconds = np.append(time_s, takeoff_s)
    force = np.append(force_n, 0.0)
    net = 0.5 * (force[1:] + force[:-1]) - weight_n
    speed = float(net @ np.diff(seconds)) * gravity_m_s2 / weight_n
    return 500.0 * speed * speed / gravity_m_s2 if speed > 0.0 else NAN


def height_before_mm(
    time_s: Array,
    force_n: Array,
    contact: Contact,
    left: Moment,
    weight_n: float,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> float:
    """``impulse_height_mm`` of the push-off before a contact.

    It begins in the middle of the last quiet second before the take-off: the end of that second may
    be the first of the dip.

    Args:
        time_s, force_n: shape (N,), one piece without gaps.
        contact: the landing.
        left: its take-off.
        weight_n: the body's weight.
        gravity_m_s2: the place's own.

    Returns:
        NaN without a take-off, or without quiet standing in the 3 s before it.
    """
    if left is NEVER or not weight_n > 0.0:
        return NAN
    stop = contact.last_before + 1
    start = int(np.searchsorted(time_s, left.time_s - _PUSH_WITHIN_S - STILL_S))
    quiet = np.flatnonzero(quiet_samples(time_s[start:stop], force_n[start:stop]))
    if quiet.size == 0 or left.time_s - time_s[start + quiet[-1]] > _PUSH_WITHIN_S:
        return NAN
    middle_s = time_s[start + quiet[-1]] - 0.5 * STILL_S
    begin = int(np.searchsorted(time_s, middle_s))
    now = slice(begin, stop)
    return impulse_height_mm(time_s[now], force_n[now], weight_n, left.time_s, gravity_m_s2)
