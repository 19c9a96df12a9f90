"""The squad's words: each by its rule, the first that holds; and how often nothing is called so."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from swaytrainer.progress.about import (
    RULES,
    WORDS,
    About,
    Word,
    done_of,
    rungs_of,
    told,
    where_words,
)
from swaytrainer.progress.assess import Found, Row, assess, courses
from swaytrainer.progress.days import DatedValue
from swaytrainer.progress.terms import Task
from swaytrainer.training.history import Tried, in_order
from swaytrainer.training.ladder import Step, Suggestion, path_of
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Terms
from swaytrainer.training.vaulter import Vaulter

LEVELS = shipped_levels()
PATH = path_of(LEVELS, "millpond")
LEVEL = PATH[2]
TODAY = date(2026, 11, 26)
TERMS = Terms(80.0, "10 Hz causal", 30.0, "firm", "two feet", "open", "full")
TASK = Task(TERMS, "millpond, toe share 35-50 %")


def trial(days_ago: int, seconds: float = 30.0, level=LEVEL, mark: float | None = 6.0) -> Tried:  # type: ignore[no-untyped-def]
    made = datetime.combine(TODAY - timedelta(days=days_ago), datetime.min.time(), UTC)
    return Tried(made + timedelta(hours=17), level, mark, seconds, "full", 80.0, "causal")


def rows(marks: list[float], task: Task = TASK, measure: str = "mark", ends: int = 1) -> list[Row]:
    """The row of a vaulter with a trial every third day."""
    first = TODAY.toordinal() - ends - 3 * (len(marks) - 1)
    found = [
        Found("Wren", task, measure, DatedValue(first + 3 * n, value), "one")
        for n, value in enumerate(marks)
    ]
    return list(assess(courses(found), (measure,), None, 3).rows)


def about(tried: list[Tried], found: list[Row] | None = None, *steps: Suggestion) -> About:
    newest = next((t for t in in_order(tried)[::-1] if t.mark is not None), None)
    made = About(
        Vaulter("Wren"), TODAY, rungs_of(LEVELS), done_of(tried), tuple(found or ()), steps
    )
    return replace(made, newest=newest)


STEADY = [trial(n) for n in (1, 5, 9)]
OFTEN = [trial(n) for n in (1, 5, 9, 13)]
BETTER = rows([5.0, 5.1, 4.9, 7.0, 7.1, 6.9])
WORSE = rows([7.0, 7.1, 6.9, 5.0, 5.1, 4.9])
UP = Suggestion(Step.UP, PATH[3], "Passed.", LEVEL)
DOWN = Suggestion(Step.DOWN, PATH[1], "Missed.", LEVEL)
RISKY = Suggestion(Step.UP, PATH[8], "Passed.", PATH[7])
CLIMBED = [trial(40), trial(1, level=PATH[4])]


@pytest.mark.parametrize(
    ("who", "word", "why"),
    [
        (about([]), Word.NEW, "No trial yet"),
        (about([trial(1, 16 * 60.0)], BETTER, UP), Word.MUCH, "16 min on one day"),
        (about([trial(n) for n in (0, 1, 2, 3)]), Word.MUCH, "4 days in one week"),
        (about([trial(14)], BETTER, UP), Word.GONE, "No trial for 14 days"),
        (about(OFTEN, WORSE, UP), Word.BACK, "mark from 7.0 to 5.0"),
        (about(OFTEN, BETTER, UP, DOWN), Word.STEP, PATH[3].title),
        (about(OFTEN, BETTER, RISKY), Word.STEP, f"up: {PATH[8].title}, with a spotter"),
        (about(OFTEN, [], DOWN), Word.STEP, f"easier: {PATH[1].title}"),
        (about(OFTEN, BETTER), Word.MOVES, "mark from 5.0 to 7.0"),
        (about(CLIMBED), Word.MOVES, PATH[4].title),
        (about(OFTEN), Word.STUCK, "on 4 days"),
        (about(STEADY), Word.STEADY, "3 days"),
        # Better in one and worse in another is no fall.
        (
            about(OFTEN, [*WORSE, *rows([90.0, 91.0, 89.0, 60.0, 61.0, 59.0],
             measure="mean_speed_mm_s")]),
            Word.MOVES,
            "sway speed from 90",
        ),
    ],
)  # fmt: skip
def test_the_first_rule_that_holds_gives_the_word(who: About, word: Word, why: str) -> None:
    assert told(who).word is word
    assert why in told(who).why


def test_the_edges_of_the_rules() -> None:
    assert told(about([trial(1, 15 * 60.0)])).word is Word.STEADY
    assert told(about([trial(n) for n in (0, 2, 4)])).word is Word.STEADY
    assert told(about([trial(13)])).word is Word.STEADY
    # An evening of two sittings is one day.
    assert told(about([trial(1, 8 * 60.0), trial(1, 8 * 60.0)])).word is Word.MUCH
    # Eight days ago is no longer this week.
    assert told(about([trial(8, 20 * 60.0)])).word is Word.STEADY


def test_a_rung_counts_only_beside_an_older_one_and_where_it_counted() -> None:
    assert about([trial(1, level=PATH[4])]).climbs() == []
    assert about([trial(40), trial(1, level=PATH[4], mark=None)]).climbs() == []
    assert about([trial(40, level=PATH[4]), trial(1)]).climbs() == []
    (climb,) = about([*CLIMBED, trial(2, level=PATH[3])]).climbs()
    assert (climb.rungs, climb.level) == (2, PATH[4])


def test_whoever_stands_lower_by_now_has_not_climbed() -> None:
    def climbs(*steps: Suggestion) -> list[tuple[int, str]]:
        tried = [*CLIMBED, trial(2, level=PATH[3])]
        return [(c.rungs, c.level.id) for c in about(tried, None, *steps).climbs()]

    def stays(n: int, step: Step = Step.STAY) -> Suggestion:
        return Suggestion(step, PATH[n], "Passed.", PATH[n])

    assert climbs(stays(4)) == [(2, PATH[4].id)]
    assert climbs(stays(3)) == [(1, PATH[3].id)]
    assert climbs(stays(2)) == climbs(stays(5)) == []
    # An easier level on offer and "climbed" beside it would contradict each other.
    assert climbs(Suggestion(Step.DOWN, PATH[3], "Missed.", PATH[4])) == []
    # Another ladder says nothing of this one.
    other = path_of(LEVELS, "well")[0]
    assert climbs(Suggestion(Step.STAY, other, "Passed.", other)) == [(2, PATH[4].id)]


def test_every_word_has_a_text_and_a_rule() -> None:
    assert set(WORDS) == set(Word)
    heads = {rule.split(":")[0] for rule in RULES}
    assert heads == set(WORDS.values())


def test_of_the_unchanged_few_are_said_to_move_or_to_have_fallen_back() -> None:
    """Twelve days without a change, three measures: at most 5 % a measure and way together."""
    rng = np.random.default_rng(7)
    called = 0
    for _ in range(200):
        found: list[Row] = []
        for measure, middle, sd in (
            ("mark", 6.0, 0.5), ("mean_speed_mm_s", 12.0, 1.2), ("time_in_band_percent", 60.0, 8.0),
        ):  # fmt: skip
            found += rows([float(middle + sd * z) for z in rng.normal(size=12)], measure=measure)
        called += told(about(OFTEN, found)).word in (Word.MOVES, Word.BACK)
    # Binomial, 200 vaulters at 15 % (Bonferroni over three measures): 99.9 % stay below 46.
    assert called < 46


def test_what_was_without_the_picture_is_told_apart() -> None:
    (with_it,) = rows([5.0] * 6)
    blind = Task(replace(TERMS, feedback="none"), TASK.task)
    (without,) = rows([5.0] * 6, blind)
    assert where_words(with_it) == "Millpond: firm, eyes open"
    assert where_words(without) == "Millpond: firm, eyes open, without the picture"


def test_load_of_nothing() -> None:
    assert about([]).load(28) == (0, 0, 0.0)
    assert about([]).days_since is None
    assert math.isclose(about([trial(1), trial(30)]).load(28).minutes, 0.5)
