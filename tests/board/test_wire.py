"""The wire against its specification (hardware/WIRE.md), the CRC's published check value, and
streams that are split, cut, flipped and joined."""

import binascii
import struct

import pytest
from cobs import cobs
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.board import wire

samples = st.builds(
    wire.Sample,
    st.integers(0, 0xFFFF),
    st.integers(0, 0xFFFFFFFF),
    st.integers(0, 0xFFFF),
    *[st.integers(-(2**31), 2**31 - 1)] * 4,
)
hellos = st.builds(
    wire.Hello,
    sequence=st.integers(0, 0xFFFF),
    wire_major=st.just(1),
    wire_minor=st.integers(0, 255),
    firmware=st.tuples(*[st.integers(0, 255)] * 3),
    board_id=st.integers(0, 2**64 - 1).map(lambda n: f"{n:016x}"),
    rate_hz=st.integers(1, 4_000_000).map(lambda mhz: mhz / 1000),
    cells=st.integers(0, 255),
    count_bits=st.integers(0, 255),
    features=st.integers(0, 0xFFFF),
)
frames = st.lists(st.one_of(samples, hellos), max_size=12)


def encode(frame: wire.Frame) -> bytes:
    if isinstance(frame, wire.Sample):
        return wire.encode_sample(frame)
    assert isinstance(frame, wire.Hello)
    return wire.encode_hello(frame)


def decode(data: bytes, decoder: wire.Decoder | None = None) -> list[wire.Frame]:
    return list((decoder or wire.Decoder()).feed(data))


def test_crc_has_its_published_check_value() -> None:
    # CRC-16/IBM-3740 in the public catalogue of CRC algorithms: check 0x29B1 over "123456789".
    payload = b"123456789"
    frame = wire.encode_frame(payload[0], int.from_bytes(payload[1:3], "little"), payload[3:])
    decoded = cobs.decode(frame[:-1])
    assert decoded[:-2] == payload
    assert int.from_bytes(decoded[-2:], "little") == 0x29B1


def test_sample_vector_from_the_specification() -> None:
    # Built from the tables of the specification by hand, not by the encoder.
    body = struct.pack("<BHIHiiii", 0x02, 0x0102, 1_000_000, 0x0020, -1, 2, 300_000, -8_388_608)
    raw = body + struct.pack("<H", binascii.crc_hqx(body, 0xFFFF))
    line = cobs.encode(raw) + b"\0"
    assert len(line) == 29
    expected = wire.Sample(0x0102, 1_000_000, 0x0020, -1, 2, 300_000, -8_388_608)
    assert decode(line) == [expected]
    assert wire.encode_sample(expected) == line


def test_ask_vector() -> None:
    assert wire.encode_ask().hex(" ") == "00 02 81 01 03 f6 c0 00"


@given(frames, st.lists(st.integers(0, 400), max_size=8))
def test_pieces_do_not_matter(sent: list[wire.Frame], cuts: list[int]) -> None:
    data = b"".join(encode(frame) for frame in sent)
    decoder = wire.Decoder()
    got = []
    begin = 0
    for cut in [*sorted(cuts), len(data)]:
        got += decode(data[begin:cut], decoder)
        begin = max(begin, min(cut, len(data)))
    assert got == sent
    assert decoder.counters == wire.Counters(good=len(sent))


@given(frames.filter(bool), st.data())
def test_a_flipped_bit_loses_at_most_the_frames_it_touches(
    sent: list[wire.Frame], data: st.DataObject
) -> None:
    lines = [encode(frame) for frame in sent]
    hit = data.draw(st.integers(0, len(lines) - 1))
    broken = bytearray(lines[hit])
    broken[data.draw(st.integers(0, len(broken) - 1))] ^= 1 << data.draw(st.integers(0, 7))
    line = b"".join([b"\0", *lines[:hit], bytes(broken), *lines[hit + 1 :]])
    decoder = wire.Decoder()
    got = decode(line, decoder)
    # A flip that destroys the closing zero takes the next frame with it; no frame is made up.
    assert got[:hit] == sent[:hit]
    assert got[hit:] in (sent[hit + 1 :], sent[hit + 2 :])
    # Nothing after it closes the frame whose zero was hit last of all.
    assert decoder.counters.corrupt >= (0 if broken[-1] else 1)


@given(st.binary(max_size=2000), frames)
def test_rubbish_before_frames_costs_at_most_the_first(
    rubbish: bytes, sent: list[wire.Frame]
) -> None:
    decoder = wire.Decoder()
    got = decode(rubbish + b"\0" + b"".join(encode(frame) for frame in sent), decoder)
    assert got[len(got) - len(sent) :] == sent


@given(st.binary(max_size=5000))
def test_memory_is_bounded_and_nothing_is_raised(rubbish: bytes) -> None:
    decoder = wire.Decoder()
    for i in range(0, len(rubbish), 7):
        decode(rubbish[i : i + 7], decoder)
        assert len(decoder._rest) < 100


def test_a_stream_without_zeros_is_one_fault_not_a_leak() -> None:
    decoder = wire.Decoder()
    decode(b"\0" + b"x" * 100_000, decoder)
    sample = wire.Sample(1, 2, 0, 3, 4, 5, 6)
    assert decode(b"\0" + wire.encode_sample(sample), decoder) == [sample]
    assert decoder.counters.corrupt == 1


def test_joining_in_the_middle_is_no_fault() -> None:
    sample = wire.Sample(9, 1, 0, 1, 1, 1, 1)
    line = wire.encode_sample(sample)
    decoder = wire.Decoder()
    assert decode(line[5:] + line, decoder) == [sample]
    assert (decoder.counters.partial, decoder.counters.corrupt) == (1, 0)


def test_after_a_restart_half_a_frame_is_forgotten() -> None:
    sample = wire.Sample(9, 1, 0, 1, 1, 1, 1)
    line = wire.encode_sample(sample)
    decoder = wire.Decoder()
    decode(line + line[:7], decoder)
    decoder.restart()
    assert decode(line, decoder) == [sample]
    assert decoder.counters.corrupt == 0


def test_unknown_types_are_skipped_and_counted() -> None:
    decoder = wire.Decoder()
    sample = wire.Sample(2, 1, 0, 1, 1, 1, 1)
    line = wire.encode_frame(0x05, 1, b"\1\2\3\4") + wire.encode_sample(sample)
    assert decode(line, decoder) == [wire.Unknown(1, 0x05), sample]
    assert (decoder.counters.unknown, decoder.counters.good) == (1, 1)


@pytest.mark.parametrize("frame_type", [wire.SAMPLE, wire.HELLO])
def test_a_longer_body_of_a_later_minor_version_is_read(frame_type: int) -> None:
    frame: wire.Frame = (
        wire.Sample(5, 6, 7, 8, 9, 10, 11)
        if frame_type == wire.SAMPLE
        else wire.Hello(5, 1, 4, (0, 0, 1), "00000000000000aa", 80.0, 4, 24, 0)
    )
    body = cobs.decode(encode(frame)[:-1])[3:-2]
    assert decode(wire.encode_frame(frame_type, 5, body + b"new")) == [frame]
    assert decode(wire.encode_frame(frame_type, 5, body[:-1])) == []


def test_a_hello_of_a_larger_version_still_tells_its_version() -> None:
    [hello] = decode(wire.encode_frame(wire.HELLO, 0, b"\x02whatever comes"))
    assert isinstance(hello, wire.Hello)
    assert hello.wire_major == 2


def test_a_frame_too_long_for_the_wire_is_refused() -> None:
    wire.encode_frame(4, 0, bytes(59))
    with pytest.raises(ValueError, match="64"):
        wire.encode_frame(4, 0, bytes(60))


def test_the_longest_frame_is_read() -> None:
    assert decode(wire.encode_frame(5, 0, bytes(range(1, 60)))) == [wire.Unknown(0, 5)]
