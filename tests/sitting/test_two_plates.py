"""Two plates, one a foot, through the very path of one: wire, clock, sitting, recording."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Received
from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.two_feet import measure_two_feet
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.pair import SimulatedPair, foot_loads
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOn, body_states
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording
from swaytrainer.store.session import Session
from swaytrainer.store.trials import trials_of
from swaytrainer.sway.prepare import prepare
from tests.streams import WREN, one_visit, short_level

APART_MM = 200.0


def setup_of(pair: SimulatedPair, seconds: float = 6.0) -> Setup:
    facts = BoardFacts(pair.board_id, pair.make.rate_hz, 8)
    return Setup(pair.true_calibration(), short_level(seconds), WREN, facts)


def received(pair: SimulatedPair, scenario: Scenario, seed: int = 1) -> list[Received]:
    loads = foot_loads(scenario, JUNIOR, pair, seed)
    return [
        Received(100.0 + (n + 1) / pair.make.rate_hz, data)
        for n, data in enumerate(pair.stream(loads))
    ]


@pytest.mark.parametrize("rate_hz", [80.0, 1000.0])
def test_force_joint_cop_and_each_foots_own(rate_hz: float) -> None:
    pair = SimulatedPair(make=replace(SimulatedPair().make, rate_hz=rate_hz))
    sitting = Sitting(setup_of(pair))
    scenario = Scenario((Empty(2.5), StepOn(), Stand(4.0)))
    for item in received(pair, scenario):
        sitting.feed(item)
    *_, state = body_states(scenario, replace(JUNIOR, stance_width_mm=APART_MM), rate_hz, 1)
    view = sitting.view()
    assert view.force_n == pytest.approx(state.force_n, rel=0.02)
    assert view.x_mm == pytest.approx(state.x_mm, abs=2.0)  # the live filter is some 22 ms late
    assert view.y_mm == pytest.approx(state.y_mm, abs=2.0)
    assert view.feet is not None
    left, right = view.feet
    assert left.force_n + right.force_n == pytest.approx(view.force_n, rel=1e-6)
    assert view.right_share_percent == pytest.approx(100.0 * right.force_n / view.force_n)
    moment = left.force_n * left.y_mm + right.force_n * right.y_mm
    assert moment / view.force_n == pytest.approx(view.y_mm, abs=0.5)
    assert left.x_mm == pytest.approx(-100.0, abs=1.0)
    assert right.x_mm == pytest.approx(100.0, abs=1.0)
    share = (left.force_n * left.toe_share_percent + right.force_n * right.toe_share_percent) / (
        left.force_n + right.force_n
    )
    assert share == pytest.approx(view.toe_share_percent, abs=0.5)


def test_a_trial_is_marked_recorded_and_the_same_again(tmp_path: Path) -> None:
    pair = SimulatedPair(seed=2)
    home = Home(tmp_path)
    session = Session(
        setup_of(pair, 24.0), home.new_recorder, lambda: datetime(2026, 5, 2, tzinfo=UTC)
    )
    events = [e for i in received(pair, one_visit(40.0)) for e in session.feed(i)]
    session.close()
    [outcome] = [e.outcome for e in events if e.outcome is not None]
    assert outcome.mark is not None
    [path] = home.recordings()
    recording = read_recording(path)
    assert recording.setup == session.sitting.setup
    [trial] = trials_of(recording)
    assert trial.same_as_shown
    assert trial.loads_n.shape[1] == 8
    assert trial.empty is not None
    calibration = recording.setup.calibration
    whole = prepare(trial.time_s, trial.loads_n, calibration.places)
    left, right = (
        prepare(trial.time_s, trial.loads_n[:, part], calibration.places[part])
        for part in (slice(0, 4), slice(4, 8))
    )
    joint_y = (left.force_n * left.y_mm + right.force_n * right.y_mm) / whole.force_n
    assert np.allclose(joint_y, whole.y_mm, atol=1e-6)
    feet = measure_two_feet(left, right)
    assert feet.values["right_share_percent"] == pytest.approx(50.0, abs=8.0)


def test_a_faulty_cell_is_named_with_its_plate() -> None:
    pair = SimulatedPair()
    sitting = Sitting(setup_of(pair))
    items = received(pair, Scenario((Empty(2.5), StepOn(), Stand(3.0))))
    for item in items[:-80]:
        sitting.feed(item)
    for item in items[-80:]:
        for frame in wire.Decoder().feed(item.data):
            if isinstance(frame, wire.PairSample):
                faulty = frame._replace(right_status=0x0020)  # front right saturated
                sitting.feed(Received(item.host_s, wire.encode_pair_sample(faulty)))
    assert sitting.view().warnings[0].startswith("The right plate's front right cell is beyond")


def test_a_missing_cell_of_either_plate_is_a_gap() -> None:
    pair = SimulatedPair()
    sitting = Sitting(setup_of(pair))
    items = received(pair, Scenario((Empty(2.5), StepOn(), Stand(3.0))))
    for item in items[:-40]:
        sitting.feed(item)
    before = sitting.view().force_n
    for item in items[-40:]:
        for frame in wire.Decoder().feed(item.data):
            if isinstance(frame, wire.PairSample):
                # The left plate is only stuck: the right one's lost loads must not hide behind it.
                faulty = frame._replace(
                    left_status=0x0100, right_status=0x0001, right=(9_999_999, 0, 0, 0)
                )
                sitting.feed(Received(item.host_s, wire.encode_pair_sample(faulty)))
    assert sitting.view().force_n == before


def test_a_calibration_of_one_plate_is_refused_for_two() -> None:
    pair = SimulatedPair()
    setup = setup_of(pair)
    one = pair.true_calibration().left
    with pytest.raises(SwaytrainerError, match=r"two plates.*--plate left"):
        Sitting(replace(setup, calibration=one))
    with pytest.raises(SwaytrainerError, match="one plate, its calibration is of two"):
        Sitting(replace(setup, board=replace(setup.board, cells=4)))


def test_frames_of_the_other_kind_are_no_samples() -> None:
    pair = SimulatedPair()
    sitting = Sitting(setup_of(pair))
    line = wire.encode_sample(wire.Sample(0, 12_500, 0, 1, 2, 3, 4))
    sitting.feed(Received(100.0, line))
    assert sitting.samples == 0
