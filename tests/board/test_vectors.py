"""The host against ``hardware/vectors.csv``, which the firmware is tested against too."""

from __future__ import annotations

import csv
import io
import runpy
from pathlib import Path

import pytest

from swaytrainer.board import wire
from swaytrainer.simulate.board import BoardMake, SimulatedBoard

HARDWARE = Path(__file__).parents[2] / "hardware"
TEXT = (HARDWARE / "vectors.csv").read_text(encoding="utf-8")
ROWS = list(csv.DictReader(io.StringIO(TEXT)))
NAMES = [row["name"] for row in ROWS]


def hello_of(words: list[str]) -> wire.Hello:
    sequence, major = int(words[0]), int(words[1])
    if major != wire.WIRE_MAJOR:
        return wire.Hello(sequence, major, 0, (0, 0, 0), "", 0.0, 0, 0, 0)
    minor, a, b, c = (int(word) for word in words[2:6])
    mhz, cells, bits, features = (int(word) for word in words[7:])
    return wire.Hello(
        sequence, major, minor, (a, b, c), words[6], mhz / 1000, cells, bits, features
    )


def frame_of(meaning: str) -> wire.Frame:
    kind, *words = meaning.split()
    if kind == "hello":
        return hello_of(words)
    if kind == "sample":
        return wire.Sample._make(int(word) for word in words)
    if kind == "pair":
        sequence, time_us, left, a, b, c, d, right, e, f, g, h = (int(word) for word in words)
        return wire.PairSample(sequence, time_us, left, (a, b, c, d), right, (e, f, g, h))
    if kind == "acceleration":
        return wire.Acceleration._make(int(word) for word in words)
    assert kind == "unknown"
    return wire.Unknown(int(words[0]), int(words[1]))


def encode(frame: wire.Frame) -> bytes:
    if isinstance(frame, wire.Sample):
        return wire.encode_sample(frame)
    if isinstance(frame, wire.PairSample):
        return wire.encode_pair_sample(frame)
    if isinstance(frame, wire.Acceleration):
        return wire.encode_acceleration(frame)
    assert isinstance(frame, wire.Hello)
    return wire.encode_hello(frame)


def test_the_file_is_what_its_script_writes() -> None:
    out = io.StringIO()
    runpy.run_path(str(HARDWARE / "make_vectors.py"))["write"](out)
    assert out.getvalue() == TEXT


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
@pytest.mark.parametrize("step", [1, 1000], ids=["byte by byte", "at once"])
def test_the_host_reads_the_vectors(row: dict[str, str], step: int) -> None:
    line = bytes.fromhex(row["line"])
    decoder = wire.Decoder()
    assert list(decoder.feed(b"\0")) == []  # in step
    got = [f for at in range(0, len(line), step) for f in decoder.feed(line[at : at + step])]
    meanings = [m for m in row["host"].split(";") if m]
    assert got == [frame_of(m) for m in meanings if m != "corrupt"]
    assert decoder.counters.corrupt == meanings.count("corrupt")


@pytest.mark.parametrize(
    "row",
    [r for r in ROWS if r["encode"] == "1"],
    ids=[r["name"] for r in ROWS if r["encode"] == "1"],
)
def test_the_host_writes_the_vectors(row: dict[str, str]) -> None:
    assert encode(frame_of(row["host"])).hex() == row["line"]


def test_no_flipped_bit_of_a_vector_makes_another_frame() -> None:
    for row in ROWS:
        line = bytearray.fromhex(row["line"])
        if row["encode"] != "1":
            continue
        for bit in range(8 * (len(line) - 1)):
            line[bit // 8] ^= 1 << bit % 8
            decoder = wire.Decoder()
            assert list(decoder.feed(b"\0" + bytes(line))) == [], (row["name"], bit)
            line[bit // 8] ^= 1 << bit % 8


def test_the_ask_is_a_vector() -> None:
    row = ROWS[NAMES.index("an ask after an empty frame")]
    assert wire.encode_ask().hex() == row["line"]


def test_vectors_against_bytes_put_together_by_hand() -> None:
    """Stuffed by hand from the specification's tables, without a line of the script or the host."""

    def line(name: str) -> str:
        return ROWS[NAMES.index(name)]["line"]

    # 02 | 00 00 | 00 00 00 00 | 00 00 | 16 zeros: the type, then a 1 for each zero but the first.
    assert line("all zero but the type")[:-6] == "0202" + "01" * 23 + "03"
    # No zero inside: one block of 27 bytes, so it begins with 28.
    assert line("no byte is zero")[:-6] == "1c02" + "01" * 24
    # Little end first, two's complement: 02 | 01 00 | 01 00 00 00 | 01 00 | 4 × 00 00 80 ff
    assert line("everything at its smallest")[:-6] == (
        "030201 0201 01 01 0201 01 01 0380ff 01 0380ff 01 0380ff 01 0580ff".replace(" ", "")
    )
    # 03 | 18 00 | d0 12 13 00 | 00 00 | x 0 | y 0 | 4f 26 00 00
    assert line("acceleration at rest")[:-6] == (
        "030318 04d01213 0101 01010101 01010101 034f26 01 03".replace(" ", "")
    )
    # 01 | 00 00 | 01 00 | 00 01 00 | a1 and seven zeros | 80 38 01 00 | 04 18 | 00 00
    assert line("an ordinary hello")[:-6] == (
        "0201 01 0201 01 0201 02a1 010101010101 04803801 030418 01 03".replace(" ", "")
    )


def test_the_checksum_of_the_script_has_its_published_check_value() -> None:
    script = runpy.run_path(str(HARDWARE / "make_vectors.py"))
    assert script["crc16"](b"123456789") == bytes.fromhex("b129")


def test_the_vectors_are_of_all_kinds() -> None:
    hosts = " ".join(row["host"] for row in ROWS)
    for kind in ("sample", "hello", "unknown", "corrupt"):
        assert hosts.count(kind) >= 4, kind
    assert sum(int(row["board"]) for row in ROWS) >= 5


def test_the_simulator_writes_what_the_vectors_say() -> None:
    """The simulated board's frames, given a vector's values, are the vector's bytes."""
    board = SimulatedBoard(BoardMake(noise_counts=0.0), 1)
    counts = board.true_calibration()
    loads = [
        gain * (target - offset)
        for gain, offset, target in zip(
            counts.gain_n_per_count, counts.offset_counts, (4, 5, 6, 9_000_000), strict=True
        )
    ]
    for _ in range(3):
        board.hello()
    board.sample((0.0, 0.0, 0.0, 0.0))
    # Sequence 4, second sample, rear right beyond its range.
    row = ROWS[NAMES.index("rear right is saturated")]
    assert board.sample((loads[0], loads[1], loads[2], loads[3])).hex() == row["line"]
