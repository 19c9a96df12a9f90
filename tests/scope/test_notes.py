"""Notes beside a recording: only added to, whatever is typed."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope.notes import LONGEST, Note, NoteFile, note_line, read_lines


@given(st.floats(-1e6, 1e6), st.text())
def test_a_note_comes_back(time_s: float, text: str) -> None:
    line = note_line(Note(time_s, text))
    (note,) = read_lines(line)
    assert line.count("\n") == 1
    assert note.time_s == pytest.approx(time_s, abs=6e-4)
    assert (
        note.text
        == " ".join("".join(c if c.isprintable() else " " for c in text).split())[:LONGEST].strip()
    )


@given(st.text())
def test_any_file_can_be_read(text: str) -> None:
    for note in read_lines(text):
        assert math.isfinite(note.time_s)


def test_notes_are_added_and_the_recording_stays(tmp_path: Path) -> None:
    recording = tmp_path / "it.sway"
    recording.write_bytes(b"as it was")
    file = NoteFile(recording)
    assert file.notes() == []
    file.add(Note(12.0, "sits down"))
    file.path.write_bytes(file.path.read_bytes() + b"3.0\tcut o")  # a power cut
    file.add(Note(5.0))
    assert file.notes() == [Note(3.0, "cut o"), Note(5.0), Note(12.0, "sits down")]
    assert recording.read_bytes() == b"as it was"
    assert file.path.read_text().startswith("12.000\tsits down\n")


def test_no_time_and_no_folder(tmp_path: Path) -> None:
    with pytest.raises(SwaytrainerError, match="nothing yet"):
        NoteFile(tmp_path / "it.sway").add(Note(math.nan))
    with pytest.raises(SwaytrainerError, match="Can't write"):
        NoteFile(tmp_path / "none" / "it.sway").add(Note(1.0))
