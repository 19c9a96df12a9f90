"""A contest on the kept recordings, asked for as a coach would."""

from __future__ import annotations

import csv
import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from zipfile import ZipFile

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


IN_TIME = datetime(2026, 9, 20, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("swaytrainer.app.contest._now", lambda: IN_TIME)


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
    assert "0 of 1 done" in told
    assert "Next: =cmd, round 1 (All)" in told
    with out.open(encoding="utf-8", newline="") as file:
        first, second = csv.DictReader(file)
    assert (first["place"], first["vaulter"], first["note"]) == ("1", "Romy", "")
    assert first["trial 1"] == first["mean"]
    assert f"{float(first['mean']):.2f}" in told
    assert len(first["mean"]) <= 6, "no decimals that nobody knows"
    assert (second["place"], second["vaulter"]) == ("", "'=cmd"), "no spreadsheet may run it"


def test_a_wrong_file_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "cup.toml").write_text(CUP.replace("Romy", "Rony"), encoding="utf-8")
    assert main(["--home", str(folder), "contest", str(folder / "cup.toml")]) == 1
    assert "'Rony', who is not a vaulter here" in capsys.readouterr().err
    assert main(["--home", str(folder), "contest", str(folder / "none.toml")]) == 1
    assert "can't be read" in capsys.readouterr().err


def asked(folder: Path, *more: str) -> int:
    return main(["--home", str(folder), "contest", str(folder / "cup.toml"), *more])


def test_rulings_by_command(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(folder, "rule", "repeat", "2-romy-calm.sway", "1", "--reason", "a dog") == 0
    told = capsys.readouterr().out
    assert "To take it back, take it out there" in told
    assert "0 of 1 done" in told
    # The copy of that recording is taken back with it: nothing counts by its other name.
    assert "1  Romy" not in told
    assert asked(folder, "rule", "withdrawn", "=CMD", "--reason", "ill") == 0
    assert "withdrawn: ill" in capsys.readouterr().out
    for wrong in (
        ("rule", "withdrawn", "Romy"),
        ("rule", "repeat", "none.sway", "1", "--reason", "x"),
        ("rule", "shoot", "Romy", "--reason", "x"),
        ("rule", "--reason", "x"),
        ("stand-off", "Romy"),
        ("begin",),
    ):
        before = (folder / "cup.toml").read_bytes()
        assert asked(folder, *wrong) == 1, wrong
        assert (folder / "cup.toml").read_bytes() == before
        assert capsys.readouterr().err


def test_a_contest_is_begun_by_command(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = folder / "new.toml"
    assert main(["--home", str(folder), "contest", str(new), "begin"]) == 0
    assert "Next: " in capsys.readouterr().out
    assert main(["--home", str(folder), "--level", "picnic-meadow", "contest",
                 str(folder / "p.toml"), "begin"]) == 0  # fmt: skip
    assert "picnic-meadow" in (folder / "p.toml").read_text(encoding="utf-8")


def test_a_class_of_one_entry_is_said_to_be_one(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "cup.toml").write_text(CUP.replace('"Romy", "=cmd"', '"Romy"'), encoding="utf-8")
    assert asked(folder) == 0
    assert "one entry: nobody to beat" in capsys.readouterr().out


def test_teams_are_rows_of_the_table(folder: Path) -> None:
    team = '[[team]]\nname = "=Otters"\nvaulters = ["Romy", "=cmd"]\n'
    text = CUP.replace("trials = 1", "trials = 1\nteam_counts = 1") + team
    (folder / "cup.toml").write_text(text, encoding="utf-8")
    assert asked(folder, "--csv", str(folder / "out.csv")) == 0
    with (folder / "out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 3
    assert all(None not in row and None not in row.values() for row in rows), "rows of one width"
    team_row = rows[-1]
    assert (team_row["class"], team_row["place"], team_row["team"]) == ("teams", "1", "'=Otters")
    assert team_row["counted"] == "Romy"
    assert float(team_row["mean"]) == pytest.approx(float(rows[0]["mean"]), abs=1e-8)


def test_results_on_paper(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("jinja2")
    pypdf = pytest.importorskip("pypdf")
    page, paper = folder / "out.html", folder / "out.pdf"
    assert asked(folder, "--html", str(page), "--pdf", str(paper)) == 0
    text = page.read_text(encoding="utf-8")
    assert "Autumn cup" in text
    assert "Not final" in text
    told = "".join(p.extract_text() for p in pypdf.PdfReader(paper).pages)
    assert "Romy" in told
    assert "=cmd" in told
    assert asked(folder, "--html", str(folder / "none" / "x.html")) == 1
    assert "--html" in capsys.readouterr().err


def test_outside_of_its_time_nobody_is_called_nor_stands_off(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    late = datetime(2026, 10, 2, tzinfo=UTC)
    monkeypatch.setattr("swaytrainer.app.contest._now", lambda: late)
    assert asked(folder) == 0
    told = capsys.readouterr().out
    assert "The contest ended at 2026-10-01" in told
    assert "Next" not in told
    before = (folder / "cup.toml").read_bytes()
    assert asked(folder, "stand-off", "Romy", "=cmd") == 1
    assert "later 'until'" in capsys.readouterr().err
    assert (folder / "cup.toml").read_bytes() == before
    monkeypatch.setattr("swaytrainer.app.contest._now", lambda: datetime(2026, 8, 1, tzinfo=UTC))
    assert asked(folder) == 0
    told = capsys.readouterr().out
    assert "The contest begins at 2026-09-01" in told
    assert "Next" not in told


def test_only_who_may_stand_off_does(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (folder / "cup.toml").read_bytes()
    assert asked(folder, "rule", "withdrawn", "=cmd", "--reason", "ill") == 0
    capsys.readouterr()
    before = (folder / "cup.toml").read_bytes()
    assert asked(folder, "stand-off", "Romy", "=cmd") == 1, "one of them has withdrawn"
    assert "nothing to stand off" in capsys.readouterr().err
    assert (folder / "cup.toml").read_bytes() == before


def test_erasing_somebody_leaves_her_contests_readable(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--home", str(folder), "person", "erase", "--yes", "=cmd"]) == 0
    capsys.readouterr()
    assert asked(folder) == 0
    told = capsys.readouterr().out
    assert "erased for good since: 1" in told
    assert "1  Romy" in told
    assert "All have done their trials." in told


def test_of_a_contest_in_the_data_folder_all_is_handed_out_and_erased(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    more = (
        '\n[[team]]\nname = "Otters"   # blue\nvaulters = ["Romy", "=cmd"]\n'
        '\n[[ruling]]\nvaulter = "=cmd"\nkind = "withdrawn"\nreason = "a sore knee"\n'
        '\n[[stand_off]]\nvaulters = ["Romy", "=cmd"]\n'
    )
    cup = folder / "cup.toml"
    cup.write_text(CUP + more, encoding="utf-8")
    out = folder.parent / f"{folder.name}.zip"
    assert main(["--home", str(folder), "person", "export", "=cmd", "-o", str(out)]) == 0
    with ZipFile(out) as archive:
        told = json.loads(archive.read("person.json"))["entries"]["cup.toml"]
    assert [e["table"] for e in told] == ["class", "team", "ruling", "stand_off"]
    assert told[0]["vaulters"] == ["=cmd"], "nothing of the others"
    assert told[2]["reason"] == "a sore knee"
    for _ in range(2):
        main(["--home", str(folder), "person", "erase", "--yes", "=cmd"])
    text = cup.read_text(encoding="utf-8")
    assert "=cmd" not in text
    assert "sore knee" not in text
    assert "# blue" in text
    capsys.readouterr()
    assert asked(folder) == 0
    assert "erased for good since: 1" in capsys.readouterr().out


def test_a_recording_that_nobody_can_read_is_named_when_it_may_be_theirs(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    newer = folder / "recordings" / "2026-09-12" / "newer.sway"
    data = (SESSIONS / "2-romy-calm.sway").read_bytes()
    newer.write_bytes(data[:8] + b"\xff" + data[9:])
    assert main(["--home", str(folder), "person", "erase", "--yes", "Romy"]) == 0
    assert "newer.sway can't be read, but may be theirs" in capsys.readouterr().out


def test_rulings_without_an_effect_are_refused(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert asked(folder, "rule", "withdrawn", "=cmd", "--reason", "ill") == 0
    before = (folder / "cup.toml").read_bytes()
    assert asked(folder, "rule", "withdrawn", "=cmd", "--reason", "again") == 1
    assert "has withdrawn already" in capsys.readouterr().err
    assert (folder / "cup.toml").read_bytes() == before
    warm = before.replace(b"trials = 1", b"trials = 1\nwarm_up = 1")
    (folder / "cup.toml").write_bytes(warm)
    assert asked(folder, "rule", "repeat", "2-romy-calm.sway", "1", "--reason", "a dog") == 1
    assert "nothing to take back" in capsys.readouterr().err


def test_a_stand_off_comes_after_all_trials_and_once(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert asked(folder, "stand-off", "Romy", "=cmd") == 1
    assert "Not all of the class have done" in capsys.readouterr().err
    more = '\n[[stand_off]]\nvaulters = ["Romy", "=cmd"]\n'
    (folder / "cup.toml").write_text(CUP + more, encoding="utf-8")
    assert asked(folder, "stand-off", "Romy", "=cmd") == 1
    assert "still to be done" in capsys.readouterr().err


def test_every_trial_tells_when_it_was_and_what_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    second = folder / "recordings" / "2026-09-13"
    second.mkdir()
    shutil.copy(SESSIONS / "2-romy-calm.sway", second / "2-romy-calm.sway")
    assert asked(folder, "--trials") == 0
    told = capsys.readouterr().out
    assert "2026-09-12/2-romy-calm.sway, trial 1" in told
    assert "round 1 ·" in told
    assert "does not count ·" in told, "the copies"
    wanted = ("rule", "repeat", "2026-09-13/2-romy-calm.sway", "1", "--reason", "a dog")
    assert asked(folder, *wanted) == 0
    assert asked(folder, "--trials") == 0
    assert "taken back: a dog" in capsys.readouterr().out
