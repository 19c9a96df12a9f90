"""Each screen against its golden picture, which the README shows.

The tolerance lets fonts be drawn a little otherwise by another version of SDL, not words change.
"""

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from tests.golden.screens import HERE, all_screens, kept

#: Mean difference of a channel, and the share of pixels that differ clearly.
MEAN_LIMIT = 1.5
CLEAR, CLEAR_SHARE_LIMIT = 48, 0.01


def pixels(surface: pygame.Surface) -> NDArray[np.int16]:
    data = np.frombuffer(pygame.image.tobytes(surface, "RGB"), dtype=np.uint8)
    return data.reshape(surface.get_height(), surface.get_width(), 3).astype(np.int16)


def difference(a: NDArray[np.int16], b: NDArray[np.int16]) -> tuple[float, float]:
    apart = np.abs(a - b)
    return float(apart.mean()), float((apart.max(axis=2) > CLEAR).mean())


@pytest.fixture(scope="module")
def drawn() -> dict[str, NDArray[np.int16]]:
    return {name: pixels(kept(surface)) for name, surface in all_screens()}


def test_every_screen_looks_as_it_did(drawn: dict[str, NDArray[np.int16]]) -> None:
    golden = {path.stem: pixels(pygame.image.load(str(path))) for path in HERE.glob("*.png")}
    assert sorted(drawn) == sorted(golden)
    for name, picture in drawn.items():
        mean, clear = difference(picture, golden[name])
        assert mean <= MEAN_LIMIT, f"{name}: mean difference {mean:.2f}"
        assert clear <= CLEAR_SHARE_LIMIT, f"{name}: {clear:.2%} of the pixels differ"


def test_the_tolerance_notices_another_mark(drawn: dict[str, NDArray[np.int16]]) -> None:
    mean, clear = difference(drawn["mark-1"], drawn["mark-2"])
    assert mean > MEAN_LIMIT or clear > CLEAR_SHARE_LIMIT
