"""The sole's outline: as long, as far apart and as oriented as the foot it stands for."""

import pytest

from swaytrainer.sway.feet import Feet
from swaytrainer.sway.outline import outline_mm, toe_share_y_mm

FOOT_MM, STANCE_MM = 240.0, 200.0


def test_soles_are_as_long_and_as_far_apart_as_the_vaulter_s() -> None:
    feet = Feet.from_length(FOOT_MM, STANCE_MM, heel_line_y_mm=-FOOT_MM / 2)
    left, right = outline_mm(feet, -1), outline_mm(feet, 1)
    ys = [y for _, y in right]
    assert max(ys) - min(ys) == pytest.approx(FOOT_MM, rel=0.02)
    middles = [sum(x for x, _ in sole) / len(sole) for sole in (left, right)]
    assert middles[1] - middles[0] == pytest.approx(STANCE_MM, rel=0.05)
    # The big toes are on the inside.
    assert max(right, key=lambda point: point[1])[0] < STANCE_MM / 2
    assert max(left, key=lambda point: point[1])[0] > -STANCE_MM / 2


def test_the_band_s_lines_lie_where_the_toe_share_has_their_value() -> None:
    feet = Feet.from_length(FOOT_MM, STANCE_MM, heel_line_y_mm=-FOOT_MM / 2)
    for share in (0.0, 35.0, 50.0, 100.0):
        assert feet.toe_share_percent(toe_share_y_mm(feet, share)) == pytest.approx(share)
