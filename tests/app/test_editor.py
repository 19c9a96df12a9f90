"""What the level editor asks of the squad's record."""

import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from swaytrainer.app import editor
from swaytrainer.app.editor import squad_records, try_for_squad
from swaytrainer.scope.tryout import try_level
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import level_text, read_level, shipped_levels
from swaytrainer.training.vaulter import Vaulter
from tests.index.made import MONDAY, outcome, sitting

LEVELS = {level.id: level for level in shipped_levels()}
SHORE, OPEN, PICNIC = (
    LEVELS[name] for name in ("millpond-shore", "millpond-open-water", "picnic-meadow")
)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    made = Home(tmp_path)
    for name in ("Wren", "Tarn", "Juno", "Pim"):
        made.add_vaulter(Vaulter(name))
    # Wren: another level before; of seven marks on the last one the newest five; one without.
    sitting(tmp_path, "Wren", 1, [outcome(1, 2.0)], OPEN)
    marks = (1.0, 1.0, 5.0, 6.0, 7.0, 8.0, 9.0)
    sitting(tmp_path, "Wren", 5, [outcome(n, m) for n, m in enumerate(marks, start=1)], SHORE)
    sitting(tmp_path, "Wren", 6, [outcome(1, None)], SHORE)
    # Tarn: later, another game after it.
    sitting(tmp_path, "Tarn", 7, [outcome(1, 4.0)], OPEN)
    sitting(tmp_path, "Tarn", 8, [outcome(1, 9.0)], PICNIC)
    # Juno: too long ago. Somebody who is no longer in the list.
    sitting(tmp_path, "Juno", -60, [outcome(1, 4.0)], OPEN)
    sitting(tmp_path, "Gone", 7, [outcome(1, 4.0)], OPEN)
    return made


def test_whoever_played_last_comes_first_with_the_newest_marks(home: Home) -> None:
    now = MONDAY + timedelta(days=10)
    found = squad_records(home, "millpond", now)
    assert [(record.level.id, record.mark) for record in found] == [
        ("millpond-open-water", 4.0),
        ("millpond-shore", 7.0),
    ]
    assert [record.mark for record in squad_records(home, "picnic", now)] == [9.0]
    assert squad_records(home, "well", now) == []
    assert [record.marks for record in squad_records(home, "millpond", now)] == [1, 5]


def test_an_edited_level_does_not_begin_the_record_anew(tmp_path: Path) -> None:
    """Its texts and pass mark make no other task; its seconds do, once there are enough marks."""
    home = Home(tmp_path)
    home.add_vaulter(Vaulter("Wren"))
    now = MONDAY + timedelta(days=30)

    def played(day: int, level: Level, *marks: float) -> tuple[Level, float, int]:
        sitting(tmp_path, "Wren", day, [outcome(n, m) for n, m in enumerate(marks, start=1)], level)
        [record] = squad_records(home, "millpond", now)
        return record

    played(1, SHORE, 4.0, 5.0)
    words = replace(SHORE, id="our-shore", title="Our shore", pass_mark=9.0, trials=1)
    assert played(2, words, 9.0) == (words, 6.0, 3)
    longer = replace(words, seconds=40.0)
    assert played(3, longer, 1.0) == (words, 6.0, 3)
    assert played(4, longer, 2.0) == (words, 6.0, 3)
    assert played(5, longer, 3.0) == (longer, 2.0, 3)
    # On one leg she is another: the simulated vaulters stand on both feet.
    assert played(6, replace(SHORE, stance="left leg"), 1.0, 1.0, 1.0, 1.0) == (longer, 2.0, 3)


def test_few_marks_are_told(home: Home) -> None:
    tried = try_level(SHORE, squad_records(home, "millpond", MONDAY + timedelta(days=10)))
    assert (tried.of, tried.few) == (2, 1)
    assert "Of 1 of these one or two marks" in tried.told()
    assert "one or two marks" not in try_level(SHORE).told()


def test_without_a_squad_that_played_it_they_are_from_beginner_to_expert(tmp_path: Path) -> None:
    assert not try_for_squad(tmp_path / "nothing", SHORE).squad
    (tmp_path / "vaulters.toml").write_text("this is no list", encoding="utf-8")
    assert try_for_squad(tmp_path, SHORE).of == 10


def test_what_is_tried_on_the_simulator_ends_with_the_window(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def waits(level: Level, folder: Path) -> list[str]:
        assert read_level((folder / "home" / "levels" / f"0-{level.id}.toml").read_text(), "it")
        (tmp_path / "folder").write_text(str(folder))
        return [sys.executable, "-c", "import time; time.sleep(600)"]

    monkeypatch.setattr(editor, "command", waits)
    tries = editor.Tries()
    tries.begin(SHORE, level_text(SHORE))
    [(process, folder)] = tries._begun
    assert process.poll() is None
    assert str(folder) == (tmp_path / "folder").read_text()
    tries.close()
    assert process.poll() is not None
    assert not folder.exists()
