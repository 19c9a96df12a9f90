"""``analyse`` of a moving base and of two plates, from a file and from a recording."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Received
from swaytrainer.board.pair import Plate
from swaytrainer.cli import main
from swaytrainer.simulate.pair import SimulatedPair
from swaytrainer.simulate.riding import RIGID, SUPPLE, Legs, MovingBase
from swaytrainer.store.home import Home
from swaytrainer.store.recording import read_recording
from swaytrainer.store.session import Session
from swaytrainer.store.trials import trials_of
from tests.motion.rides import PLATE_KG, ridden
from tests.sitting.test_two_plates import received as received_pair
from tests.sitting.test_two_plates import setup_of
from tests.streams import board_of, one_visit, received, setup_for, short_level

WHERE = ["--half-width", "220", "--half-depth", "170"]


def csv_of(path: Path, legs: Legs, accelerometer: bool = True) -> Path:
    made = ridden(MovingBase(30.0, 1.8), legs, 30.0)
    up = np.interp(made.time_s, made.plate_time_s, made.plate_m_s2)
    table = np.column_stack([made.time_s, made.loads_n, up])
    names = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n,plate_acceleration_m_s2"
    if not accelerometer:
        table, names = table[:, :-1], names.rsplit(",", 1)[0]
    np.savetxt(path, table, delimiter=",", header=names, comments="", fmt="%.9g")
    return path


def values_of(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, float]:
    assert main(["analyse", *arguments, "--json"]) == 0
    found: dict[str, float] = json.loads(capsys.readouterr().out)
    return found


def test_absorption_from_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = [*WHERE, "--as", "absorption", "--plate-mass", str(PLATE_KG)]
    stiff = values_of(capsys, str(csv_of(tmp_path / "stiff.csv", RIGID)), *asked)
    supple = values_of(capsys, str(csv_of(tmp_path / "supple.csv", SUPPLE)), *asked)
    assert stiff["absorption_percent"] == pytest.approx(0.0, abs=2.0)
    assert supple["absorption_percent"] > 30.0
    strides = values_of(capsys, str(tmp_path / "supple.csv"), *WHERE, "--as", "strides")
    assert strides["cadence_hz"] == pytest.approx(1.8, abs=0.02)
    blind = values_of(capsys, str(csv_of(tmp_path / "blind.csv", SUPPLE, False)), *asked)
    assert blind["absorption_percent"] is None
    assert blind["force_ripple_percent"] > 1.0


def test_own_sway_needs_the_plate_s_inertia_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(csv_of(tmp_path / "a.csv", SUPPLE))
    own = values_of(capsys, path, *WHERE, "--as", "own-sway", "--plate-mass", str(PLATE_KG))
    assert own["residual_speed_mm_s"] < 2.0  # this body doesn't sway of its own


def test_acceleration_comes_through_the_wire_into_the_recording(tmp_path: Path) -> None:
    board = board_of()
    home = Home(tmp_path)
    session = Session(
        setup_for(board, short_level(8.0)),
        home.new_recorder,
        lambda: datetime(2026, 5, 2, tzinfo=UTC),
    )
    sequence = 20_000
    for n, item in enumerate(received(board, one_visit(16.0))):
        session.feed(item)
        t = n / 80.0 + 0.003  # read between two samples
        frame = wire.Acceleration(
            sequence + n, round(t * 1e6), 0, 0, 0, round(9807 + 500 * np.sin(11 * t))
        )
        session.feed(Received(item.host_s, wire.encode_acceleration(frame)))
    session.close()
    [path] = home.recordings()
    [trial] = trials_of(read_recording(path))
    assert trial.acceleration is not None
    time_s, up = trial.acceleration
    assert len(time_s) == pytest.approx(8.0 * 80.0, abs=2)
    origin = time_s[0] - trial.time_s[0]
    assert 0.0 <= origin < 0.02
    # The clock begins at the first sample, whose own stamp is not zero.
    shift = np.linspace(-0.05, 0.05, 401)
    misfit = [np.abs(up - 9.807 - 0.5 * np.sin(11 * (time_s + s))).max() for s in shift]
    assert min(misfit) < 0.002


def test_two_plates_tell_each_foot_s_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pair = SimulatedPair(seed=2)
    home = Home(tmp_path)
    session = Session(
        setup_of(pair, 24.0), home.new_recorder, lambda: datetime(2026, 5, 2, tzinfo=UTC)
    )
    for item in received_pair(pair, one_visit(40.0)):
        session.feed(item)
    session.close()
    [path] = home.recordings()
    assert main(["analyse", str(path), "--as", "two-feet", "--json"]) == 0
    [trial] = json.loads(capsys.readouterr().out)["trials"]
    assert trial["right_share_percent"] == pytest.approx(50.0, abs=8.0)
    assert trial["left_mean_speed_mm_s"] > 1.0
    one = board_of()
    single = Session(
        replace(setup_for(one, short_level(8.0))),
        home.new_recorder,
        lambda: datetime(2026, 5, 3, tzinfo=UTC),
    )
    for item in received(one, one_visit(16.0)):
        single.feed(item)
    single.close()
    assert main(["analyse", str(home.recordings()[-1]), "--as", "two-feet"]) == 0
    assert "One plate can't tell" in capsys.readouterr().out
    assert Plate.LEFT == "left"
