"""The load on the four corners of the two soles, from the joint COP.

A lever rule twice: across, the right share r says how the load is split between the feet; along,
the toe share t how it is split between heels and balls. The balance of moments is mechanics, the
use ours. It gives the two sums; that both feet have the same toe share is assumed, since one plate
cannot tell: somebody on the left toes and the right heel looks even.
"""

from __future__ import annotations

from typing import NamedTuple


class CornerShares(NamedTuple):
    """Shares of the load, which add up to 1; below 0 opposite a COP beyond the feet's lines."""

    front_left: float
    front_right: float
    rear_left: float
    rear_right: float


def corner_shares(toe_share_percent: float, right_share_percent: float) -> CornerShares:
    """The four products of t, 1 - t and r, 1 - r; NaN where a share is NaN.

    Args:
        toe_share_percent: 100 with all load on the balls of the feet, 0 on the heels.
        right_share_percent: 100 with all load on the right foot, 0 on the left.

    >>> corner_shares(50.0, 75.0)
    CornerShares(front_left=0.125, front_right=0.375, rear_left=0.125, rear_right=0.375)
    """
    t, r = 0.01 * toe_share_percent, 0.01 * right_share_percent
    return CornerShares(t * (1.0 - r), t * r, (1.0 - t) * (1.0 - r), (1.0 - t) * r)
