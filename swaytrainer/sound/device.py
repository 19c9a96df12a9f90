"""pygame's mixer: the only place that opens the sound device."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pygame

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES, Channel, Stereo
from swaytrainer.sound.tones import RATE_HZ

#: Tone and voice have their own.
_RESERVED = 2
_CHANNELS = 12


@contextmanager
def _hushed() -> Iterator[None]:
    """Keep the system's sound library from writing a page about a missing card to the terminal.

    What went wrong is told in our own sentence.
    """
    try:
        sys.stderr.flush()
        kept = os.dup(2)
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except (OSError, AttributeError):  # no such thing as a standard error here
        yield
        return
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


class Mixer:
    """The sound device through pygame.

    Args:
        name: of the device, or a part of it that only one has; None for the system's usual one.
    """

    def __init__(self, name: str | None = None) -> None:
        self._name = name

    def open(self) -> str | None:
        """Open the device; why not, in words, where there is none.

        Raises:
            SwaytrainerError: there are devices, but none of this name.
        """
        try:
            with _hushed():
                chosen = None if self._name is None else the_one(self._name, device_names())
                pygame.mixer.init(
                    RATE_HZ, -16, 2, BUFFER_SAMPLES, devicename=chosen, allowedchanges=0
                )
        except (pygame.error, NotImplementedError) as error:
            return f"there is no sound device ({error})."
        pygame.mixer.set_num_channels(_CHANNELS)
        pygame.mixer.set_reserved(_RESERVED)
        return None

    def close(self) -> None:
        """Stop everything and let go of the device."""
        pygame.mixer.quit()

    def sound(self, samples: Stereo) -> pygame.mixer.Sound:
        """Something to play."""
        return pygame.mixer.Sound(buffer=samples.tobytes())

    def decoded(self, path: Path) -> Stereo | None:
        """The samples of an Ogg Vorbis or WAV file; None if it is missing or damaged."""
        try:
            raw = pygame.mixer.Sound(str(path)).get_raw()
        except (pygame.error, OSError):
            return None
        return np.frombuffer(raw, dtype=np.int16).reshape(-1, 2)

    def channel(self, number: int) -> Channel:
        """A reserved channel."""
        return pygame.mixer.Channel(number)

    def play(self, sound: Any) -> None:
        """Play beside all else; where all channels are taken, not at all."""
        sound.play()


def device_names() -> list[str]:
    """The sound devices there are, as the system names them; needs the mixer's system only.

    ``pygame._sdl2.audio`` is in both editions of pygame, though neither promises to keep it.

    Raises:
        pygame.error: there is no sound system at all.
    """
    from pygame._sdl2 import audio

    opened = pygame.mixer.get_init() is not None
    if not opened:
        # The names are known once the sound system runs: the usual device starts it.
        pygame.mixer.init(RATE_HZ, -16, 2, BUFFER_SAMPLES, allowedchanges=0)
    try:
        return list(audio.get_audio_device_names(False))
    finally:
        if not opened:
            pygame.mixer.quit()


def the_one(wanted: str, names: Sequence[str]) -> str:
    """The one device of this name, or with this in its name (capitals or not).

    Raises:
        SwaytrainerError: none, or several.

    >>> the_one("usb", ["Built-in Audio", "USB Speaker"])
    'USB Speaker'
    """
    if wanted in names:
        return wanted
    found = [name for name in names if wanted.casefold() in name.casefold()]
    if len(found) == 1 and wanted:
        return found[0]
    there = ", ".join(f"“{name}”" for name in names) or "none by name"
    many = "Several sound devices have" if found else "No sound device has"
    raise SwaytrainerError(
        f"{many} “{wanted}” in the name.",
        f"Give --sound-device one of these: {there}.",
    )
