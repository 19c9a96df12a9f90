"""What the voice says: one short phrase for each prompt, in each language.

A further language is a further table with the same keys (a test holds them to that) and a voice in
``make.py``; then ``python -m swaytrainer.sound.prompts.make`` renders it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

DIGITS: Final = tuple(str(n) for n in range(11))
POINT: Final = "point"

PHRASES: Final[Mapping[str, Mapping[str, str]]] = {
    "en": {
        **dict(
            zip(
                DIGITS,
                (
                    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
                    "ten",
                ),
                strict=True,
            )
        ),
        POINT: "point",
        "spotter ready": "Spotter ready?",
        "step on": "Step on.",
        "step off": "Step off.",
        "stand still": "Stand still.",
        "try": "Try it first. No mark yet.",
        "go": "Go!",
        "half time": "Half time.",
        "come back": "Come back.",
        "the end": "The end.",
        "your mark": "Your mark:",
        "no mark": "No mark.",
        "well done": "Well done!",
        "rest": "Rest.",
        "finished": "All done for now.",
        "signal lost": "Signal lost.",
        "signal back": "Signal is back.",
        "left": "left",
        "right": "right",
        "forwards": "forwards",
        "backwards": "backwards",
        "up": "up",
        "down": "down",
        "jump": "jump",
    },
    "de": {
        **dict(
            zip(
                DIGITS,
                (
                    "null", "eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht",
                    "neun", "zehn",
                ),
                strict=True,
            )
        ),
        POINT: "Komma",
        "spotter ready": "Hilfestellung bereit?",
        "step on": "Steig auf.",
        "step off": "Steig ab.",
        "stand still": "Steh still.",
        "try": "Probier es erst. Noch ohne Note.",
        "go": "Los!",
        "half time": "Halbzeit.",
        "come back": "Komm zurück.",
        "the end": "Ende.",
        "your mark": "Deine Note:",
        "no mark": "Keine Note.",
        "well done": "Gut gemacht!",
        "rest": "Pause.",
        "finished": "Fertig für jetzt.",
        "signal lost": "Signal verloren.",
        "signal back": "Signal ist wieder da.",
        "left": "links",
        "right": "rechts",
        "forwards": "vorwärts",
        "backwards": "rückwärts",
        "up": "hoch",
        "down": "runter",
        "jump": "spring",
    },
}  # fmt: skip

#: The prompts that there are, in any language.
PROMPTS: Final = tuple(PHRASES["en"])


def spoken_mark(mark: float | None) -> tuple[str, ...]:
    """The prompts that tell a mark, with one decimal as the screen shows it.

    >>> spoken_mark(7.25)
    ('your mark', '7', 'point', '2')
    >>> spoken_mark(9.96), spoken_mark(None)
    (('your mark', '10'), ('no mark',))

    A mark that is no number, or none from 0 to 10, is told as no mark.
    """
    if mark is None or not math.isfinite(mark) or not 0.0 <= mark <= 10.0:
        return ("no mark",)
    whole, _, decimal = f"{mark:.1f}".partition(".")
    if whole == "10":
        return ("your mark", whole)
    return ("your mark", whole, POINT, decimal)
