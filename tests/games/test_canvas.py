from __future__ import annotations

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pygame import Rect

from swaytrainer.games.canvas import Canvas, font, wrap


@pytest.mark.parametrize("line_px", [12, 27, 36, 39, 108, 300])
def test_a_font_is_the_smallest_that_is_high_enough(line_px: int) -> None:
    face = font(line_px)
    assert line_px <= face.get_height() <= line_px * 1.1 + 1


@given(
    words=st.text(st.characters(codec="latin-1", exclude_categories=["Cc"]), max_size=120),
    width=st.integers(60, 900),
    height=st.integers(46, 300),
    lines=st.integers(1, 5),
)
def test_text_never_leaves_its_area(words: str, width: int, height: int, lines: int) -> None:
    canvas = Canvas(pygame.Surface((1280, 720)))
    area = Rect(100, 100, width, height)
    canvas.text(words, area, size=0.2, lines=lines)
    for box in canvas.boxes:
        assert area.contains(box.rect)
        assert box.line_px >= 36


@pytest.mark.parametrize("words", ["Än", "Ön", "Én", "Ñn", "Ån"])
@pytest.mark.parametrize("size", [0.05, 0.08])
def test_an_accent_leaves_the_letters_on_their_line(words: str, size: float) -> None:
    def lowest(shown: str) -> int:
        """The lowest row of the last letter, an n."""
        canvas = Canvas(pygame.Surface((1280, 720)))
        drawn = canvas.text(shown, Rect(40, 40, 400, 90), size=size, align="left", name=True)
        tail = pygame.Rect(drawn.right - canvas.px(0.01), drawn.y, canvas.px(0.01), drawn.height)
        rows = pygame.surfarray.array3d(canvas.surface.subsurface(tail)).max(axis=(0, 2))
        return tail.y + int(rows.nonzero()[0].max())

    assert lowest(words) == lowest("An")


def test_long_text_is_cut_and_says_so_short_text_is_not() -> None:
    canvas = Canvas(pygame.Surface((1280, 720)))
    canvas.text("A calm pond", Rect(0, 0, 600, 50))
    canvas.text("A calm pond " * 20, Rect(0, 0, 600, 50))
    assert [box.cut for box in canvas.boxes] == [False, True]


def test_words_are_kept_in_order_by_wrapping() -> None:
    words = "one two three four five six seven"
    rows = wrap(words, font(36), 150)
    assert len(rows) > 1
    assert " ".join(rows) == words


def test_the_same_text_is_drawn_from_the_store_with_equal_pixels() -> None:
    surface = pygame.Surface((1280, 720))
    canvas = Canvas(surface)
    area = Rect(0, 0, 600, 80)
    canvas.text("calm", area, size=0.1)
    first = pygame.image.tobytes(surface, "RGB")
    surface.fill((0, 0, 0))
    canvas.text("calm", area, size=0.1)
    assert pygame.image.tobytes(surface, "RGB") == first
    assert first.count(0) < len(first)


def test_no_glyph_loses_its_foot_or_its_accent() -> None:
    surface = pygame.Surface((1280, 720))
    canvas = Canvas(surface)
    for words in ("gjpqy|", "ÄÖÜÅÊÑ gjpq", "–·×−…"):
        surface.fill((0, 0, 0))
        canvas.text(words, Rect(0, 0, 1280, 400), size=0.2, colour=(255, 255, 255))
        whole = font(canvas.boxes[-1].line_px).render(words, True, (255, 255, 255))
        drawn = pygame.mask.from_threshold(
            surface, (255, 255, 255), (128, 128, 128, 255)
        ).get_bounding_rects()
        glyphs = pygame.mask.from_surface(whole).get_bounding_rects()
        tallest = max(rect.bottom for rect in glyphs) - min(rect.top for rect in glyphs)
        shown = max(rect.bottom for rect in drawn) - min(rect.top for rect in drawn)
        assert shown >= tallest - 1
