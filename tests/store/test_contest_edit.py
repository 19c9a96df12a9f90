"""A contest changed by a form: it reads as it was meant, and what else stands in it stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest_draft import By, ClassDraft, ContestDraft, TeamDraft, draft_of
from swaytrainer.store.contest_book import parsed_contest
from swaytrainer.store.contest_edit import begin_contest, edited_contest
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

NAMES = ("Wren", "Tarn", "Mika", "=cmd / Ämy 🐎", "W" * 300)
TEXT = """# ours
title = "Autumn cup"   # of the club
level = "millpond-open-water"
since = 2026-11-28T09:00:00+01:00
until = 2026-11-28T18:00:00+01:00
seed = 4711

[[class]]
name = "Small"   # the small ones
height_mm = [0, 1400]

[[class]]
name = "Guests"
vaulters = ["Wren", "Tarn"]

[[team]]
name = "Otters"   # blue
vaulters = ["Wren", "Tarn"]

[[ruling]]
vaulter = "Wren"
kind = "withdrawn"
reason = "a cold"   # told by phone

[[stand_off]]
vaulters = ["Wren", "Tarn"]
# the end
"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    made = Home(tmp_path_factory.mktemp("home"))
    for n, name in enumerate(NAMES):
        made.add_vaulter(Vaulter(name, height_mm=1300.0 + 50 * n, born=2010 + n))
    return made


def edited(home: Home, draft: ContestDraft, text: str = TEXT) -> str:
    return edited_contest(text, "cup.toml", draft, home)


def test_nothing_changed_is_no_letter_changed(home: Home) -> None:
    assert edited(home, draft_of(TEXT, "cup.toml")) == TEXT


def test_comments_stay_and_what_is_taken_out_is_gone(home: Home) -> None:
    draft = draft_of(TEXT, "cup.toml")
    (_, small), (_, guests) = draft.classes
    other = replace(
        draft,
        title="Winter cup",
        trials=2,
        warm_up=1,
        classes=((1, guests), (0, replace(small, by=By.BORN, low=2012.0, high=2014.0))),
        rulings=(),
    )
    new = edited(home, other)
    told = parsed_contest(new, "cup.toml", home)
    assert (told.title, told.trials, told.warm_up, told.rulings) == ("Winter cup", 2, 1, ())
    assert list(told.classes) == ["Guests", "Small"]
    assert told.classes["Small"] == ("Mika", NAMES[3], NAMES[4])
    assert len(told.stand_offs) == 1
    for comment in ("# ours", "# of the club", "# the small ones", "# blue", "# the end"):
        assert new.count(comment) == 1, comment
    assert "# told by phone" not in new
    assert "height_mm" not in new


def test_what_cannot_be_a_contest_is_not_made(home: Home) -> None:
    draft = draft_of(TEXT, "cup.toml")
    for wrong, why in (
        (replace(draft, classes=()), "no class with vaulters"),
        (replace(draft, until=draft.since), "later than"),
        (replace(draft, level="none"), "no such level"),
        (replace(draft, teams=((None, TeamDraft("A", ("Nobody",))),)), "'Nobody'"),
        (replace(draft, classes=((None, ClassDraft("A", By.NAME, ())),)), "has no vaulters"),
    ):
        with pytest.raises(SwaytrainerError, match=why):
            edited(home, wrong)


def test_a_text_of_another_make_is_left_to_the_text(home: Home) -> None:
    inline = TEXT[: TEXT.index("[[class]]")] + 'class = [{name = "A", vaulters = ["Wren"]}]\n'
    draft = draft_of(inline, "cup.toml")
    kept = ((0, draft.classes[0][1]), (None, ClassDraft("B", By.NAME, ("Tarn",))))
    with pytest.raises(SwaytrainerError, match="as text"):
        edited(home, replace(draft, classes=kept), inline)


times = st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1)).map(
    lambda at: at.replace(microsecond=0, tzinfo=timezone(timedelta(hours=1)))
)


@st.composite
def drafts(draw: st.DrawFn) -> ContestDraft:
    since = draw(times)
    free = list(draw(st.permutations(NAMES)))
    classes: list[tuple[int | None, ClassDraft]] = []
    olds: list[int | None] = [0, 1, None, None]
    for n in draw(st.permutations(olds))[: draw(st.integers(1, 3))]:
        take = draw(st.integers(1, 1 if len(free) < 3 else 2))
        if not free:
            break
        classes.append((n, ClassDraft(f"C{len(classes)} =Ä", By.NAME, tuple(free[:take]))))
        free = free[take:]
    if draw(st.booleans()):
        low = draw(st.sampled_from([0.0, 1200.0, 1234.5]))
        classes.append((None, ClassDraft("by height", By.HEIGHT, (), low, 2300.0)))
    entered = [name for _, each in classes for name in each.names]
    team = TeamDraft("T", tuple(entered[:2]))
    return ContestDraft(
        draw(st.sampled_from(["Cup", 'A "b" \\ ü 🐎'])),
        draw(st.sampled_from(["millpond-shore", "millpond-open-water"])),
        since,
        since + timedelta(hours=draw(st.integers(1, 48))),
        draw(st.integers(1, 9)),
        draw(st.integers(0, 3)),
        1,
        None,
        tuple(classes),
        draw(st.sampled_from([(), ((0, team),), ((None, team),)])),
        (),
        (),
    )


@given(st.lists(drafts(), min_size=1, max_size=3))
def test_whatever_a_form_says_reads_as_it_was_meant(home: Home, made: list[ContestDraft]) -> None:
    text = TEXT
    for draft in made:
        there, teams = draft_of(text, "cup.toml"), len(draft_of(text, "cup.toml").teams)
        known = len(there.classes)
        fitting = replace(
            draft,
            classes=tuple(
                (n if n is not None and n < known else None, c) for n, c in draft.classes
            ),
            teams=tuple((n if n is not None and n < teams else None, t) for n, t in draft.teams),
        )
        text = edited(home, fitting, text)
        again = draft_of(text, "cup.toml")
        assert [c for _, c in again.classes] == [c for _, c in draft.classes]
        assert [t for _, t in again.teams] == [t for _, t in draft.teams]
        same = ("title", "level", "since", "until", "trials", "warm_up", "team_counts")
        assert all(getattr(again, f) == getattr(draft, f) for f in same)
        assert "# ours" in text


def test_the_draft_of_a_begun_contest(home: Home, tmp_path: Path) -> None:
    path = begin_contest(tmp_path / "new.toml", home, "millpond-shore", datetime.now(UTC))
    text = path.read_text(encoding="utf-8")
    draft = draft_of(text, path.name)
    assert draft.classes[0][1].names == NAMES
    assert edited_contest(text, path.name, draft, home) == text


def test_one_line_changed_is_one_line_changed_wherever_the_tables_stand(home: Home) -> None:
    head, small, guests, team, ruling, stand_off = TEXT.split("\n[[")
    mixed = "\n[[".join((head, team, small, ruling, guests, stand_off))
    draft = draft_of(mixed, "cup.toml")
    assert [each.name for _, each in draft.classes] == ["Small", "Guests"]
    new = edited(home, replace(draft, title="Winter cup"), mixed)
    assert new == mixed.replace("Autumn", "Winter")
    (_, small_one), (_, named) = draft.classes
    other = replace(draft, classes=((0, small_one), (1, replace(named, name="G"))))
    assert edited(home, other, mixed) == mixed.replace('"Guests"', '"G"')


def test_what_a_begun_contest_explains_outlives_its_first_class(home: Home, tmp_path: Path) -> None:
    path = begin_contest(tmp_path / "new.toml", home, "millpond-shore", datetime.now(UTC))
    text = path.read_text(encoding="utf-8")
    other = (None, ClassDraft("Small", By.HEIGHT, (), 0.0, 2300.0))
    new = edited(home, replace(draft_of(text, "new.toml"), classes=(other,)), text)
    comments = [line for line in text.splitlines() if line.startswith("#")]
    assert [line for line in new.splitlines() if line.startswith("#")] == comments


def test_a_class_that_goes_by_something_else_keeps_nothing_of_the_old_way(home: Home) -> None:
    both = TEXT.replace("height_mm = [0, 1400]", "height_mm = [0, 1400]\nborn = [2010, 2012]")
    draft = draft_of(both, "cup.toml")
    small = replace(draft.classes[0][1], by=By.NAME, names=("Mika",), low=0.0, high=0.0)
    new = edited(home, replace(draft, classes=((0, small), draft.classes[1])), both)
    assert "born" not in new
    assert "height_mm" not in new
