"""The window's colours: dark on light, so that a picture of it prints; told apart in any eyes.

Blue, orange, green and purple of clearly different lightness; every curve has its name beside it
in its own colour, so that nothing hangs on hue alone. Ratios are WCAG 2.2's and are tested.
"""

from __future__ import annotations

from typing import Final

PAPER: Final = "#ffffff"
INK: Final = "#16202b"
GREY: Final = "#5a6672"
RULE: Final = "#c9d1d8"
BLUE: Final = "#0b5394"
ORANGE: Final = "#b34700"
GREEN: Final = "#1f7a4d"
PURPLE: Final = "#5b2a86"
BAND: Final = "#d7ecd9"
SOLE: Final = "#eceff2"
WARNING: Final = "#9c1c00"

#: What is written on paper.
TEXTS: Final = (INK, GREY, BLUE, ORANGE, GREEN, PURPLE, WARNING)


def ratio(one: str, other: str) -> float:
    """Contrast of two colours, 1 to 21 (WCAG 2.2, definitions of contrast ratio and luminance).

    >>> round(ratio("#ffffff", "#000000"), 6)
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
