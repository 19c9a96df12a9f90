"""The commands as a user types them: what they print, and how they fail."""

import csv
import gc
import json
import math
import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from swaytrainer.cli import main
from swaytrainer.index.reading import checked
from swaytrainer.simulate.scenario import Empty, Scenario, Stand, StepOff, StepOn
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.store.home import Home
from swaytrainer.store.recording import Recorder, outcome_block, read_recording
from swaytrainer.store.trials import trials_of
from swaytrainer.sway.ellipse import finite_sample_factor
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES
from tests import open_data
from tests.streams import NOON, board_of, received, setup_for, short_level

RADIUS_MM, TURNS_HZ, RATE_HZ, N = 10.0, 0.5, 100.0, 6000


@pytest.fixture
def circle(tmp_path: Path) -> Path:
    """Corner loads whose COP runs round a circle: every measure has a closed form."""
    t = np.arange(N) / RATE_HZ
    x, y = (RADIUS_MM * f(2 * math.pi * TURNS_HZ * t) for f in (np.cos, np.sin))
    across, along = x / 200.0, y / 150.0
    loads = 150.0 * np.column_stack(
        [1 - across + along, 1 + across + along, 1 - across - along, 1 + across - along]
    )
    path = tmp_path / "circle.csv"
    header = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n"
    np.savetxt(
        path, np.column_stack([t, loads]), "%.12g", delimiter=",", header=header, comments=""
    )
    return path


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    board = board_of()
    setup = setup_for(board, short_level(21.0))
    visit = Scenario((Empty(2.5), StepOn(), Stand(28.0), StepOff(), Empty(3.0)))
    path = tmp_path / "a.sway"
    recorder, sitting = Recorder(path, setup, NOON.isoformat()), Sitting(setup)
    for item in received(board, visit):
        recorder.append(item)
        for event in sitting.feed(item):
            if event.outcome is not None:
                recorder.append_outcome(event.outcome)
    recorder.close()
    return path


def test_analyse_prints_every_measure_under_its_key(
    circle: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ["--half-width", "200", "--half-depth", "150"]
    assert main(["analyse", str(circle), *where, "--no-filter", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert set(MEASURES) <= set(told)
    step = 2 * RADIUS_MM * math.sin(math.pi * TURNS_HZ / RATE_HZ)
    assert told["path_length_mm"] == pytest.approx(step * (N - 1), rel=1e-8)
    assert told["mean_speed_mm_s"] == pytest.approx(step * RATE_HZ, rel=1e-8)
    assert told["rms_ml_mm"] == pytest.approx(RADIUS_MM / math.sqrt(2), rel=1e-8)
    # 95 % prediction ellipse: χ²₀.₉₅,₂·π·R²/2, with 1/(N−1).
    chi2 = -2 * math.log(0.05)
    assert told["ellipse_area_mm2"] == pytest.approx(
        chi2 * math.pi * RADIUS_MM**2 / 2 * N / (N - 1), rel=1e-8
    )
    assert told["filter"] == "none"
    assert told["rate_hz"] == pytest.approx(RATE_HZ)
    assert main(["analyse", str(circle), *where]) == 0
    text = capsys.readouterr().out
    assert all(f"  {key} " in text for key in MEASURES)
    assert "zero-phase" in text
    assert told["noise_floor"] is None
    assert "Noise floor unknown" in text


@pytest.mark.open_data
@pytest.mark.parametrize("trial", [1, 10, 100, 108])
def test_analyse_gives_the_published_values_of_real_people(
    trial: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """Santos & Duarte 2016, PeerJ 4:e2648: speed = path/(N/f_s), area with the finite-N factor."""
    [path] = (open_data.folder() / "standing").glob(f"s*_{trial:05d}.csv.gz")
    where = ["--half-width", "220", "--half-depth", "170", "--no-filter", "--json"]
    assert main(["analyse", str(path), *where]) == 0
    told = json.loads(capsys.readouterr().out)
    published = open_data.published()[trial]
    n = told["samples"]
    speed_cm_s = told["path_length_mm"] / 10 / (n / told["rate_hz"])
    assert speed_cm_s == pytest.approx(float(published["cop_speed_cm_s"]), rel=1e-6)
    area_cm2 = told["ellipse_area_mm2"] / 100 * finite_sample_factor(n)
    assert area_cm2 == pytest.approx(float(published["cop_area_cm2"]), rel=1e-6)


def test_analyse_a_recording(recording: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["analyse", str(recording), "--json"]) == 0
    [trial] = json.loads(capsys.readouterr().out)["trials"]
    assert {*MEASURES, *FOOT_MEASURES, "outcome"} <= set(trial)
    # Live and offline values differ by their filters, not by much.
    live = trial["outcome"]["measures"]
    assert trial["mean_speed_mm_s"] == pytest.approx(live["mean_speed_mm_s"], rel=0.05)
    assert trial["toe_share_percent"] == pytest.approx(live["toe_share_percent"], abs=0.2)
    # The floor is the board's, measured before anybody stepped on: 45 kg on 0.018 N a cell.
    floor = trial["noise_floor"]
    assert 0.1 < floor["mean_speed_mm_s"] < 0.6
    assert floor["scaled_to_n"] == pytest.approx(45 * 9.80665, rel=0.01)
    assert floor["cell_noise_n"] == pytest.approx(0.018, rel=0.15)
    assert floor["path_length_mm"] == pytest.approx(floor["mean_speed_mm_s"] * trial["duration_s"])
    rows, pictures = recording.with_name("rows.csv"), recording.with_name("sway.png")
    beside = ["--csv", str(rows), "--plot", str(pictures)]
    assert main(["analyse", str(recording), *beside]) == 0
    with rows.open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    assert float(row["toe_share_percent"]) == trial["toe_share_percent"]
    assert float(row["noise_floor_path_length_mm"]) == floor["path_length_mm"]
    assert float(row["mark"]) == trial["outcome"]["mark"]
    assert row["trial"] == "1"
    assert pictures.read_bytes().startswith(b"\x89PNG")
    told = capsys.readouterr().out
    assert "trial 1, Wren" in told
    assert "path length over time (noise floor 0." in told
    assert "scaled to the body's 44" in told


def test_replay_fast(recording: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["replay", str(recording), "--fast", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["trials"][0]["same_as_shown"] is True
    assert main(["replay", str(recording), "--fast"]) == 0
    assert f"mark {told['trials'][0]['mark']:.2f}" in capsys.readouterr().out


def test_replay_says_from_what_to_what_a_mark_differs(
    recording: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    again = trials_of(read_recording(recording))[0].outcome
    assert again.mark is not None
    data = recording.read_bytes()
    other = replace(again, mark=again.mark - 1.5)
    recording.write_bytes(data + outcome_block(other))
    assert main(["replay", str(recording), "--fast"]) == 3
    told = capsys.readouterr().out
    assert f"then mark {other.mark:.2f}, computed now mark {again.mark:.2f}." in told
    other = replace(again, measures={**again.measures, "mean_speed_mm_s": 1.0})
    recording.write_bytes(data + outcome_block(other))
    assert main(["replay", str(recording), "--fast"]) == 3
    told = capsys.readouterr().out
    assert f"still mark {again.mark:.2f}, but other values of mean_speed_mm_s." in told


def test_a_mark_that_was_never_earned_is_found(
    recording: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    again = trials_of(read_recording(recording))[0].outcome
    forged = replace(again, number=again.number + 1, mark=9.9)
    recording.write_bytes(recording.read_bytes() + outcome_block(forged))
    assert main(["replay", str(recording), "--fast"]) == 3
    assert f"trial {forged.number} was shown, and can't be computed" in capsys.readouterr().out
    assert main(["replay", str(recording), "--fast", "--json"]) == 3
    assert len(json.loads(capsys.readouterr().out)["only_shown"]) == 1
    assert any("can't be computed" in sentence for sentence in checked(recording))


def test_replay_of_half_a_recording_gives_what_is_there(
    recording: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = recording.read_bytes()
    recording.write_bytes(data[: len(data) // 2])
    assert main(["replay", str(recording), "--fast"]) == 0
    out = capsys.readouterr().out
    assert "unfinished" in out
    assert "no finished trial" in out
    assert "Trial 1 was under way" in out


def test_what_holds_nothing_to_be_seen_again_is_told(
    recording: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = Home(recording.parent / "outcomes alone")
    setup = read_recording(recording).setup
    recorder = home.new_recorder(setup, datetime(2026, 11, 1, tzinfo=UTC))
    recorder.close()
    [path] = home.recordings()
    assert main(["replay", str(path)]) == 1
    assert "holds nothing to be seen again" in capsys.readouterr().err


def test_vaulters_and_lists(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = ["--home", str(tmp_path / "home")]
    assert main([*home, "vaulter"]) == 0
    assert "There is no vaulter yet" in capsys.readouterr().out
    assert main([*home, "vaulter", "Wren", "--foot-length", "221"]) == 0
    assert "Wren: foot 221 mm" in capsys.readouterr().out
    assert main([*home, "list"]) == 0
    assert "No recordings" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["analyse", "none.csv"], "No such file"),
        (["analyse", "CIRCLE"], "--half-width"),
        (["analyse", "CIRCLE", "--half-width", "200"], "--half-depth"),
        (["analyse", "CIRCLE", "--half-width", "-3", "--half-depth", "2"], "--half-width"),
        (["replay", "CIRCLE", "--fast"], "not a swaytrainer recording"),
        (["replay", "CIRCLE", "--json"], "--fast"),
        (["replay", "CIRCLE", "--speed", "0"], "speed of 0"),
        (["demo", "--seconds", "1"], "5 to 120"),
        (["demo", "--seed", "-1"], "from 0 up"),
        (["--level", "nope", "demo"], "no level 'nope'"),
        (["simulate", "--tcp-port", "99999"], "no such port"),
        (["vaulter", ""], "name"),
        (["demo", "--out", "CIRCLE/x"], "Can't make the folder"),
        (["--port", "/dev/none", "board"], "nothing at /dev/none"),
        (["calibrate", "--mass", "44000"], "in kilograms"),
        (["calibrate", "--mass", "nan"], "in kilograms"),
        (["calibrate", "--mass", "20", "--half-width", "22"], "in millimetres"),
        (["simulate", "--manner", "drunk"], "calm, ordinary"),
        (["simulate", "--fault", "gremlins"], "loose-screw"),
        (["check", "--mass", "2"], "can't check"),
        (["--home", "HOME", "--vaulter", "Nobody"], "no vaulter 'Nobody'"),
        (["--home", "HOME", "--level", "none"], "no level 'none'"),
        (["--home", "CIRCLE", "vaulter", "Wren"], "Can't"),
    ],
)
def test_what_goes_wrong_is_a_sentence_and_a_status(
    arguments: list[str],
    why: str,
    circle: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    given = [
        a.replace("CIRCLE", str(circle)).replace("HOME", str(tmp_path / "home")) for a in arguments
    ]
    assert main(given) == 1
    told = capsys.readouterr().err
    assert told.startswith("swaytrainer: ")
    assert why in told
    assert "Traceback" not in told


def test_a_terminal_that_knows_no_minus_sign_gets_a_question_mark(recording: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "swaytrainer", "analyse", str(recording)],
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=True,
    )
    assert b"mm?" in done.stdout


def test_a_vaulter_grows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = ["--home", str(tmp_path)]
    assert main([*home, "vaulter", "Wren", "--foot-length", "221"]) == 0
    assert main([*home, "vaulter", "Wren", "--foot-length", "225"]) == 0
    assert "Wren: foot 225 mm, stance 200 mm" in capsys.readouterr().out
    assert main([*home, "vaulter", "Wren"]) == 1
    assert "already" in capsys.readouterr().err


def test_a_recording_of_no_length_is_told_as_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.sway").write_bytes(b"")
    assert main(["analyse", str(tmp_path / "a.sway")]) == 1
    assert "not a swaytrainer recording" in capsys.readouterr().err


def test_tables_are_made_with_little_collecting_and_it_is_as_before_afterwards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, during = gc.get_threshold(), []

    def ladder(*_: object) -> int:
        during.append(gc.get_threshold())
        return 0

    monkeypatch.setattr("swaytrainer.app.ladder.ladder", ladder)
    assert main(["--home", str(tmp_path), "ladder"]) == 0
    assert during[0][0] > before[0]
    assert gc.get_threshold() == before
