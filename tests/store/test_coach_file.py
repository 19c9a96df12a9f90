"""The coach's words come back; without a note, or behind rubbish, none is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.coach_file import coach_words, with_word
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import CoachWord
from tests.streams import NOON

WORD = CoachWord("Wren", "millpond-reeds", NOON, "steady enough")


def test_words_are_kept_one_behind_the_other(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert home.coach_words("Wren") == []
    home.keep_word(WORD)
    path = home.keep_word(replace(WORD, vaulter="Juniper"))
    path.write_text("# ours\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    later = replace(WORD, level_id="millpond-shore", note='back "after" a cold ✓')
    home.keep_word(later)
    assert home.coach_words("Wren") == [WORD, later]
    assert path.read_text(encoding="utf-8").startswith("# ours\n")


@given(st.text(min_size=1, max_size=40))
def test_any_printable_note_comes_back(note: str) -> None:
    word = replace(WORD, note=note)
    if not note.strip() or not note.strip().isprintable():
        with pytest.raises(SwaytrainerError, match="note"):
            with_word("", word)
    else:
        assert coach_words(with_word("", word), "x") == [replace(WORD, note=note.strip())]


def test_a_word_without_a_zone_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="time zone"):
        with_word("", replace(WORD, made=datetime(2026, 5, 2)))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("word = 3", "must be a list"),
        ("word = [3]", "must hold"),
        ("[[word]]\nvaulter = 'A'", "must hold"),
        ("[[word]]\nvaulter='A'\nlevel='b'\nmade=3\nnote='c'", "text in quotes"),
        ("[[word]]\nvaulter='A'\nlevel='b'\nmade='May'\nnote='c'", "no time"),
        ("[[word]]\nvaulter='A'\nlevel='b'\nmade='2026-05-02T12:00:00'\nnote='c'", "time zone"),
        ("[[word]]\nvaulter='A'\nlevel='b'\nmade='2026-05-02T12:00:00Z'\nnote=' '", "no note"),
        ("[[word]", "not valid TOML"),
    ],
)
def test_a_wrong_file_is_told_and_left_alone(tmp_path: Path, text: str, why: str) -> None:
    (tmp_path / "coach.toml").write_text(text, encoding="utf-8")
    home = Home(tmp_path)
    with pytest.raises(SwaytrainerError, match=why):
        home.coach_words("Wren")
    with pytest.raises(SwaytrainerError, match=why):
        home.keep_word(WORD)
    assert (tmp_path / "coach.toml").read_text(encoding="utf-8") == text
