"""The wire, version 1.1: bytes to frames and back, with no I/O.

The layout is specified in ``hardware/WIRE.md``.
"""

from __future__ import annotations

import struct
from binascii import crc_hqx
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from cobs import cobs

WIRE_MAJOR: Final = 1
WIRE_MINOR: Final = 1
BAUD: Final = 500_000

HELLO: Final = 0x01
SAMPLE: Final = 0x02
ACCELERATION: Final = 0x03
PAIR_SAMPLE: Final = 0x04
ASK: Final = 0x81

_CRC_START: Final = 0xFFFF
_MAX_DECODED: Final = 64
#: COBS adds one byte to a frame this short.
_MAX_ENCODED: Final = _MAX_DECODED + 1

_HEAD: Final = struct.Struct("<BH")
_HELLO_BODY: Final = struct.Struct("<BB3BQIBBH")
_SAMPLE_BODY: Final = struct.Struct("<IH4i")
_PAIR_BODY: Final = struct.Struct("<IH4iH4i")
_ACCELERATION_BODY: Final = struct.Struct("<IH3i")
_CRC: Final = struct.Struct("<H")
_SAMPLE_FRAME: Final = struct.Struct("<BHIH4iH")
_SAMPLE_SIZE: Final = _SAMPLE_FRAME.size

STATUS_MISSING: Final = 0x000F
STATUS_SATURATED: Final = 0x00F0
STATUS_STUCK: Final = 0x0F00
STATUS_MIXED: Final = 0x1000
STATUS_SUPPLY: Final = 0x2000
STATUS_RATE: Final = 0x4000
STATUS_SELF_TEST: Final = 0x8000
#: A sample with any of these has no loads: it is a gap (hardware/WIRE.md).
STATUS_NO_LOADS: Final = STATUS_MISSING | STATUS_MIXED

FEATURE_ACCELEROMETER: Final = 0x0001
FEATURE_SIMULTANEOUS: Final = 0x0002


@dataclass(frozen=True, slots=True)
class Hello:
    """What a board says of itself. ``rate_hz`` is nominal; ``board_id`` is 16 hex digits."""

    sequence: int
    wire_major: int
    wire_minor: int
    firmware: tuple[int, int, int]
    board_id: str
    rate_hz: float
    cells: int
    count_bits: int
    features: int


class Sample(NamedTuple):
    """Four raw counts at one board time. ``time_us`` wraps at 2³²; see ``StreamClock``."""

    sequence: int
    time_us: int
    status: int
    front_left: int
    front_right: int
    rear_left: int
    rear_right: int


class PairSample(NamedTuple):
    """Two plates, one a foot, at one board time: each has its own status and four counts."""

    sequence: int
    time_us: int
    left_status: int
    left: tuple[int, int, int, int]
    right_status: int
    right: tuple[int, int, int, int]


class Acceleration(NamedTuple):
    """What the plate's accelerometer feels, in mm/s², gravity included: x right, y forward, z up.

    At rest on a level floor z is +9,807. ``status`` 0: all is well; see ``hardware/WIRE.md``.
    """

    sequence: int
    time_us: int
    status: int
    x_mm_s2: int
    y_mm_s2: int
    z_mm_s2: int


class Unknown(NamedTuple):
    """A good frame of a type that this version doesn't know, or of a larger wire version."""

    sequence: int
    type: int


Frame = Hello | Sample | PairSample | Acceleration | Unknown


def encode_frame(frame_type: int, sequence: int, body: bytes) -> bytes:
    """One frame as it goes over the line, its closing zero included.

    Raises:
        ValueError: the frame would be longer than the wire allows.
    """
    payload = _HEAD.pack(frame_type, sequence & 0xFFFF) + body
    if len(payload) + 2 > _MAX_DECODED:
        raise ValueError(f"a frame holds at most {_MAX_DECODED} bytes")
    encoded: bytes = cobs.encode(payload + _CRC.pack(crc_hqx(payload, _CRC_START)))
    return encoded + b"\0"


def encode_sample(sample: Sample) -> bytes:
    """A sample frame; the inverse of the decoder."""
    body = _SAMPLE_BODY.pack(
        sample.time_us & 0xFFFFFFFF, sample.status, *(int(c) for c in sample[3:])
    )
    return encode_frame(SAMPLE, sample.sequence, body)


def encode_pair_sample(sample: PairSample) -> bytes:
    """A frame of two plates' counts; the inverse of the decoder."""
    body = _PAIR_BODY.pack(
        sample.time_us & 0xFFFFFFFF,
        sample.left_status,
        *sample.left,
        sample.right_status,
        *sample.right,
    )
    return encode_frame(PAIR_SAMPLE, sample.sequence, body)


def encode_acceleration(acceleration: Acceleration) -> bytes:
    """An acceleration frame; the inverse of the decoder."""
    _, time_us, status, *axes = acceleration
    body = _ACCELERATION_BODY.pack(time_us & 0xFFFFFFFF, status, *axes)
    return encode_frame(ACCELERATION, acceleration.sequence, body)


def encode_hello(hello: Hello) -> bytes:
    """A hello frame; the inverse of the decoder."""
    body = _HELLO_BODY.pack(
        hello.wire_major,
        hello.wire_minor,
        *hello.firmware,
        int(hello.board_id, 16),
        round(hello.rate_hz * 1000),
        hello.cells,
        hello.count_bits,
        hello.features,
    )
    return encode_frame(HELLO, hello.sequence, body)


def encode_ask() -> bytes:
    """What the host sends to be told who is there. The leading zero ends any half frame."""
    return b"\0" + encode_frame(ASK, 0, b"")


@dataclass(slots=True)
class Counters:
    """What the decoder met. ``partial`` is the piece before the first zero, no fault at all."""

    good: int = 0
    unknown: int = 0
    corrupt: int = 0
    partial: int = 0


class Decoder:
    """Bytes in, in any pieces; frames out, faults counted. Never raises on what it is fed.

    >>> decoder = Decoder()
    >>> line = encode_sample(Sample(7, 125_000, 0, 1, 2, 3, -4))
    >>> list(decoder.feed(b"no frame" + line[:9])), decoder.counters.good
    ([], 0)
    >>> list(decoder.feed(line[9:] + line))
    [Sample(sequence=7, time_us=125000, status=0, front_left=1, front_right=2, rear_left=3,
            rear_right=-4)]
    >>> decoder.counters
    Counters(good=1, unknown=0, corrupt=0, partial=1)
    """

    def __init__(self) -> None:
        self.counters = Counters()
        self._rest = bytearray()
        self._synced = False
        self._overlong = False

    def restart(self) -> None:
        """Forget the half frame at hand: the line was broken and what comes next is new."""
        self._rest.clear()
        self._synced = False
        self._overlong = False

    def feed(self, data: bytes) -> Iterator[Frame]:
        """Take the next bytes; yield each frame that they complete, in order."""
        *pieces, rest = data.split(b"\0")
        for piece in pieces:
            if self._rest or self._overlong:
                self._rest += piece
                encoded = bytes(self._rest)
                self._rest.clear()
            else:
                encoded = piece
            overlong, self._overlong = self._overlong, False
            if not encoded and not overlong:
                self._synced = True
                continue
            frame = None if overlong or len(encoded) > _MAX_ENCODED else _frame(encoded)
            if frame is not None:
                self._synced = True
                if isinstance(frame, Unknown):
                    self.counters.unknown += 1
                else:
                    self.counters.good += 1
                yield frame
            elif self._synced:
                self.counters.corrupt += 1
            else:
                # What was left of the frame we joined in: nobody's fault.
                self.counters.partial += 1
                self._synced = True
        self._rest += rest
        if len(self._rest) > _MAX_ENCODED:
            # No frame is that long: drop it at once, so that a stream without zeros
            # (another device, a wrong speed) can't fill the memory.
            self._rest.clear()
            self._overlong = True


def _frame(encoded: bytes) -> Frame | None:
    """The frame in one COBS piece, or None if it is damaged."""
    try:
        raw = cobs.decode(encoded)
    except cobs.DecodeError:
        return None
    if len(raw) == _SAMPLE_SIZE and raw[0] == SAMPLE:
        # The path of nearly every frame: one unpack for head, body and CRC.
        fields = _SAMPLE_FRAME.unpack(raw)
        if crc_hqx(raw[:-2], _CRC_START) != fields[-1]:
            return None
        return Sample._make(fields[1:-1])
    if len(raw) < _HEAD.size + _CRC.size:
        return None
    if crc_hqx(raw[:-2], _CRC_START) != _CRC.unpack_from(raw, len(raw) - 2)[0]:
        return None
    frame_type, sequence = _HEAD.unpack_from(raw)
    body = raw[_HEAD.size : -_CRC.size]
    if frame_type == HELLO:
        return _hello(sequence, body)
    if frame_type == SAMPLE:
        if len(body) < _SAMPLE_BODY.size:
            return None
        time_us, status, fl, fr, rl, rr = _SAMPLE_BODY.unpack_from(body)
        return Sample(sequence, time_us, status, fl, fr, rl, rr)
    if frame_type == PAIR_SAMPLE:
        if len(body) < _PAIR_BODY.size:
            return None
        time_us, left_status, a, b, c, d, right_status, e, f, g, h = _PAIR_BODY.unpack_from(body)
        return PairSample(sequence, time_us, left_status, (a, b, c, d), right_status, (e, f, g, h))
    if frame_type == ACCELERATION:
        if len(body) < _ACCELERATION_BODY.size:
            return None
        return Acceleration(sequence, *_ACCELERATION_BODY.unpack_from(body))
    return Unknown(sequence, frame_type)


def _hello(sequence: int, body: bytes) -> Hello | None:
    if not body:
        return None
    if body[0] != WIRE_MAJOR:
        # Only the place of the version is promised; the rest of the hello may mean anything.
        return Hello(sequence, body[0], 0, (0, 0, 0), "", 0.0, 0, 0, 0)
    if len(body) < _HELLO_BODY.size:
        return None
    major, minor, fw1, fw2, fw3, board, mhz, cells, bits, features = _HELLO_BODY.unpack_from(body)
    return Hello(
        sequence, major, minor, (fw1, fw2, fw3), f"{board:016x}", mhz / 1000, cells, bits, features
    )
