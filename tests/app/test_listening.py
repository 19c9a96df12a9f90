"""A link's arrivals, taken piece by piece by one reader after the other."""

from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.app.listening import Arrivals
from swaytrainer.board.arrivals import Arrival, Received, Silence
from swaytrainer.board.ear import Ear
from swaytrainer.simulate.scenario import Empty, Scenario
from tests.streams import board_of, received


def test_what_one_reader_leaves_the_next_one_takes() -> None:
    whole = Received(1.0, b"ab\0cd\0ef")
    polled: list[list[Arrival]] = [[whole, Silence(2.0, 0.6)], [Received(3.0, b"gh\0")]]
    arrivals = Arrivals(lambda: polled.pop(0) if polled else [])
    reader = arrivals.one_by_one(lambda: None)
    assert next(reader) == Received(1.0, b"ab\0")
    assert arrivals.poll() == [
        Received(1.0, b"cd\0"),
        Received(1.0, b"ef"),
        Silence(2.0, 0.6),
        Received(3.0, b"gh\0"),
    ]
    assert arrivals.poll() == []


def test_meanwhile_runs_only_when_there_is_nothing_left() -> None:
    polled: list[list[Arrival]] = [[Received(1.0, b"a\0b\0")], [], [Received(2.0, b"c\0")]]
    waited = []
    reader = Arrivals(lambda: polled.pop(0)).one_by_one(lambda: waited.append(len(polled)))
    assert [next(reader) for _ in range(3)] == [
        Received(1.0, b"a\0"),
        Received(1.0, b"b\0"),
        Received(2.0, b"c\0"),
    ]
    assert waited == [2, 1]


@given(st.integers(0, 10_000), st.integers(1, 60))
def test_where_a_reader_stops_is_told_by_the_bytes_alone(cut_seed: int, stop: int) -> None:
    """However the bytes arrive, the first reader's samples and the second's are the same."""

    def samples(pieces: int | None) -> tuple[list[float], list[float]]:
        board = board_of(1)
        polled: list[Arrival] = list(received(board, Scenario((Empty(1.0),)), pieces=pieces))
        arrivals = Arrivals(lambda: [polled.pop(0)] if polled else [])
        ear = Ear(80.0)
        first: list[float] = []
        for item in arrivals.one_by_one(lambda: None):
            assert isinstance(item, Received)
            first += [h.time_s for h in ear.hear(item)]
            if len(first) == stop:
                break
        rest: list[float] = []
        while items := arrivals.poll():
            for item in items:
                assert isinstance(item, Received)
                rest += [h.time_s for h in ear.hear(item)]
        return first, rest

    assert samples(cut_seed) == samples(None)
