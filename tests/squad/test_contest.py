from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from swaytrainer.squad.contest import (
    Attempt,
    Contest,
    Ruling,
    counted,
    least_difference,
    next_up,
    standings,
    team_marks,
)

AT = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
NAMES = ("Wren", "Tarn", "Mika", "Romy", "Jale")
CONTEST = Contest(
    "Autumn cup", "open", 3, AT, AT + timedelta(hours=9), 4711, {"All": NAMES},
    {"Otters": ("Wren", "Tarn", "Mika"), "Newts": ("Romy", "Jale")}, 2,
)  # fmt: skip


def attempts(marks: dict[str, list[float | None]]) -> list[Attempt]:
    return [
        Attempt(name, AT + timedelta(minutes=10 * n + k), mark, f"{n}-{name}.sway", 1)
        for k, (name, each) in enumerate(marks.items())
        for n, mark in enumerate(each)
    ]


def places(marks: dict[str, list[float | None]]) -> list[tuple[int | None, str]]:
    return [(s.place, s.vaulter) for s in standings(CONTEST, attempts(marks))["All"]]


def test_equal_means_are_parted_by_the_best_then_the_spread_then_shared() -> None:
    marks: dict[str, list[float | None]] = {
        "Wren": [7.0, 7.0, 7.0],
        "Tarn": [6.0, 7.0, 8.0],
        "Mika": [8.0, 6.0, 7.0],
        "Romy": [9.0, 9.0, 9.0],
        "Jale": [5.0, 5.0, 5.0],
    }
    # Standard competition ranking: 1 2 2 4 5, as SciPy's "min" method ranks.
    assert places(marks) == [(1, "Romy"), (2, "Mika"), (2, "Tarn"), (4, "Wren"), (5, "Jale")]
    key = [-9.0, -7.8, -7.8, -7.0, -5.0]  # mean, parted by the best
    assert [p for p, _ in places(marks)] == list(stats.rankdata(key, method="min"))


def test_mean_best_and_spread_are_numpys() -> None:
    each = [6.1, 7.4, 5.25]
    [line] = [s for s in standings(CONTEST, attempts({"Wren": list(each)}))["All"] if s.marks]
    assert line.mean == pytest.approx(np.mean(each), abs=1e-12)
    assert (line.best, line.spread) == (max(each), pytest.approx(np.ptp(each)))


def test_the_least_difference_is_the_t_tests_with_the_pooled_deviation() -> None:
    rng = np.random.default_rng(5)
    marks = {name: list(rng.normal(6, 0.5, 3)) for name in NAMES}
    lines = {s.vaulter: s for s in standings(CONTEST, attempts(marks))["All"]}
    pooled = math.sqrt(np.mean([np.var(each, ddof=1) for each in marks.values()]))
    limit = least_difference((pooled, 10), 3, 3)
    assert limit == pytest.approx(stats.t.ppf(0.975, 10) * pooled * math.sqrt(2 / 3), rel=1e-9)
    for line in lines.values():
        near = {o.vaulter for o in lines.values() if o != line and abs(o.mean - line.mean) < limit}
        assert set(line.close_to) == near
    assert any(line.close_to for line in lines.values())
    # With two vaulters it is Student's t test itself: p = 0.05 at that very difference.
    a, b = np.array([5.0, 6.0, 7.0]), np.array([5.5, 6.5, 7.5])
    b += least_difference((1.0, 4), 3, 3) - 0.5
    assert stats.ttest_ind(a, b).pvalue == pytest.approx(0.05, rel=1e-9)


def test_the_draw_is_kept_and_goes_the_other_way_every_second_round() -> None:
    first = CONTEST.order("All", 1)
    assert sorted(first) == sorted(NAMES)
    assert CONTEST.order("All", 2) == first[::-1]
    assert CONTEST.order("All", 3) == first
    orders = {replace(CONTEST, seed=seed).order("All", 1) for seed in range(40)}
    assert len(orders) > 20


def test_who_is_next_goes_round_after_round_and_a_spoilt_trial_is_due_again() -> None:
    order = CONTEST.order("All", 1)
    assert [v for _, v, _ in next_up(CONTEST, [])[:5]] == list(order)
    done = attempts({order[0]: [7.0], order[1]: [None]})
    assert next_up(CONTEST, done)[0] == ("All", order[1], 1)
    back = replace(CONTEST, rulings=(Ruling(order[0], "repeat", "the cable was pulled", 1),))
    assert next_up(back, done)[0] == ("All", order[0], 1)
    gone = replace(CONTEST, rulings=(Ruling(order[1], "withdrawn", "a sore ankle"),))
    assert next_up(gone, done)[0] == ("All", order[2], 1)
    lines = {s.vaulter: s for s in standings(gone, done)["All"]}
    assert lines[order[1]].note == "withdrawn: a sore ankle"
    assert lines[order[0]].note == "2 to come"


def test_what_is_not_the_contests_does_not_count() -> None:
    early = Attempt("Wren", AT - timedelta(minutes=1), 9.0, "a.sway", 1)
    stranger = Attempt("Nobody", AT, 9.0, "b.sway", 1)
    mine = Attempt("Wren", AT, 5.0, "c.sway", 1)
    copied = replace(mine, recording="c-copy.sway")
    found = counted(CONTEST, [early, stranger, mine, copied])
    assert [a.mark for a in found["Wren"]] == [5.0]
    assert "Nobody" not in found


def test_a_class_of_one_has_a_first() -> None:
    alone = replace(CONTEST, classes={"One": ("Wren",)}, teams={})
    [line] = standings(alone, attempts({"Wren": [5.0, 6.0, 7.0]}))["One"]
    assert (line.place, line.close_to) == (1, ())


def test_teams_take_their_best() -> None:
    marks: dict[str, list[float | None]] = {
        "Wren": [8.0] * 3, "Tarn": [6.0] * 3, "Mika": [7.0] * 3, "Romy": [9.0] * 3, "Jale": [5.0],
    }  # fmt: skip
    first, last = team_marks(CONTEST, attempts(marks))
    assert first == ("Otters", 7.5, ("Wren", "Mika"))
    assert last[0] == "Newts"
    assert math.isnan(last[1]), "one of the two has no whole result"


@given(
    st.lists(st.tuples(st.sampled_from(NAMES), st.one_of(st.none(), st.floats(0, 10))), max_size=40)
)
def test_wherever_it_is_cut_off_it_goes_on_and_nothing_counts_twice(
    tried: list[tuple[str, float | None]],
) -> None:
    made = [
        Attempt(name, AT + timedelta(minutes=n), mark, f"{n}.sway", 1)
        for n, (name, mark) in enumerate(tried)
    ]
    coming = next_up(CONTEST, made)
    for name in NAMES:
        good = sum(mark is not None for who, mark in tried if who == name)
        due = [number for _, vaulter, number in coming if vaulter == name]
        assert due == list(range(min(good, 3) + 1, 4))
    # The order of the files does not matter, nor that they are read twice.
    assert repr(standings(CONTEST, made)) == repr(standings(CONTEST, [*reversed(made), *made]))
