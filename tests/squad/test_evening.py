from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.squad.evening import HOLDS_S, Happened, Kind, evening_day, evening_of
from swaytrainer.squad.plan import Group, Plan

AT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
NAMES = ("Wren", "Tarn", "Mika")
PLAN = Plan((Group("All", NAMES, ("a", "b"), 6.0),))


def later(minutes: float) -> datetime:
    return AT + timedelta(minutes=minutes)


def trained(name: str, level: str, minutes: float = 0.0, seconds: float = 60.0) -> Happened:
    return Happened(Kind.TRAINED, name, later(minutes), level, seconds, 180.0)


def test_the_plans_order_is_called() -> None:
    assert evening_of(PLAN).calls(AT) == NAMES


def test_who_has_trained_goes_to_the_end_and_rests() -> None:
    line = evening_of(PLAN, [trained("Wren", "a")])
    assert line.calls(later(1)) == ("Tarn", "Mika", "Wren")
    turn = line.turn("Wren")
    assert turn is not None
    assert (turn.levels, turn.minutes_left) == (("b",), 5.0)


def test_while_all_rest_the_longest_rested_is_called() -> None:
    line = evening_of(
        PLAN, [trained("Mika", "a", 0), trained("Wren", "a", 1), trained("Tarn", "a", 2)]
    )
    assert line.calls(later(2)) == ("Mika", "Wren", "Tarn")
    assert line.calls(later(4.5))[:2] == ("Mika", "Wren")


def test_a_resting_one_is_not_called_while_another_can() -> None:
    only = Plan((Group("A", ("Wren", "Tarn"), ("a", "b")),))
    line = evening_of(only, [trained("Wren", "a"), Happened(Kind.MISSED, "Tarn", later(0.5))])
    assert line.calls(later(1)) == ("Tarn", "Wren"), (
        "Tarn is behind in the line, but has not trained"
    )


def test_a_missed_one_goes_to_the_end_and_is_called_again() -> None:
    line = evening_of(PLAN, [Happened(Kind.MISSED, "Wren", AT)])
    assert line.calls(AT) == ("Tarn", "Mika", "Wren")
    turn = line.turn("Wren")
    assert turn is not None
    assert turn.missed == 1


def test_done_when_the_levels_or_the_minutes_are() -> None:
    line = evening_of(PLAN, [trained("Wren", "a", 0), trained("Wren", "b", 9)])
    assert "Wren" not in line.calls(later(60))
    line = evening_of(PLAN, [trained("Wren", "a", 0, seconds=400.0)])
    assert "Wren" not in line.calls(later(60))
    free = Plan((Group("A", ("Wren",)),))
    assert evening_of(free, [trained("Wren", "x")]).calls(later(9)) == ("Wren",)


def test_away_and_back() -> None:
    line = evening_of(PLAN, [Happened(Kind.AWAY, "Tarn", AT)])
    assert line.calls(AT) == ("Wren", "Mika")
    assert line.after(Happened(Kind.BACK, "Tarn", AT)).calls(AT) == NAMES


EVENTS = st.builds(
    Happened,
    st.sampled_from(Kind),
    st.sampled_from([*NAMES, "Stranger"]),
    st.floats(0, 100).map(later),
    st.sampled_from(["", "a", "b"]),
    st.floats(0, 120),
    st.floats(0, 300),
)


@given(st.lists(EVENTS, max_size=40))
def test_nobody_is_lost_and_nobody_twice(events: list[Happened]) -> None:
    line = evening_of(PLAN, events)
    assert sorted(turn.name for turn in line.turns) == sorted(NAMES)
    called = line.calls(later(50))
    assert len(set(called)) == len(called)
    expected = {t.name for t in line.turns if not (t.done or t.away)}
    assert set(called) == expected


def test_a_level_that_is_planned_twice_is_done_twice() -> None:
    twice = Plan((Group("A", ("Wren",), ("a", "b", "a")),))
    turn = evening_of(twice, [trained("Wren", "a")]).turn("Wren")
    assert turn is not None
    assert turn.levels == ("b", "a")


# Several boards -----------------------------------------------------------------------------------


def called(name: str, station: str, minutes: float = 0.0, holds_s: float = HOLDS_S) -> Happened:
    return Happened(Kind.CALLED, name, later(minutes), seconds=holds_s, station=station)


def test_an_evening_ends_at_four_in_the_morning() -> None:
    berlin = timezone(timedelta(hours=1))
    assert evening_day(datetime(2026, 11, 26, 3, 59, tzinfo=berlin)) == date(2026, 11, 25)
    assert evening_day(datetime(2026, 11, 26, 4, 0, tzinfo=berlin)) == date(2026, 11, 26)


def test_nobody_is_called_at_two_boards() -> None:
    line = evening_of(PLAN, [called("Wren", "left")])
    assert line.calls(AT, "left") == NAMES
    assert line.calls(AT, "right") == ("Tarn", "Mika")
    assert line.calls(AT) == NAMES  # the whole line
    # Of two that call the same one, whoever was written first holds her.
    assert line.after(called("Wren", "right")) == line


def test_a_call_ends_by_what_happens_or_by_itself() -> None:
    line = evening_of(PLAN, [called("Wren", "left")])
    assert line.calls(later(10.1), "right")[0] == "Wren"  # the station died
    for over in (
        Happened(Kind.FREED, "Wren", later(1), station="left"),
        called("Tarn", "left", 1),  # a board calls one at a time
        Happened(Kind.BACK, "Wren", later(1)),
    ):
        assert "Wren" in line.after(over).calls(later(1), "right")
    # Freed by a station that did not hold her: nothing.
    assert line.after(Happened(Kind.FREED, "Wren", later(1), station="right")) == line


def test_whoever_is_called_stays_called_though_another_is_free_again() -> None:
    line = evening_of(PLAN, [called("Wren", "left"), called("Tarn", "right")])
    line = line.after(Happened(Kind.FREED, "Wren", AT, station="left"))
    assert line.calls(AT, "right") == ("Tarn", "Wren", "Mika")


def test_a_group_of_a_station_is_called_there_alone_and_the_others_anywhere() -> None:
    plan = Plan(
        (
            Group("A", ("Wren",), station="left"),
            Group("B", ("Tarn",), station="right"),
            Group("C", ("Mika",)),
        )
    )
    line = evening_of(plan)
    assert line.calls(AT, "left") == ("Wren", "Mika")
    assert line.calls(AT, "right") == ("Tarn", "Mika")
    assert line.calls(AT, "third") == ("Mika",)
    assert plan.stations == ("left", "right")


STATIONS = ("left", "right", "third")
BOARD_EVENTS = st.builds(
    Happened,
    st.sampled_from(Kind),
    st.sampled_from(NAMES),
    st.just(AT),
    st.sampled_from(["", "a", "b"]),
    st.floats(1.0, 60.0),
    st.floats(0, 300),
    st.sampled_from(STATIONS),
)


@given(st.lists(BOARD_EVENTS, max_size=40))
def test_whatever_happens_no_two_boards_call_the_same_one_first(events: list[Happened]) -> None:
    """Each board calls whom the line gives it, in turn, as the gym's screen does."""
    line = evening_of(PLAN, events)
    firsts = []
    for station in STATIONS:
        waiting = line.calls(AT, station)
        if waiting:
            line = line.after(called(waiting[0], station))
            firsts.append(waiting[0])
            assert line.calls(AT, station)[0] == waiting[0]
    assert len(firsts) == len(set(firsts))
