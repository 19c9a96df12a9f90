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
    Call,
    Contest,
    Ruling,
    Stage,
    StandOff,
    counted,
    next_up,
    sort_out,
    why_again,
)
from swaytrainer.squad.contest_places import (
    LeastDifference,
    Standing,
    may_stand_off,
    open_places,
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


def due(name: str, number: int = 1, stage: Stage = Stage.ROUND) -> Call:
    return Call("All", name, stage, number)


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
    each = [6.1, 7.4, 5.3]
    [line] = [s for s in standings(CONTEST, attempts({"Wren": list(each)}))["All"] if s.marks]
    assert line.mean == pytest.approx(np.mean(each), abs=1e-12)
    assert (line.best, line.spread) == (max(each), pytest.approx(np.ptp(each)))


def test_marks_count_as_they_are_shown() -> None:
    """Two whose shown marks are alike share their place, whatever the third decimal says."""
    marks: dict[str, list[float | None]] = {
        "Wren": [9.2447, 8.827, 9.0146], "Tarn": [9.151, 8.849, 9.049],
    }  # fmt: skip
    lines = {s.vaulter: s for s in standings(CONTEST, attempts(marks))["All"] if s.marks}
    assert lines["Wren"].marks == (*lines["Tarn"].marks[:2], 9.0) == (9.2, 8.8, 9.0)
    assert lines["Wren"].place == lines["Tarn"].place == 1
    # What stands on the scoreboard adds up.
    assert lines["Wren"].mean == pytest.approx((9.2 + 8.8 + 9.0) / 3, abs=1e-12)


def test_before_the_end_more_trials_come_first_and_then_the_better_mean() -> None:
    marks: dict[str, list[float | None]] = {
        "Wren": [5.0, 6.0], "Tarn": [7.0, 7.0], "Mika": [9.0],
    }  # fmt: skip
    lines = standings(CONTEST, attempts(marks))["All"]
    assert [line.vaulter for line in lines[:3]] == ["Tarn", "Wren", "Mika"]


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
    assert [call.vaulter for call in next_up(CONTEST, [])[:5]] == list(order)
    done = attempts({order[0]: [7.0], order[1]: [None]})
    assert next_up(CONTEST, done)[0] == due(order[1])
    file = f"0-{order[0]}.sway"
    ruling = Ruling(order[0], "repeat", "the cable was pulled", file, 1)
    back = replace(CONTEST, rulings=(ruling,))
    assert next_up(back, done)[0] == due(order[0])
    gone = replace(CONTEST, rulings=(Ruling(order[1], "withdrawn", "a sore ankle"),))
    assert next_up(gone, done)[0] == due(order[2])
    lines = {s.vaulter: s for s in standings(gone, done)["All"]}
    assert lines[order[1]].note == "withdrawn: a sore ankle"
    assert lines[order[0]].note == "1 of 3 done"


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
        rounds = [call.number for call in coming if call.vaulter == name]
        assert rounds == list(range(min(good, 3) + 1, 4))
    # The order of the files does not matter, nor that they are read twice.
    assert repr(standings(CONTEST, made)) == repr(standings(CONTEST, [*reversed(made), *made]))


def test_warm_ups_come_first_and_never_count_nor_does_a_ruling_make_one_of_a_trial() -> None:
    warm = replace(CONTEST, warm_up=1)
    assert next_up(warm, [])[0].stage is Stage.WARM_UP
    # The last warm-up goes as the first round will.
    assert [c.vaulter for c in next_up(warm, [])[:5]] == list(warm.order("All", 1))
    tried = attempts({"Wren": [9.9, 5.0, 6.0]})
    assert [a.mark for a in sort_out(warm, tried)["Wren"].warm_ups] == [9.9]
    assert [a.mark for a in counted(warm, tried)["Wren"]] == [5.0, 6.0]
    # Taking the warm-up back changes nothing: the next trial doesn't become one.
    back = replace(warm, rulings=(Ruling("Wren", "repeat", "a cough", "0-Wren.sway", 1),))
    assert [a.mark for a in counted(back, tried)["Wren"]] == [5.0, 6.0]


def test_who_is_missed_comes_after_the_others_of_the_round_then_of_the_next() -> None:
    order = CONTEST.order("All", 1)
    once = next_up(CONTEST, [], [due(order[0])])
    assert [c.vaulter for c in once[:5]] == [*order[1:], order[0]]
    assert once[4].number == 1
    twice = next_up(CONTEST, [], [due(order[0])] * 2)
    assert [c.vaulter for c in twice[:4]] == list(order[1:])
    at = [n for n, c in enumerate(twice) if c.vaulter == order[0]]
    assert [twice[n].number for n in at] == [1, 2, 3], "her turns stay in their order"
    assert at[0] >= 8
    # Whoever comes after all has lost nothing.
    assert sorted(map(str, twice)) == sorted(map(str, next_up(CONTEST, [])))


def test_a_trial_without_a_mark_is_due_at_once_and_says_why() -> None:
    first = CONTEST.order("All", 1)[0]
    spoilt = Attempt(first, AT, None, "a.sway", 1, "The signal was lost.")
    assert next_up(CONTEST, [spoilt])[0] == due(first)
    assert why_again(CONTEST, [spoilt], first) == "The signal was lost."
    good = Attempt(first, AT + timedelta(minutes=1), 7.0, "b.sway", 1)
    assert why_again(CONTEST, [spoilt, good], first) == ""
    ruled = replace(CONTEST, rulings=(Ruling(first, "repeat", "a dog", "b.sway", 1),))
    assert why_again(ruled, [spoilt, good], first) == "a dog"


MARKS: dict[str, list[float | None]] = {
    "Wren": [7.0, 7.2, 7.4], "Tarn": [7.1, 7.2, 7.2], "Mika": [3.0, 3.2, 3.1],
    "Romy": [9.0, 9.1, 8.9], "Jale": [5.0, 5.1, 4.9],
}  # fmt: skip


def test_neighbours_who_cannot_be_told_apart_may_stand_off_and_nobody_else_moves() -> None:
    tried = attempts(MARKS)
    lines = standings(CONTEST, tried)["All"]
    assert [line.vaulter for line in lines] == ["Romy", "Wren", "Tarn", "Jale", "Mika"]
    assert open_places(lines) == [("Wren", "Tarn")]
    since = AT + timedelta(hours=5)
    off = replace(CONTEST, stand_offs=(StandOff(("Wren", "Tarn"), since),))
    calls = next_up(off, tried)
    assert {(c.vaulter, c.stage) for c in calls} == {
        ("Wren", Stage.STAND_OFF), ("Tarn", Stage.STAND_OFF),
    }  # fmt: skip
    one = Attempt("Wren", since, 6.0, "w.sway", 1)
    assert [s.vaulter for s in standings(off, [*tried, one])["All"]][1] == "Wren", "not yet"
    both = [*tried, one, Attempt("Tarn", since, 6.5, "t.sway", 1)]
    after = standings(off, both)["All"]
    assert [(s.place, s.vaulter) for s in after] == [
        (1, "Romy"), (2, "Tarn"), (3, "Wren"), (4, "Jale"), (5, "Mika"),
    ]  # fmt: skip
    assert [s.mean for s in after if s.vaulter == "Tarn"] == pytest.approx(
        [np.mean([7.1, 7.2, 7.2])]
    )
    assert next_up(off, both) == []
    assert team_marks(off, both) == team_marks(CONTEST, tried)


def test_a_stand_off_of_people_far_apart_decides_nothing() -> None:
    off = replace(CONTEST, stand_offs=(StandOff(("Romy", "Mika")),))
    both = [
        *attempts(MARKS),
        Attempt("Romy", AT + timedelta(hours=6), 1.0, "r.sway", 1),
        Attempt("Mika", AT + timedelta(hours=6), 9.9, "m.sway", 1),
    ]
    assert [s.vaulter for s in standings(off, both)["All"]] == [
        "Romy", "Wren", "Tarn", "Jale", "Mika",
    ]  # fmt: skip


def test_equal_marks_in_a_stand_off_leave_the_order() -> None:
    off = replace(CONTEST, stand_offs=(StandOff(("Wren", "Tarn")),))
    both = [
        *attempts(MARKS),
        Attempt("Wren", AT + timedelta(hours=6), 6.0, "w.sway", 1),
        Attempt("Tarn", AT + timedelta(hours=6), 6.0, "t.sway", 1),
    ]
    assert [s.vaulter for s in standings(off, both)["All"]][1:3] == ["Wren", "Tarn"]


def test_who_may_stand_off_are_whole_runs_of_neighbours_that_are_open() -> None:
    def line(place: int, name: str, *close: str) -> Standing:
        return Standing(place, name, (7.0,), 7.0, 7.0, 0.0, close)

    near = [line(1, "A", "B", "C"), line(2, "B", "A", "C"), line(3, "C", "A", "B"), line(4, "D")]
    assert may_stand_off(near, ["A", "B"])
    assert may_stand_off(near, ["C", "B", "A"])
    assert not may_stand_off(near, ["A", "C"]), "B stands between"
    assert not may_stand_off(near, ["C", "D"]), "told apart"
    assert not may_stand_off(near, ["A", "Z"])
    shared = [line(1, "A"), line(1, "B"), line(1, "C")]
    assert may_stand_off(shared, ["A", "B", "C"])
    assert not may_stand_off(shared, ["A", "B"]), "C shares their place"
