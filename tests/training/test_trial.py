"""The hands-free trial, walked through with built samples in board time."""

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Happening, Phase, Where
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.training.trial import Trial

LEVEL = shipped_levels()[0]
FEET = Feet(-80.0, 40.0, -100.0, 100.0)
EVEN_Y = -30.0  # toe share 41.7 %: inside 30-55
RATE = 80.0
BODY_N = 450.0


class Board:
    """Feeds a trial second by second."""

    def __init__(self, trial: Trial | None = None) -> None:
        self.trial = trial or Trial(LEVEL, FEET, RATE, "causal")
        self.n = 0
        self.events: list[Event] = []

    def feed(
        self,
        seconds: float,
        force_n: float = BODY_N,
        y_mm: float = EVEN_Y,
        sway_mm: float = 2.0,
        gap: bool = False,
        x_mm: float = 0.0,
        fault: str | None = None,
    ) -> list[Event]:
        new: list[Event] = []
        for k in range(round(seconds * RATE)):
            t = self.n / RATE
            # A circle of radius sway_mm at 0.5 Hz: a speed of π·sway_mm in mm/s.
            x, y = x_mm + sway_mm * math.sin(math.pi * t), y_mm + sway_mm * math.cos(math.pi * t)
            if force_n < 40.0:
                x = y = math.nan
            sample = CopSample(t, force_n, x, y, 0.0)
            new += self.trial.update(sample, gap and k == 0, fault)
            if new and new[-1].outcome is not None and new[-1].time_s == t:
                self.account(new[-1].outcome)
            self.n += 1
        self.events += new
        return new

    def account(self, outcome: Outcome) -> None:
        """Every second of a trial that was not broken off is booked, and once."""
        tally = self.trial.ledger.tally(LEVEL.seconds)
        booked = tally.inside_s + tally.toes_s + tally.heels_s + tally.off_board_s + tally.lost_s
        if outcome.ended in ("complete", "stepped off"):
            assert booked == pytest.approx(LEVEL.seconds, abs=1.5 / RATE)

    def to_running(self) -> None:
        self.feed(1.0, 0.0)
        begin = self.n
        while self.trial.phase is not Phase.RUNNING:
            self.feed(1 / RATE)
            assert self.n - begin < 20 * RATE

    def kinds(self) -> list[Happening]:
        return [e.happening for e in self.events]


def test_a_whole_trial_without_a_hand() -> None:
    board = Board()
    board.feed(2.0, 0.0)
    assert board.trial.phase is Phase.WAITING
    board.feed(1.0)
    assert board.trial.phase is Phase.SETTLING
    board.feed(1.5)
    assert board.trial.phase is Phase.COUNTDOWN
    board.feed(3.0)
    assert board.trial.phase is Phase.RUNNING
    assert board.trial.body_n == pytest.approx(BODY_N)
    [*_, ended] = board.feed(20.5, sway_mm=2.0)
    assert board.kinds() == [
        Happening.STEPPED_ON,
        Happening.COUNTDOWN_TICK,
        Happening.COUNTDOWN_TICK,
        Happening.COUNTDOWN_TICK,
        Happening.TRIAL_STARTED,
        Happening.HALF_TIME,
        Happening.TRIAL_ENDED,
    ]
    assert [e.number for e in board.events if e.happening is Happening.COUNTDOWN_TICK] == [3, 2, 1]
    started, half, end = (e.time_s for e in board.events[-3:])
    assert half - started == pytest.approx(10.0, abs=1 / RATE)
    assert end - started == pytest.approx(20.0, abs=1e-6)
    outcome = ended.outcome
    assert outcome is not None
    assert outcome.ended == "complete"
    assert outcome.measures["time_in_band_percent"] == pytest.approx(100.0)
    # The circle's speed: the closed form 2R·sin(πf/f_s)·f_s.
    assert outcome.measures["mean_speed_mm_s"] == pytest.approx(
        2 * 2.0 * math.sin(math.pi * 0.5 / RATE) * RATE, rel=2e-3
    )
    assert outcome.measures["path_length_mm"] / outcome.measures["mean_speed_mm_s"] == (
        pytest.approx(20.0 - 1 / RATE)
    )


def test_rest_then_the_next_and_the_end() -> None:
    board = Board()
    for number in (1, 2, 3):
        board.to_running()
        assert board.trial.number == number
        board.feed(20.1)
        assert board.trial.phase is Phase.RESULT
        assert board.trial.number == number
        board.feed(5.0, 0.0)
        if number < 3:
            assert board.trial.phase is Phase.RESTING
            assert 0 < board.trial.left_s < 20
            board.feed(16.0, 0.0)
            assert board.trial.phase is Phase.WAITING
    assert board.trial.phase is Phase.FINISHED
    assert len(board.trial.marks) == 3
    board.feed(1.0, 0.0)
    board.feed(0.5)
    assert board.trial.phase is Phase.SETTLING, "one more go is a step away"
    assert board.trial.number == 4


def test_staying_on_after_the_last_trial_starts_nothing() -> None:
    board = Board(Trial(replace(LEVEL, trials=1), FEET, RATE, "causal"))
    board.to_running()
    board.feed(60.0)
    assert board.trial.phase is Phase.FINISHED


@pytest.mark.parametrize("seconds_on", [0.5, 2.0, 4.0])
def test_leaving_early_waits_again(seconds_on: float) -> None:
    board = Board()
    board.feed(1.0, 0.0)
    board.feed(seconds_on)
    board.feed(0.5, 0.0)
    assert board.trial.phase is Phase.WAITING
    assert board.kinds()[-1] is Happening.LEFT_EARLY


def test_a_restless_start_begins_all_the_same() -> None:
    board = Board()
    board.feed(1.0, 0.0)
    for _ in range(50):
        board.feed(0.1, 350.0)
        board.feed(0.1, 550.0)
    assert board.trial.phase in (Phase.COUNTDOWN, Phase.RUNNING)


def test_stepping_off_and_back_is_counted_timed_and_kept() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.feed(2.0, 0.0)
    assert board.trial.phase is Phase.OFF
    board.feed(1.0)
    assert board.trial.phase is Phase.RUNNING
    board.feed(12.5)
    outcome = board.trial.outcome
    assert outcome is not None
    assert (outcome.ended, outcome.step_offs, outcome.counts) == ("complete", 1, True)
    assert outcome.off_board_s == pytest.approx(2.0, abs=0.05)
    assert outcome.measures["time_in_band_percent"] == pytest.approx(90.0, abs=0.5)
    assert outcome.mark is not None
    assert outcome.mark < 9.0
    assert any(math.isnan(x) for x, _ in board.trial.path_mm), "the path shows the break"


def test_not_coming_back_ends_the_trial_and_the_rest_of_it_is_off_the_board() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.feed(4.5, 0.0)
    outcome = board.trial.outcome
    assert outcome is not None
    assert outcome.ended == "stepped off"
    assert outcome.off_board_s == pytest.approx(15.0, abs=0.1)
    assert outcome.mark is not None
    assert outcome.mark < 5.0


def test_one_foot_off_is_off() -> None:
    board = Board()
    board.to_running()
    board.feed(1.0)
    board.feed(0.5, 0.45 * BODY_N)
    assert board.trial.phase is Phase.OFF


def test_toes_are_heard_of_and_tallied() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0, y_mm=0.0)  # toe share 66.7 %
    assert board.trial.where is Where.TOES
    board.feed(5.0, y_mm=-60.0)  # 16.7 %
    assert board.trial.where is Where.HEELS
    board.feed(10.1)
    outcome = board.trial.outcome
    assert outcome is not None
    assert outcome.measures["time_in_band_percent"] == pytest.approx(50.0, abs=0.2)


@pytest.mark.parametrize(("gap_s", "counts"), [(0.05, True), (0.3, False)])
def test_a_gap_is_lost_time_and_a_long_one_spoils_the_trial(gap_s: float, counts: bool) -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.n += round(gap_s * RATE)
    board.feed(16.0, gap=True)
    outcome = board.trial.outcome
    assert outcome is not None
    assert outcome.lost_s == pytest.approx(gap_s, abs=1.5 / RATE)
    assert outcome.counts is counts
    assert outcome.measures["time_in_band_percent"] == pytest.approx(100.0, abs=0.2)


def test_a_path_is_not_bridged_over_a_gap() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.n += 4
    board.feed(16.0, y_mm=EVEN_Y + 10.0, gap=True)
    assert board.trial.outcome is not None
    # The jump of ten millimetres over the gap is not walked.
    speed = 2 * 2.0 * math.sin(math.pi * 0.5 / RATE) * RATE
    assert board.trial.outcome.measures["path_length_mm"] == pytest.approx(19.95 * speed, rel=2e-3)


def test_a_fault_during_the_trial_spoils_it_and_it_may_be_repeated() -> None:
    board = Board()
    board.to_running()
    board.feed(1.0, fault="The front left cell is stuck.")
    board.feed(20.0)
    outcome = board.trial.outcome
    assert outcome is not None
    assert not outcome.counts
    assert outcome.reason.startswith("The front left cell is stuck.")
    assert board.trial.marks == [None]
    for _ in range(3):
        board.feed(40.0, 0.0)
        board.to_running()
        board.feed(20.1)
    assert len(board.trial.marks) == 4


def test_abort_and_giving_up() -> None:
    board = Board()
    board.to_running()
    board.feed(3.0)
    [event] = board.trial.abort()
    assert event.outcome is not None
    assert (event.outcome.ended, event.outcome.mark) == ("aborted", None)
    board.feed(30.0, 0.0)
    board.to_running()
    [event] = board.trial.give_up()
    assert event.outcome is not None
    assert event.outcome.ended == "signal lost"
    assert board.trial.abort() == ()


def test_skipping_the_settling_and_the_rest() -> None:
    board = Board()
    board.feed(1.0, 0.0)
    board.feed(0.5)
    board.trial.skip()
    assert board.trial.phase is Phase.COUNTDOWN
    assert board.trial.skip() == ()
    board.feed(3.1)
    board.feed(20.0)
    board.trial.skip()
    assert board.trial.phase is Phase.WAITING


def test_half_a_trial_of_silence_is_no_trial() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.n += round(30 * RATE)
    board.feed(0.1, gap=True)
    assert board.trial.outcome is not None
    assert board.trial.outcome.ended == "signal lost"


def test_a_trial_without_signal_begins_with_the_first_sample() -> None:
    assert Trial(LEVEL, FEET, RATE, "causal").left_s == 0.0


@st.composite
def visits(draw: st.DrawFn) -> Iterator[tuple[float, float, float, bool]]:
    piece = st.tuples(
        st.sampled_from([0.05, 0.3, 1.0, 3.0, 9.0]),
        st.sampled_from([0.0, 30.0, 90.0, 200.0, 450.0, 700.0]),
        st.floats(-120.0, 100.0),
        st.booleans(),
    )
    return iter(draw(st.lists(piece, max_size=14)))


@settings(max_examples=40)
@given(visits())
def test_whatever_happens_every_second_is_accounted_for(
    pieces: Iterator[tuple[float, float, float, bool]],
) -> None:
    board = Board()
    for seconds, force, y, gap in pieces:
        board.feed(seconds, force, y, gap=gap)
        assert board.trial.left_s >= 0.0
    board.feed(60.0, 0.0)
    assert board.trial.phase in (Phase.WAITING, Phase.RESTING, Phase.FINISHED)
    for event in board.events:
        if event.outcome is not None and event.outcome.mark is not None:
            assert 0.0 <= event.outcome.mark <= 10.0
            assert 0.0 <= event.outcome.off_board_s <= LEVEL.seconds + 1e-6


def test_a_broken_off_trial_does_not_begin_again_by_itself() -> None:
    board = Board()
    board.to_running()
    board.trial.abort()
    board.trial.skip()
    board.feed(10.0)
    assert board.trial.phase is Phase.WAITING
    assert board.trial.must_step_off
    board.feed(0.5, 0.0)
    assert not board.trial.must_step_off
    board.feed(0.5)
    assert board.trial.phase is Phase.SETTLING
    board.trial.abort()
    board.feed(3.0)
    assert board.trial.phase is Phase.WAITING


def test_who_stands_there_from_the_start_must_step_off_first() -> None:
    board = Board()
    board.feed(5.0)
    assert board.trial.phase is Phase.WAITING
    assert board.trial.must_step_off


def test_the_weight_is_that_of_the_countdown() -> None:
    """Not of the instant at which a key was pressed, nor of a restless settling."""
    board = Board()
    board.feed(1.0, 0.0)
    board.feed(0.5, 130.0)
    board.trial.skip()
    board.feed(3.1)
    assert board.trial.phase is Phase.RUNNING
    assert board.trial.body_n == pytest.approx(BODY_N)


@pytest.mark.parametrize(("gap_s", "phase"), [(0.1, Phase.RUNNING), (5.0, Phase.WAITING)])
def test_a_long_gap_in_the_countdown_begins_anew(gap_s: float, phase: Phase) -> None:
    board = Board()
    board.feed(1.0, 0.0)
    board.feed(2.0)
    assert board.trial.phase is Phase.COUNTDOWN
    board.n += round(gap_s * RATE)
    board.feed(0.05, 0.0 if gap_s > 1 else BODY_N, gap=True)
    board.feed(2.95, 0.0 if gap_s > 1 else BODY_N)
    assert board.trial.phase is phase


def test_a_long_gap_in_the_settling_is_not_stillness() -> None:
    board = Board()
    board.feed(1.0, 0.0)
    board.feed(0.5)
    assert board.trial.phase is Phase.SETTLING
    board.n += round(3 * RATE)
    board.feed(0.5, gap=True)
    assert board.trial.phase is Phase.SETTLING


@pytest.mark.parametrize(
    ("force_n", "x_mm", "sway_mm", "why"),
    [
        (0.8 * BODY_N, 0.0, 2.0, "20 % of the weight was missing"),
        (2.2 * BODY_N, 0.0, 2.0, "somebody else"),
        (BODY_N, 95.0, 2.0, "one foot"),
        (BODY_N, -95.0, 2.0, "one foot"),
        (BODY_N, 0.0, 0.01, "no person"),
    ],
)
def test_what_is_no_honest_stand_does_not_count(
    force_n: float, x_mm: float, sway_mm: float, why: str
) -> None:
    board = Board()
    board.to_running()
    board.feed(20.1, force_n, sway_mm=sway_mm, x_mm=x_mm)
    outcome = board.trial.outcome
    assert outcome is not None
    assert not outcome.counts
    assert why in outcome.reason


def test_somebody_else_stepping_on_in_the_middle_does_not_count() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.feed(1.0, 0.0)
    board.feed(15.0, 2.2 * BODY_N)
    outcome = board.trial.outcome
    assert outcome is not None
    assert not outcome.counts


@pytest.mark.parametrize(
    ("share", "seconds", "counts"), [(0.85, 1.5, False), (0.97, 6.0, False), (0.97, 0.5, True)]
)
def test_a_hand_on_the_rail_is_seen_long_before_the_mean_shows_it(
    share: float, seconds: float, counts: bool
) -> None:
    """The mean over the trial would miss 1 % of the weight in the first two."""
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.feed(seconds, share * BODY_N)
    board.feed(15.5)
    outcome = board.trial.outcome
    assert outcome is not None
    assert outcome.counts is counts
    assert [i.kind.value for i in board.trial.incidents] == ([] if counts else ["support taken"])
    if not counts:
        assert "held on" in outcome.reason


def test_a_tilted_dome_is_no_hand_and_a_moving_barrel_tells_nothing() -> None:
    for base, share, counts in (
        ("dome", 0.985, True),
        ("dome", 0.90, False),
        ("firm", 0.985, False),
        ("moving barrel", 0.90, True),
    ):
        board = Board(Trial(replace(LEVEL, base=base), FEET, RATE, "causal"))
        board.to_running()
        board.feed(5.0)
        board.feed(10.0, share * BODY_N)
        board.feed(5.5)
        assert board.trial.outcome is not None
        assert board.trial.outcome.counts is counts, (base, share)


def test_a_trial_begins_without_the_incidents_of_the_one_before() -> None:
    board = Board()
    board.to_running()
    board.feed(5.0)
    board.feed(3.0, 0.8 * BODY_N)
    board.feed(12.5)
    assert board.trial.incidents
    board.feed(5.0, 0.0)
    board.trial.skip()
    board.to_running()
    assert board.trial.incidents == []


def with_lesson() -> Board:
    return Board(Trial(LEVEL, FEET, RATE, "causal", lesson=True))


def test_a_lesson_comes_once_before_the_first_trial_and_is_not_marked() -> None:
    board = with_lesson()
    board.feed(0.5, 0.0)
    board.feed(12.0)
    assert board.trial.phase is Phase.LESSON
    first = board.trial.lesson_words
    assert first
    assert board.trial.left_s > 0.0
    board.feed(6.0)
    assert board.trial.lesson_words not in ("", first)
    board.feed(12.0)
    happened = [e.happening for e in board.events]
    lesson = happened.index(Happening.LESSON_STARTED)
    ended = happened.index(Happening.LESSON_ENDED)
    seconds = board.events[ended].time_s - board.events[lesson].time_s
    assert 10.0 < seconds <= 20.0
    assert happened.index(Happening.TRIAL_STARTED) > ended
    assert board.trial.marks == []
    board.feed(LEVEL.seconds + 1.0)
    assert len(board.trial.marks) == 1
    board.feed(1.0, 0.0)
    board.feed(60.0)
    happened = [e.happening for e in board.events]
    assert happened.count(Happening.LESSON_STARTED) == 1
    assert happened.count(Happening.TRIAL_STARTED) == 2


def test_a_lesson_can_be_skipped_and_broken_off() -> None:
    board = with_lesson()
    board.feed(0.5, 0.0)
    board.feed(12.0)
    assert next(e.happening for e in board.trial.skip()) is Happening.LESSON_ENDED
    assert board.trial.phase is Phase.COUNTDOWN
    for leave in ("off", "abort", "signal"):
        board = with_lesson()
        board.feed(0.5, 0.0)
        board.feed(12.0)
        if leave == "off":
            board.feed(0.5, 0.0)
        else:
            board.trial.abort() if leave == "abort" else board.trial.give_up()
        assert board.trial.phase is Phase.WAITING
        board.feed(0.5, 0.0)
        board.feed(12.0)
        # It was not seen to its end, so it comes again.
        assert board.trial.phase is Phase.LESSON


def test_every_game_s_lesson_is_short() -> None:
    for kind in KINDS.values():
        ends = [until for until, _ in kind.lesson]
        assert ends == sorted(ends)
        assert ends[-1] <= 20.0, kind.name
