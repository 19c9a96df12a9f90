from __future__ import annotations

import pytest

from swaytrainer.games import palette
from swaytrainer.games.palette import contrast, luminance


def test_contrast_matches_the_published_extremes_and_is_symmetric() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((255, 255, 255), (0, 0, 0)) == pytest.approx(21.0)
    # #767676 on white is the well-known lightest grey that passes.
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.01)
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) < 4.5


@pytest.mark.parametrize("pair", palette.TEXT_PAIRS)
def test_text_is_legible_on_its_ground(pair: tuple[palette.Colour, palette.Colour]) -> None:
    assert contrast(*pair) >= 4.5


def test_the_three_states_differ_by_lightness_from_the_lane_and_by_blue_from_each_other() -> None:
    for colour in (palette.PAPER, palette.ORANGE, palette.SKY):
        assert contrast(colour, palette.LANE) >= 3.0
    # Red-green blindness leaves the blue-yellow axis: there toes and heels lie far apart.
    assert palette.SKY[2] - palette.ORANGE[2] > 120
    assert luminance(palette.PAPER) > luminance(palette.ORANGE)
