"""The ladder: up on 4 of 5 on two days, down offered, the coach before all, no spotter no risk."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.training.history import Tried, equal_terms, same_task
from swaytrainer.training.ladder import (
    CLEAR_POINTS,
    DAYS,
    CoachWord,
    K,
    N,
    Step,
    Suggestion,
    passed,
    path_of,
    suggest,
)
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.risk import needs_spotter, offered

PATH = path_of(shipped_levels(), "millpond")
EASY, FADED, NEXT = PATH[0], PATH[1], PATH[2]
#: A ladder of three without a faded one.
SHORT = (PATH[0], PATH[2], PATH[4])
MONDAY = datetime(2026, 5, 4, 17, 0, tzinfo=UTC)


def tried(level: Level, *marks: float | None, day: int = 0, minute: int = 0) -> list[Tried]:
    """Trials of one sitting."""
    made = MONDAY + timedelta(days=day, minutes=minute)
    feedback = "none" if level.feedback == "faded" else level.feedback
    return [Tried(made, level, mark, level.seconds, feedback, 80.0, "causal") for mark in marks]


def step(*trials: list[Tried], spotter: bool = True, words: list[CoachWord] | None = None) -> str:
    found = suggestion(*trials, spotter=spotter, words=words)
    return f"{found.step.value} {found.level.id}"


def suggestion(
    *trials: list[Tried], spotter: bool = True, words: list[CoachWord] | None = None
) -> Suggestion:
    found = suggest(SHORT, [t for some in trials for t in some], words or [], spotter)
    assert found is not None
    return found


def test_nobody_begins_in_the_middle() -> None:
    assert step() == "begin millpond-shore"


def test_four_of_five_on_two_days_lead_up() -> None:
    first = tried(EASY, 7.0, 5.0, 6.0)
    assert step(first) == "stay millpond-shore"
    assert step(first, tried(EASY, 6.0, 9.0, day=2)) == "up millpond-open-water"
    assert step(first, tried(EASY, 6.0, 5.9, day=2)) == "stay millpond-shore"


def test_one_day_is_not_enough() -> None:
    found = suggestion(tried(EASY, *[9.0] * 8))
    assert found.step is Step.STAY
    assert "another day" in found.reason
    assert step(tried(EASY, *[9.0] * 8), tried(EASY, 9.0, day=1)) == "up millpond-open-water"


def test_trials_that_do_not_count_are_passed_over() -> None:
    some = tried(EASY, 7.0, None, 7.0), tried(EASY, None, 7.0, 7.0, day=1)
    assert step(*some) == "up millpond-open-water"


def test_another_task_or_other_terms_do_not_count() -> None:
    harder = replace(EASY, band_high_percent=40.0)
    assert step(tried(harder, 9.0, 9.0), tried(EASY, 9.0, 9.0, day=1)) == "stay millpond-shore"
    [faster] = tried(EASY, 9.0, day=2)
    rate = replace(faster, rate_hz=1000.0)
    both = tried(EASY, 9.0, 9.0), tried(EASY, 9.0, 9.0, day=1)
    assert step(*both) == "up millpond-open-water"
    assert step(*both, [rate]) == "stay millpond-shore"
    assert not equal_terms(faster, rate)
    assert same_task(EASY, replace(EASY, title="x", cautions=("y",), pass_mark=1.0))


def test_a_faded_level_is_passed_without_the_picture() -> None:
    with_picture = [replace(t, feedback="full") for t in tried(FADED, *[9.0] * 5)]
    later = [replace(t, feedback="full") for t in tried(FADED, *[9.0] * 5, day=1)]
    found = suggest(PATH, [*with_picture, *later])
    assert found is not None
    assert found.step is Step.STAY
    assert "without the picture" in found.reason
    without = [*tried(FADED, 9.0, 9.0), *tried(FADED, 9.0, 9.0, day=1)]
    found = suggest(PATH, without)
    assert found is not None
    assert (found.step, found.level) == (Step.UP, NEXT)


def test_three_clear_misses_offer_the_one_below_and_old_passes_do_not_lead_back() -> None:
    up = tried(EASY, 9.0, 9.0), tried(EASY, 9.0, 9.0, day=1)
    missed = tried(NEXT, 5.0, 4.0, 5.0, day=2)
    assert step(*up, missed) == "down millpond-shore"
    assert step(*up, tried(NEXT, 5.0, 5.1, 5.0, day=2)) == "stay millpond-open-water"
    assert step(*up, tried(NEXT, 4.0, 5.0, None, day=2)) == "stay millpond-open-water"
    # Down again: it takes new passes on two days.
    again = tried(EASY, 9.0, 9.0, day=3)
    assert step(*up, missed, again) == "stay millpond-shore"
    assert step(*up, missed, again, tried(EASY, 9.0, 9.0, day=4)) == "up millpond-open-water"


def test_one_easy_trial_takes_no_due_step_back_away() -> None:
    top = SHORT[2]
    missed = tried(top, 4.0, 4.0, 4.0, day=2)
    easy = tried(EASY, 9.0, day=3)
    due = suggestion(missed, easy)
    assert (due.step, due.level, due.current) == (Step.DOWN, NEXT, top)
    # Nor does one that did not count, or one that was broken off on the very level.
    assert step(missed, tried(EASY, None, None, None, None, day=3)) == "down millpond-open-water"
    assert step(missed, easy, tried(top, None, day=4)) == "down millpond-open-water"
    # It is taken on the level below,
    taken = tried(NEXT, 9.0, day=3)
    assert step(missed, easy, taken) == "stay millpond-open-water"
    assert step(missed, taken, easy) == "stay millpond-shore"
    # answered on the level itself or on a higher one,
    assert step(missed, easy, tried(top, 5.5, day=4)) == "stay millpond-reeds"
    assert step(tried(NEXT, 4.0, 4.0, 4.0), easy, tried(top, 7.0, day=4), easy[:0]) == (
        "stay millpond-reeds"
    )
    # or left behind: then one has settled lower.
    assert step(missed, easy, tried(EASY, 5.0, day=4)) == "down millpond-open-water"
    assert step(missed, easy, tried(EASY, 5.0, 5.0, day=4)) == "stay millpond-shore"


def test_one_easy_trial_takes_no_due_step_up_away() -> None:
    passes = tried(NEXT, 9.0, 9.0), tried(NEXT, 9.0, 9.0, day=1)
    assert step(*passes, tried(EASY, 2.0, day=2)) == "up millpond-reeds"
    assert step(*passes, tried(EASY, 2.0, 2.0, 2.0, day=2)) == "stay millpond-shore"
    # Whoever tried a higher one for once, and neither passed nor missed it, is back at once.
    assert step(tried(SHORT[2], 5.5), tried(EASY, 7.0, day=1)) == "stay millpond-shore"


def test_alone_a_due_step_back_is_taken_on_the_last_level_without_a_spotter() -> None:
    calm = [level for level in PATH if not needs_spotter(level)][-1]
    risky = [level for level in PATH if needs_spotter(level)][1]
    missed = tried(risky, 1.0, 1.0, 1.0)
    taken = suggest(PATH, [*missed, *tried(calm, 5.0, day=1)])
    assert taken is not None
    assert taken.current == calm
    due = suggest(PATH, [*missed, *tried(PATH[0], 5.0, day=1)], spotter=True)
    assert due is not None
    assert (due.step, due.current) == (Step.DOWN, risky)


def test_below_the_lowest_there_is_nothing() -> None:
    assert step(tried(EASY, 0.0, 0.0, 0.0)) == "stay millpond-shore"


def test_at_the_top_it_stays() -> None:
    top = SHORT[-1]
    found = suggestion(tried(top, 9.0, 9.0), tried(top, 9.0, 9.0, day=1))
    assert (found.step, found.level) == (Step.STAY, top)
    assert "top" in found.reason


def test_the_coach_goes_before_all_until_it_is_passed() -> None:
    word = CoachWord("Wren", SHORT[1].id, MONDAY + timedelta(days=1, hours=1), "knows it from foam")
    before = tried(EASY, 3.0, 3.0), tried(EASY, 3.0, day=1)
    found = suggestion(*before, words=[word])
    assert (found.step, found.level, found.note) == (Step.COACH, SHORT[1], "knows it from foam")
    assert "2026-05-05" in found.reason
    # Somebody who plays another level meanwhile is still told the coach's.
    assert step(*before, tried(EASY, 9.0, day=2), words=[word]) == "coach millpond-open-water"
    passes = tried(SHORT[1], 9.0, 9.0, day=3), tried(SHORT[1], 9.0, 9.0, day=4)
    assert step(*before, *passes, words=[word]) == "up millpond-reeds"
    on = tried(SHORT[2], 5.5, day=5)
    assert step(*before, *passes, on, words=[word]) == "stay millpond-reeds"
    newer = replace(word, level_id=EASY.id, made=MONDAY + timedelta(days=6), note="after a cold")
    assert step(*before, *passes, on, words=[newer, word]) == "coach millpond-shore"
    missed = tried(SHORT[1], 1.0, 1.0, 1.0, day=3)
    assert step(*before, missed, words=[word]) == "down millpond-shore"
    gone = replace(word, level_id="no-such-level")
    assert step(words=[gone]) == "begin millpond-shore"


def test_whoever_is_alone_is_never_sent_onto_a_risky_level() -> None:
    last_calm = [level for level in PATH if not needs_spotter(level)][-1]
    passes = [*tried(last_calm, 9.0, 9.0), *tried(last_calm, 9.0, 9.0, day=1)]
    alone = suggest(PATH, passes, spotter=False)
    together = suggest(PATH, passes, spotter=True)
    assert alone is not None
    assert together is not None
    assert (alone.step, alone.level) == (Step.STAY, last_calm)
    assert "spotter" in alone.reason
    assert together.step is Step.UP
    assert needs_spotter(together.level)
    risky = [*passes, *tried(together.level, 3.0, day=2)]
    back = suggest(PATH, risky, spotter=False)
    assert back is not None
    assert (back.step, back.level, back.current) == (Step.STAY, last_calm, together.level)
    assert suggest([together.level], [], spotter=False) is None
    assert suggest([], []) is None


@given(
    st.lists(
        st.tuples(
            st.sampled_from(range(len(PATH))),
            st.none() | st.floats(0.0, 10.0),
            st.integers(0, 6),
        ),
        max_size=30,
    ),
    st.booleans(),
)
def test_whatever_happened_the_suggestion_is_one_step_at_most(
    history: list[tuple[int, float | None, int]], spotter: bool
) -> None:
    trials = [t for level, mark, day in history for t in tried(PATH[level], mark, day=day)]
    found = suggest(PATH, trials, spotter=spotter)
    assert found is not None
    assert found.level in offered(PATH, spotter)
    assert found.reason
    if found.step is Step.UP:
        assert found.current is not None
        open_now = offered(PATH, spotter)
        at = PATH.index(found.current)
        assert next(level for level in open_now if PATH.index(level) > at) == found.level
        assert len({t.day for t in trials if same_task(t.level, found.current)}) >= DAYS
    if found.step is Step.DOWN:
        newest = [t.mark for t in trials if t.level == found.current and t.mark is not None]
        assert found.current is not None
        assert min(newest) <= found.current.pass_mark - CLEAR_POINTS


def test_the_shares_that_the_rule_is_founded_on() -> None:
    """K of N for whoever passes every second trial, and nine of ten (binomial)."""

    def up(p: float) -> float:
        return sum(math.comb(N, k) * p**k * (1 - p) ** (N - k) for k in range(K, N + 1))

    assert up(0.5) == pytest.approx(0.19, abs=0.005)
    assert up(0.9) == pytest.approx(0.92, abs=0.005)
    # And the rule counts as the formula does: all 2^N rows of passes and misses.
    rows = [[9.0 if n >> k & 1 else 0.0 for k in range(N)] for n in range(2**N)]
    leading = [
        row for row in rows if passed([*tried(EASY, *row[:2]), *tried(EASY, *row[2:], day=1)], EASY)
    ]
    assert len(leading) / len(rows) == up(0.5)


def test_the_shipped_ladder_makes_one_thing_harder_at_a_time() -> None:
    bases = ("firm", "foam", "dome", "disc", "still barrel", "moving barrel")
    assert [level.id for level in PATH] == [level.id for level in shipped_levels()][: len(PATH)]
    for one, other in pairwise(PATH):
        harder = (
            bases.index(other.base) - bases.index(one.base),
            (other.eyes == "closed") - (one.eyes == "closed"),
        )
        assert sum(x > 0 for x in harder) <= 1, other.id
        assert max(harder) <= 1, other.id
        same = harder == (0, 0)
        assert not same or other.feedback != one.feedback or other.seconds > one.seconds


def test_the_shipped_ladder_is_whole() -> None:
    assert {level.base for level in PATH} >= {"firm", "foam", "dome", "disc", "still barrel"}
    assert {level.feedback for level in PATH} == {"full", "faded", "bandwidth", "sound", "none"}
    for level in PATH:
        assert level.spotter == needs_spotter(level)
        assert (level.feedback in ("sound", "none")) or level.eyes == "open"
        words = " ".join(level.cautions).casefold()
        for caution in ("mat", "pain", "load limit", "coach"):
            assert caution in words, (level.id, caution)
        if level.spotter:
            assert "spotter" in words
