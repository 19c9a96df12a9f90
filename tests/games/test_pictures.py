from __future__ import annotations

from pathlib import Path

import numpy as np
import pygame
import pytest

from swaytrainer.games.palette import LANE, PAPER
from swaytrainer.games.pictures import save_path_picture
from swaytrainer.games.soles import Sheet, on_the_marks
from swaytrainer.sway.outline import outline_mm
from tests.games.scenes import LEVEL, PATH, WREN


def count(picture: pygame.Surface, colour: tuple[int, int, int]) -> int:
    return int((pygame.surfarray.array3d(picture) == np.array(colour)).all(axis=2).sum())


def test_the_picture_holds_path_band_and_its_size(tmp_path: Path) -> None:
    with_path, without = tmp_path / "path.png", tmp_path / "empty.png"
    save_path_picture(PATH, WREN, LEVEL, with_path, size=(800, 700))
    save_path_picture((), WREN, LEVEL, without, size=(800, 700))
    picture, empty = pygame.image.load(with_path), pygame.image.load(without)
    assert picture.get_size() == (800, 700)
    assert count(picture, LANE) > 800 * 700 * 0.05
    assert count(picture, PAPER) > count(empty, PAPER) + 1000


def test_forward_is_up_and_right_is_right_on_a_sheet() -> None:
    area = pygame.Rect(10, 20, 400, 300)
    sheet = Sheet.around(area, on_the_marks(WREN))
    here, there = sheet.at(0.0, 0.0), sheet.at(10.0, 10.0)
    assert there[0] - here[0] == pytest.approx(10 * sheet.px_per_mm)
    assert here[1] - there[1] == pytest.approx(10 * sheet.px_per_mm)
    for side in (-1, 1):
        assert all(area.collidepoint(sheet.at(*p)) for p in outline_mm(on_the_marks(WREN), side))
