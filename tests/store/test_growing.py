"""A recording read while it grows, against the same file read whole."""

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.growing import GrowingRecording, Tail, newest_growing
from swaytrainer.store.recording import FIRST_LINE, parse_recording

SESSIONS = Path(__file__).parents[2] / "sessions"
WHOLE = (SESSIONS / "2-romy-calm.sway").read_bytes()
#: Head and some seconds: short enough to cut in many ways.
PART = WHOLE[:12_000]


def fed(data: bytes, cuts: list[int]) -> GrowingRecording:
    growing = GrowingRecording("it")
    inputs = []
    at = 0
    for end in [*sorted(cuts), len(data)]:
        inputs += growing.take(data[at:end])
        at = end
    growing.inputs = inputs  # type: ignore[attr-defined]
    return growing


@settings(max_examples=40)
@given(st.lists(st.integers(0, len(PART)), max_size=12))
def test_in_pieces_as_whole(cuts: list[int]) -> None:
    whole = parse_recording(PART, "it")
    growing = fed(PART, cuts)
    assert tuple(growing.inputs) == whole.inputs  # type: ignore[attr-defined]
    assert growing.setup == whole.setup
    assert not growing.damage  # the last block is half written, and that is no damage
    assert growing.waiting == (len(PART) - PART.rfind(b"\x5a\xb7B") if whole.damage else 0)


def test_the_half_written_block_is_taken_when_its_rest_comes() -> None:
    growing = GrowingRecording("it")
    before = growing.take(PART)
    after = growing.take(WHOLE[len(PART) :])
    assert (*before, *after) == parse_recording(WHOLE, "it").inputs
    assert len(growing.shown) == 1
    assert growing.waiting == 0


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.integers(5000, len(PART) - 1), st.integers(0, 255)), max_size=6),
    st.lists(st.integers(0, len(PART)), max_size=6),
)
def test_damage_is_passed_over_as_in_a_whole_read(
    hits: list[tuple[int, int]], cuts: list[int]
) -> None:
    data = bytearray(PART)
    for at, value in hits:
        data[at] = value
    whole = parse_recording(bytes(data), "it")
    growing = fed(bytes(data), cuts)
    assert tuple(growing.inputs) == whole.inputs  # type: ignore[attr-defined]
    assert growing.setup == whole.setup


@pytest.mark.parametrize(
    "data", [b"something else\n", FIRST_LINE + b"no block", b"swaytrainer recording 9\n"]
)
def test_what_is_no_recording_is_refused(data: bytes) -> None:
    with pytest.raises(SwaytrainerError):
        GrowingRecording("it").take(data)


def test_a_file_that_grows(tmp_path: Path) -> None:
    path = tmp_path / "it.sway"
    path.write_bytes(b"")
    tail = Tail(path)
    assert tail.poll() == []
    inputs = []
    for at in range(0, len(WHOLE), 4000):
        with path.open("ab") as file:
            file.write(WHOLE[at : at + 4000])
        inputs += tail.poll()
    assert tail.behind == 0
    assert tuple(inputs) == parse_recording(WHOLE, "it").inputs
    assert path.read_bytes() == WHOLE


def test_a_file_that_is_another_one_or_none(tmp_path: Path) -> None:
    path = tmp_path / "it.sway"
    path.write_bytes(WHOLE)
    tail = Tail(path)
    tail.poll()
    path.write_bytes(WHOLE[:100])
    with pytest.raises(SwaytrainerError, match="shorter"):
        tail.poll()
    with pytest.raises(SwaytrainerError, match="Can't read"):
        Tail(tmp_path / "none.sway").poll()


def test_the_newest_is_the_one_written_last(tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("a", "b", "c")]
    for n, path in enumerate(paths):
        path.write_bytes(b"")
        os.utime(path, (100.0 + (n == 1), 100.0 + (n == 1)))
    assert newest_growing([*paths, tmp_path / "gone"]) == paths[1]
    assert newest_growing([]) is None
