"""Echo's rules on built leans with known answers."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swaytrainer.players import echo as player
from swaytrainer.players import steered
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Phase
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally, part_earned
from swaytrainer.training.outcome import PartEarned
from swaytrainer.training.tasks.echo import (
    ECHO,
    HOME_PERCENT,
    MEASURES,
    MISSED_PERCENT,
    RIGHT_WITHIN,
    TOES_WITHIN,
    EchoScene,
    EchoTask,
    Part,
    Place,
    places,
)
from swaytrainer.training.tasks.task import Ground
from swaytrainer.training.trial import Trial

#: 10 % of toe share are 12 mm, of right share 20 mm.
FEET = Feet(-80.0, 40.0, -100.0, 100.0)
RATE = 80.0
BODY_N = 450.0
LEVELS = [level for level in shipped_levels() if level.game == "echo"]
LEVEL = next(level for level in LEVELS if level.id == "echo-cave")
HOME = Place(50.0, 40.0)
EXACT = Place(0.0, 0.0)
NUMBERS = dict(LEVEL.task)


def ground(level: Level = LEVEL, seed: int = 5) -> Ground:
    return Ground(level, FEET, RATE, BODY_N, seed)


class Board:
    """Feeds a task with one place after another."""

    def __init__(self, task: EchoTask) -> None:
        self.task = task
        self.n = 0
        self.words: list[str] = []

    @property
    def scene(self) -> EchoScene:
        return self.task.scene

    def stand(self, place: Place, force_n: float = BODY_N, gap: bool = False) -> None:
        x = FEET.left_x_mm + 0.01 * place.right_percent * 200.0
        y = FEET.heel_y_mm + 0.01 * place.toe_percent * 120.0
        sample = CopSample(self.n / RATE, force_n, x, y, 0.0)
        cues = self.task.update(sample, self.n / RATE, gap)
        self.words += [cue.word for cue in cues]
        self.n += 1

    def until(
        self, part: Part, place: Place, limit_s: float = 30.0, force_n: float = BODY_N
    ) -> None:
        for _ in range(round(limit_s * RATE)):
            if self.scene.part is part:
                return
            self.stand(place, force_n)
        raise AssertionError(f"{part} never came")

    def round(self, off: Place = EXACT, force_n: float = BODY_N) -> None:
        """One whole round, the place found again wrong by ``off``."""
        self.until(Part.FEEL, HOME)
        target = self.scene.target
        self.until(Part.HOME, target)
        self.until(Part.RECALL, HOME)
        there = Place(
            target.right_percent + off.right_percent, target.toe_percent + off.toe_percent
        )
        self.until(Part.TOLD, there, force_n=force_n)


def played(offs: list[Place], level: Level = LEVEL) -> EchoTask:
    board = Board(EchoTask(ground(level)))
    for off in offs:
        board.round(off)
    if board.task.rounds == len(offs):
        board.until(Part.OVER, HOME)
    return board.task


def test_who_finds_every_place_has_no_error() -> None:
    task = played([Place(0.0, 0.0)] * 5)
    assert task.done
    found = task.measures()
    assert set(MEASURES) <= set(found)
    assert found["echo_error_percent"] == pytest.approx(0.0, abs=1e-9)
    assert found["echo_spread_percent"] == pytest.approx(0.0, abs=1e-9)
    assert all(answer.caught for answer in task.answers)


def test_a_constant_error_has_no_spread_and_errors_of_known_size() -> None:
    found = played([Place(3.0, 4.0)] * 5).measures()
    assert found["echo_error_percent"] == pytest.approx(5.0)
    assert found["echo_spread_percent"] == pytest.approx(0.0, abs=1e-9)
    assert found["echo_right_error_percent"] == pytest.approx(3.0)
    assert found["echo_toe_error_percent"] == pytest.approx(4.0)


def test_the_spread_is_the_standard_deviation_of_the_errors() -> None:
    offs = [Place(0.0, toe) for toe in (-4.0, -2.0, 0.0, 2.0, 4.0)]
    assert played(offs).measures()["echo_spread_percent"] == pytest.approx(math.sqrt(10.0))


def test_short_and_beyond_are_along_the_way_from_home() -> None:
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    target = board.scene.target
    way = Place(target.right_percent - 50.0, target.toe_percent - 40.0)
    board.round(Place(-0.5 * way.right_percent, -0.5 * way.toe_percent))
    answer = board.task.answers[0]
    assert answer.beyond_percent == pytest.approx(-0.5 * HOME.away(target))
    assert board.words[-1] == "echo_short"
    assert not answer.caught


def test_what_was_felt_counts_and_not_the_moth() -> None:
    """Felt at the rim and found again at the rim: no error."""
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    target = board.scene.target
    rim = Place(target.right_percent + 2.0, target.toe_percent - 2.0)
    board.until(Part.HOME, rim)
    board.until(Part.RECALL, HOME)
    board.until(Part.TOLD, rim)
    assert board.task.answers[0].error_percent == pytest.approx(0.0, abs=1e-9)


def test_nothing_is_called_home_that_is_not_left() -> None:
    """Who stays at the moth has no answer."""
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    target = board.scene.target
    board.until(Part.TOLD, target)
    assert board.task.answers[0].why == "not home"
    assert board.task.answers[0].error_percent == MISSED_PERCENT


def test_who_never_feels_the_place_has_no_answer_and_all_are_missed_in_the_end() -> None:
    board = Board(EchoTask(ground()))
    board.until(Part.OVER, HOME, 120.0)
    assert [a.why for a in board.task.answers] == ["not felt"] * 5
    found = board.task.measures()
    assert found["echo_error_percent"] == MISSED_PERCENT
    assert found["echo_spread_percent"] > 0.9 * MISSED_PERCENT
    assert math.isnan(found["echo_beyond_percent"])


def test_a_missed_round_always_costs_more_than_one_answered_badly() -> None:
    four = [Place(0.0, 0.0)] * 4
    bad = played([*four, Place(0.0, 20.0)]).measures()
    left = played(four).measures()
    for key in MEASURES:
        assert left[key] > bad[key] or key == "echo_right_error_percent"


@pytest.mark.parametrize(("force", "why"), [(0.9, "held"), (1.1, "held"), (0.97, "")])
def test_a_hand_that_holds_on_in_the_dark_spoils_the_answer(force: float, why: str) -> None:
    board = Board(EchoTask(ground()))
    board.round(force_n=force * BODY_N)
    assert board.task.answers[0].why == why


def test_off_the_board_when_it_counts_is_no_answer() -> None:
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    board.until(Part.HOME, board.scene.target)
    board.until(Part.RECALL, HOME)
    board.until(Part.TOLD, Place(math.nan, math.nan), force_n=0.0)
    assert board.task.answers[0].why == "off"


def test_a_gap_begins_the_staying_anew() -> None:
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    target = board.scene.target
    for _ in range(round(0.6 * RATE)):
        board.stand(target)
    held = board.scene.hold
    board.stand(target, gap=True)
    assert 0.0 == board.scene.hold < held


def test_closed_eyes_are_led_by_calls_and_open_ones_are_not() -> None:
    closed = next(level for level in LEVELS if level.eyes == "closed")
    assert closed.spotter
    board = Board(EchoTask(ground(closed)))
    board.until(Part.FEEL, HOME)
    forward = board.scene.target.toe_percent > HOME.toe_percent
    for _ in range(160):
        board.stand(HOME)
    led = [word for word in board.words if word != "echo_look"]
    assert set(led) == {"echo_forward" if forward else "echo_back"}
    assert 2 <= len(led) <= 5  # two seconds, never faster than 2.5 a second
    board = Board(EchoTask(ground()))
    board.until(Part.FEEL, HOME)
    for _ in range(160):
        board.stand(HOME)
    assert board.words == ["echo_look"]


@given(
    st.integers(0, 2**63), st.floats(25, 60), st.floats(42, 58), st.integers(2, 8),
    st.sampled_from([2, 4]), st.floats(14, 30),
)  # fmt: skip
def test_places_lie_away_from_home_within_reach_and_to_all_sides(
    seed: int, toe: float, right: float, rounds: int, ways: int, reach: float
) -> None:
    home = Place(right, toe)
    numbers = {**NUMBERS, "rounds": rounds, "ways": ways, "reach_percent": reach}
    found = places(ground(seed=seed), home, numbers)
    assert found == places(ground(seed=seed), home, numbers)
    assert len(found) == rounds
    for place in found:
        assert HOME_PERCENT < home.away(place) <= reach + 1e-9
        assert TOES_WITHIN[0] <= place.toe_percent <= TOES_WITHIN[1]
        assert RIGHT_WITHIN[0] <= place.right_percent <= RIGHT_WITHIN[1]
    sides = [(p.right_percent > right, p.right_percent < right, p.toe_percent > toe) for p in found]
    assert all(a != b for a, b in pairwise(sides))
    counts = [sides.count(side) for side in set(sides)]
    assert max(counts) - min(counts) <= 1 or len(counts) < ways


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(-400, 400) | st.just(math.nan),
            st.floats(-400, 400) | st.just(math.inf),
            st.floats(0, 2000),
            st.floats(0, 4),
            st.booleans(),
        ),
        max_size=60,
    )
)
def test_whatever_comes_the_measures_are_numbers_in_their_range(
    rows: list[tuple[float, float, float, float, bool]],
) -> None:
    task = EchoTask(ground())
    now = 0.0
    for x, y, force, step, gap in rows:
        now += step
        task.update(CopSample(now, force, x, y, 0.0), now, gap)
        assert 0.0 <= task.scene.hold <= 1.0
        assert 1 <= task.scene.number <= task.rounds
    found = task.measures()
    assert 0.0 <= found["echo_error_percent"] <= MISSED_PERCENT
    assert 0.0 <= found["echo_spread_percent"] <= 2 * MISSED_PERCENT


def test_less_error_never_marks_lower() -> None:
    for level in LEVELS:
        for part in level.parts:
            marks = [part_earned(part, value / 4).earned for value in range(120)]
            assert all(a >= b for a, b in pairwise(marks))
            assert marks[0] > marks[-1]


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_a_skilled_vaulter_passes_and_an_unskilled_one_does_not(level: Level) -> None:
    skilled = [steered.mark_of(player.outcome(1.0, seed, level=level)) for seed in range(1)]
    unskilled = [steered.mark_of(player.outcome(0.0, seed, level=level)) for seed in range(2)]
    assert min(skilled) >= level.pass_mark > sum(unskilled) / 2


def test_every_round_fits_into_the_seconds_of_a_shipped_level() -> None:
    for level in LEVELS:
        numbers = dict(level.task)
        usual_s = 5.0 + numbers["hold_s"] + numbers["wait_s"] + numbers["recall_s"] + 5.0
        assert 2.0 + numbers["rounds"] * usual_s <= level.seconds + 10.0


@pytest.mark.parametrize("cheat", ["stays", "perches", "rail"])
def test_cheats_earn_less_than_honest_play(cheat: str) -> None:
    assert player.play(0.5, 7, cheat) < player.play(0.5, 7)


def test_the_same_samples_give_the_same_trial() -> None:
    assert player.outcome(0.4, 11) == player.outcome(0.4, 11)


def test_the_reason_says_short_or_too_far_or_missed() -> None:
    part = PartEarned("echo_error_percent", 8.0, 3.0, 6.0)
    tally = Tally(60.0, 60.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0)
    said = [
        ECHO.explain(
            LEVEL, part, {"echo_beyond_percent": beyond, "echo_missed_rounds": missed}, tally
        )
        for beyond, missed in ((-7.0, 0.0), (7.0, 0.0), (0.0, 0.0), (0.0, 1.0), (0.0, 3.0))
    ]
    assert said == [
        "You stopped 7 % short: −3.0.",
        "You flew 7 % too far: −3.0.",
        "You came within 8 % of the place: −3.0.",
        "One moth got away without an answer: −3.0.",
        "3 moths got away without an answer: −3.0.",
    ]
    assert (
        len({ECHO.advise(LEVEL, part, {"echo_beyond_percent": b}, tally) for b in (-7, 0, 7)}) == 3
    )


def test_the_lesson_is_short() -> None:
    assert ECHO.lesson[-1][0] <= 20.0
    assert all(len(words) <= 50 for _, words in ECHO.lesson)


def test_after_the_lesson_the_trial_is_a_trial() -> None:
    seen = set()

    def watch(trial: Trial, _sample: CopSample, _events: list[Event]) -> None:
        if trial.phase is Phase.LESSON:
            seen.add(trial.lesson_words)

    steer = player.Player(1.0, 2, None).steer
    outcome = steered.run(LEVEL, steer, 2, rms_mm=1.6, stood=player.HOME, lesson=True, watch=watch)
    assert seen == {words for _, words in ECHO.lesson}
    assert outcome.counts
    assert steered.mark_of(outcome) >= LEVEL.pass_mark
