"""A session: the recording begins where the sitting began, and no earlier than it must."""

from datetime import datetime
from pathlib import Path

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn, Weight
from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.recording import Recorder, read_recording
from swaytrainer.store.session import Session
from swaytrainer.store.trials import trials_of
from tests.streams import NOON, board_of, received, setup_for


def test_an_empty_board_is_not_recorded_and_a_long_wait_costs_no_memory(tmp_path: Path) -> None:
    made: list[Recorder] = []

    def make(setup: Setup, now: datetime) -> Recorder:
        made.append(Recorder(tmp_path / "a.sway", setup, now.isoformat()))
        return made[-1]

    board = board_of()
    session = Session(setup_for(board), make, lambda: NOON)
    visit = Scenario((Empty(70.0), StepOn(), Stand(14.0), StepOff(), Empty(3.0)))
    outcome = None
    for item in received(board, visit, pieces=3):
        for event in session.feed(item):
            outcome = event.outcome or outcome
        if not made:
            assert len(session._held) <= 22 * 80
    session.close()
    assert len(made) == 1
    recording = read_recording(tmp_path / "a.sway")
    # Begun anew on the empty board, with the tare of before.
    assert recording.setup.tare_n is not None
    [trial] = trials_of(recording)
    assert trial.same_as_shown is True
    assert trial.outcome == outcome


def test_nothing_is_recorded_where_nothing_is_to_be() -> None:
    board = board_of()
    session = Session(setup_for(board), None, lambda: NOON)
    for item in received(board, Scenario((Empty(2.0), StepOn(), Stand(1.0)))):
        session.feed(item)
    assert session.recorder is None
    assert session.trouble is None
    session.close()


def test_a_bag_on_the_board_costs_no_memory(tmp_path: Path) -> None:
    """Its zero is never found, nobody steps on: nothing is kept for ever."""
    board = board_of()
    session = Session(
        setup_for(board), lambda _s, _n: Recorder(tmp_path / "x", _s, ""), lambda: NOON
    )
    for item in received(board, Scenario((Weight(6.0, 0.0, 0.0, 60.0),))):
        session.feed(item)
        assert len(session._held) <= 22 * 80
    session.close()
    assert not (tmp_path / "x").exists()


def test_training_goes_on_where_no_recording_can_be_made_and_it_is_made_up_for(
    tmp_path: Path,
) -> None:
    full = True

    def make(setup: Setup, now: datetime) -> Recorder:
        if full:
            raise SwaytrainerError("No space.", "Free some.")
        return Recorder(tmp_path / "a.sway", setup, now.isoformat())

    board = board_of()
    session = Session(setup_for(board), make, lambda: NOON)
    visit = Scenario((Empty(3.0), StepOn(), Stand(14.0), StepOff(), Empty(5.0)))
    for item in received(board, visit):
        events = session.feed(item)
        if any(e.outcome is not None for e in events):
            assert session.trouble == "Not recorded yet: No space. Free some."
            full = False
    assert session.trouble is None
    session.close()
    recording = read_recording(tmp_path / "a.sway")
    [trial] = trials_of(recording)
    assert trial.same_as_shown is True


def test_what_was_never_recorded_is_told_at_the_end() -> None:
    def make(_setup: Setup, _now: datetime) -> Recorder:
        raise SwaytrainerError("No space.", "Free some.")

    board = board_of()
    session = Session(setup_for(board), make, lambda: NOON)
    for item in received(board, Scenario((Empty(2.0), StepOn(), Stand(2.0)))):
        session.feed(item)
    with pytest.raises(SwaytrainerError, match="No space"):
        session.close()
