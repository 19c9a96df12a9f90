"""A recording as the window's source: its growing end, the sitting that it feeds, its notes."""

from __future__ import annotations

import math
import time
from pathlib import Path

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import readout
from swaytrainer.scope.notes import Note, NoteFile
from swaytrainer.scope.watched import Watched
from swaytrainer.store.growing import Tail


class Source:
    """See the module.

    Args:
        path: the recording, whole or growing. It is only read.
        plate_mass_kg: see ``Watched``.

    Attributes:
        watched: the sitting, None until the recording's head has come.
        trouble: why nothing more is read, "" while all is well.
    """

    def __init__(self, path: Path, plate_mass_kg: float = 0.0) -> None:
        self.path = path
        self.tail = Tail(path)
        self.notes = NoteFile(path)
        self.watched: Watched | None = None
        self.trouble = ""
        self._plate_mass_kg = plate_mass_kg

    @property
    def catching_up(self) -> bool:
        """There is more in the file than has been read."""
        return not self.trouble and self.tail.behind > 0

    @property
    def quiet_s(self) -> float:
        """Seconds since the file was written to; 0 where that can't be told."""
        try:
            written = self.path.stat().st_mtime
        except OSError:
            return 0.0
        quiet = time.time() - written
        return quiet if math.isfinite(quiet) and quiet > 0.0 else 0.0

    def poll(self) -> bool:
        """Read one piece of what is new and feed it; whether there was something."""
        if self.trouble:
            return False
        try:
            before = self.watched
            inputs = self.tail.poll()
            setup = self.tail.recording.setup
            if self.watched is None and setup is not None:
                self.watched = Watched(setup, self._plate_mass_kg)
            if self.watched is not None and inputs:
                self.watched.feed(inputs)
        except SwaytrainerError as error:
            self.trouble = readout.trouble(error)
            return True
        return bool(inputs) or self.watched is not before

    def add(self, note: Note) -> Note:
        """Keep a note beside the recording.

        Raises:
            SwaytrainerError: it can't be kept.
        """
        return self.notes.add(note)
