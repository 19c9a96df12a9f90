"""Saying lines one at a time: never two at once, and none when its moment has passed."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from importlib import resources
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np

from swaytrainer.sound.loudspeaker import Channel, Device
from swaytrainer.sound.prompter import Line
from swaytrainer.sound.prompts.phrases import PHRASES
from swaytrainer.sound.tones import RATE_HZ, Samples, ramped

#: The voice's share of full scale: the files' peaks reach 0.8 to 1.
VOICE_GAIN: Final = 0.5
#: Between two prompts of one line.
PAUSE_S: Final = 0.06
#: What is broken off fades so fast; the mixer fades in steps of a buffer.
BREAK_OFF_MS: Final = 50


def prompt_file(language: str, prompt: str) -> Path:
    """Where a prompt's sound lies; a club may put its own voice there."""
    folder = Path(str(resources.files("swaytrainer.sound.prompts")))
    return folder / language / f"{prompt.replace(' ', '-')}.ogg"


class Speaker:
    """Puts the sounds of a line together; each prompt is read once.

    Args:
        device: reads the files.
        language: English where it has no prompts.
    """

    def __init__(self, device: Device, language: str) -> None:
        self._device = device
        self.language = language if language in PHRASES else "en"
        self._read: dict[str, Samples | None] = {}

    def line(self, prompts: Sequence[str]) -> Samples | None:
        """The samples of the prompts one after another; None if one of them can't be read."""
        pause = np.zeros(round(PAUSE_S * RATE_HZ))
        parts: list[Samples] = []
        for prompt in prompts:
            if prompt not in self._read:
                self._read[prompt] = self._decoded(prompt)
            samples = self._read[prompt]
            if samples is None:
                return None
            parts += [samples, pause]
        return np.concatenate(parts[:-1]) if parts else None

    def _decoded(self, prompt: str) -> Samples | None:
        stereo = self._device.decoded(prompt_file(self.language, prompt))
        if stereo is None or not len(stereo):
            return None
        return ramped(VOICE_GAIN * stereo.mean(axis=1) / 32768.0)


class _Waiting(NamedTuple):
    line: Line
    since_s: float


class Voice:
    """Says lines on its channel.

    Args:
        channel: the voice's own.
        sound: makes something playable of a line's prompts; None if it can't be said.
    """

    def __init__(self, channel: Channel, sound: Callable[[Sequence[str]], Any]) -> None:
        self._channel = channel
        self._sound = sound
        self._waiting: deque[_Waiting] = deque()
        self._broken_off = False

    @property
    def speaking(self) -> bool:
        """Somebody speaks now."""
        return self._channel.get_busy()

    def say(self, line: Line, now_s: float) -> None:
        """Have a line said when its time has come."""
        if line.urgent:
            self._waiting.clear()
            if self._channel.get_busy() and not self._broken_off:
                self._channel.fadeout(BREAK_OFF_MS)
                self._broken_off = True
        self._waiting.append(_Waiting(line, now_s))

    def tick(self, now_s: float) -> None:
        """Begin the next line, if nobody speaks and one is due."""
        if self._channel.get_busy():
            return
        self._broken_off = False
        while self._waiting:
            line, since_s = self._waiting[0]
            late_s = now_s - since_s - line.wait_s
            if late_s < 0.0:
                return
            self._waiting.popleft()
            sound = self._sound(line.prompts) if late_s <= line.fresh_s else None
            if sound is not None:
                self._channel.play(sound)
                return
