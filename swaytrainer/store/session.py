"""A sitting and its recording together: what is fed to the one is kept by the other."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from swaytrainer.sitting.inputs import Input
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.sitting.view import Event, Happening
from swaytrainer.store.recording import Recorder

#: An empty board's inputs are kept in memory no longer than this (host seconds).
_EMPTY_FOR_S: Final = 20.0


class Session:
    """Feeds a sitting; makes its recording when somebody steps on the board for the first time.

    Until then the inputs are held, so that the recording begins where the sitting began; while
    the board stays empty the sitting is begun anew from time to time, keeping its tare.

    Args:
        setup: what the sitting begins with.
        new_recorder: makes the recorder for a setup at the wall time ``now``.
        now: the wall clock, for the recording's date.
    """

    def __init__(
        self,
        setup: Setup,
        new_recorder: Callable[[Setup, datetime], Recorder] | None,
        now: Callable[[], datetime],
    ) -> None:
        self.sitting = Sitting(setup)
        self.recorder: Recorder | None = None
        self._new_recorder = new_recorder
        self._now = now
        self._held: list[Input] = []

    @property
    def trouble(self) -> str | None:
        """A sentence if the recording can't be written at the moment."""
        return self.recorder.trouble if self.recorder is not None else None

    def feed(self, item: Input) -> list[Event]:
        """Take one input; what happened because of it."""
        if self.recorder is not None:
            self.recorder.append(item)
        elif self._new_recorder is not None:
            self._held.append(item)
        events = self.sitting.feed(item)
        for event in events:
            if event.happening is Happening.STEPPED_ON and self.recorder is None:
                self._begin_recording()
            if event.outcome is not None and self.recorder is not None:
                self.recorder.append_outcome(event.outcome)
        if self.recorder is None and self._held:
            self._renew(item)
        return events

    def keep_up(self, host_s: float) -> None:
        """To be called once a frame: what was fed reaches the disk although nothing new comes."""
        if self.recorder is not None:
            self.recorder.keep_up(host_s)

    def _begin_recording(self) -> None:
        if self._new_recorder is None:
            return
        self.recorder = self._new_recorder(self.sitting.setup, self._now())
        for held in self._held:
            self.recorder.append(held)
        self._held.clear()

    def _renew(self, item: Input) -> None:
        if item.host_s - self._held[0].host_s > _EMPTY_FOR_S and self.sitting.idle:
            self.sitting = self.sitting.renewed()
            self._held.clear()

    def close(self) -> None:
        """Close the recording.

        Raises:
            SwaytrainerError: its end could not be written.
        """
        if self.recorder is not None:
            self.recorder.close()
