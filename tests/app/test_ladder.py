"""``swaytrainer ladder``: what comes next, and the coach's word kept and shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from swaytrainer.cli import main
from swaytrainer.store.home import Home
from swaytrainer.words import use_language
from tests.streams import WREN


def said(capsys: pytest.CaptureFixture[str], home: Path, *arguments: str) -> str:
    status = main(["--home", str(home), "ladder", *arguments])
    out, err = capsys.readouterr()
    assert status == (1 if err else 0)
    return out + err


def test_the_coach_is_heard_and_shown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "no vaulter yet" in said(capsys, tmp_path)
    home = Home(tmp_path)
    home.add_vaulter(WREN)
    before = said(capsys, tmp_path)
    assert "begin: Millpond: the shore." in before
    assert "Nothing yet this week" in before
    kept = said(capsys, tmp_path, "Wren", "--set", "millpond-islet", "--note", "calm on foam")
    assert "spotter" in kept
    [word] = home.coach_words("Wren")
    assert (word.level_id, word.note) == ("millpond-islet", "calm on foam")
    after = said(capsys, tmp_path, "Wren")
    assert "coach: Millpond: the islet (with a spotter)." in after
    assert "calm on foam" in after


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["Nobody"], "no vaulter 'Nobody'"),
        (["Wren", "--set", "millpond-shore"], "needs a vaulter, a level and a note"),
        (["Wren", "--note", "x"], "needs a vaulter, a level and a note"),
        (["--set", "millpond-shore", "--note", "x"], "needs a vaulter"),
        (["Wren", "--set", "no-such", "--note", "x"], "no level 'no-such'"),
        (["wren", "--set", "millpond-read", "--note", "x"], "most like it: millpond-reeds"),
        (["wren", "--set", "xyz", "--note", "x"], "'swaytrainer list --levels' names all"),
        (["Wren", "--set", "millpond-shore", "--note", " "], "no note"),
    ],
)
def test_half_a_word_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], why: str
) -> None:
    Home(tmp_path).add_vaulter(WREN)
    assert why in said(capsys, tmp_path, *arguments)
    assert Home(tmp_path).coach_words("Wren") == []


def test_a_name_in_other_capitals_and_the_list_of_levels(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Home(tmp_path).add_vaulter(WREN)
    assert said(capsys, tmp_path, "wren").startswith("Wren\n  begin: Millpond: the shore.")
    said(capsys, tmp_path, "WREN", "--set", "millpond-reeds", "--note", "try")
    assert [word.vaulter for word in Home(tmp_path).coach_words("Wren")] == ["Wren"]
    assert main(["--home", str(tmp_path), "list", "--levels"]) == 0
    levels = capsys.readouterr().out.splitlines()
    assert len(levels) == len(Home(tmp_path).levels()[0])
    assert "Millpond: the reeds" in next(x for x in levels if x.startswith("millpond-reeds "))


def test_the_ladder_and_its_errors_in_german(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Home(tmp_path).add_vaulter(WREN)
    try:
        assert main(["--home", str(tmp_path), "--language", "de", "ladder"]) == 0
        assert "anfangen: Teich" in capsys.readouterr().out
        assert main(["--home", str(tmp_path), "--language", "de", "ladder", "Nelle"]) == 1
        told = capsys.readouterr().err
        assert told.startswith("swaytrainer: Einen Voltigierer 'Nelle' gibt es nicht; es gibt Wren")
        assert "Trag einen am Schreibtisch ein" in told
    finally:
        use_language("en")
