"""Local gravity from latitude and height: what a kilogram presses with, here.

From the equator to the poles it differs by 0.5 %, which is half of what a board may be wrong by.
"""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.errors import SwaytrainerError

#: By definition (3rd CGPM, 1901); for whoever doesn't say where the board stands.
STANDARD_GRAVITY: Final = 9.80665

# WGS 84's ellipsoid and its normal gravity: NIMA TR8350.2 (3rd edition, 2000), chapters 3 and 4.
_EQUATOR_M_S2: Final = 9.7803253359
_POLE_M_S2: Final = 9.8321849378
_A_M: Final = 6_378_137.0
_FLATTENING: Final = 1 / 298.257223563
_E2: Final = _FLATTENING * (2.0 - _FLATTENING)
_K: Final = (1.0 - _FLATTENING) * _POLE_M_S2 / _EQUATOR_M_S2 - 1.0
_M: Final = 0.00344978650684

#: Standard uncertainty of the formula: gravity anomalies are some tens of milligals, in mountains
#: a hundred (general geodesy, from memory).
FORMULA_UNCERTAINTY_M_S2: Final = 5e-4
#: Standard uncertainty of standard gravity for somebody anywhere between equator and pole: a
#: rectangular distribution of that width (GUM, JCGM 100:2008, 4.3.7).
ANYWHERE_UNCERTAINTY_M_S2: Final = (_POLE_M_S2 - _EQUATOR_M_S2) / math.sqrt(12.0)


def normal_gravity(latitude_deg: float, height_m: float = 0.0) -> float:
    """Normal gravity of WGS 84, m/s².

    On the ellipsoid Somigliana's closed form, above it the free-air correction to second order in
    height: γ·(1 - 2/a·(1 + f + m - 2f·sin²φ)·h + 3/a²·h²) (NIMA TR8350.2, equations 4-1 and 4-3).

    Args:
        latitude_deg: -90 to 90, geodetic, as a map gives it; north or south is the same.
        height_m: above the sea, -500 to 9,000. (The geoid's height over the ellipsoid, up to
            100 m or 3e-4 m/s², is neglected.)

    Raises:
        SwaytrainerError: no such place.

    >>> round(normal_gravity(0.0), 10), round(normal_gravity(90.0), 10)
    (9.7803253359, 9.8321849378)
    >>> round(normal_gravity(52.5, 40.0), 4)
    9.8128
    """
    if not (math.isfinite(latitude_deg) and -90.0 <= latitude_deg <= 90.0):
        raise SwaytrainerError(
            f"There is no latitude of {latitude_deg:g} degrees.",
            "Give it from -90 to 90, in degrees, as a map shows it.",
        )
    if not (math.isfinite(height_m) and -500.0 <= height_m <= 9000.0):
        raise SwaytrainerError(
            f"No gym lies {height_m:g} m above the sea.", "Give the height in metres."
        )
    sin2 = math.sin(math.radians(latitude_deg)) ** 2
    surface = _EQUATOR_M_S2 * (1.0 + _K * sin2) / math.sqrt(1.0 - _E2 * sin2)
    h = height_m / _A_M
    slope = 2.0 * (1.0 + _FLATTENING + _M - 2.0 * _FLATTENING * sin2)
    return surface * (1.0 - slope * h + 3.0 * h * h)
