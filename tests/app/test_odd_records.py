"""A data folder with all that can be odd in it, through every command that a coach reads.

Each must answer or say in a sentence what is wrong, and no recording may be changed or lost.
"""

from __future__ import annotations

import shutil
import sqlite3
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from swaytrainer.app.person_traces import same_name
from swaytrainer.cli import main
from swaytrainer.index.database import FILE
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter
from tests.report.season import LEVELS, Course, _sets
from tests.streams import board_of, setup_for

NAMES = (
    "Ädla Öhrn", "Mika 🐎", "a/b\\c", "=cmd|' /C calc'!A0", "x" * 300, "-- no option",
    "<b>Wren</b>", "{name} %s", "Gone",
)  # fmt: skip


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("odd")
    home = Home(folder)
    rng = np.random.default_rng(1)
    setup = setup_for(board_of(), LEVELS["millpond-open-water"])
    now = datetime.now().astimezone()
    for n, name in enumerate(NAMES):
        vaulter = Vaulter(name)  # without a height
        if name != "Gone":
            home.add_vaulter(vaulter)
        for evening in range(6):
            made = now - timedelta(days=4 * (6 - evening), minutes=n)
            _sets(home, replace(setup, vaulter=vaulter), made, Course(name, 15.0, 0.2), 15.0, rng)
    # Of a level that is nobody's any more.
    strange = replace(LEVELS["millpond-shore"], id="long-gone", title="Long gone {x}")
    lost = replace(setup, vaulter=Vaulter(NAMES[0]), level=strange)
    _sets(home, lost, now - timedelta(hours=3), Course(NAMES[0], 15.0, 0.2), 15.0, rng)
    paths = home.recordings()
    day = paths[0].parent
    # Copied twice, half copied, from a newer version, and no recording at all.
    shutil.copy(paths[0], day / "copy of it.sway")
    shutil.copy(paths[1], day / "copy (2).sway")
    (day / "half.sway").write_bytes(paths[2].read_bytes()[: paths[2].stat().st_size // 2])
    (day / "newer.sway").write_bytes(b"swaytrainer recording 9\n" + paths[3].read_bytes()[24:])
    (day / "nothing.sway").write_bytes(b"")
    (day / "picture.sway").write_bytes(b"\x89PNG\r\n" * 50)
    return folder


def ask(folder: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    before = {path: path.read_bytes() for path in Home(folder).recordings()}
    code = main(["--home", str(folder), *arguments])
    said = capsys.readouterr()
    assert {path: path.read_bytes() for path in Home(folder).recordings()} == before
    assert "Traceback" not in said.err
    return code, said.out + said.err


def test_every_table_answers_and_names_what_it_left_out(
    odd: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, told = ask(odd, capsys, "progress", "--squad")
    assert code == 0
    for file in ("newer.sway", "nothing.sway", "picture.sway"):
        assert file in told, file
    assert "Gone" not in told, "who is no longer in the list is no longer of the squad"
    assert len([line for line in told.splitlines() if "days in four weeks" in line or "due" in line
                or "stuck" in line or "moves" in line]) >= len(NAMES) - 1  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_each_name_has_its_progress_ladder_and_page(
    odd: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    code, told = ask(odd, capsys, "progress", "--", name)
    assert code == 0
    assert "6 days, 18 trials" in told, "a copy, or half of one, counts once"
    if name == "Gone":
        code, told = ask(odd, capsys, "report", "-o", str(tmp_path / "x.html"), "--", name)
        assert (code, "There is no vaulter" in told) == (1, True)
        return
    assert ask(odd, capsys, "ladder", "--", name)[0] == 0
    for ending in ("html", "pdf"):
        page = tmp_path / f"page.{ending}"
        code, told = ask(odd, capsys, "report", "-o", str(page), "--", name)
        assert (code, page.exists()) == (0, True), told


def test_the_whole_squads_page_index_list_backup_and_contest(
    odd: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for arguments in (
        ("report", "--squad", "-o", str(tmp_path / "squad.pdf")),
        ("index", "--rebuild"),
        ("index", "--squad"),
        ("list",),
        ("ladder",),
        ("squad", "begin"),
        ("squad",),
        ("backup", str(tmp_path / "all.zip")),
        ("contest", str(tmp_path / "cup.toml"), "begin"),
        ("contest", str(tmp_path / "cup.toml")),
    ):
        code, told = ask(odd, capsys, *arguments)
        assert code == 0, (arguments, told)


def test_a_class_by_height_without_heights_says_whose_are_missing(
    odd: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cup = tmp_path / "cup.toml"
    assert ask(odd, capsys, "contest", str(cup), "begin")[0] == 0
    text = cup.read_text(encoding="utf-8")
    head = text[: text.index("[[class]]")]
    cup.write_text(head + '[[class]]\nname = "Small"\nheight_mm = [0, 1400]\n', encoding="utf-8")
    _, told = ask(odd, capsys, "contest", str(cup))
    assert "Ädla Öhrn" in told
    assert "height" in told


@pytest.mark.parametrize("what", ["gone", "rubbish", "locked", "older", "newer"])
def test_whatever_the_database_is_the_answers_are_the_same(
    odd: Path, capsys: pytest.CaptureFixture[str], what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("swaytrainer.app.index.PATIENCE_S", 0.2)
    name = NAMES[0]
    path = odd / FILE
    _, right = ask(odd, capsys, "progress", name)
    held = None
    if what == "gone":
        path.unlink()
    elif what == "rubbish":
        path.write_bytes(b"no database" * 100)
    elif what == "locked":
        (odd / "recordings" / "later").mkdir(exist_ok=True)
        held = sqlite3.connect(path)
        held.execute("BEGIN EXCLUSIVE")
    else:
        with sqlite3.connect(path) as database:
            version = "first" if what == "older" else "twelfth"
            database.execute("UPDATE alembic_version SET version_num = ?", (version,))
            if what == "older":
                database.execute("DROP TABLE memos")
                database.execute("DROP TABLE erased")
                database.execute("ALTER TABLE trials DROP COLUMN known")
    try:
        code, told = ask(odd, capsys, "progress", name)
    finally:
        if held is not None:
            held.close()
        if what in ("rubbish", "newer"):
            path.unlink()
    assert code == 0
    lines = [line for line in right.splitlines() if line.startswith("  mark: ")]
    assert lines
    assert [line for line in told.splitlines() if line.startswith("  mark: ")] == lines
    if what in ("rubbish", "locked", "newer"):
        assert "The recordings were read instead." in told


def test_two_of_one_name_are_one_and_the_second_is_refused_or_changes_the_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = ("--home", str(tmp_path))
    assert main([*home, "vaulter", "Wren", "--foot-length", "220"]) == 0
    main([*home, "vaulter", "wren ", "--foot-length", "230"])
    capsys.readouterr()
    there = [v for v in Home(tmp_path).vaulters() if same_name("WREN")(v.name)]
    assert len(there) == 1
