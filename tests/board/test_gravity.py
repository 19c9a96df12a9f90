"""Normal gravity against published values."""

import pytest

from swaytrainer.board.gravity import normal_gravity
from swaytrainer.errors import SwaytrainerError


def test_the_published_values_of_wgs_84() -> None:
    # NIMA TR8350.2 (2000), table 3.4: normal gravity at the equator and at the poles.
    assert normal_gravity(0.0) == pytest.approx(9.7803253359, abs=5e-11)
    assert normal_gravity(90.0) == pytest.approx(9.8321849378, abs=5e-11)
    assert normal_gravity(-90.0) == normal_gravity(90.0)


def test_half_way_it_agrees_with_the_reference_system_of_1980() -> None:
    # Moritz, Geodetic Reference System 1980, J Geodesy 2000;74:128-133: 9.806199203 at 45°. The
    # two systems differ by 1.4e-6 m/s² there, as at the equator (9.7803267715) and the poles.
    assert normal_gravity(45.0) == pytest.approx(9.806199203, abs=1.6e-6)


def test_height_takes_a_third_of_a_milligal_a_metre() -> None:
    # The textbook gradient at 45° is 0.3086 mGal/m.
    slope = (normal_gravity(45.0, 0.0) - normal_gravity(45.0, 100.0)) / 100.0
    assert slope == pytest.approx(0.3086e-5, rel=1e-3)
    # A published example of another implementation: 55°, 5,000 m, 9.7997 m/s² (gravitywgs84 in the
    # documentation of the Aerospace Toolbox).
    assert normal_gravity(55.0, 5000.0) == pytest.approx(9.7997, abs=5e-5)


@pytest.mark.parametrize(
    ("latitude", "height"), [(91.0, 0.0), (float("nan"), 0.0), (50.0, 1e5), (50.0, float("inf"))]
)
def test_no_such_place(latitude: float, height: float) -> None:
    with pytest.raises(SwaytrainerError):
        normal_gravity(latitude, height)
