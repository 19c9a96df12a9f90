"""The loudspeaker: the only place that opens the sound device."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pygame

from swaytrainer.sitting.view import Event, Happening, Phase, View, Where
from swaytrainer.sound.tones import RATE_HZ, Cue, Samples, ToeTone, cue, end_with_mark, to_int16

#: The device's buffer, and a block of the toe tone: a whole number of buffers, since the mixer
#: begins a queued block only with a new buffer. 2048 samples are 46 ms; two are kept ahead.
BUFFER_SAMPLES = 512
BLOCK_SAMPLES = 4 * BUFFER_SAMPLES

_CUE_OF: dict[Happening, Cue] = {
    Happening.STEPPED_ON: Cue.STEPPED_ON,
    Happening.COUNTDOWN_TICK: Cue.TICK,
    Happening.TRIAL_STARTED: Cue.START,
    Happening.HALF_TIME: Cue.HALF_TIME,
    Happening.STEPPED_OFF: Cue.STEP_OFF,
    Happening.STEPPED_BACK: Cue.STEP_BACK,
    Happening.SIGNAL_LOST: Cue.SIGNAL_LOST,
    Happening.SIGNAL_BACK: Cue.SIGNAL_BACK,
    Happening.REST_OVER: Cue.REST_OVER,
    Happening.FINISHED: Cue.FINISHED,
}


@contextmanager
def _hushed() -> Iterator[None]:
    """Keep the system's sound library from writing a page about a missing card to the terminal.

    What went wrong is told in our own sentence (``silent_reason``).
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


class Player:
    """Plays cues for events and keeps the toe tone going.

    Args:
        volume: 0 (mute) to 1.

    Attributes:
        silent_reason: why nothing will be heard, or None while the device is open.
    """

    def __init__(self, volume: float) -> None:
        self._volume = min(max(volume, 0.0), 1.0)
        self._sounds: dict[Cue, pygame.mixer.Sound] = {}
        self._channel: pygame.mixer.Channel | None = None
        self._tone = ToeTone()
        self.silent_reason: str | None = "the sound is not open yet"

    def open(self) -> None:
        """Open the sound device. Without one the training goes on in silence, and says why."""
        try:
            with _hushed():
                pygame.mixer.init(RATE_HZ, -16, 2, BUFFER_SAMPLES, allowedchanges=0)
        except (pygame.error, NotImplementedError) as error:
            self.silent_reason = f"there is no sound device ({error})."
            return
        pygame.mixer.set_reserved(1)
        self._channel = pygame.mixer.Channel(0)
        self._sounds = {which: self._sound(cue(which)) for which in Cue}
        self.silent_reason = None

    def close(self) -> None:
        """Stop and let go of the device; harmless when it was never opened."""
        if self._channel is not None:
            self._channel = None
            self._sounds = {}
            pygame.mixer.quit()
            self.silent_reason = "the sound is closed"

    def _sound(self, samples: Samples) -> pygame.mixer.Sound:
        return pygame.mixer.Sound(buffer=to_int16(samples, self._volume).tobytes())

    def notice(self, event: Event) -> None:
        """Sound an event's cue; the end of a trial tells its mark too."""
        if self._channel is None:
            return
        if event.happening is Happening.TRIAL_ENDED:
            mark = event.outcome.mark if event.outcome is not None else None
            self._sound(end_with_mark(mark)).play()
        elif event.happening in _CUE_OF:
            self._sounds[_CUE_OF[event.happening]].play()

    def greet(self) -> None:
        """A guest has come to the pond."""
        if self._channel is not None:
            self._sounds[Cue.CREATURE].play()

    def tick(self, view: View) -> None:
        """Keep the toe tone fed: call at least every 40 ms, with the newest view."""
        channel = self._channel
        if channel is None:
            return
        shown = view.feedback
        heard = shown.sound and not (shown.outside_only and view.where is Where.INSIDE)
        active = view.phase in (Phase.LESSON, Phase.RUNNING) and heard
        while active or not self._tone.silent:
            if channel.get_busy() and channel.get_queue() is not None:
                return
            sound = self._sound(
                self._tone.block(
                    BLOCK_SAMPLES,
                    view.toe_share_percent,
                    view.level.band_low_percent,
                    view.level.band_high_percent,
                    active,
                )
            )
            if channel.get_busy():
                channel.queue(sound)
            else:
                channel.play(sound)
