"""What the games' tests look for in a frame."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pygame
from numpy.typing import NDArray
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from tests.games.grounds import check_contrast


def light(surface: Surface) -> NDArray[np.float64]:
    """Lightness alone, as somebody sees who tells no hues apart: shape (width, height), 0 to 1."""
    grey = pygame.surfarray.array3d(surface) / 255.0
    return np.asarray(grey @ np.array([0.2126, 0.7152, 0.0722]))


def changed_px(one: NDArray[np.float64], other: NDArray[np.float64], area: Rect) -> int:
    """How many pixels of an area differ in lightness by a sixth of the whole, or more."""
    part = np.s_[area.left : area.right, area.top : area.bottom]
    return int((np.abs(one[part] - other[part]) > 0.16).sum())


def check_words(canvas: Canvas) -> None:
    """All words whole, on the screen, large enough, and 4.5 : 1 against what is behind them."""
    screen = canvas.surface.get_rect()
    assert canvas.boxes
    for box in canvas.boxes:
        assert not box.cut, box
        assert box.area.contains(box.rect), box
        assert screen.contains(box.rect), box
        if box.main:
            assert box.line_px >= canvas.height / 20, box
    check_contrast(canvas)


def largest_flash(frames: Iterable[Surface]) -> tuple[float, float]:
    """The largest step of mean lightness, and of the share of tiles that change by a tenth."""
    before: NDArray[np.float64] | None = None
    mean = tiles = 0.0
    for frame in frames:
        now = light(pygame.transform.smoothscale(frame, (64, 36)))
        if before is not None:
            mean = max(mean, abs(float(now.mean() - before.mean())))
            tiles = max(tiles, float((np.abs(now - before) > 0.1).mean()))
        before = now
    return mean, tiles
