"""A data folder into one file and back; a person handed out, erased, and kept out."""

from __future__ import annotations

import csv
import io
import json
import shutil
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from swaytrainer.app.person_traces import mentions, same_name, traces
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.index.database import FILE, begun, open_file
from swaytrainer.index.queries import names
from swaytrainer.store.erased import on_list, read_erased, with_name
from swaytrainer.store.home import Home
from swaytrainer.training.found_feet import FoundFeet
from swaytrainer.training.ladder import CoachWord
from swaytrainer.training.vaulter import Vaulter
from tests.index.made import outcome, sitting

NOW = datetime(2026, 9, 12, 17, 30, tzinfo=UTC)


def run(home: Path, *words: str) -> int:
    return main(["--home", str(home), *words])


def files_of(home: Path) -> dict[str, bytes]:
    return {
        path.relative_to(home).as_posix(): path.read_bytes()
        for path in sorted(home.rglob("*"))
        if path.is_file() and not path.name.startswith(FILE)
    }


@pytest.fixture
def club(tmp_path: Path) -> Path:
    path = tmp_path / "club"
    home = Home(path)
    for day, name in enumerate(["Wren", "Tarn", "Ädla 🐎", "Gone"]):
        if name != "Gone":
            home.add_vaulter(
                Vaulter(name, 240.0, 180.0, None, 2014 + day, "Juniors", f"{name}: old sprain")
            )
        sitting(path, name, day, [outcome(1), outcome(2, None)])
        home.keep_feet(FoundFeet(name, "two feet", NOW, 20.0, 180.0, -90.0, 90.0, 1.0, 1.0))
        home.keep_word(CoachWord(name, "millpond-shore", NOW, "Calmer first."))
    (path / "vaulters.toml").write_text(
        "# the squad\n" + (path / "vaulters.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    (path / "squad.toml").write_text(
        '[[group]]\nname = "Juniors"\nvaulters = ["Wren", "Tarn"]  # both calm\n'
        '[[group]]\nname = "Late"\nvaulters = ["Ädla 🐎"]\n',
        encoding="utf-8",
    )
    (path / "evenings").mkdir()
    lines = (json.dumps({"kind": "absent", "name": name}) for name in ("Wren", "Tarn"))
    (path / "evenings" / "2026-09-12.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_backup_restored_elsewhere_is_the_same(club: Path, tmp_path: Path) -> None:
    before = files_of(club)
    assert run(club, "index") == 0
    assert run(club, "backup", str(tmp_path / "b.zip")) == 0
    assert run(tmp_path / "new" / "laptop", "restore", str(tmp_path / "b.zip")) == 0
    assert files_of(tmp_path / "new" / "laptop") == before
    assert [p.name for p in (tmp_path / "new").iterdir()] == ["laptop"]
    assert "Wren" in {v.name for v in Home(tmp_path / "new" / "laptop").vaulters()}


def test_nothing_is_overwritten(
    club: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    backup = tmp_path / "b.zip"
    assert run(club, "backup", str(backup)) == 0
    before = backup.read_bytes()
    assert run(club, "backup", str(backup)) == 1
    assert "already there" in capsys.readouterr().err
    assert backup.read_bytes() == before
    folder = files_of(club)
    assert run(club, "restore", str(backup)) == 1
    assert "already holds data" in capsys.readouterr().err
    assert files_of(club) == folder


def test_no_copy_inside_the_data_folder(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = files_of(club)
    assert run(club, "backup", str(club / "b.zip")) == 1
    assert run(club, "person", "export", "Wren", "-o", str(club / "boards" / ".." / "w.zip")) == 1
    assert capsys.readouterr().err.count("inside the data folder") == 2
    assert files_of(club) == before


def test_a_half_copied_backup_is_named(
    club: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    backup, half, new = tmp_path / "b.zip", tmp_path / "half.zip", tmp_path / "new"
    run(club, "backup", str(backup))
    data = backup.read_bytes()
    for length in (0, 10, len(data) // 2, len(data) - 1):
        half.write_bytes(data[:length])
        assert run(new, "restore", str(half)) == 1
        assert "half.zip" in capsys.readouterr().err
        assert not new.exists()
    for length in (10, len(data) // 2):
        half.write_bytes(data[:length])
        run(new, "restore", str(half))
        assert "cut off" in capsys.readouterr().err
    # Of what never was a backup nothing is cut off.
    half.write_text("# A page to read\n")
    assert run(new, "restore", str(half)) == 1
    assert "half.zip is no backup of swaytrainer. Give a file that" in capsys.readouterr().err
    assert run(new, "restore", str(tmp_path)) == 1
    assert "Can't read" in capsys.readouterr().err
    assert run(new, "restore", str(tmp_path / "none.zip")) == 1
    assert "There is no file" in capsys.readouterr().err


def test_a_changed_byte_anywhere_is_found_or_harmless(club: Path, tmp_path: Path) -> None:
    backup, bad = tmp_path / "b.zip", tmp_path / "bad.zip"
    run(club, "backup", str(backup))
    data, before = backup.read_bytes(), files_of(club)
    refused = 0
    for n, at in enumerate(range(0, len(data), max(1, len(data) // 60))):
        bad.write_bytes(data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :])
        new = tmp_path / f"new-{n}"
        if run(new, "restore", str(bad)) == 1:
            refused += 1
            assert not new.exists()
        else:  # a time stamp or the like
            assert files_of(new) == before
    assert refused > 30


@pytest.mark.parametrize(
    ("manifest", "told"),
    [
        ({"format": 2, "files": {}}, "newer swaytrainer"),
        ({"format": 1, "files": {"../x": {"size": 1, "sha256": ""}}}, "outside its folder"),
        ({"format": 1, "files": {"/x": {"size": 1, "sha256": ""}}}, "outside its folder"),
        ({"format": 1, "files": {"a\\b": {"size": 1, "sha256": ""}}}, "outside its folder"),
        ({"format": 1, "files": {"x": {"size": 1, "sha256": ""}}}, "x is missing"),
        ({"files": []}, "no backup"),
        ([], "no backup"),
    ],
)
def test_what_no_version_writes_is_refused(
    tmp_path: Path, manifest: object, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        archive.writestr("manifest.json", json.dumps(manifest))
    assert run(tmp_path / "new", "restore", str(tmp_path / "b.zip")) == 1
    assert told in capsys.readouterr().err
    assert not (tmp_path / "new").exists()
    assert not (tmp_path / "x").exists()


# One person ---------------------------------------------------------------------------------------


def test_a_person_is_exported_whole(club: Path, tmp_path: Path) -> None:
    out = tmp_path / "wren.zip"
    assert run(club, "person", "export", "wren", "-o", str(out)) == 0
    with zipfile.ZipFile(out) as archive:
        told = json.loads(archive.read("person.json"))
        rows = list(csv.DictReader(io.StringIO(archive.read("trials.csv").decode())))
        held = [n for n in archive.namelist() if n.startswith("recordings/")]
        (recording,) = traces(Home(club), same_name("Wren")).recordings
        assert archive.read(held[0]) == recording.read_bytes()
    assert {k: len(v) for k, v in told["entries"].items()} == {
        "vaulters.toml": 1,
        "feet.toml": 1,
        "coach.toml": 1,
        "squad.toml": 1,
        "evenings/2026-09-12.jsonl": 1,
    }
    assert "Tarn" not in json.dumps(told)
    [kept] = told["entries"]["vaulters.toml"]
    assert (kept["born"], kept["group"], kept["caution"]) == (2014, "Juniors", "Wren: old sprain")
    # The coach's notes on a person lie in the one list, not in what is handed on of a trial.
    assert "sprain" not in json.dumps(rows)
    assert [(r["number"], r["counts"]) for r in rows] == [("1", "True"), ("2", "False")]
    assert float(rows[0]["mean_speed_mm_s"]) == 11.0


def test_a_person_is_erased_whole_and_nobody_else(club: Path) -> None:
    run(club, "index")
    others = {n: d for n, d in files_of(club).items() if n.startswith("recordings")}
    assert run(club, "person", "erase", "WREN", "--yes") == 0
    assert not traces(Home(club), same_name("Wren"))
    everything = b"".join(path.read_bytes() for path in club.rglob("*") if path.is_file())
    assert b"wren" not in everything.lower()
    assert not [p for p in club.rglob("*") if "wren" in p.name.lower()]
    assert [v.name for v in Home(club).vaulters()] == ["Tarn", "Ädla 🐎"]
    assert (club / "vaulters.toml").read_text(encoding="utf-8").startswith("# the squad")
    left = {n: d for n, d in files_of(club).items() if n.startswith("recordings")}
    assert left == {n: d for n, d in others.items() if "Wren" not in n}
    with begun(open_file(club / FILE), reads=True) as connection:
        assert names(connection) == ["Gone", "Tarn", "Ädla 🐎"]


def test_somebody_not_in_the_list_any_more_is_erased_too(club: Path) -> None:
    assert run(club, "person", "erase", "Gone", "--yes") == 0
    assert not traces(Home(club), same_name("Gone"))
    assert run(club, "person", "erase", "Gone", "--yes") == 1


def test_two_of_one_name_are_both_erased(club: Path) -> None:
    with (club / "vaulters.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[vaulter]]\nname = "Tarn"\nfoot_length_mm = 250.0\n')
    assert run(club, "person", "erase", "Tarn", "--yes") == 0
    assert [v.name for v in Home(club).vaulters()] == ["Wren", "Ädla 🐎"]


def test_erasing_asks_for_the_name(
    club: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = files_of(club)
    monkeypatch.setattr("builtins.input", lambda _text: "yes")
    assert run(club, "person", "erase", "Wren") == 1
    assert "Nothing was erased" in capsys.readouterr().err
    assert files_of(club) == before
    monkeypatch.setattr("builtins.input", lambda _text: "Wren")
    assert run(club, "person", "erase", "Wren") == 0


def test_an_older_backup_does_not_bring_the_erased_back(club: Path, tmp_path: Path) -> None:
    old, new = tmp_path / "old.zip", tmp_path / "new.zip"
    run(club, "backup", str(old))
    run(club, "person", "erase", "Wren", "--yes")
    run(club, "backup", str(new))
    with zipfile.ZipFile(new) as archive:
        held = b"".join(archive.read(name) for name in archive.namelist())
    assert b"wren" not in held.lower()

    # Into the data folder whose data were moved out, all but the list.
    moved = tmp_path / "moved"
    moved.mkdir()
    shutil.copy2(club / "erased.json", moved)
    assert run(moved, "restore", str(old)) == 0
    assert not traces(Home(moved), same_name("Wren"))
    assert traces(Home(moved), same_name("Tarn")).recordings
    assert read_erased(moved / "erased.json") == read_erased(club / "erased.json")
    # Into a new one, with the list given.
    other = tmp_path / "other"
    assert run(other, "restore", str(old), "--erased", str(club / "erased.json")) == 0
    assert files_of(other) == files_of(moved)


def test_whoever_came_back_after_the_erasure_is_restored(club: Path, tmp_path: Path) -> None:
    run(club, "person", "erase", "Wren", "--yes")
    Home(club).add_vaulter(Vaulter("Wren"))
    sitting(club, "Wren", 30, [outcome(1)])
    run(club, "backup", str(tmp_path / "b.zip"))
    moved = tmp_path / "moved"
    moved.mkdir()
    shutil.copy2(club / "erased.json", moved)
    assert run(moved, "restore", str(tmp_path / "b.zip")) == 0
    assert len(traces(Home(moved), same_name("Wren")).recordings) == 1


def test_a_damaged_list_of_the_erased_stops_a_restore(
    club: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(club, "backup", str(tmp_path / "b.zip"))
    moved = tmp_path / "moved"
    moved.mkdir()
    (moved / "erased.json").write_text("[{}]", encoding="utf-8")
    assert run(moved, "restore", str(tmp_path / "b.zip")) == 1
    assert "no list of erased persons" in capsys.readouterr().err
    assert [p.name for p in moved.iterdir()] == ["erased.json"]


def test_the_list_holds_no_name() -> None:
    listed = with_name(with_name([], "Ädla"), "Wren")
    is_erased = on_list(listed)
    assert is_erased(" A\u0308DLA ")
    assert is_erased("wren")
    assert not is_erased("Tarn")
    assert with_name(listed, "WREN") == listed
    assert "ren" not in repr(listed)


def test_what_can_not_be_read_is_named(club: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (path,) = traces(Home(club), same_name("Wren")).recordings
    bad = path.with_name(path.stem + "-2.sway")
    bad.write_bytes(path.read_bytes()[:300])
    with (club / "coach.toml").open("a", encoding="utf-8") as file:
        file.write("# Wren was better before\n")
    assert run(club, "person", "erase", "Wren", "--yes") == 0
    told = capsys.readouterr().out
    assert f"{bad} can't be read, but may be theirs" in told
    assert "coach.toml still holds the name" in told
    assert mentions(Home(club), "Wren") == [club / "coach.toml"]


def test_a_broken_file_stops_an_erasure_with_its_name(club: Path) -> None:
    (club / "feet.toml").write_text("[[feet]\n", encoding="utf-8")
    with pytest.raises(SwaytrainerError, match=r"feet\.toml is not valid TOML"):
        traces(Home(club), same_name("Wren"))


@pytest.mark.parametrize("name", ["=cmd|x", "a/../b", "x" * 300, "'; --", "Ünï 🐎", "-2+3"])
def test_any_name_is_exported_and_erased(tmp_path: Path, name: str) -> None:
    club = tmp_path / "club"
    Home(club).add_vaulter(Vaulter(name))
    sitting(club, name, 0, [outcome(1, None, "=1+1")])
    assert run(club, "person", "export", "-o", str(tmp_path / "o.zip"), "--", name) == 0
    with zipfile.ZipFile(tmp_path / "o.zip") as archive:
        (row,) = csv.DictReader(io.StringIO(archive.read("trials.csv").decode()))
    assert row["reason"] == "'=1+1"
    assert run(club, "person", "erase", "--yes", "--", name) == 0
    assert Home(club).vaulters() == []
    assert Home(club).recordings() == []


def test_texts_like_formulas_are_neutral() -> None:
    assert [neutral(v) for v in ("=1", "+1", "-1", "@x", " =1", "\t=1")] == [
        "'=1",
        "'+1",
        "'-1",
        "'@x",
        "' =1",
        "'\t=1",
    ]
    assert [neutral(v) for v in (-1.0, None, "", "a=1")] == [-1.0, None, "", "a=1"]
