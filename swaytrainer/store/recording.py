"""The recording: one file a sitting, appended to while it happens, readable after a kill anywhere.

Layout (all numbers little-endian)::

    swaytrainer recording 1\\n
    block, block, block, ...

    block = 5A B7, kind u8, length u32, payload, CRC-32 u32 (of kind, length and payload)

    kind  payload
    H     the head: JSON, UTF-8; calibration and level as the text of their files, vaulter,
          board, tare, versions. Always the first block.
    B     bytes from the board: host time f64 (s), then the bytes as they came
    S     silence: host time f64, silent seconds f64
    X     link broken: host time f64, then the reason, UTF-8
    A     asked: host time f64, then the wish, UTF-8
    O     an outcome as it was shown: JSON. Not read back into anything: a replay computes the
          outcome again and says where it differs.

A reader takes every block whose check sum is right. Where one is not, it looks for the next pair
of mark bytes that begins a good block; what it had to pass over is counted and named.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import struct
import zlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, Final

from swaytrainer import __version__
from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.board.calibration import Loads
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Asked, BoardFacts, Input, Wish
from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.feet_file import feet_from, feet_json
from swaytrainer.toml_text import number_in, text_in
from swaytrainer.training.level_file import level_text, read_level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say

FIRST_LINE: Final = b"swaytrainer recording 1\n"
SUFFIX: Final = ".sway"
FLUSH_EVERY_S: Final = 0.25

_ANY_FIRST_LINE: Final = b"swaytrainer recording "
_MARK: Final = b"\x5a\xb7"
_HEAD: Final = struct.Struct("<2sBI")
_CRC: Final = struct.Struct("<I")
_F64: Final = struct.Struct("<d")
_SILENCE: Final = struct.Struct("<dd")
#: The longest payload of each kind there is: a false mark inside other bytes then costs little.
_LONGEST: Final = {b"H"[0]: 1 << 20, b"O"[0]: 1 << 20} | dict.fromkeys(b"BSXA", 1 << 14)


def _block(kind: bytes, payload: bytes) -> bytes:
    head = _HEAD.pack(_MARK, kind[0], len(payload))
    return head + payload + _CRC.pack(zlib.crc32(head[2:] + payload))


def head_block(setup: Setup, made: str) -> bytes:
    """The first line and the head, from the setup and the ISO time of its making."""
    v = setup.vaulter
    head = {
        "made": made,
        "version": __version__,
        "vaulter": {
            "name": v.name,
            "foot_length_mm": v.foot_length_mm,
            "stance_width_mm": v.stance_width_mm,
            "height_mm": v.height_mm,
        },
        "board": _board_json(setup.board),
        "tare_n": setup.tare_n,
        "best_mark": setup.best_mark,
        **({} if setup.feet is None else {"feet": feet_json(setup.feet)}),
        **({"lesson": True} if setup.lesson else {}),
        **({} if setup.usual_n is None else {"usual_n": setup.usual_n}),
        "level": level_text(setup.level),
        "calibration": to_toml(setup.calibration),
    }
    return FIRST_LINE + _block(b"H", json.dumps(head, ensure_ascii=False).encode())


def _board_json(board: BoardFacts) -> dict[str, Any]:
    facts: dict[str, Any] = {"board_id": board.board_id, "rate_hz": board.rate_hz}
    # Left out for one plate, so that what older versions wrote and what this one writes is equal.
    return facts if board.cells == 4 else {**facts, "cells": board.cells}


def input_block(item: Input) -> bytes:
    """One input as a block."""
    if isinstance(item, Received):
        return _block(b"B", _F64.pack(item.host_s) + item.data)
    if isinstance(item, Silence):
        return _block(b"S", _SILENCE.pack(item.host_s, item.silent_s))
    if isinstance(item, LinkBroken):
        return _block(b"X", _F64.pack(item.host_s) + item.why.encode())
    return _block(b"A", _F64.pack(item.host_s) + item.wish.value.encode())


def outcome_json(outcome: Outcome) -> dict[str, Any]:
    """An outcome for JSON: NaN becomes null."""

    def clean(value: Any) -> Any:
        if isinstance(value, float) and not math.isfinite(value):
            return None
        if isinstance(value, dict):
            return {k: clean(v) for k, v in value.items()}
        if isinstance(value, list | tuple):
            return [clean(v) for v in value]
        return value

    cleaned: dict[str, Any] = clean(asdict(outcome))
    return cleaned


def outcome_block(outcome: Outcome) -> bytes:
    """An outcome, as it was shown."""
    return _block(b"O", json.dumps(outcome_json(outcome), ensure_ascii=False).encode())


class Recorder:
    """Appends a sitting to a new file.

    What can't be written (a full disk) is kept in memory and tried again at the next flush:
    ``trouble`` then holds a sentence, and nothing is lost while the program runs.

    Args:
        path: must not exist yet; its folder must.
        setup: the sitting's setup.
        made: ISO time of the sitting's begin.

    Raises:
        SwaytrainerError: the file cannot be made.
    """

    def __init__(self, path: Path, setup: Setup, made: str) -> None:
        self.path = path
        self.trouble: str | None = None
        self._pending = bytearray(head_block(setup, made))
        self._flushed_s = -math.inf  # host time of the last input that was flushed
        try:
            # Unbuffered, and exclusive: an old recording is never written over.
            self._fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _O_BINARY, 0o600)
        except OSError as error:
            raise SwaytrainerError(
                say(
                    "Can't make the recording {path}: {why}.",
                    path=Name(path),
                    why=Name(error.strerror),
                ),
                say("Free some space or give another data folder with --home."),
            ) from None
        self.flush()

    def append(self, item: Input) -> None:
        """Take one input; it is on the disk at most ``FLUSH_EVERY_S`` of host time later."""
        self._pending += input_block(item)
        self.keep_up(item.host_s)

    def keep_up(self, host_s: float) -> None:
        """Flush what has waited too long although nothing new has come."""
        if self._pending and not 0.0 <= host_s - self._flushed_s < FLUSH_EVERY_S:
            self._flushed_s = host_s
            self.flush()

    def append_outcome(self, outcome: Outcome) -> None:
        """Keep what was shown, and make sure that it survives a power cut."""
        self._pending += outcome_block(outcome)
        self.flush(to_the_disk=True)

    def flush(self, to_the_disk: bool = False) -> bool:
        """Hand all that is pending to the operating system; False if it wouldn't take it.

        Args:
            to_the_disk: wait until it has survived a power cut too.
        """
        try:
            while self._pending:
                written = os.write(self._fd, self._pending)
                del self._pending[:written]
            if to_the_disk:
                os.fsync(self._fd)
        except OSError as error:
            self.trouble = (
                f"Can't write the recording ({error.strerror}): free some space; it is kept in"
                " memory until then."
            )
            return False
        self.trouble = None
        return True

    def close(self) -> None:
        """Flush and close; what could not be written is reported, not forgotten. Once is enough.

        Raises:
            SwaytrainerError: part of the recording could not be written.
        """
        if self._fd < 0:
            return
        ok = self.flush(to_the_disk=True)
        fd, self._fd = self._fd, -1
        with contextlib.suppress(OSError):  # what it could tell has been told by the flush
            os.close(fd)
        if not ok:
            raise SwaytrainerError(
                say(
                    "The last {n} bytes of {path} could not be written.",
                    n=len(self._pending),
                    path=Name(self.path),
                ),
                say("What was written before is safe. Free some space before the next trial."),
            )


_O_BINARY: Final = getattr(os, "O_BINARY", 0)


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording, read.

    Attributes:
        setup: the sitting's setup.
        made, version: when, and by which version of the program.
        inputs: all inputs, in order.
        shown: the outcomes as they were shown, as JSON objects.
        damage: sentences on what could not be read; empty for a sound file.
    """

    setup: Setup
    made: str
    version: str
    inputs: tuple[Input, ...]
    shown: tuple[dict[str, Any], ...] = ()
    damage: tuple[str, ...] = field(default=())


def read_recording(path: Path) -> Recording:
    """Read a recording as far as it can be read.

    Raises:
        SwaytrainerError: no such file, no recording, a newer format, or its head is damaged.
    """
    return parse_recording(_bytes(path), str(path))


def glance(path: Path) -> Recording:
    """Only the setup and the outcomes as shown, at a hundredth of the cost; no inputs.

    Raises:
        SwaytrainerError: as ``read_recording``.
    """
    data = _bytes(path)
    setup, made, version, at = _begin(data, str(path), [])
    shown: list[dict[str, Any]] = []
    while (at := data.find(_MARK + b"O", at)) >= 0:
        block = _block_at(data, at)
        at += 1
        if block is not None:
            with contextlib.suppress(ValueError):
                shown.append(_object(block[1]))
    return Recording(setup, made, version, (), tuple(shown))


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise SwaytrainerError(
            say("Can't read {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Check the path; 'swaytrainer list' shows all."),
        ) from None


def parse_recording(data: bytes, name: str) -> Recording:
    """``read_recording`` on bytes already read; ``name`` is for errors."""
    damage: list[str] = []
    setup, made, version, at = _begin(data, name, damage)
    inputs: list[Input] = []
    shown: list[dict[str, Any]] = []
    for kind, payload, _ in _blocks(data, at, damage):
        try:
            if kind == b"O"[0]:
                shown.append(_object(payload))
            elif kind != b"H"[0]:
                inputs.append(_input(kind, payload))
        except (ValueError, struct.error):
            damage.append(f"A block of kind {chr(kind)!r} holds what no version writes: skipped.")
    return Recording(setup, made, version, tuple(inputs), tuple(shown), tuple(damage))


def _begin(data: bytes, name: str, damage: list[str]) -> tuple[Setup, str, str, int]:
    """Setup, date and version from the first line and the head, and where the next block is."""
    if not data.startswith(FIRST_LINE):
        if data.startswith(_ANY_FIRST_LINE):
            raise SwaytrainerError(
                say("{file} was recorded by a newer swaytrainer.", file=Name(name)),
                say("Update swaytrainer to read it."),
            )
        raise SwaytrainerError(
            say("{file} is not a swaytrainer recording.", file=Name(name)),
            say("Give a file ending in {ending}.", ending=Name(SUFFIX)),
        )
    first = next(_blocks(data, len(FIRST_LINE), damage), None)
    if first is None or first[0] != b"H"[0]:
        raise SwaytrainerError(
            say(
                "The head of {file} is damaged or cut off: without its calibration it can't be"
                " read.",
                file=Name(name),
            ),
            say("Take a copy of the file from a backup."),
        )
    return (*_read_head(first[1], name), first[2])


def _blocks(data: bytes, at: int, damage: list[str]) -> Iterator[tuple[int, bytes, int]]:
    """Kind and payload of each good block, and where the next one is."""
    while at < len(data):
        block = _block_at(data, at)
        if block is not None:
            at = block[2]
            yield block
            continue
        bad, at = at, _next_good(data, at + 1)
        if at == len(data):
            damage.append(f"The last {at - bad} bytes are an unfinished or damaged block.")
        else:
            damage.append(f"{at - bad} damaged bytes at {bad} were passed over.")


def _block_at(data: bytes, at: int) -> tuple[int, bytes, int] | None:
    if len(data) - at < _HEAD.size + _CRC.size or data[at : at + 2] != _MARK:
        return None
    _, kind, length = _HEAD.unpack_from(data, at)
    begin = at + _HEAD.size
    end = begin + length
    if length > _LONGEST.get(kind, -1) or end + _CRC.size > len(data):
        return None
    crc = zlib.crc32(memoryview(data)[at + 2 : end])
    if crc != _CRC.unpack_from(data, end)[0]:
        return None
    return kind, data[begin:end], end + _CRC.size


def _next_good(data: bytes, at: int) -> int:
    while (at := data.find(_MARK, at)) >= 0:
        if _block_at(data, at) is not None:
            return at
        at += 1
    return len(data)


def _object(payload: bytes) -> dict[str, Any]:
    try:
        value = json.loads(payload)
    except RecursionError:
        raise ValueError("nested too deep") from None
    if not isinstance(value, dict):
        raise ValueError("no object")
    return value


def _input(kind: int, payload: bytes) -> Input:
    item = _any_input(kind, payload)
    if not math.isfinite(item.host_s):
        raise ValueError("no time")
    return item


def _any_input(kind: int, payload: bytes) -> Input:
    if kind == b"B"[0]:
        return Received(_F64.unpack_from(payload)[0], payload[_F64.size :])
    if kind == b"S"[0]:
        return Silence(*_SILENCE.unpack(payload))
    if kind == b"X"[0]:
        return LinkBroken(_F64.unpack_from(payload)[0], payload[_F64.size :].decode())
    if kind == b"A"[0]:
        return Asked(_F64.unpack_from(payload)[0], Wish(payload[_F64.size :].decode()))
    raise ValueError(kind)


def _read_head(payload: bytes, name: str) -> tuple[Setup, str, str]:
    try:
        head = _object(payload)
        tare = head["tare_n"]
        vaulter, board = head["vaulter"], head["board"]
        height = vaulter["height_mm"]
        best = head["best_mark"]
        setup = Setup(
            calibration=from_toml(text_in(head["calibration"]), f"in {name}"),
            level=read_level(text_in(head["level"]), f"in {name}"),
            vaulter=Vaulter(
                text_in(vaulter["name"]),
                number_in(vaulter["foot_length_mm"]),
                number_in(vaulter["stance_width_mm"]),
                None if height is None else number_in(height),
            ),
            board=BoardFacts(
                text_in(board["board_id"]), number_in(board["rate_hz"]), int(board.get("cells", 4))
            ),
            tare_n=None if tare is None else _loads(tare, int(board.get("cells", 4))),
            best_mark=None if best is None else number_in(best),
            lesson=head.get("lesson") is True,
            usual_n=None if head.get("usual_n") is None else number_in(head["usual_n"]),
            feet=None if head.get("feet") is None else feet_from(head["feet"]),
        )
        return setup, str(head["made"]), str(head["version"])
    except (ValueError, KeyError, TypeError, IndexError):
        raise SwaytrainerError(
            say("The head of {file} is not as this version writes it.", file=Name(name)),
            say("Update swaytrainer, or take a copy of the file from a backup."),
        ) from None


def _loads(values: list[object], cells: int) -> Loads:
    if len(values) != cells:
        raise ValueError("a tare of another board")
    return tuple(number_in(v) for v in values)
