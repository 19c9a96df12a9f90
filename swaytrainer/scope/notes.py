"""A coach's marks and notes on a recording: a text file beside it, only ever added to.

One line each: the board's time in seconds, a tab, and the text::

    12.350\tknees stiff in the second stride

What is no such line (a remark of somebody's own hand) is left alone and not shown.
"""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import Name, say

SUFFIX: Final = ".notes.txt"
LONGEST: Final = 400


class Note(NamedTuple):
    """A remark at a board time (s); ``text`` is one line, and empty for a mere mark."""

    time_s: float
    text: str = ""


def notes_path(recording: Path) -> Path:
    """Where a recording's notes are kept.

    >>> notes_path(Path("sessions/2-romy-calm.sway")).name
    '2-romy-calm.notes.txt'
    """
    return recording.with_name(recording.stem + SUFFIX)


def note_line(note: Note) -> str:
    r"""A note as its line; whatever would break the line becomes a space.

    >>> note_line(Note(12.35, "knees\nstiff"))
    '12.350\tknees stiff\n'

    Raises:
        SwaytrainerError: there is no time to put it at.
    """
    if not math.isfinite(note.time_s):
        raise SwaytrainerError(
            say("There is nothing yet to put a note at."),
            say("Wait until the recording has begun."),
        )
    text = "".join(c if c.isprintable() else " " for c in note.text)
    return f"{note.time_s:.3f}\t{' '.join(text.split())[:LONGEST]}\n"


def read_lines(text: str) -> list[Note]:
    r"""All notes in a file's text, in the order of their times.

    >>> read_lines("3.000\tsits down\nmy own line\n1.000\t\n")
    [Note(time_s=1.0, text=''), Note(time_s=3.0, text='sits down')]
    """
    notes = []
    for line in text.split("\n"):
        stamp, tab, words = line.partition("\t")
        try:
            time_s = float(stamp)
        except ValueError:
            continue
        if tab and math.isfinite(time_s):
            notes.append(Note(time_s, words.strip()))
    return sorted(notes, key=lambda note: note.time_s)


class NoteFile:
    """The notes beside a recording; the file is made with the first one.

    Args:
        recording: the recording's path; it is never written to.
    """

    def __init__(self, recording: Path) -> None:
        self.path = notes_path(recording)

    def notes(self) -> list[Note]:
        """All there are.

        Raises:
            SwaytrainerError: the file can't be read.
        """
        try:
            return read_lines(self.path.read_text(encoding="utf-8", errors="replace"))
        except FileNotFoundError:
            return []
        except OSError as error:
            raise SwaytrainerError(
                say("Can't read {file}: {why}.", file=Name(self.path), why=Name(error.strerror)),
                say("Check the file."),
            ) from None

    def add(self, note: Note) -> Note:
        """Append one, and have it on the disk; as it was kept.

        Raises:
            SwaytrainerError: it has no time, or the file can't be written.
        """
        line = note_line(note)
        try:
            with self.path.open("ab+") as file:
                # After a power cut the last line may be without its end.
                if file.tell() and not _ends_a_line(file.fileno(), file.tell()):
                    line = "\n" + line
                file.write(line.encode())
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            raise SwaytrainerError(
                say("Can't write {file}: {why}.", file=Name(self.path), why=Name(error.strerror)),
                say("Free some space, or open a copy of the recording in a folder of your own."),
            ) from None
        return read_lines(line)[0]


def _ends_a_line(fd: int, size: int) -> bool:
    os.lseek(fd, size - 1, os.SEEK_SET)
    return os.read(fd, 1) == b"\n"
