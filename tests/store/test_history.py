"""A vaulter's past from the recordings alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.history import NEWEST, History
from swaytrainer.store.home import Home
from swaytrainer.store.recording import Recorder
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.vaulter import Vaulter
from tests.games.scenes import NO_MARK, OUTCOME
from tests.streams import NOON, WREN, board_of, setup_for

SETUP = setup_for(board_of())


def record(home: Home, *outcomes: Outcome, days: int = 0, setup: Setup = SETUP) -> Path:
    made = NOON + timedelta(days=days)
    path = home.new_recording_path(setup.level, setup.vaulter, made)
    recorder = Recorder(path, setup, made.isoformat())
    for outcome in outcomes:
        recorder.append_outcome(outcome)
    recorder.close()
    return path


def test_marks_times_and_terms_come_back(tmp_path: Path) -> None:
    home = Home(tmp_path)
    record(home, OUTCOME, NO_MARK, days=1)
    record(home, replace(OUTCOME, mark=8.0, counts=False))
    past = History(home).of("Wren")
    assert [t.mark for t in past] == [None, OUTCOME.mark, None]
    assert [t.made for t in past] == [NOON, *[NOON + timedelta(days=1)] * 2]
    last = past[-1]
    assert last.level == SETUP.level
    assert (last.feedback, last.rate_hz) == ("full", 80.0)
    assert last.on_board_s == OUTCOME.terms.seconds - OUTCOME.off_board_s


def test_a_namesake_and_damaged_files_are_passed_over(tmp_path: Path) -> None:
    home = Home(tmp_path)
    record(home, OUTCOME)
    record(home, OUTCOME, setup=replace(SETUP, vaulter=Vaulter("a-Wren")), days=1)
    record(home, OUTCOME, days=2).write_bytes(b"damaged")
    assert len(History(home).of("Wren")) == 1
    assert History(home).of("Nobody") == []


def test_a_recording_that_grows_is_read_again(tmp_path: Path) -> None:
    home = Home(tmp_path)
    made = NOON
    path = home.new_recording_path(SETUP.level, WREN, made)
    recorder = Recorder(path, SETUP, made.isoformat())
    past = History(home)
    assert past.of("Wren") == []
    recorder.append_outcome(OUTCOME)
    assert len(past.of("Wren")) == 1
    recorder.append_outcome(OUTCOME)
    assert len(past.of("Wren")) == 2
    recorder.close()


def test_only_the_newest_are_read(tmp_path: Path) -> None:
    home = Home(tmp_path)
    one = record(home, OUTCOME).read_bytes()
    for n in range(NEWEST):
        path = home.new_recording_path(SETUP.level, WREN, NOON + timedelta(days=1, minutes=n))
        path.write_bytes(one)
    assert len(History(home).of("Wren")) == NEWEST
