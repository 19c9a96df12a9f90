"""What the level editor asks of the squad's record."""

from datetime import timedelta
from pathlib import Path

import pytest

from swaytrainer.app.editor import squad_records, try_for_squad
from swaytrainer.store.home import Home
from swaytrainer.training.level_file import shipped_levels
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


def test_without_a_squad_that_played_it_they_are_from_beginner_to_expert(tmp_path: Path) -> None:
    assert not try_for_squad(tmp_path / "nothing", SHORE).squad
    (tmp_path / "vaulters.toml").write_text("this is no list", encoding="utf-8")
    assert try_for_squad(tmp_path, SHORE).of == 10
