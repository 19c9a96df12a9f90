"""A recording that is still being written: read what is whole, wait for the rest, touch nothing.

The writer appends (``recording.Recorder``) and may be interrupted anywhere, so the newest block is
often there only in part. It is kept until its rest has come, or until a whole block behind it shows
that it never will.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Input
from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.recording import (
    _HEAD,
    _LONGEST,
    _MARK,
    FIRST_LINE,
    _begin,
    _block_at,
    _input,
    _next_good,
    _object,
)
from swaytrainer.words import Name, say

#: Read at once: a long recording comes in pieces, so that a window stays alive.
PIECE: Final = 1 << 12


class GrowingRecording:
    """Takes a recording's bytes in pieces of any size; gives the same inputs as a whole read.

    Args:
        name: for errors.

    Attributes:
        setup: from the head; None until it has come.
        made, version: as in ``Recording``.
        shown: the outcomes as they were shown.
        damage: sentences on what had to be passed over.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._pending = b""
        self.setup: Setup | None = None
        self.made = self.version = ""
        self.shown: list[dict[str, Any]] = []
        self.damage: list[str] = []

    @property
    def waiting(self) -> int:
        """Bytes that are no whole block yet."""
        return len(self._pending)

    def take(self, data: bytes) -> list[Input]:
        """Take the next bytes of the file; the inputs that are now whole.

        Raises:
            SwaytrainerError: this is no recording, or its head can't be used.
        """
        data = self._pending + data
        at = 0
        inputs: list[Input] = []
        if self.setup is None:
            if not self._has_head(data):
                self._pending = data
                return inputs
            self.setup, self.made, self.version, at = _begin(data, self._name, self.damage)
        while at < len(data):
            block = _block_at(data, at)
            if block is not None:
                self._one(block[0], block[1], inputs)
                at = block[2]
                continue
            good = _next_good(data, at + 1)
            if good < len(data):
                self.damage.append(f"{good - at} damaged bytes were passed over.")
                at = good
                continue
            at = _may_begin(data, at)
            break
        self._pending = data[at:]
        return inputs

    def _has_head(self, data: bytes) -> bool:
        """There is enough to read the head, or to know that there is none."""
        if not data.startswith(FIRST_LINE[: len(data)]):
            return True
        at = len(FIRST_LINE)
        return _block_at(data, at) is not None or (
            len(data) > at and _may_begin(data, at) != at  # what stands there never becomes one
        )

    def _one(self, kind: int, payload: bytes, inputs: list[Input]) -> None:
        try:
            if kind == b"O"[0]:
                self.shown.append(_object(payload))
            elif kind != b"H"[0]:
                inputs.append(_input(kind, payload))
        except (ValueError, struct.error):
            self.damage.append(
                f"A block of kind {chr(kind)!r} holds what no version writes: skipped."
            )


def _may_begin(data: bytes, at: int) -> int:
    """The first place from ``at`` on where a block may have begun whose rest has yet to come."""
    while at < len(data):
        at = data.find(_MARK[:1], at)
        if at < 0:
            break
        rest = data[at : at + _HEAD.size]
        if _MARK.startswith(rest[:2]):
            if len(rest) < _HEAD.size:
                return at
            _, kind, length = _HEAD.unpack(rest)
            end = at + _HEAD.size + length + 4
            if length <= _LONGEST.get(kind, -1) and end > len(data):
                return at
        at += 1
    return len(data)


class Tail:
    """The end of a growing file, read only; nothing is locked and nothing is written.

    Args:
        path: a recording; it may be empty as yet.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.recording = GrowingRecording(str(path))
        self._at = 0

    def poll(self) -> list[Input]:
        """What has come since the last call, at most ``PIECE`` bytes of it.

        Raises:
            SwaytrainerError: the file can't be read, is no recording, or became shorter.
        """
        try:
            with self.path.open("rb") as file:
                size = file.seek(0, 2)
                if size < self._at:
                    raise SwaytrainerError(
                        say(
                            "{file} has become shorter: it is another file now.",
                            file=Name(self.path),
                        ),
                        say("Open it again."),
                    )
                file.seek(self._at)
                data = file.read(PIECE)
        except OSError as error:
            raise SwaytrainerError(
                say("Can't read {file}: {why}.", file=Name(self.path), why=Name(error.strerror)),
                say("Check the path; 'swaytrainer list' shows all."),
            ) from None
        self._at += len(data)
        self.behind = size - self._at
        return self.recording.take(data) if data else []

    #: Bytes of the file that have not been read yet.
    behind: int = 0

    @property
    def share_read(self) -> float:
        """How much of the file has been read, 0 to 1; 1 of an empty one."""
        return self._at / (self._at + self.behind) if self._at else 1.0 - (self.behind > 0)


def newest_growing(paths: list[Path]) -> Path | None:
    """The recording that was written to last, None if there is none."""
    stamped = []
    for path in paths:
        try:
            stamped.append((path.stat().st_mtime_ns, str(path), path))
        except OSError:
            continue  # taken away just now
    return max(stamped)[2] if stamped else None
