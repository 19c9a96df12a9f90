"""The recording: what was fed comes back, after a kill at any byte and damage anywhere."""

import errno
import json
import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.board.arrivals import LinkBroken, Received, Silence
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.inputs import Asked, Input, Wish
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.store.recording import (
    FIRST_LINE,
    Recorder,
    _block,
    glance,
    head_block,
    input_block,
    outcome_block,
    parse_recording,
    read_recording,
)
from swaytrainer.store.trials import trials_of
from swaytrainer.training.vaulter import Vaulter
from tests.streams import NOON, board_of, one_visit, received, setup_for

SETUP = replace(setup_for(board_of()), tare_n=(0.5, -0.25, 0.0, 1.0), best_mark=7.25)
HEAD = head_block(SETUP, NOON.isoformat())

finite = st.floats(allow_nan=False, allow_infinity=False)
inputs = st.lists(
    st.one_of(
        st.builds(Received, finite, st.binary(max_size=80)),
        st.builds(Silence, finite, finite),
        st.builds(LinkBroken, finite, st.text(max_size=20).filter(lambda t: t.isprintable())),
        st.builds(Asked, finite, st.sampled_from(Wish)),
    ),
    max_size=10,
)


@given(inputs)
def test_what_was_fed_comes_back(items: list[Input]) -> None:
    recording = parse_recording(HEAD + b"".join(map(input_block, items)), "x")
    assert list(recording.inputs) == items
    assert recording.setup == SETUP
    assert recording.made == NOON.isoformat()
    assert recording.damage == ()


@given(inputs, st.data())
def test_a_kill_at_any_byte_keeps_every_finished_block(
    items: list[Input], data: st.DataObject
) -> None:
    blocks = [input_block(item) for item in items]
    whole = HEAD + b"".join(blocks)
    end = data.draw(st.integers(len(HEAD), len(whole)))
    recording = parse_recording(whole[:end], "x")
    kept, size = 0, len(HEAD)
    while kept < len(blocks) and size + len(blocks[kept]) <= end:
        size += len(blocks[kept])
        kept += 1
    assert list(recording.inputs) == items[:kept]
    assert bool(recording.damage) == (size != end)


@given(inputs.filter(bool), st.data())
def test_a_damaged_byte_costs_one_block_and_is_told(
    items: list[Input], data: st.DataObject
) -> None:
    blocks = [input_block(item) for item in items]
    hit = data.draw(st.integers(0, len(blocks) - 1))
    broken = bytearray(blocks[hit])
    broken[data.draw(st.integers(0, len(broken) - 1))] ^= data.draw(st.integers(1, 255))
    blocks[hit] = bytes(broken)
    recording = parse_recording(HEAD + b"".join(blocks), "x")
    assert list(recording.inputs) == items[:hit] + items[hit + 1 :]
    assert len(recording.damage) == 1


def test_every_cut_of_a_head_is_refused_with_a_sentence() -> None:
    for end in range(len(FIRST_LINE), len(HEAD), 37):
        with pytest.raises(SwaytrainerError, match="head"):
            parse_recording(HEAD[:end], "x.sway")
    for end in range(len(FIRST_LINE)):
        with pytest.raises(SwaytrainerError):
            parse_recording(HEAD[:end], "x.sway")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "not a swaytrainer recording"),
        (b"time_s,front_left_n\n", "not a swaytrainer recording"),
        (HEAD.replace(b"recording 1", b"recording 2"), "newer"),
        (HEAD.replace(b'"vaulter"', b'"vaultre"'), "head"),
    ],
)
def test_other_files_are_refused(data: bytes, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        parse_recording(data, "x.sway")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(SwaytrainerError, match="No such file"):
        read_recording(tmp_path / "none.sway")


def test_a_recording_replays_to_the_identical_outcome(tmp_path: Path) -> None:
    board = board_of()
    setup = setup_for(board)
    sitting = Sitting(setup)
    recorder = Recorder(tmp_path / "a.sway", setup, NOON.isoformat())
    for item in received(board, one_visit(), pieces=5):
        recorder.append(item)
        for event in sitting.feed(item):
            if event.outcome is not None:
                recorder.append_outcome(event.outcome)
    recorder.close()
    recording = read_recording(tmp_path / "a.sway")
    [trial] = trials_of(recording)
    assert trial.same_as_shown is True
    assert trial.outcome == sitting.view().outcome
    assert trial.time_s.shape == (480,)
    assert trial.loads_n.shape == (480, 4)
    # Another mark in the file is noticed.
    shown = dict(recording.shown[0])
    shown["mark"] = shown["mark"] - 1.0
    [unknown] = trials_of(replace(recording, shown=()))
    assert unknown.same_as_shown is None
    [other] = trials_of(replace(recording, shown=(shown,)))
    assert other.same_as_shown is False


def test_an_old_recording_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "a.sway").write_bytes(b"precious")
    with pytest.raises(SwaytrainerError, match="File exists"):
        Recorder(tmp_path / "a.sway", SETUP, "now")
    assert (tmp_path / "a.sway").read_bytes() == b"precious"


def test_flushed_within_a_quarter_of_a_second(tmp_path: Path) -> None:
    path = tmp_path / "a.sway"
    recorder = Recorder(path, SETUP, "now")
    assert path.read_bytes().startswith(FIRST_LINE)
    for n in range(400):
        recorder.append(Received(n / 80, b"frame"))
        stored = parse_recording(path.read_bytes(), "x").inputs
        newest = stored[-1].host_s if stored else 0.0
        assert n / 80 - newest <= 0.25 + 1e-9
    # A host clock set back must not stop the flushing.
    recorder.append(Received(-50.0, b"earlier"))
    assert len(parse_recording(path.read_bytes(), "x").inputs) == 401
    recorder.close()


def test_what_waits_is_flushed_although_nothing_new_comes(tmp_path: Path) -> None:
    path = tmp_path / "a.sway"
    recorder = Recorder(path, SETUP, "now")
    recorder.append(Received(1.0, b"first"))
    recorder.append(Received(1.1, b"second"))
    assert len(read_recording(path).inputs) == 1
    recorder.keep_up(1.2)
    assert len(read_recording(path).inputs) == 1
    recorder.keep_up(1.25)
    assert len(read_recording(path).inputs) == 2
    recorder.close()


def test_a_glance_sees_setup_and_outcomes_but_no_inputs(tmp_path: Path) -> None:
    board = board_of()
    sitting = Sitting(setup_for(board))
    for item in received(board, one_visit()):
        sitting.feed(item)
    outcome = sitting.view().outcome
    assert outcome is not None
    # A mark of an outcome inside other bytes is no outcome.
    fake = Received(1.0, b"\x5a\xb7O\x02\x00\x00\x00{}")
    path = tmp_path / "a.sway"
    path.write_bytes(HEAD + input_block(fake) + outcome_block(outcome) + outcome_block(outcome)[:9])
    seen = glance(path)
    assert seen.setup == SETUP
    assert seen.inputs == ()
    assert [shown["mark"] for shown in seen.shown] == [outcome.mark]


def test_a_full_disk_loses_nothing_while_the_program_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.sway"
    recorder = Recorder(path, SETUP, NOON.isoformat())
    real = os.write
    full = True

    def write(fd: int, data: bytes) -> int:
        if full and len(data) > 10:
            # Half fits: as a real full disk takes it.
            return real(fd, bytes(data[:7])) if len(data) % 2 else _no_space()
        return real(fd, data)

    def _no_space() -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", write)
    items = [Received(n * 0.3, bytes([n]) * (n + 3)) for n in range(20)]
    for item in items:
        recorder.append(item)
    assert recorder.trouble is not None
    assert "No space left" in recorder.trouble
    full = False
    recorder.append(Received(99.0, b"last"))
    assert recorder.trouble is None
    recorder.close()
    recording = read_recording(path)
    assert list(recording.inputs) == [*items, Received(99.0, b"last")]
    assert recording.damage == ()


def test_what_could_not_be_written_at_the_end_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorder = Recorder(tmp_path / "a.sway", SETUP, NOON.isoformat())

    def write(_fd: int, _data: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", write)
    recorder.append(Received(9.0, b"x"))
    with pytest.raises(SwaytrainerError, match="could not be written"):
        recorder.close()
    assert read_recording(tmp_path / "a.sway").inputs == ()


@settings(max_examples=20)
@given(st.binary(max_size=300))
def test_rubbish_after_the_head_is_passed_over(rubbish: bytes) -> None:
    block = input_block(Received(1.0, b"good"))
    recording = parse_recording(HEAD + rubbish + block, "x")
    assert recording.inputs[-1] == Received(1.0, b"good")


def test_an_outcome_is_kept_as_it_was_shown() -> None:
    board = board_of()
    sitting = Sitting(setup_for(board))
    for item in received(board, one_visit()):
        sitting.feed(item)
    outcome = sitting.view().outcome
    assert outcome is not None
    recording = parse_recording(HEAD + outcome_block(outcome), "x")
    assert recording.shown[0]["mark"] == outcome.mark
    assert recording.inputs == ()


def test_closing_twice_is_harmless_and_an_ailing_disk_is_trouble_not_a_crash(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorder = Recorder(tmp_path / "a.sway", SETUP, NOON.isoformat())
    recorder.append(Received(1.0, b"x"))

    def fsync(_fd: int) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "fsync", fsync)
    assert not recorder.flush(to_the_disk=True)
    assert recorder.trouble is not None
    assert "Input/output error" in recorder.trouble
    with pytest.raises(SwaytrainerError):
        recorder.close()
    recorder.close()
    assert len(read_recording(tmp_path / "a.sway").inputs) == 1


HEAD_FIELDS = json.loads(HEAD[len(FIRST_LINE) + 7 : -4])


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("calibration", 5),
        ("level", None),
        ("vaulter", []),
        ("vaulter", {**HEAD_FIELDS["vaulter"], "foot_length_mm": "24"}),
        ("board", {"board_id": "x", "rate_hz": "80"}),
        ("board", {"board_id": "x", "rate_hz": float("inf")}),
        ("tare_n", [1.0, 2.0]),
        ("best_mark", "7"),
    ],
)
def test_a_head_with_wrong_types_is_refused(field: str, value: object) -> None:
    head = json.dumps({**HEAD_FIELDS, field: value}).encode()
    with pytest.raises(SwaytrainerError, match="head"):
        parse_recording(FIRST_LINE + _block(b"H", head), "x")


def test_an_outcome_of_another_kind_is_damage_and_no_more() -> None:
    odd = [b"[1]", b"{", b"[" * 5000, b"7"]
    recording = parse_recording(HEAD + b"".join(_block(b"O", payload) for payload in odd), "x")
    assert recording.shown == ()
    assert len(recording.damage) == len(odd)


def test_a_time_that_is_none_is_damage() -> None:
    recording = parse_recording(HEAD + input_block(Received(float("nan"), b"x")), "x")
    assert recording.inputs == ()
    assert len(recording.damage) == 1


def test_false_marks_of_no_known_kind_or_length_are_not_even_summed() -> None:
    import zlib

    false = b"\x5a\xb7Q\x10\x00\x00\x00" * 2000 + b"\x5a\xb7B\xff\xff\x00\x00" * 2000
    summed = 0
    real = zlib.crc32

    def crc32(data: bytes, start: int = 0) -> int:
        nonlocal summed
        summed += len(data)
        return real(data, start)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(zlib, "crc32", crc32)
        recording = parse_recording(HEAD + false, "x")
    assert len(recording.damage) == 1
    assert summed < 2 * len(HEAD)


def test_year_of_birth_group_and_caution_stay_out_of_a_recording() -> None:
    told = Vaulter("Wren", born=2014, group="Red caps", caution="old sprain")
    board = board_of()
    written = head_block(replace(setup_for(board), vaulter=told), "2026-05-02T12:00:00+00:00")
    assert b"Wren" in written
    for private in (b"born", b"2014", b"Red caps", b"sprain"):
        assert private not in written
