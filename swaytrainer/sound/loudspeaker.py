"""What the player asks of a sound device: pygame's mixer, or a test's tape that keeps it all."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

#: Shape (N, 2), left then right.
Stereo = NDArray[np.int16]
#: The device's buffer, 11.6 ms. A queued sound begins with a new buffer: blocks that follow one
#: another are whole numbers of buffers long.
BUFFER_SAMPLES: Final = 512


class Channel(Protocol):
    """One voice of the mixer: one sound plays, and one may wait for it to end."""

    def play(self, sound: Any, /) -> None:
        """Begin with the next buffer, instead of what is playing."""

    def queue(self, sound: Any, /) -> None:
        """Follow what is playing, instead of what was to follow it; begin if nothing plays."""

    def get_busy(self) -> bool:
        """Something plays."""
        ...

    def get_sound(self) -> Any:
        """The very sound that plays, or None."""

    def fadeout(self, milliseconds: int, /) -> None:
        """Stop, softly."""


class Device(Protocol):
    """A sound device with mixer."""

    def open(self) -> str | None:
        """Open it; the reason in words if there is none to be opened."""

    def close(self) -> None:
        """Let go of it."""

    def sound(self, samples: Stereo) -> Any:
        """Something that a channel can play, any number of times."""

    def decoded(self, path: Path) -> Stereo | None:
        """The samples of a sound file at the device's rate; None if it can't be read."""

    def channel(self, number: int) -> Channel:
        """One of the channels kept for tone (0) and voice (1)."""

    def play(self, sound: Any) -> None:
        """Play beside all else, on any channel that is free."""
