"""Writes ``vectors.csv``: lines of the wire and what they mean, good and bad.

    python hardware/make_vectors.py > hardware/vectors.csv

Firmware, host and simulator are tested against that file. So that it is a third voice and not an
echo of one of them, the frames are built here from the tables of ``WIRE.md``, with a checksum and a
byte stuffing of their own, written for plainness. The tests hold the file against bytes built by
hand.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from typing import NamedTuple, TextIO


class Vector(NamedTuple):
    """One row.

    Attributes:
        name: what it shows.
        line: the bytes on the line, hexadecimal. A listener is in step before them.
        host: the frames that a host of version 1.1 makes of them, parted by ``;``:
            ``sample sequence time_us status count count count count``,
            ``pair sequence time_us status count count count count status count count count
            count``, ``acceleration sequence time_us status x y z``,
            ``hello sequence major minor f1 f2 f3 id rate_mhz cells bits features`` (of a larger
            major version: ``hello sequence major``), ``unknown sequence type``, or ``corrupt``
            for each piece that it counts as damaged.
        board: how many asks a board of version 1.1 hears in them.
        encode: 1 if an encoder given the meaning must write exactly these bytes.
    """

    name: str
    line: bytes
    host: str
    board: int = 0
    encode: int = 0


def crc16(data: bytes) -> bytes:
    """CRC-16/IBM-3740, as its definition says: polynomial division, bit by bit."""
    register = 0xFFFF
    for bit in "".join(f"{byte:08b}" for byte in data):
        carry = (register >> 15) ^ int(bit)
        register = (register << 1) & 0xFFFF
        if carry:
            register ^= 0x1021
    return register.to_bytes(2, "little")


def stuff(data: bytes) -> bytes:
    """COBS with its closing zero: each zero becomes the distance to the next. Short data only."""
    assert len(data) < 254
    return b"".join(bytes([len(run) + 1]) + run for run in data.split(b"\0")) + b"\0"


def frame(frame_type: int, sequence: int, body: bytes = b"") -> bytes:
    """A frame as it goes over the line."""
    payload = bytes([frame_type]) + sequence.to_bytes(2, "little") + body
    return stuff(payload + crc16(payload))


def sample_body(time_us: int, status: int, counts: tuple[int, int, int, int]) -> bytes:
    """As in the specification's table."""
    body = time_us.to_bytes(4, "little") + status.to_bytes(2, "little")
    return body + b"".join(count.to_bytes(4, "little", signed=True) for count in counts)


def pair_body(time_us: int, plates: tuple[tuple[int, tuple[int, int, int, int]], ...]) -> bytes:
    """As in the specification's table: the time, then status and counts of each plate."""
    body = time_us.to_bytes(4, "little")
    for status, counts in plates:
        body += status.to_bytes(2, "little")
        body += b"".join(count.to_bytes(4, "little", signed=True) for count in counts)
    return body


def acceleration_body(time_us: int, status: int, axes: tuple[int, int, int]) -> bytes:
    """As in the specification's table."""
    body = time_us.to_bytes(4, "little") + status.to_bytes(2, "little")
    return body + b"".join(axis.to_bytes(4, "little", signed=True) for axis in axes)


class HelloFields(NamedTuple):
    """A hello's body; defaults are an ordinary board's."""

    major: int = 1
    minor: int = 0
    firmware: tuple[int, int, int] = (0, 1, 0)
    board_id: int = 0xA1
    rate_mhz: int = 80_000
    cells: int = 4
    bits: int = 24
    features: int = 0

    def body(self) -> bytes:
        """As in the specification's table."""
        return (
            bytes([self.major, self.minor, *self.firmware])
            + self.board_id.to_bytes(8, "little")
            + self.rate_mhz.to_bytes(4, "little")
            + bytes([self.cells, self.bits])
            + self.features.to_bytes(2, "little")
        )

    def meaning(self, sequence: int) -> str:
        """As in the file's column ``host``."""
        a, b, c = self.firmware
        return (
            f"hello {sequence} {self.major} {self.minor} {a} {b} {c} {self.board_id:016x}"
            f" {self.rate_mhz} {self.cells} {self.bits} {self.features}"
        )


TOP, BOTTOM = 2**23 - 1, -(2**23)
ORDINARY = (12_345, -67_890, 1_000_000, -1)


def _good() -> Iterator[Vector]:
    for name, sequence, time_us, status, counts in (
        ("an ordinary sample", 258, 1_000_000, 0, ORDINARY),
        ("all zero but the type", 0, 0, 0, (0, 0, 0, 0)),
        ("everything at its largest", 65_535, 2**32 - 1, 0xFFFF, (TOP,) * 4),
        ("everything at its smallest", 1, 1, 1, (BOTTOM,) * 4),
        ("32 bits of a count", 2, 2, 0, (2**31 - 1, -(2**31), 0, 0)),
        ("no byte is zero", 0x0101, 0x01010101, 0x0101, (0x01010101,) * 4),
        ("front left is missing", 3, 12_500, 0x0001, (0, 5, 6, 7)),
        ("rear right is saturated", 4, 25_000, 0x0080, (4, 5, 6, TOP)),
        ("front right is stuck", 5, 37_500, 0x0200, (4, 5, 6, 7)),
        ("a line is held low", 6, 50_000, 0x0404, (4, 5, 0, 7)),
        ("mixed", 7, 62_500, 0x1000, ORDINARY),
        ("supply, rate and self-test", 8, 75_000, 0xE000, ORDINARY),
    ):
        meaning = " ".join(str(v) for v in ("sample", sequence, time_us, status, *counts))
        line = frame(0x02, sequence, sample_body(time_us, status, counts))
        yield Vector(name, line, meaning, 0, 1)
    for name, sequence, hello in (
        ("an ordinary hello", 0, HelloFields()),
        ("a hello's largest values", 65_535, HelloFields(1, 0, (255,) * 3, 2**64 - 1, 10**6)),
        ("every digit of the id has its place", 9, HelloFields(board_id=0x0123456789ABCDEF)),
        ("accelerometer and one clock", 10, HelloFields(features=3)),
        ("two plates", 21, HelloFields(minor=1, cells=8)),
    ):
        yield Vector(name, frame(0x01, sequence, hello.body()), hello.meaning(sequence), 0, 1)
    yield from _good_since_1_1()
    yield Vector("an ask", frame(0x81, 0), "unknown 0 129", 1)
    yield Vector("an ask after an empty frame", b"\0" + frame(0x81, 0), "unknown 0 129", 1)
    yield Vector("two asks", frame(0x81, 0) * 2, "unknown 0 129;unknown 0 129", 2)
    yield Vector("nothing", b"\0\0\0", "")


def _good_since_1_1() -> Iterator[Vector]:
    for name, sequence, time_us, plates in (
        ("two plates", 22, 1_000_000, ((0, ORDINARY), (0, (5, -6, 7, -8)))),
        ("two plates, all zero but the type", 0, 0, ((0, (0,) * 4), (0, (0,) * 4))),
        ("two plates at their ends", 65_535, 2**32 - 1, ((0xFFFF, (TOP,) * 4), (1, (BOTTOM,) * 4))),
        ("two plates, the right one lacks rear left", 23, 5, ((0, ORDINARY), (4, (1, 2, 0, 4)))),
    ):
        flat = " ".join(f"{status} {a} {b} {c} {d}" for status, (a, b, c, d) in plates)
        line = frame(0x04, sequence, pair_body(time_us, plates))
        yield Vector(name, line, f"pair {sequence} {time_us} {flat}", 0, 1)
    for name, sequence, time_us, status, axes in (
        ("acceleration at rest", 24, 1_250_000, 0, (0, 0, 9_807)),
        ("acceleration at its ends", 65_535, 2**32 - 1, 0xFFFF, (2**31 - 1, -(2**31), -1)),
        ("no accelerometer answers", 25, 7, 1, (0, 0, 0)),
    ):
        x, y, z = axes
        line = frame(0x03, sequence, acceleration_body(time_us, status, axes))
        meaning = f"acceleration {sequence} {time_us} {status} {x} {y} {z}"
        yield Vector(name, line, meaning, 0, 1)
    longer = acceleration_body(8, 0, (1, 2, 3)) + b"new"
    yield Vector(
        "an acceleration of 1.x with a longer body",
        frame(0x03, 26, longer),
        "acceleration 26 8 0 1 2 3",
    )
    yield Vector("an acceleration too short by a byte", frame(0x03, 14, bytes(17)), "corrupt")
    yield Vector("two plates too short by a byte", frame(0x04, 27, bytes(39)), "corrupt")


def _of_later_versions() -> Iterator[Vector]:
    body = sample_body(7, 0, ORDINARY)
    means = " ".join(str(v) for v in ("sample", 11, 7, 0, *ORDINARY))
    yield Vector("a sample of 1.x with a longer body", frame(0x02, 11, body + b"new"), means)
    later = HelloFields(minor=4)
    yield Vector(
        "a hello of 1.4 with a longer body",
        frame(0x01, 12, later.body() + bytes(5)),
        later.meaning(12),
    )
    yield Vector("a hello of 2.0", frame(0x01, 13, b"\x02\x00?"), "hello 13 2")
    yield Vector("an unknown type", frame(0x7F, 15, bytes(8)), "unknown 15 127")
    yield Vector("an unknown type as long as can be", frame(0x40, 16, bytes(59)), "unknown 16 64")
    yield Vector("the same, no zero", frame(0x40, 0x0101, b"\x55" * 59), "unknown 257 64")
    yield Vector("an ask with a body", frame(0x81, 0, b"\0later"), "unknown 0 129", 1)
    yield Vector("an ask as long as can be", frame(0x81, 0, bytes(59)), "unknown 0 129", 1)


def _bad() -> Iterator[Vector]:
    good = frame(0x02, 17, sample_body(1_000_000, 0, ORDINARY))
    ask = frame(0x81, 0)
    means = " ".join(str(v) for v in ("sample", 17, 1_000_000, 0, *ORDINARY))
    for at in (1, 3, 12, len(good) - 2):
        flipped = bytearray(good)
        flipped[at] ^= 0x10
        if flipped[at]:
            yield Vector(f"a bit of byte {at} flipped", bytes(flipped), "corrupt")
    burst = bytearray(good)
    burst[10] ^= 0xFF
    burst[11] ^= 0xFF
    yield Vector("a burst over two bytes", bytes(burst), "corrupt")
    for bit in range(8):
        flipped = bytearray(ask)
        flipped[2] ^= 1 << bit
        if flipped[2]:
            yield Vector(f"an ask with bit {bit} of its type flipped", bytes(flipped), "corrupt")
    yield Vector("cut, then whole", good[:11] + b"\0" + good, f"corrupt;{means}")
    yield Vector("cut without a zero: both are lost", good[:11] + good, "corrupt")
    yield Vector("the last byte is missing", good[:-2] + b"\0", "corrupt")
    yield Vector("the closing zero is lost: both are lost", good[:-1] + good, "corrupt")
    yield Vector("a byte came twice", good[:9] + good[8:], "corrupt")
    yield Vector("a cut ask, then an ask", ask[:3] + b"\0" + ask, "corrupt;unknown 0 129", 1)
    yield Vector("a distance beyond the end", b"\x05\x81\x01\0", "corrupt")
    yield Vector("a lone byte", b"\x01\0", "corrupt")
    yield Vector("shorter than a head and a checksum", stuff(crc16(b"")), "corrupt")
    yield Vector("a sample too short by a byte", frame(0x02, 18, bytes(21)), "corrupt")
    yield Vector("a sample without a body", frame(0x02, 18), "corrupt")
    yield Vector(
        "a hello too short by a byte", frame(0x01, 18, HelloFields().body()[:-1]), "corrupt"
    )
    yield Vector("a hello without a body", frame(0x01, 18), "corrupt")
    yield Vector("a byte too long", frame(0x40, 19, bytes(60)), "corrupt")
    yield Vector("an ask a byte too long", frame(0x81, 0, bytes(60)), "corrupt")
    yield Vector(
        "much too long, then an ask", b"\x55" * 200 + b"\0" + ask, "corrupt;unknown 0 129", 1
    )
    wrong_order = bytes([0x02]) + (20).to_bytes(2, "little") + sample_body(1, 0, ORDINARY)
    yield Vector(
        "the checksum's bytes the wrong way round",
        stuff(wrong_order + crc16(wrong_order)[::-1]),
        "corrupt",
    )


def vectors() -> list[Vector]:
    """All rows, in the file's order."""
    return [*_good(), *_of_later_versions(), *_bad()]


def write(out: TextIO) -> None:
    """The file's text."""
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(Vector._fields)
    writer.writerows(v._replace(line=v.line.hex()) for v in vectors())  # type: ignore[arg-type]


if __name__ == "__main__":
    write(sys.stdout)
