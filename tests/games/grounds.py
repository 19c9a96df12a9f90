"""Whether words stand out from what is really behind them."""

from __future__ import annotations

import numpy as np
import pygame

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import contrast


def check_contrast(canvas: Canvas) -> None:
    """Glyphs cover less than half of their box, so its commonest colour is the ground."""
    for box in canvas.boxes:
        rows = pygame.surfarray.array3d(canvas.surface.subsurface(box.rect)).reshape(-1, 3)
        colours, counts = np.unique(rows, axis=0, return_counts=True)
        red, green, blue = (int(c) for c in colours[counts.argmax()])
        assert contrast(box.colour, (red, green, blue)) >= 4.5, box
