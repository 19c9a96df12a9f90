"""A sitting and its recording together: what is fed to the one is kept by the other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Input
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.sitting.view import Event, Happening
from swaytrainer.store.recording import Recorder
from swaytrainer.training.outcome import Outcome

#: An empty board's inputs are kept in memory no longer than this (host seconds).
_EMPTY_FOR_S: Final = 20.0
#: ... and those of somebody who stands there and chooses no longer than this.
_CHOOSING_FOR_S: Final = 300.0
#: A recording that could not be made is tried again after this (host seconds).
_AGAIN_AFTER_S: Final = 2.0


class Session:
    """Feeds a sitting; makes its recording when somebody steps on the board for the first time.

    Until then the inputs are held, so that the recording begins where the sitting began; while
    nobody steps on, the sitting is begun anew from time to time, keeping its tare. A recording
    that can't be made is tried again, its inputs held meanwhile: nobody's training ends for it.

    Args:
        setup: what the sitting begins with.
        new_recorder: makes the recorder for a setup at the wall time ``now``; None to record
            nothing.
        now: the wall clock, for the recording's date.
        hold: hold the inputs although nothing is recorded, so that it can be ``rebegun``.
    """

    def __init__(
        self,
        setup: Setup,
        new_recorder: Callable[[Setup, datetime], Recorder] | None,
        now: Callable[[], datetime],
        hold: bool = False,
    ) -> None:
        self.sitting = Sitting(setup)
        self.recorder: Recorder | None = None
        self._new_recorder = new_recorder
        self._now = now
        self._holds = hold or new_recorder is not None
        self._held: list[Input] = []
        self._outcomes: list[Outcome] = []
        self._wanted = False
        self._refusal: SwaytrainerError | None = None
        self._tried_s = 0.0

    @property
    def trouble(self) -> str | None:
        """A sentence if the recording can't be written at the moment."""
        if self.recorder is not None:
            return self.recorder.trouble
        return None if self._refusal is None else f"Not recorded yet: {self._refusal}"

    def feed(self, item: Input) -> list[Event]:
        """Take one input; what happened because of it."""
        if self.recorder is not None:
            self.recorder.append(item)
        elif self._holds:
            self._held.append(item)
        events = self.sitting.feed(item)
        for event in events:
            if event.happening is Happening.STEPPED_ON and not self._wanted:
                self._wanted = True
                self._begin_recording(item.host_s)
            if event.outcome is not None:
                if self.recorder is not None:
                    self.recorder.append_outcome(event.outcome)
                else:
                    self._outcomes.append(event.outcome)
        if self.recorder is None and self._held:
            if self._wanted and self._new_recorder is not None:
                self._try_again(item.host_s)
            else:
                self._renew(item)
        return events

    def rebegun(
        self, setup: Setup, new_recorder: Callable[[Setup, datetime], Recorder] | None
    ) -> Session:
        """A recorded session on other terms that was fed with all that this one still holds.

        So a recording begins with the empty board although who trains, and what, was chosen later.

        Args:
            setup: the terms; their tare is this session's.
            new_recorder: makes the recorder.
        """
        setup = replace(setup, tare_n=self.sitting.setup.tare_n)
        session = Session(setup, new_recorder, self._now)
        for item in self._held:
            session.feed(item)
        return session

    def keep_up(self, host_s: float) -> None:
        """To be called once a frame: what was fed reaches the disk although nothing new comes."""
        if self.recorder is not None:
            self.recorder.keep_up(host_s)

    def _begin_recording(self, host_s: float) -> None:
        if self._new_recorder is None:
            return
        self._tried_s = host_s
        try:
            self.recorder = self._new_recorder(self.sitting.setup, self._now())
        except SwaytrainerError as error:
            self._refusal = error
            return
        self._refusal = None
        for held in self._held:
            self.recorder.append(held)
        for outcome in self._outcomes:
            self.recorder.append_outcome(outcome)
        self._held.clear()

    def _try_again(self, host_s: float) -> None:
        if not 0.0 <= host_s - self._tried_s < _AGAIN_AFTER_S:
            self._begin_recording(host_s)

    def _renew(self, item: Input) -> None:
        waited_s = item.host_s - self._held[0].host_s
        longest_s = _CHOOSING_FOR_S if self.sitting.on_board else _EMPTY_FOR_S
        if not 0.0 <= waited_s <= longest_s and self.sitting.idle:
            self.sitting = self.sitting.renewed()
            self._held.clear()

    def close(self) -> None:
        """Close the recording.

        Raises:
            SwaytrainerError: its end, or all of it, could not be written.
        """
        if self._wanted and self.recorder is None and self._new_recorder is not None:
            self._begin_recording(0.0)
            if self._refusal is not None:
                raise self._refusal
        if self.recorder is not None:
            self.recorder.close()
