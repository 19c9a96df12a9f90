"""A sound device for tests: mixes as pygame's mixer does, on a clock that the test moves.

One buffer after another; a sound that waits on a channel begins with a new buffer; what is asked
for is heard from the next buffer on. Files are decoded by pygame itself.
"""

from __future__ import annotations

import functools
import math
import os
from pathlib import Path
from typing import Any

import numpy as np
import pygame

from swaytrainer.sound.device import Mixer
from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES, Stereo
from swaytrainer.sound.tones import RATE_HZ


class TapeSound:
    """Told apart by identity, as pygame's are."""

    def __init__(self, samples: Stereo) -> None:
        self.samples = samples


class TapeChannel:
    def __init__(self) -> None:
        self.playing: TapeSound | None = None
        self.waiting: TapeSound | None = None
        self.at = 0
        self.fade_left = self.fade_all = 0
        self.played: list[TapeSound] = []

    def play(self, sound: TapeSound, /) -> None:
        self.playing, self.waiting, self.at = sound, None, 0
        self.fade_left = self.fade_all = 0
        self.played.append(sound)

    def queue(self, sound: TapeSound, /) -> None:
        if self.playing is None:
            self.play(sound)
        else:
            self.waiting = sound

    def get_busy(self) -> bool:
        return self.playing is not None

    def get_sound(self) -> TapeSound | None:
        return self.playing

    def fadeout(self, milliseconds: int, /) -> None:
        if self.playing is not None:
            self.fade_left = self.fade_all = round(milliseconds * RATE_HZ / 1000)

    def buffer(self) -> np.ndarray:
        out = np.zeros((BUFFER_SAMPLES, 2))
        if self.playing is None:
            return out
        piece = self.playing.samples[self.at : self.at + BUFFER_SAMPLES] / 32767.0
        if self.fade_all:
            piece = piece * (self.fade_left / self.fade_all)
            self.fade_left = max(self.fade_left - BUFFER_SAMPLES, 0)
        out[: len(piece)] = piece
        self.at += BUFFER_SAMPLES
        over = self.at >= len(self.playing.samples) or (self.fade_all > 0 and not self.fade_left)
        if over:
            following, self.playing = self.waiting, None
            self.waiting = None
            if following is not None:
                self.play(following)
        return out


class Tape:
    """The device. ``run_to`` moves its clock; ``heard`` is all of it, shape (N, 2).

    A buffer is mixed when its own time begins, as if it were heard at once: what a real device
    keeps in its buffer comes on top.
    """

    def __init__(self, reason: str | None = None) -> None:
        self.reason = reason
        self.channels = [TapeChannel() for _ in range(12)]
        self.buffers: list[np.ndarray] = []
        self.alone: list[np.ndarray] = []  # the tone's channel by itself
        self.opened = 0

    def open(self) -> str | None:
        self.opened += self.reason is None
        return self.reason

    def close(self) -> None:
        self.channels = [TapeChannel() for _ in range(12)]

    def sound(self, samples: Stereo) -> TapeSound:
        return TapeSound(samples)

    def decoded(self, path: Path) -> Stereo | None:
        return decoded(path)

    def channel(self, number: int) -> TapeChannel:
        return self.channels[number]

    def play(self, sound: Any) -> None:
        next(c for c in self.channels[2:] if not c.get_busy()).play(sound)

    def run_to(self, now_s: float) -> None:
        while len(self.buffers) <= math.floor(now_s * RATE_HZ / BUFFER_SAMPLES):
            each = [channel.buffer() for channel in self.channels]
            self.alone.append(each[0])
            self.buffers.append(np.sum(each, axis=0))

    @property
    def heard(self) -> np.ndarray:
        return np.concatenate(self.buffers)

    @property
    def tone(self) -> np.ndarray:
        return np.concatenate(self.alone)


@functools.cache
def decoded(path: Path) -> Stereo | None:
    os.environ["SDL_AUDIODRIVER"] = "dummy"
    if pygame.mixer.get_init() is None:
        assert Mixer().open() is None
    return Mixer().decoded(path)
