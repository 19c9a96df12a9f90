"""Before the first trial on a base each day: what to beware of, in words and in a picture."""

from __future__ import annotations

from typing import Final

from pygame import Rect

from swaytrainer.games.base_picture import base_picture
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import GOLD, MIST, NIGHT, ORANGE
from swaytrainer.games.screens import caution_texts, draw_caution_panel
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter, risk_of
from swaytrainer.words import Name, say

_BASE_WORDS: Final = {
    "firm": "Firm ground",
    "foam": "On foam",
    "dome": "On the dome",
    "disc": "On the air disc",
    "still barrel": "On the still barrel",
    "moving barrel": "On the moving barrel",
}


def coach_note(caution: str) -> str:
    """What the coach wants to be thought of with a vaulter, as it is shown."""
    return say("Coach: {note}", note=Name(caution))


def draw_before(
    canvas: Canvas, level: Level, on_board: bool, now_s: float, caution: str = ""
) -> None:
    """The whole screen.

    Args:
        canvas: to draw on.
        level: what is to be trained.
        on_board: somebody stands on the board already.
        now_s: since the screen was first shown.
        caution: the coach's note on who is to train; it comes first.
    """
    canvas.begin()
    canvas.surface.fill(NIGHT)
    spotter = needs_spotter(level)
    where = _BASE_WORDS.get(level.base, level.base)
    title = say("{where}, eyes closed", where=where) if level.eyes == "closed" else where
    canvas.text(title, canvas.area(0.04, 0.01, 0.96, 0.115), size=0.1, colour=ORANGE, align="left")
    wide = canvas.width > 1.5 * canvas.height
    edge = 0.36 if wide else 0.33
    place = canvas.area(0.03, 0.13, edge, 0.86)
    side = min(place.width, place.height - canvas.px(0.06))
    picture = base_picture(side, risk_of(level), spotter)
    top = place.y + (place.height - canvas.px(0.06) - side) // 2
    canvas.surface.blit(picture, (place.centerx - side // 2, top))
    label = Rect(place.x, top + side, place.width, canvas.px(0.06))
    legend = "Mat · spotter · hand-hold" if spotter else "Mat · hand-hold"
    canvas.text(legend, label, colour=MIST, main=False, size=0.045)
    panel = canvas.area(edge + 0.02, 0.13, 0.97, 0.86)
    texts = caution_texts(level) if not caution else (coach_note(caution), *caution_texts(level))
    draw_caution_panel(canvas, "Before you step on", texts, panel, now_s)
    canvas.text(
        _what_now(spotter, on_board), canvas.area(0.03, 0.865, 0.97, 0.975), size=0.066,
        colour=GOLD, lines=2,
    )  # fmt: skip


def _what_now(spotter: bool, on_board: bool) -> str:
    if spotter and on_board:
        return "Step off first. Then the spotter stands close and presses Enter. Esc goes back."
    if spotter:
        return "Spotter: stand close, then press Enter. Esc goes back."
    if on_board:
        return "Step off and read this. Then step on again. Esc goes back."
    return "All as it should be? Step on, or press Enter. Esc goes back."
