"""All that is heard: cues for events, the voice, and the tone for where the weight is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from threading import Event as Flag
from threading import Thread
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.view import Event, Happening, Phase, View, Where
from swaytrainer.sound.cues import made, merged, unnamed
from swaytrainer.sound.feed import Feed
from swaytrainer.sound.loudspeaker import Device
from swaytrainer.sound.prompter import Line, Prompter
from swaytrainer.sound.prompts.phrases import PROMPTS
from swaytrainer.sound.tones import Cue, Samples, cue, end_with_mark, to_int16
from swaytrainer.sound.voice import Speaker, Voice
from swaytrainer.sound.weight_tone import DUCKED, SILENCE, aim
from swaytrainer.words import language as language_in_use
from swaytrainer.words import say

_CUE_OF: Final[dict[Happening, Cue]] = {
    Happening.STEPPED_ON: Cue.STEPPED_ON,
    Happening.COUNTDOWN_TICK: Cue.TICK,
    Happening.TRIAL_STARTED: Cue.START,
    Happening.HALF_TIME: Cue.HALF_TIME,
    Happening.TRIAL_ENDED: Cue.END,
    Happening.STEPPED_OFF: Cue.STEP_OFF,
    Happening.STEPPED_BACK: Cue.STEP_BACK,
    Happening.SIGNAL_LOST: Cue.SIGNAL_LOST,
    Happening.SIGNAL_BACK: Cue.SIGNAL_BACK,
    Happening.REST_OVER: Cue.REST_OVER,
    Happening.FINISHED: Cue.FINISHED,
}
_GONE: Final = "the sound device is gone."
#: A block of the tone lasts 12 ms: looked after more often than that while it sounds.
_TOP_UP_S: Final = 0.003
_IDLE_S: Final = 0.008


class Player:
    """Plays what a sitting tells.

    Args:
        volume: 0 (mute) to 1.
        device: where it is heard; None for pygame's mixer.
        language: of the voice; None for the one in use.
        threaded: a thread of its own keeps the tone fed, however long a frame takes. Without it
            ``top_up`` must be called every few ms.
        games: the sounds of the games' own cues, by word.

    Attributes:
        silent_reason: why nothing will be heard, or None while the device is open.

    Raises:
        SwaytrainerError: a volume that is none.
    """

    def __init__(
        self,
        volume: float = 1.0,
        device: Device | None = None,
        language: str | None = None,
        threaded: bool = True,
        games: Mapping[str, Callable[[], Samples]] | None = None,
    ) -> None:
        if not 0.0 <= volume <= 1.0:  # NaN is none either
            raise SwaytrainerError(
                f"A volume of {volume:g} is none.", "Give --volume from 0 (mute) to 1."
            )
        self._volume = volume
        self._given = device
        self._language = language
        self._threaded = threaded
        self._makers = merged() if games is None else games
        self._device: Device | None = None
        self._feed: Feed | None = None
        self._voice: Voice | None = None
        self._speaker: Speaker | None = None
        self._prompter = Prompter()
        self._lines: list[Line] = []
        self._sounds: dict[str, Any] = {}
        self._closing = Flag()
        self._thread: Thread | None = None
        self._lost = False
        self.silent_reason: str | None = "the sound is not open yet"

    def open(self) -> None:
        """Open the sound device. Without one the training goes on in silence, and says why.

        Raises:
            SwaytrainerError: there are devices, but not the one that was asked for.
        """
        device = self._given
        if device is None:
            from swaytrainer.sound.device import Mixer

            device = Mixer()
        self.silent_reason = device.open()
        if self.silent_reason is not None:
            return
        self._lost = False
        speaker = Speaker(device, self._language or language_in_use())

        def line(prompts: Sequence[str]) -> Any:
            samples = speaker.line(prompts)
            return None if samples is None else self._sound(device, samples)

        self._sounds = {which: self._sound(device, cue(which)) for which in Cue}
        for word, make in self._makers.items():
            self._sounds["cue " + word] = self._sound(device, made(word, make))
        self._sounds["cue"] = self._sound(device, unnamed())
        self._device, self._speaker = device, speaker
        self._voice = Voice(device.channel(1), line)
        self._feed = Feed(device.channel(0), lambda samples: self._sound(device, samples))
        if self._threaded:
            self._closing.clear()
            self._thread = Thread(target=self._keep_fed, args=(self._feed,), daemon=True)
            self._thread.start()

    def close(self) -> None:
        """Stop and let go of the device; harmless when it was never opened."""
        self._let_go("the sound is closed")

    def device_gone(self) -> None:
        """The device was pulled out: go on in silence, and say so."""
        if self._device is not None:
            self._let_go(_GONE)
            self._lost = True

    def device_came(self) -> None:
        """A device was plugged in: if ours was lost, try again."""
        if not self._lost:
            return
        try:
            self.open()
        except SwaytrainerError:
            # Another than the one that was asked for: ours is still gone, and a trial may run.
            self.silent_reason = _GONE

    def trouble(self, view: View) -> str | None:
        """A sentence for the screen: the sound is gone, or is missed by this trial."""
        if self.silent_reason is None or not (self._lost or view.feedback.kind == "sound"):
            return None
        return say("Nothing can be heard: {reason}", reason=self.silent_reason)

    def _let_go(self, reason: str) -> None:
        if self._device is None:
            return
        self._closing.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
        self._feed = self._voice = self._speaker = None
        self._sounds = {}
        self._device.close()
        self._device = None
        self.silent_reason = reason

    def _sound(self, device: Device, samples: Samples) -> Any:
        return device.sound(to_int16(samples, self._volume))

    def notice(self, event: Event) -> None:
        """Sound an event's cue at once; its words follow with the next ``tick``."""
        line = self._prompter.notice(event)
        if self._device is None:
            return
        if event.happening is Happening.CUE:
            named = "cue " + event.word
            if named in self._sounds:
                self._device.play(self._sounds[named])
                return
            if event.word not in PROMPTS:
                self._device.play(self._sounds["cue"])
        elif event.happening is Happening.TRIAL_ENDED and not self._can_say(line):
            mark = event.outcome.mark if event.outcome is not None else None
            self._device.play(self._sound(self._device, end_with_mark(mark)))
            return
        elif event.happening in _CUE_OF:
            self._device.play(self._sounds[_CUE_OF[event.happening]])
        if line is not None:
            self._lines.append(line)

    def _can_say(self, line: Line | None) -> bool:
        """Whether all of a line can be read: where it can't, the mark is told in notes."""
        speaker = self._speaker
        return speaker is not None and line is not None and speaker.line(line.prompts) is not None

    def greet(self) -> None:
        """A guest has come to the pond."""
        if self._device is not None:
            self._device.play(self._sounds[Cue.CREATURE])

    def ask(self, prompt: str, now_s: float) -> None:
        """Say what somebody is to do who stands on the board between two sittings.

        Args:
            prompt: one of ``PROMPTS``.
            now_s: as for ``speak``, which says it.
        """
        if self._voice is not None:
            self._voice.say(Line((prompt,), 0.2, 3.0, urgent=True), now_s)

    def speak(self, now_s: float) -> None:
        """Between two sittings, once a frame: go on saying what is to be said."""
        if self._voice is not None:
            self._voice.tick(now_s)

    def understood(self, taken: bool) -> None:
        """A choice was understood: a tick for turning the list, a chime for taking."""
        if self._device is not None:
            self._device.play(self._sounds[Cue.STEP_BACK if taken else Cue.TICK])

    def tick(self, view: View, now_s: float) -> None:
        """Follow the newest view: call it once a frame.

        Args:
            view: the sitting's snapshot.
            now_s: a time that never runs backwards; not the board's.
        """
        line = self._prompter.follow(view)
        voice, feed = self._voice, self._feed
        if voice is None or feed is None:
            self._lines.clear()
            return
        for each in (*self._lines, *((line,) if line is not None else ())):
            voice.say(each, now_s)
        self._lines.clear()
        voice.tick(now_s)
        shown = view.feedback
        heard = shown.sound and not (shown.outside_only and view.where is Where.INSIDE)
        if heard and view.phase in (Phase.LESSON, Phase.RUNNING):
            level = view.level
            feed.aim(
                aim(
                    view.toe_share_percent,
                    view.right_share_percent,
                    level.band_low_percent,
                    level.band_high_percent,
                    DUCKED if voice.speaking else 1.0,
                )
            )
        else:
            feed.aim(SILENCE)

    def top_up(self) -> None:
        """Keep the tone going between two ticks; needless with a thread."""
        if self._feed is not None:
            self._feed.top_up()

    def _keep_fed(self, feed: Feed) -> None:
        while not self._closing.wait(_TOP_UP_S if feed.sounding else _IDLE_S):
            feed.top_up()
