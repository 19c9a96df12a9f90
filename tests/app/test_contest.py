"""A contest on the kept recordings, asked for as a coach would."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest

from swaytrainer.cli import main
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter

SESSIONS = Path(__file__).parents[2] / "sessions"
CUP = """title = "Autumn cup"
level = "millpond-open-water"
since = 2026-09-01T00:00:00+00:00
until = 2026-10-01T00:00:00+00:00
trials = 1

[[class]]
name = "All"
vaulters = ["Romy", "=cmd"]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    home = Home(tmp_path)
    for name in ("Romy", "=cmd"):
        home.add_vaulter(Vaulter(name))
    day = tmp_path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    for path in SESSIONS.glob("*.sway"):
        shutil.copy(path, day / path.name)
    # Copied twice, and one that is no recording: told, and nothing counts twice.
    shutil.copy(day / "2-romy-calm.sway", day / "2-romy-calm-copy.sway")
    (day / "x.sway").write_bytes(b"half")
    (tmp_path / "cup.toml").write_text(CUP, encoding="utf-8")
    return tmp_path


def test_standings_and_who_is_next(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = folder / "cup.csv"
    asked = ["--home", str(folder), "contest", str(folder / "cup.toml"), "--csv", str(out)]
    assert main(asked) == 0
    told = capsys.readouterr().out
    assert "Left out: " in told
    assert "1  Romy" in told
    assert "1 to come" in told
    assert "Next: =cmd, round 1 (All)" in told
    with out.open(encoding="utf-8", newline="") as file:
        first, second = csv.DictReader(file)
    assert (first["place"], first["vaulter"], first["note"]) == ("1", "Romy", "")
    assert first["trial 1"] == first["mean"]
    assert f"{float(first['mean']):.2f}" in told
    assert (second["place"], second["vaulter"]) == ("", "'=cmd"), "no spreadsheet may run it"


def test_a_wrong_file_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "cup.toml").write_text(CUP.replace("Romy", "Rony"), encoding="utf-8")
    assert main(["--home", str(folder), "contest", str(folder / "cup.toml")]) == 1
    assert "'Rony', who is not a vaulter here" in capsys.readouterr().err
    assert main(["--home", str(folder), "contest", str(folder / "none.toml")]) == 1
    assert "can't be read" in capsys.readouterr().err
