"""Views as a sitting would give them, invented."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pygame

from swaytrainer.sitting.view import Phase, Signal, View, Where
from swaytrainer.training.feedback import feedback_for
from swaytrainer.training.level import Level, MarkPart
from swaytrainer.training.outcome import Outcome, PartEarned, Terms
from swaytrainer.training.vaulter import Vaulter

SIZES = ((1024, 768), (1280, 720), (3840, 2160))

LEVEL = Level(
    id="millpond-open-water",
    title="Millpond: open water",
    game="millpond",
    purpose="The same for longer, within a narrower band.",
    base="firm",
    stance="two feet",
    eyes="open",
    seconds=30.0,
    trials=3,
    rest_s=30.0,
    band_low_percent=35.0,
    band_high_percent=50.0,
    feedback="full",
    parts=(
        MarkPart("time_in_band_percent", 40.0, 95.0, 0.5),
        MarkPart("mean_speed_mm_s", 22.0, 6.5, 0.5),
    ),
    pass_mark=6.0,
    spotter=False,
    cautions=(
        "Board on a level, dry floor, on a mat, with two metres clear all round and no loose rug.",
        "Bare feet or vaulting shoes. A wall bar or a hand within reach.",
        "Stop at once on pain, dizziness or tiredness. After an injury, ask a doctor first.",
        "Respect the board's load limit. What your coach and your club's rules say comes first.",
    ),
)
WREN = Vaulter("Wren", 232.0, 190.0, 1380.0)
LONG_NAME = Vaulter("Maximiliane-Alexandra Wilhelmina von und zu Hohenlindenhof-Unterbergen")

OUTCOME = Outcome(
    number=1,
    ended="complete",
    counts=True,
    mark=6.9,
    parts=(
        PartEarned("time_in_band_percent", 78.2, 4.2, 5.0),
        PartEarned("mean_speed_mm_s", 13.6, 3.7, 5.0),
    ),
    deduction=1.0,
    reason="Too much weight on the toes for 6 of 30 s: −0.8.",
    advice="Let the lantern drift back, away from the reeds in front.",
    step_offs=1,
    off_board_s=1.4,
    lost_s=0.0,
    measures={},
    terms=Terms(80.0, "butterworth 2, 10 Hz", 30.0, "firm", "two feet", "open", "full"),
)
NO_MARK = replace(
    OUTCOME,
    ended="signal lost",
    counts=False,
    mark=None,
    parts=(),
    deduction=0.0,
    reason="The board's signal was lost: no mark.",
    advice="Check the board and its cable, then try again.",
)

PATH = tuple(
    (math.nan, math.nan)
    if 300 <= k < 310
    else (6 * math.sin(k * 0.031) + 2 * math.sin(k * 0.17), -20 + 9 * math.sin(k * 0.023 + 1))
    for k in range(900)
)


def view(phase: Phase, **changes: Any) -> View:
    """A plausible snapshot in this phase."""
    values: dict[str, Any] = {
        "phase": phase,
        "phase_s": 1.2,
        "left_s": 1.8,
        "trial": 1,
        "trials": 3,
        "vaulter": WREN,
        "level": LEVEL,
        "force_n": 380.0,
        "x_mm": 2.0,
        "y_mm": -20.0,
        "toe_share_percent": 43.0,
        "right_share_percent": 51.5,
        "where": Where.INSIDE,
        "speed_mm_s": 9.0,
        "stillness": 0.8,
        "spell_s": 3.0,
        "calm_s": 1.0,
        "best_mark": 7.1,
        "signal": Signal(True, 79.98, 3, 1, 12.0, 1.8),
    }
    if phase is Phase.WAITING:
        values |= {
            "where": Where.NOWHERE,
            "stillness": math.nan,
            "speed_mm_s": math.nan,
            "toe_share_percent": math.nan,
            "right_share_percent": math.nan,
            "x_mm": math.nan,
            "y_mm": math.nan,
        }
    if phase in (Phase.RESULT, Phase.RESTING, Phase.FINISHED):
        values |= {"outcome": OUTCOME, "path_mm": PATH, "marks": (6.2, None, 6.9)}
    values |= changes
    level: Level = values["level"]
    values.setdefault("feedback", feedback_for(level.feedback, (), level.pass_mark))
    return View(**values)


def where(toe_share: float) -> Where:
    """Against the band of ``LEVEL``."""
    if toe_share > LEVEL.band_high_percent:
        return Where.TOES
    return Where.HEELS if toe_share < LEVEL.band_low_percent else Where.INSIDE


def trial(seconds: float, rate_hz: float = 60.0) -> Iterator[tuple[View, float]]:
    """Views of a lively trial with their times: calm, then rough, out at the toes and heels."""
    calm_s = 0.0
    for k in range(round(seconds * rate_hz)):
        t = k / rate_hz
        toes = 43.0 + (3.0 if t < seconds / 2 else 16.0) * math.sin(2.1 * t)
        if where(toes) is Where.INSIDE:
            calm_s += 1 / rate_hz
        yield (
            view(
                Phase.RUNNING,
                phase_s=t,
                left_s=LEVEL.seconds - t,
                calm_s=calm_s,
                toe_share_percent=toes,
                right_share_percent=50 + 8 * math.sin(1.3 * t),
                where=where(toes),
                stillness=0.85 if t < seconds / 2 else 0.3 + 0.3 * math.sin(t),
            ),
            t,
        )


def pixels(surface: pygame.Surface) -> bytes:
    """All of a surface."""
    return pygame.image.tobytes(surface, "RGB")
