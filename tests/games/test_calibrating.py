"""The calibration's screens: every word fits at every size; arrows are as long as they should."""

import numpy as np
import pygame
import pytest

from swaytrainer.board.guided import Guide
from swaytrainer.games import calibrating
from swaytrainer.games.calibrating import MAGNIFIED, draw_calibrating, draw_residuals
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import SKY
from swaytrainer.simulate.board import DECENT
from tests.board.boards import calibrate
from tests.games.scenes import SIZES

HALF = (DECENT.half_width_mm, DECENT.half_depth_mm)


@pytest.fixture
def canvases(monkeypatch: pytest.MonkeyPatch) -> list[Canvas]:
    made: list[Canvas] = []

    class Kept(Canvas):
        def __init__(self, surface: pygame.Surface) -> None:
            super().__init__(surface)
            made.append(self)

    monkeypatch.setattr(calibrating, "Canvas", Kept)
    return made


@pytest.mark.parametrize("size", SIZES)
def test_every_word_fits(size: tuple[int, int], canvases: list[Canvas]) -> None:
    surface = pygame.Surface(size, 0, 32)

    def at_each_step(guide: Guide) -> None:
        draw_calibrating(surface, guide, HALF)
        guide.hint = (
            "Not on front left yet: it seems to lie on the front. If it does lie there, two cells'"
            " cables are swapped."
        )
        draw_calibrating(surface, guide, HALF)
        guide.hint = ""

    _, fitted = calibrate(2, on_step=at_each_step)
    draw_residuals(surface, fitted, HALF)
    assert len(canvases) == 33
    for canvas in canvases:
        for box in canvas.boxes:
            assert not box.cut, box.words
            assert box.area.contains(box.rect), box.words


def test_the_picture_magnifies_the_residuals() -> None:
    surface = pygame.Surface((1280, 720), 0, 32)
    _, fitted = calibrate(2)
    draw_residuals(surface, fitted, HALF)
    pixels = pygame.surfarray.array3d(surface)
    blue = np.argwhere((pixels == np.array(SKY)).all(axis=2))
    # The plate is drawn so many pixels a millimetre; each arrow of the heavy mass ends where its
    # residual, magnified, lies.
    scale = 0.66 * 720 / (2 * HALF[1] + 60)
    for r in fitted.residuals:
        if r.mass_kg == 20.0 and np.hypot(r.x_mm, r.y_mm) > 0.5:
            tip = (
                0.35 * 1280 + (r.spot.x_mm + MAGNIFIED * r.x_mm) * scale,
                0.53 * 720 - (r.spot.y_mm + MAGNIFIED * r.y_mm) * scale,
            )
            assert np.abs(blue - tip).max(axis=1).min() <= 3, r
