"""A session: the recording begins where the sitting began, and no earlier than it must."""

from datetime import datetime
from pathlib import Path

from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn
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
