"""What the index keeps of each vaulter is what the recordings tell, whatever happens in between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from swaytrainer.app.about import SQUAD_MEASURES, overviews
from swaytrainer.app.gathered import gathered
from swaytrainer.app.kept_values import gather
from swaytrainer.app.past import Past
from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.database import FILE, begun, open_file
from swaytrainer.index.memos import keep, recalled
from swaytrainer.progress.about import done_of
from swaytrainer.progress.assess import Course, courses
from swaytrainer.store.home import Home
from swaytrainer.training.ladder import CoachWord, each_ladder
from swaytrainer.training.level import Level
from tests.app.test_progress import keep as record
from tests.app.test_progress import outcome, weeks

NOW = datetime(2026, 11, 26, 18, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    weeks(tmp_path, "Ilvy", [12.0] * 3 + [8.0] * 4, 1)
    weeks(tmp_path, "Bosse", [10.0] * 5, 2)
    return Home(tmp_path)


def by_key(there: Sequence[Course]) -> dict[tuple[str, str, str], Course]:
    return {(c.vaulter, c.measure, repr(c.task)): c for c in there}


def the_same(home: Home) -> None:
    """Twice: as it is reckoned now, and as it is remembered."""
    found, notes = gather(home.recordings(), SQUAD_MEASURES)
    for _ in range(2):
        there = gathered(home, SQUAD_MEASURES)
        assert by_key(there.courses) == by_key(courses(found))
        assert sorted(there.notes) == sorted(notes)


def test_what_is_remembered_is_what_the_recordings_tell(home: Home) -> None:
    the_same(home)
    odd = outcome(1, 99.0)
    # One more sitting; one that does not count; one without a usable value; one taken away.
    record(home.path, "Ilvy", 60, [outcome(1, 7.0)])
    the_same(home)
    record(
        home.path, "Bosse", 61, [replace(odd, counts=False), replace(odd, number=2, step_offs=2)]
    )
    the_same(home)
    home.recordings()[0].unlink()
    the_same(home)


def test_since_a_day_is_not_remembered(home: Home) -> None:
    the_same(home)
    since = date(2026, 9, 19)
    found, _ = gather(home.recordings(), SQUAD_MEASURES, since)
    there = gathered(home, SQUAD_MEASURES, since)
    assert by_key(there.courses) == by_key(courses(found))
    the_same(home)


def test_while_somebody_else_writes_it_is_reckoned_and_not_kept(home: Home) -> None:
    engine = Past(home).engine()
    quick = open_file(home.path / FILE, patience_s=0.1)
    past = Past(home)
    past._engine = quick
    found, _ = gather(home.recordings(), SQUAD_MEASURES)
    with begun(engine) as writing:
        keep(writing, "other", {"Ilvy": "held"})
        there = gathered(home, SQUAD_MEASURES, past=past)
        assert by_key(there.courses) == by_key(courses(found))
        levels, _ = home.levels()
        assert set(overviews(past, home, ["Ilvy"], levels)) == {"Ilvy"}
    with begun(engine, reads=True) as connection:
        assert recalled(connection, "other") == {"Ilvy": "held"}
        assert recalled(connection, "days 1 mark") == {}


def fresh(home: Home, name: str, levels: list[Level]) -> object:
    tried = Past(home).of_each([name], levels)[name]
    words = home.all_coach_words().get(name, [])
    return done_of(tried), tuple(each_ladder(levels, tried, words))


def test_what_comes_next_follows_trials_levels_and_the_coachs_word(home: Home) -> None:
    names = ["Ilvy", "Bosse", "Nobody yet"]

    def same() -> None:
        levels, _ = home.levels()
        for _ in range(2):
            known = overviews(Past(home), home, names, levels)
            assert known == {name: fresh(home, name, levels) for name in names}

    same()
    record(home.path, "Ilvy", 60, [outcome(1, 7.0)])
    same()
    home.keep_word(CoachWord("Bosse", "millpond-reeds", NOW + timedelta(days=90), "Try {foam}"))
    same()
    level = (
        Path(__file__).parents[2] / "swaytrainer/training/levels/10-millpond-shore.toml"
    ).read_text()
    (home.path / "levels").mkdir()
    (home.path / "levels" / "own.toml").write_text(level.replace("pass_mark = ", "pass_mark = 1"))
    same()


def test_a_memo_is_thrown_away_with_its_vaulters_next_sitting(home: Home) -> None:
    engine = Past(home).engine()
    with begun(engine) as connection:
        keep(connection, "k", {"Ilvy": "a", "Bosse": "b"})
        keep(connection, "k", {"Ilvy": "c"})
        assert recalled(connection, "k") == {"Ilvy": "c", "Bosse": "b"}
    record(home.path, "Ilvy", 70, [outcome(1, 7.0)])
    with begun(Past(home).engine(), reads=True) as connection:
        assert recalled(connection, "k") == {"Bosse": "b"}


def test_without_an_index_the_recordings_are_read(home: Home) -> None:
    (home.path / FILE).mkdir()
    found, _ = gather(home.recordings(), SQUAD_MEASURES)
    there = gathered(home, SQUAD_MEASURES)
    assert by_key(there.courses) == by_key(courses(found))
    assert any("The recordings were read instead." in note for note in there.notes)
    with pytest.raises(SwaytrainerError):
        Past(home).engine()
