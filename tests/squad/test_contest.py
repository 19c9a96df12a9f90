from __future__ import annotations

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
    LeastDifference,
    Ruling,
    counted,
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


def test_means_that_tukeys_test_parts_are_told_apart() -> None:
    rng = np.random.default_rng(5)
    drawn = [rng.normal(5.0 + 0.8 * n, 0.5, 3) for n in range(len(NAMES))]
    marks: dict[str, list[float | None]] = {
        name: [float(m) for m in each] for name, each in zip(NAMES, drawn, strict=True)
    }
    lines = {s.vaulter: s for s in standings(CONTEST, attempts(marks))["All"]}
    tested = stats.tukey_hsd(*drawn)
    for n, name in enumerate(NAMES):
        near = {NAMES[m] for m in range(5) if m != n and tested.pvalue[n, m] > 0.05}
        assert set(lines[name].close_to) == near
    assert sum(bool(line.close_to) for line in lines.values()) > 0
    assert any(len(line.close_to) < 4 for line in lines.values())


def test_of_equals_hardly_anybody_is_parted() -> None:
    rng = np.random.default_rng(8)
    parted = 0
    for _ in range(60):
        marks: dict[str, list[float | None]] = {
            name: [float(m) for m in rng.normal(6.0, 0.5, 3)] for name in NAMES
        }
        lines = standings(CONTEST, attempts(marks))["All"]
        parted += any(len(line.close_to) < 4 for line in lines)
    # 5 % of 60 are 3; more than 9 would be drawn once in a thousand times.
    assert parted <= 9


def test_between_two_it_is_students_t_test() -> None:
    a, b = [5.0, 6.0, 7.0], [5.5, 6.5, 7.5]
    limit = LeastDifference([a, b], 2).between(3, 3)
    moved = np.array(a) + limit
    assert stats.ttest_ind(a, moved).pvalue == pytest.approx(0.05, rel=1e-6)


def test_with_one_trial_each_nothing_is_known() -> None:
    assert not LeastDifference([[7.01], [7.0]], 2).known
    one = replace(CONTEST, trials=1)
    lines = standings(one, attempts({"Wren": [7.01], "Tarn": [7.0]}))["All"]
    assert [line.close_to for line in lines[:2]] == [(), ()]


def test_the_draw_is_kept_and_goes_the_other_way_every_second_round() -> None:
    first = CONTEST.order("All", 1)
    assert sorted(first) == sorted(NAMES)
    assert CONTEST.order("All", 2) == first[::-1]
    assert CONTEST.order("All", 3) == first
    # A late entry, or another order in the file, leaves the others as they were.
    late = replace(CONTEST, classes={"All": (*NAMES[::-1], "Late")})
    assert [name for name in late.order("All", 1) if name != "Late"] == list(first)
    orders = {replace(CONTEST, seed=seed).order("All", 1) for seed in range(40)}
    assert len(orders) > 20


def test_who_is_next_goes_round_after_round_and_a_spoilt_trial_is_due_again() -> None:
    order = CONTEST.order("All", 1)
    assert [v for _, v, _ in next_up(CONTEST, [])[:5]] == list(order)
    done = attempts({order[0]: [7.0], order[1]: [None]})
    assert next_up(CONTEST, done)[0] == ("All", order[1], 1)
    file = f"0-{order[0]}.sway"
    ruling = Ruling(order[0], "repeat", "the cable was pulled", file, 1)
    back = replace(CONTEST, rulings=(ruling,))
    assert next_up(back, done)[0] == ("All", order[0], 1)
    gone = replace(CONTEST, rulings=(Ruling(order[1], "withdrawn", "a sore ankle"),))
    assert next_up(gone, done)[0] == ("All", order[2], 1)
    lines = {s.vaulter: s for s in standings(gone, done)["All"]}
    assert lines[order[1]].note == "withdrawn: a sore ankle"
    assert lines[order[0]].note == "2 to come"


def test_what_is_not_the_contests_does_not_count() -> None:
    early = Attempt("Wren", AT - timedelta(minutes=1), 9.0, "a.sway", 1)
    stranger = Attempt("Nobody", AT, 9.0, "b.sway", 1)
    broken = Attempt("Wren", AT, float("nan"), "d.sway", 1)
    mine = Attempt("Wren", AT, 5.0, "c.sway", 1)
    copied = replace(mine, recording="c-copy.sway")
    found = counted(CONTEST, [early, stranger, broken, mine, copied])
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
    assert first == (1, "Otters", pytest.approx(7.5), ("Wren", "Mika"))
    assert (last[0], last[1]) == (None, "Newts"), "one of the two has no whole result"
    marks["Romy"] = marks["Jale"] = [7.5] * 3
    assert [place for place, *_ in team_marks(CONTEST, attempts(marks))] == [1, 1]


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
