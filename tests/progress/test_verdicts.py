"""False alarms and power, on fewer vaulters than ``python -m tests.progress.verdicts`` takes."""

import math
from dataclasses import replace

import pytest

from tests.progress.verdicts import DESIGNS, STANDARD, rates

VAULTERS = 150
#: Three standard deviations above 5 %.
AT_MOST = 0.05 + 3 * math.sqrt(0.05 * 0.95 / VAULTERS)


@pytest.mark.parametrize(
    "name",
    [
        "the same, four looks",
        "no squad, four looks",
        "blocks of 2 days, squad of 3 with 4 days, four looks",
        "1 to 6 trials a day, four looks",
        "area on the plain scale (log-normal noise), four looks",
        "time in band, mostly at its ceiling, four looks",
    ],
)
def test_an_unchanged_vaulter_is_seldom_called_changed(name: str) -> None:
    found = rates(DESIGNS[name], range(7000, 7000 + VAULTERS))
    assert found.vaulters == VAULTERS
    assert found.changed <= AT_MOST
    assert found.no_answer == 0.0


def test_a_large_change_is_found_and_in_the_right_direction() -> None:
    found = rates(replace(STANDARD, factor=0.5), range(100))
    assert found.better > 0.95
    assert found.worse == 0.0


def test_the_limit_can_be_missed() -> None:
    """Days that hang together break the model: then more than promised are called changed."""
    found = rates(replace(STANDARD, linger=0.95, looks=4, trials=6), range(VAULTERS))
    assert found.changed > AT_MOST
