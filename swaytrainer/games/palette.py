"""The colours of all screens: blue, orange and white, told apart by lightness as well as by hue."""

from __future__ import annotations

Colour = tuple[int, int, int]

#: Panels, and the ground of nearly all text.
INK: Colour = (7, 18, 34)
#: The open screen behind the panels.
NIGHT: Colour = (13, 37, 60)
#: A line or an empty bar on a panel.
DUSK: Colour = (44, 74, 104)

#: Main text, and the lantern inside the band.
PAPER: Colour = (255, 247, 228)
#: Secondary text.
MIST: Colour = (186, 208, 224)
#: Toe-heavy, and whatever asks for attention.
ORANGE: Colour = (255, 164, 62)
#: Heel-heavy.
SKY: Colour = (126, 200, 255)
#: Rewards: a best mark, a rare guest.
GOLD: Colour = (255, 216, 112)

#: Water: the lane, the open pond beside it, and its two far ends.
LANE: Colour = (34, 104, 134)
LANE_EDGE: Colour = (120, 186, 206)
WATER: Colour = (19, 60, 88)
TOE_END: Colour = (76, 45, 30)
HEEL_END: Colour = (33, 34, 88)

REED: Colour = (108, 160, 118)
REED_DARK: Colour = (54, 98, 82)
CATTAIL: Colour = (150, 96, 58)
PAD: Colour = (62, 128, 92)
PAD_VEIN: Colour = (98, 164, 120)
BLOSSOM: Colour = (250, 214, 226)

#: Pairs in which words are set: (text, ground). The tests hold each to WCAG's 4.5 to 1.
TEXT_PAIRS: tuple[tuple[Colour, Colour], ...] = (
    (PAPER, INK),
    (PAPER, NIGHT),
    (MIST, INK),
    (MIST, NIGHT),
    (ORANGE, INK),
    (ORANGE, NIGHT),
    (ORANGE, TOE_END),
    (SKY, INK),
    (SKY, NIGHT),
    (SKY, HEEL_END),
    (GOLD, INK),
    (GOLD, NIGHT),
    (INK, ORANGE),
    (INK, PAPER),
    (INK, GOLD),
)


def luminance(colour: Colour) -> float:
    """Relative luminance, 0 (black) to 1 (white), of an sRGB colour (WCAG 2.2, definitions).

    >>> luminance((255, 255, 255))
    1.0
    """
    linear = [
        c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4
        for c in colour
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, success criterion 1.4.3).

    >>> round(contrast((0, 0, 0), (255, 255, 255)), 1)
    21.0
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def blend(one: Colour, other: Colour, share: float) -> Colour:
    """The colour ``share`` (0 to 1) of the way from one to the other.

    >>> blend((0, 0, 0), (100, 200, 50), 0.5)
    (50, 100, 25)
    """
    return (
        round(one[0] + (other[0] - one[0]) * share),
        round(one[1] + (other[1] - one[1]) * share),
        round(one[2] + (other[2] - one[2]) * share),
    )
