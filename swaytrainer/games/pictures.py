"""Pictures for a page: the sway path as a file."""

from __future__ import annotations

from pathlib import Path as FilePath

import pygame
from pygame import Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import MIST, NIGHT
from swaytrainer.games.soles import Path, band_words, draw_path, on_the_marks
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter


def save_path_picture(
    path_mm: Path,
    vaulter: Vaulter,
    level: Level,
    filename: FilePath | str,
    *,
    feet: Feet | None = None,
    caption: str = "",
    size: tuple[int, int] = (900, 900),
) -> None:
    """Draw a trial's COP path with its band, axes, scale bar and soles, and save it as PNG.

    Args:
        path_mm: (x, y) in mm on the board, x right and y forward; NaN pairs are gaps.
        vaulter: whose feet are outlined.
        level: whose band is drawn.
        filename: where to save; its folder must exist.
        feet: where the feet stood; None for feet on the marks.
        caption: a line below; by default the vaulter, the level and the band.
        size: of the picture in pixels.
    """
    surface = Surface(size, 0, 32)
    surface.fill(NIGHT)
    canvas = Canvas(surface)
    band = (level.band_low_percent, level.band_high_percent)
    draw_path(
        canvas,
        canvas.area(0.02, 0.02, 0.98, 0.91),
        path_mm,
        feet or on_the_marks(vaulter),
        band,
    )
    words = caption or f"{vaulter.name} · {level.title} · {band_words(*band)}"
    canvas.text(words, canvas.area(0.03, 0.92, 0.97, 0.99), size=0.05, colour=MIST, main=False)
    pygame.image.save(surface, str(filename))
