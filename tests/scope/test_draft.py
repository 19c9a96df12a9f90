"""A level's text being edited: comments stay, the reader judges, the shipped levels are safe."""

import contextlib
from pathlib import Path
from statistics import fmean

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.players import mark_of
from swaytrainer.scope.draft import changed, keep_level, rows, shipped_texts, tables
from swaytrainer.scope.tryout import Record, skill_like, skills, try_level
from swaytrainer.training.level_file import level_text, read_level, shipped_files
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.words import use_language

TEXTS = shipped_texts()
LEVELS = dict(shipped_files())
SHORE = TEXTS["10-millpond-shore.toml"]
CLOVER = TEXTS["108-picnic-clover.toml"]


@pytest.mark.parametrize("name", TEXTS)
def test_every_field_has_its_sense_and_range(name: str) -> None:
    found = {row.place: row for row in rows(TEXTS[name])}
    assert all(row.sense and row.limits for row in found.values())
    level = LEVELS[name]
    kind = KINDS[level.game]
    assert {p[1] for p in found if p[0] == "task"} == set(kind.fields)
    assert {p[1] for p in found if p[0] == "marked"} == set(range(len(level.parts)))
    # All that a level's file holds can be seen: nothing but its format number is left out.
    tops = {line.split(" = ")[0] for line in level_text(level).split("\n[")[0].splitlines()}
    assert {str(p[0]) for p in found} - {"task", "marked"} == tops - {"format"}


def test_words_are_offered() -> None:
    offered = {row.name: row.choices for row in rows(SHORE)}
    assert offered["game"] == tuple(KINDS)
    assert "closed" in offered["eyes"]
    assert "mean_speed_mm_s" in offered["marked 1: measure"]
    assert tables()["seconds"][1] == "5 to 120 s"


@pytest.mark.parametrize("name", TEXTS)
def test_a_change_changes_one_line(name: str) -> None:
    text = TEXTS[name]
    after = changed(text, ("seconds",), "17")
    differs = [(a, b) for a, b in zip(text.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(differs) <= 1
    assert read_level(after, name).seconds == 17.0
    assert after.count("#") == text.count("#")


def test_numbers_of_the_game_and_of_the_mark() -> None:
    after = changed(CLOVER, ("task", "gust_s"), "4,5")
    after = changed(after, ("marked", 1, "all_at"), "80")
    level = read_level(after, "it")
    assert dict(level.task)["gust_s"] == 4.5
    assert level.parts[1].all_at == 80.0
    gone = changed(after, ("task", "gust_s"), " ")
    assert "gust_s" not in dict(read_level(gone, "it").task)
    plain = level_text(read_level(CLOVER, "it"))
    bare = plain[: plain.index("[task]")] + plain[plain.index("[[marked]]") :]
    put = changed(bare, ("task", "ways"), "8")
    assert dict(read_level(put, "it").task) == {"ways": 8.0}


def test_cautions_are_changed_added_and_taken_out_one_by_one() -> None:
    old = read_level(CLOVER, "it").cautions
    n = len(old)
    after = changed(CLOVER, ("cautions", 1), "Hands near.")
    assert read_level(after, "it").cautions == (old[0], "Hands near.", *old[2:])
    after = changed(after, ("cautions", n), "And quiet.")
    assert read_level(after, "it").cautions[-1] == "And quiet."
    after = changed(changed(after, ("cautions", n), ""), ("cautions", 1), " ")
    assert read_level(after, "it").cautions == (old[0], *old[2:])
    assert changed(CLOVER, ("cautions", n), "") == CLOVER


@settings(max_examples=60)
@given(st.sampled_from([row.place for row in rows(CLOVER)]), st.text(max_size=30))
def test_whatever_is_typed_is_judged_by_the_reader(
    place: tuple[str | int, ...], value: str
) -> None:
    assume(place[0] != "cautions" or value.strip())  # one taken out has no place any more
    old = next(row.value for row in rows(CLOVER) if row.place == place)
    after = changed(CLOVER, place, value)
    with contextlib.suppress(SwaytrainerError):  # and no other error
        read_level(after, "it")
    assert rows(changed(after, place, old)) == rows(CLOVER)


def test_what_is_no_level(tmp_path: Path) -> None:
    with pytest.raises(SwaytrainerError, match="no TOML"):
        rows("= =")
    with pytest.raises(SwaytrainerError, match="no place"):
        changed(SHORE, ("marked", 7, "weight"), "1")
    with pytest.raises(SwaytrainerError, match="must lie between"):
        keep_level(tmp_path, "it", changed(changed(SHORE, ("id",), "it"), ("seconds",), "900"))
    assert not list(tmp_path.iterdir())


def test_a_shipped_level_is_never_written_over(tmp_path: Path) -> None:
    ours = changed(SHORE, ("id",), "our-shore")
    with pytest.raises(SwaytrainerError, match="id of its own"):
        keep_level(tmp_path, "ours", SHORE)
    with pytest.raises(SwaytrainerError, match="no name"):
        keep_level(tmp_path, "../ours", ours)
    assert keep_level(tmp_path / "levels", "11-ours", ours).id == "our-shore"
    with pytest.raises(SwaytrainerError, match="already"):
        keep_level(tmp_path / "levels", "11-ours", ours)
    keep_level(tmp_path / "levels", "11-ours", ours, replaces=True)
    assert (tmp_path / "levels" / "11-ours.toml").read_text() == ours
    assert shipped_texts() == TEXTS


def test_a_harder_level_is_passed_by_fewer() -> None:
    short = read_level(changed(SHORE, ("seconds",), "8"), "it")
    easy = read_level(changed(level_text(short), ("pass_mark",), "0.5"), "it")
    hard = read_level(changed(level_text(short), ("pass_mark",), "10"), "it")
    tried, hardly = try_level(easy), try_level(hard)
    assert tried.of == hardly.of == 10
    assert tried.passed > hardly.passed
    assert tried == try_level(easy)
    assert f"About {tried.passed} of 10" in tried.told()
    disc = changed(changed(SHORE, ("base",), "disc"), ("spotter",), "true")
    assert "only roughly" in try_level(read_level(disc, "it")).told()
    leg = changed(SHORE, ("stance",), "left leg")
    assert "both feet" in try_level(read_level(leg, "it")).told()


def test_players_like_the_squad_earn_on_its_level_what_the_squad_earned() -> None:
    """On the level that they trained they do as they did; an easier one more of them pass."""
    level = read_level(TEXTS["20-millpond-open-water.toml"], "it")
    earned = (3.0, 5.0, 6.5, 8.0, 9.0)
    there = [Record(level, mark) for mark in earned]
    found = [skill_like(record) for record in there]
    assert found == sorted(found)
    for skill, mark in zip(found, earned, strict=True):
        mean = fmean(mark_of(level, skill, 1000 + k) for k in range(6))
        assert mean == pytest.approx(mark, abs=1.6)
    again = try_level(level, there)
    assert (again.of, again.squad) == (5, True)
    assert "your squad" in again.told()
    easy = try_level(read_level(TEXTS["10-millpond-shore.toml"], "it"), there)
    assert easy.passed > again.passed or easy.passed == 5


def test_marks_beyond_all_players_are_the_beginners_and_the_experts() -> None:
    level = read_level(SHORE, "it")
    assert skill_like(Record(level, 0.0)) == skills()[0]
    assert skill_like(Record(level, 10.1)) == skills()[-1]


@pytest.mark.parametrize("game", sorted(KINDS))
def test_every_game_is_played_and_the_expert_earns_more_than_the_beginner(game: str) -> None:
    level = next(read_level(t, "it") for t in TEXTS.values() if read_level(t, "it").game == game)
    tried = try_level(level)
    assert tried.of == 10
    assert sum(tried.marks[7:]) > sum(tried.marks[:3]) + 3.0
    assert 0 < tried.passed < 10


def test_every_row_can_be_read_in_german() -> None:
    """Whatever stands beside a value is in the language in use; the words of the file stay."""
    english = {name: rows(text) for name, text in TEXTS.items()}
    use_language("de")
    try:
        for name, text in TEXTS.items():
            for old, new in zip(english[name], rows(text), strict=True):
                assert (new.place, new.choices) == (old.place, old.choices)
                assert new.sense != old.sense, old.sense
                assert new.value.replace(",", ".") == old.value.replace(",", ".")
                assert new.limits != old.limits, old.limits
    finally:
        use_language("en")
