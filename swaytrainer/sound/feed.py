"""Keeping the tone going: short blocks, made as late as the mixer lets them be.

One block plays and one waits. The one that waits is made anew whenever the weight has moved, from
the very state in which the playing one will end: so a sample is heard with the next block, and the
tone stays whole. The next block is at most ``BLOCK_SAMPLES`` away.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from typing import Any, Final, NamedTuple

from swaytrainer.sound.loudspeaker import BUFFER_SAMPLES, Channel
from swaytrainer.sound.tones import Samples
from swaytrainer.sound.weight_tone import SILENCE, START, Aim, ToneState, block

#: 11.6 ms: what is playing can't be taken back, and longer blocks would be so much later.
BLOCK_SAMPLES: Final = BUFFER_SAMPLES


class _Block(NamedTuple):
    sound: Any
    begun: ToneState
    ended: ToneState
    wanted: Aim


class Feed:
    """Feeds the tone's channel. Its methods may be called from more threads than one.

    Args:
        channel: the tone's own.
        sound: makes something playable of samples, shape (N, 2), -1 to 1.
    """

    def __init__(self, channel: Channel, sound: Callable[[Samples], Any]) -> None:
        self._channel = channel
        self._sound = sound
        self._lock = Lock()
        self._wanted = SILENCE
        self._state = START
        self._waiting: _Block | None = None

    @property
    def sounding(self) -> bool:
        """Whether blocks are wanted: the tone is heard, or will be, or dies away."""
        return not (self._wanted.silent and self._state.heard.silent)

    def aim(self, wanted: Aim) -> None:
        """From now on this is to be heard."""
        with self._lock:
            self._wanted = wanted
            self._see_what_plays()
            waiting = self._waiting
            if waiting is not None and waiting.wanted != wanted:
                self._queue(waiting.begun)
                if self._channel.get_sound() is waiting.sound:
                    # It began in that very moment: what was made to replace it must follow it.
                    self._state = waiting.ended
                    self._queue(waiting.ended)
            self._fill()

    def top_up(self) -> None:
        """See to it that a block waits behind the one that plays: call it every few ms."""
        with self._lock:
            self._see_what_plays()
            self._fill()

    def _see_what_plays(self) -> None:
        """Whether the block that waited has begun; ``_state`` is where the playing one ends."""
        waiting = self._waiting
        if waiting is None:
            return
        if not self._channel.get_busy() or self._channel.get_sound() is waiting.sound:
            self._state = waiting.ended
            self._waiting = None

    def _fill(self) -> None:
        if self._waiting is not None or not self.sounding:
            return
        if not self._channel.get_busy():
            # Begun anew, or late: it goes on where it was, for nothing better can be known.
            first = self._made(self._state)
            self._channel.play(first.sound)
            self._state = first.ended
        self._queue(self._state)

    def _queue(self, begun: ToneState) -> None:
        following = self._made(begun)
        self._channel.queue(following.sound)
        self._waiting = following

    def _made(self, begun: ToneState) -> _Block:
        samples, ended = block(begun, BLOCK_SAMPLES, self._wanted)
        return _Block(self._sound(samples), begun, ended, self._wanted)
