"""What the roost calls: each side by its own figure, and how the landing was."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from swaytrainer.sound.tones import CUE_PEAK, Samples, levelled, note, pitch_hz, sequence


def _run(
    semitones: Sequence[float], step_s: float, seconds: float, decay_s: float, loud: float = 0.8
) -> Samples:
    notes = [(k * step_s, note(pitch_hz(s), seconds, decay_s)) for k, s in enumerate(semitones)]
    return levelled(sequence(notes), loud * CUE_PEAK)


#: By the words that ``training.tasks.roost`` calls. Behind is low and front high, left falls and
#: right rises, as on a keyboard; landing is soft, since the landing's own sound is to be heard.
CUES: Final[dict[str, Callable[[], Samples]]] = {
    "roost behind": lambda: _run((-12, -12), 0.22, 0.3, 0.12),
    "roost left": lambda: _run((3, -4), 0.22, 0.3, 0.12),
    "roost right": lambda: _run((-4, 3), 0.22, 0.3, 0.12),
    "roost front": lambda: _run((12, 12), 0.22, 0.3, 0.12),
    "roost kneel": lambda: _run((-9, -2, 5), 0.16, 0.3, 0.12),
    "roost hop": lambda: _run((7, 12), 0.09, 0.4, 0.15),
    "roost land": lambda: _run((-14,), 0.1, 0.2, 0.06, 0.35),
    "roost still": lambda: _run((0, 4, 7), 0.12, 0.6, 0.2),
    "roost again": lambda: _run((-3, -8), 0.16, 0.3, 0.1),
    "roost over": lambda: _run((7, 12, 16), 0.13, 0.6, 0.2),
}
