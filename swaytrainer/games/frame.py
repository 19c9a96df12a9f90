"""What stands around every screen: the head line, the warnings, the health of the signal."""

from __future__ import annotations

import math

import pygame
from pygame import Rect

from swaytrainer.games.canvas import FOOTNOTE_SHARE, MAIN_SHARE, Canvas, font
from swaytrainer.games.palette import GOLD, INK, MIST, NIGHT, ORANGE, SKY, Colour
from swaytrainer.games.sprites import bead, star
from swaytrainer.sitting.view import Signal, View
from swaytrainer.training.tasks.catalogue import KINDS, markable
from swaytrainer.words import number, say, tr

#: Names of measures as a vaulter reads them, with the unit of their value.
MEASURE_WORDS: dict[str, tuple[str, str]] = {
    measure: (of.label, of.unit) for game in KINDS for measure, of in markable(game).items()
}

FOOT_TOP = 0.957


def measure_words(measure: str) -> tuple[str, str]:
    """A label and a unit for a measure's key.

    >>> measure_words("range_ml_mm")
    ('Range ml mm', '')
    """
    return MEASURE_WORDS.get(measure, (measure.replace("_", " ").capitalize(), ""))


def mark_words(mark: float | None) -> str:
    """A mark as it is written, with its one decimal; a dash where there is none."""
    return "–" if mark is None else number(mark, ".1f")


def of_trials(view: View) -> str:
    """Which trial of how many, or what it is for."""
    if view.occasion:
        return view.occasion
    if view.trials == 1:
        return "One trial"
    return say("Trial {n} of {all}", n=view.trial, all=view.trials)


def signal_words(signal: Signal) -> str:
    """The line of counters: what arrived, and what did not.

    >>> signal_words(Signal(True, 99.98, 3, 1, 12.4, 1.84))
    '100 Hz · lost 3 · corrupt 1 · drift +12 ppm · jitter 1.8 ms'
    >>> signal_words(Signal(True, 99.98, 3, 1, 12.4, 1.84, 0.43))
    '100 Hz · lost 3 · corrupt 1 · drift +12 ppm · jitter 1.8 ms · noise floor 0.4 mm/s'
    """
    if not signal.connected:
        return say(
            "no signal · lost {lost} · corrupt {corrupt}", lost=signal.lost, corrupt=signal.corrupt
        )
    noise = signal.noise_floor_mm_s
    return say(
        "{rate:.0f} Hz · lost {lost} · corrupt {corrupt} · drift {drift:+d} ppm"
        " · jitter {jitter:.1f} ms"
        if math.isnan(noise)
        else "{rate:.0f} Hz · lost {lost} · corrupt {corrupt} · drift {drift:+d} ppm"
        " · jitter {jitter:.1f} ms · noise floor {noise:.1f} mm/s",
        rate=signal.rate_hz,
        lost=signal.lost,
        corrupt=signal.corrupt,
        drift=round(signal.drift_ppm),  # rounded first, so that there is no "-0"
        jitter=max(signal.jitter_ms, 0.0),
        noise=noise,
    )


def draw_ground(canvas: Canvas) -> None:
    """The plain ground of a screen that is not the pond."""
    canvas.surface.fill(NIGHT)
    foot = canvas.area(0, FOOT_TOP, 1, 1)
    pygame.draw.rect(canvas.surface, INK, foot)


def title_words(title: str, width: int, face: pygame.font.Font) -> str:
    """A level's title in the language in use; without its game's name where both are too wide."""
    words = tr(title)
    _, colon, level = words.partition(": ")
    return level if colon and face.size(words)[0] > width else words


def draw_head(canvas: Canvas, view: View, call: str = "") -> None:
    """Who, what, and which trial; or in the middle what to do now."""
    top, bottom = 0.018, 0.082
    left = canvas.area(0.025, top, 0.265, bottom)
    middle = canvas.area(0.275, top, 0.725, bottom)
    right = canvas.area(0.735, top, 0.975, bottom)
    canvas.text(view.vaulter.name, left, size=0.06, align="left", name=True)
    if call:
        canvas.text(call, middle, size=0.06, colour=GOLD)
    else:
        face = font(math.ceil(canvas.height * MAIN_SHARE))
        words = title_words(view.level.title, middle.width, face)
        canvas.text(words, middle, size=0.06, colour=MIST, name=True)
    canvas.text(of_trials(view), right, size=0.06, colour=MIST, align="right")
    y = canvas.px(0.096)
    pygame.draw.line(canvas.surface, INK, (0, y), (canvas.width, y), max(1, canvas.px(0.006)))


def draw_foot(canvas: Canvas, words: str, healthy: bool) -> None:
    """The signal's line: small, for the coach who walks up to the screen."""
    area = canvas.area(0.025, FOOT_TOP, 0.975, 1)
    size = canvas.px(0.02)
    if healthy:
        canvas.surface.blit(bead(size, SKY), (area.x, area.centery - size // 2))
    else:
        # Another shape too, since colour alone would not tell everybody.
        pygame.draw.rect(canvas.surface, ORANGE, Rect(area.x, area.centery - size // 2, size, size))
    area.left += round(1.6 * size)
    area.width -= round(1.6 * size)
    canvas.text(words, area, size=FOOTNOTE_SHARE, colour=MIST, align="left", main=False)


def draw_warning(canvas: Canvas, warnings: tuple[str, ...], in_game: bool) -> None:
    """The worst warning in a strip over the head line; in the game, over the pond's foot."""
    if not warnings:
        return
    area = (
        canvas.area(0.12, 0.835, 0.88, 0.95) if in_game else canvas.area(0.005, 0.003, 0.995, 0.11)
    )
    canvas.panel(area, INK, ORANGE)
    sign = canvas.px(0.07)
    x, y = area.x + canvas.px(0.02) + sign // 2, area.centery
    half = sign / 2
    pygame.draw.polygon(
        canvas.surface,
        ORANGE,
        [(x, y - half), (x + half * 1.1, y + half), (x - half * 1.1, y + half)],
    )
    mark = max(2, canvas.px(0.009))
    pygame.draw.line(canvas.surface, INK, (x, y - half * 0.35), (x, y + half * 0.35), mark)
    pygame.draw.circle(canvas.surface, INK, (x, y + half * 0.68), mark * 0.6)
    left = x + sign // 2 + canvas.px(0.02)
    words = Rect(left, area.y, area.right - left - canvas.px(0.02), area.height)
    canvas.text(warnings[0], words, size=0.052, lines=2, align="left")


def draw_lost(canvas: Canvas) -> None:
    """The signal is gone: say so over whatever was on the screen."""
    area = canvas.area(0.14, 0.32, 0.86, 0.68)
    canvas.panel(area, INK, ORANGE)
    title = Rect(area.x, area.y + canvas.px(0.03), area.width, canvas.px(0.15))
    canvas.text("Signal lost", title.inflate(-canvas.px(0.06), 0), size=0.13, colour=ORANGE)
    rest = Rect(area.x, title.bottom, area.width, area.bottom - title.bottom - canvas.px(0.02))
    canvas.text(
        "Check the board's cable. It goes on by itself when the board is back.",
        rest.inflate(-canvas.px(0.08), 0),
        size=0.062,
        lines=2,
    )


def draw_beads(
    canvas: Canvas,
    centre: tuple[int, int],
    radius: float,
    share: float,
    colour: Colour = GOLD,
    count: int = 36,
) -> None:
    """A ring of lights, clockwise from the top, of which a share is lit."""
    size = max(4, round(canvas.height * radius * 0.13))
    lit = round(min(max(share, 0.0), 1.0) * count)
    for k in range(count):
        picture = bead(size, colour if k < lit else INK)
        angle = math.tau * k / count
        x = centre[0] + radius * canvas.height * math.sin(angle)
        y = centre[1] - radius * canvas.height * math.cos(angle)
        canvas.surface.blit(picture, (round(x - size / 2), round(y - size / 2)))


def draw_best(canvas: Canvas, words: str, area: Rect) -> None:
    """A star and a line: a best mark."""
    size = min(area.height, canvas.px(0.058))
    drawn_area = Rect(area.x + size, area.y, area.width - size, area.height)
    drawn = canvas.text(words, drawn_area, size=0.065, colour=GOLD, lines=2)
    canvas.surface.blit(
        star(size, GOLD), (drawn.left - size - canvas.px(0.008), area.centery - size // 2)
    )


def share_done(phase_s: float, left_s: float) -> float:
    """How much of a waiting time has passed, 0 to 1.

    >>> share_done(1.0, 3.0)
    0.25
    """
    if math.isnan(left_s) or phase_s + left_s <= 0:
        return 0.0
    return min(max(phase_s / (phase_s + left_s), 0.0), 1.0)


def seconds_words(left_s: float) -> str:
    """Whole seconds left, counted the way one counts aloud: the last second is 1.

    >>> seconds_words(2.2)
    '3'
    """
    return "" if math.isnan(left_s) else str(math.ceil(max(0.0, left_s)))
