"""The main job as the README runs it, in a process of its own, without display or sound card."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from swaytrainer.cli import main
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter


def run(*arguments: str) -> str:
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("SDL_", "DISPLAY", "WAYL"))}
    done = subprocess.run(
        [sys.executable, "-m", "swaytrainer", *arguments],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        env=clean,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminal: the TCP demo is tested")
def test_the_same_seed_gives_the_same_mark_and_the_recording_gives_it_again(
    tmp_path: Path,
) -> None:
    marks = []
    for place, more in (("a", []), ("b", ["--tcp"])):
        out = tmp_path / place
        text = run("demo", "--seconds", "6", "--seed", "5", "--out", str(out), *more)
        assert ("/dev/" in text) == (not more)
        assert re.search(r"Mark: \d+\.\d of 10\. \S", text)
        [recording] = (out / "home" / "recordings").glob("*/*.sway")
        assert str(recording) in text
        told = json.loads(run("replay", str(recording), "--fast", "--json"))
        assert told["trials"][0]["same_as_shown"] is True
        assert told["damage"] == []
        marks.append(told["trials"][0]["mark"])
        pictures = sorted(p.name for p in out.glob("*.png"))
        assert any("mark" in p for p in pictures)
        assert "sway-path.png" in pictures
        assert len(pictures) >= 7
    assert marks[0] == marks[1], "pseudo-terminal or TCP, the bytes are the same"


def test_nothing_simulated_comes_into_a_data_folder_in_use(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = Home(tmp_path / "home")
    home.add_vaulter(Vaulter("Romy"))
    before = sorted(home.path.rglob("*"))
    assert main(["--home", str(home.path), "demo", "--out", str(tmp_path / "out")]) == 1
    assert "Leave --home away" in capsys.readouterr().err
    assert sorted(home.path.rglob("*")) == before


def test_on_a_board_that_is_known_it_goes_straight_to_the_trial(tmp_path: Path) -> None:
    told = run("demo", "--seconds", "6", "--calibrated", "--out", str(tmp_path), "--tcp")
    assert "Calibrating" not in told
    assert re.search(r"Mark: \d+\.\d of 10", told)
    assert not list(tmp_path.glob("*calibrating*"))
