"""A contest's book: recordings cut, copied, or none of it; who was missed is kept."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Call, Ruling, Stage
from swaytrainer.squad.contest_places import standings
from swaytrainer.store.contest_book import ContestBook
from swaytrainer.store.contest_edit import add_ruling, add_stand_off, begin_contest
from swaytrainer.store.erased import FILE as ERASED
from swaytrainer.store.erased import erased_bytes, with_name
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

SESSIONS = Path(__file__).parents[2] / "sessions"
ROMY = SESSIONS / "2-romy-calm.sway"
AT = datetime(2026, 9, 12, 12, 0, tzinfo=UTC)
CUP = """# ours
title = "Autumn cup"   # of the club
level = "millpond-open-water"
since = 2026-09-01T00:00:00+00:00
until = 2026-10-01T00:00:00+00:00
trials = 1

[[class]]
name = "All"
vaulters = ["Romy", "Wren"]
"""


@pytest.fixture
def home(tmp_path: Path) -> Home:
    made = Home(tmp_path / "home")
    for name in ("Romy", "Wren"):
        made.add_vaulter(Vaulter(name))
    (made.path / "recordings" / "2026-09-12").mkdir(parents=True)
    (tmp_path / "cup.toml").write_text(CUP, encoding="utf-8")
    return made


@pytest.fixture
def cup(tmp_path: Path) -> Path:
    return tmp_path / "cup.toml"


def kept(home: Home, name: str) -> Path:
    return home.path / "recordings" / "2026-09-12" / name


def test_a_recording_cut_anywhere_counts_once_or_not_at_all(home: Home, cup: Path) -> None:
    whole = ROMY.read_bytes()
    book = ContestBook(home, cup)
    assert [c.vaulter for c in book.calls()].count("Romy") == 1
    counts = []
    for share in range(0, 101, 4):
        kept(home, "a.sway").write_bytes(whole[: len(whole) * share // 100])
        book.refresh()
        fresh = ContestBook(home, cup)
        assert fresh.attempts == book.attempts, "looked at again is as read anew"
        left = [c.vaulter for c in book.calls()].count("Romy")
        counted = sum(a.mark is not None for a in book.attempts)
        assert left == 1 - min(counted, 1)
        counts.append(counted)
    assert counts == sorted(counts)
    assert counts[-1] == 1


def test_copied_twice_and_a_broken_one_and_anothers_day(home: Home, cup: Path) -> None:
    for name in ("a.sway", "b.sway", "a copy.sway"):
        shutil.copy(ROMY, kept(home, name))
    kept(home, "x.sway").write_bytes(b"half")
    (home.path / "recordings" / "2026-11-30").mkdir()
    shutil.copy(ROMY, home.path / "recordings" / "2026-11-30" / "c.sway")
    book = ContestBook(home, cup)
    assert len(book.unread) == 1
    assert "x.sway" in book.unread[0]
    lines = standings(book.contest, book.attempts)["All"]
    assert len(lines[0].marks) == 1
    assert not any(a.recording == "c.sway" for a in book.attempts), "another month's folder"


def test_who_was_missed_is_known_after_a_restart_and_a_torn_line_is_passed_over(
    home: Home, cup: Path
) -> None:
    book = ContestBook(home, cup)
    first, second = (c.vaulter for c in book.calls())
    call = book.calls()[0]
    assert call == Call("All", first, Stage.ROUND, 1)
    book.note_missed(call, AT)
    assert [c.vaulter for c in book.calls()] == [second, first]
    assert [c.vaulter for c in ContestBook(home, cup).calls()] == [second, first]
    (path,) = (home.path / "evenings").glob("contest-*.jsonl")
    path.write_bytes(path.read_bytes() + b'{"kind": "missed", "na')
    again = ContestBook(home, cup)
    assert [c.vaulter for c in again.calls()] == [second, first]
    again.note_missed(again.calls()[0], AT)
    assert [c.vaulter for c in ContestBook(home, cup).calls()] == [first, second]


def test_a_file_that_is_broken_while_it_runs_leaves_the_last_good_one(
    home: Home, cup: Path
) -> None:
    book = ContestBook(home, cup)
    cup.write_text(CUP.replace("Wren", "Nobody"), encoding="utf-8")
    assert book.refresh()
    assert book.trouble is not None
    assert "Nobody" in book.trouble
    assert len(book.calls()) == 2
    cup.write_text(CUP.replace("millpond-open-water", "millpond-shore"), encoding="utf-8")
    book.refresh()
    assert book.trouble is not None
    assert "another level" in book.trouble
    cup.write_text(CUP, encoding="utf-8")
    book.refresh()
    assert book.trouble is None


def test_a_file_that_is_not_there_says_how_to_begin(home: Home, tmp_path: Path) -> None:
    with pytest.raises(SwaytrainerError, match=r"contest none.toml begin"):
        ContestBook(home, tmp_path / "none.toml")


def test_a_beginning_can_be_read_and_enters_all(home: Home, tmp_path: Path) -> None:
    home.add_vaulter(Vaulter('=cmd "ä" 🐎'))
    now = datetime(2026, 11, 28, 8, 30, tzinfo=UTC)
    path = begin_contest(tmp_path / "new.toml", home, "millpond-shore", now)
    told = ContestBook(home, path).contest
    assert told.classes == {"All": ("Romy", "Wren", '=cmd "ä" 🐎')}
    assert told.since <= now <= told.until
    assert (told.trials, told.warm_up) == (3, 1)
    with pytest.raises(SwaytrainerError, match="already"):
        begin_contest(path, home, "millpond-shore", now)
    with pytest.raises(SwaytrainerError, match="nobody to enter"):
        begin_contest(tmp_path / "b.toml", Home(tmp_path / "other"), "millpond-shore", now)


def test_a_ruling_is_put_behind_and_comments_stay(home: Home, cup: Path) -> None:
    shutil.copy(ROMY, kept(home, "a.sway"))
    (attempt,) = ContestBook(home, cup).attempts
    ruling = Ruling("Romy", "repeat", 'a "dog" in the hall', "a.sway", attempt.number)
    add_ruling(cup, home, ruling)
    add_ruling(cup, home, Ruling("Wren", "withdrawn", "a sore ankle"))
    assert cup.read_text(encoding="utf-8").startswith(CUP)
    book = ContestBook(home, cup)
    assert [c.vaulter for c in book.calls()] == ["Romy"]
    assert book.contest.rulings[0] == ruling
    before = cup.read_bytes()
    with pytest.raises(SwaytrainerError, match="Nobody"):
        add_ruling(cup, home, Ruling("Nobody", "withdrawn", "gone"))
    assert cup.read_bytes() == before
    add_stand_off(cup, home, ["Romy", "Wren"], AT)
    assert ContestBook(home, cup).contest.stand_offs[0].since == AT


def test_who_is_erased_or_joins_while_it_runs_is_taken_over(home: Home, cup: Path) -> None:
    book = ContestBook(home, cup)
    assert {c.vaulter for c in book.calls()} == {"Romy", "Wren"}
    # As ``person erase`` does it: the list of the erased first, then the list of vaulters.
    text = erased_bytes(with_name([], "Wren")).decode()
    (home.path / ERASED).write_text(text, encoding="utf-8")
    file = home.path / "vaulters.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("Wren", "Pim"), encoding="utf-8")
    assert book.refresh()
    assert (book.trouble, book.contest.gone) == (None, 1)
    assert {c.vaulter for c in book.calls()} == {"Romy"}
    assert ContestBook(home, cup).contest == book.contest
    cup.write_text(CUP.replace('"Wren"', '"Wren", "Pim"'), encoding="utf-8")
    assert book.refresh()
    assert {c.vaulter for c in book.calls()} == {"Romy", "Pim"}


def test_two_days_may_have_a_recording_of_one_name(home: Home, cup: Path) -> None:
    later = home.path / "recordings" / "2026-09-13"
    later.mkdir()
    shutil.copy(ROMY, kept(home, "a.sway"))
    shutil.copy(ROMY, later / "a.sway")
    book = ContestBook(home, cup)
    assert {a.whole_name for a in book.attempts} == {"2026-09-12/a.sway", "2026-09-13/a.sway"}
    add_ruling(cup, home, Ruling("Romy", "repeat", "a dog", "2026-09-13/a.sway", 1))
    book.refresh()
    # They are copies of one trial: taken back under either name.
    assert [c.vaulter for c in book.calls()].count("Romy") == 1


def test_what_was_trained_before_a_contest_is_begun_is_none_of_it(home: Home, cup: Path) -> None:
    shutil.copy(ROMY, kept(home, "a.sway"))
    new = begin_contest(
        cup.parent / "new.toml", home, "millpond-open-water", AT + timedelta(hours=6)
    )
    told = ContestBook(home, new)
    assert told.contest.since == AT + timedelta(hours=6)
    assert not any(told.contest.is_on(a.at) for a in told.attempts)
